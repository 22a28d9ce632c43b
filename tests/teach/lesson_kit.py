"""Lessons to test: a plain speller in two languages, random dances of both, random classes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from hypothesis import strategies as st

from noonwall.dance.model import Dance, Foot, Part, Step
from noonwall.figures import vocabulary
from noonwall.pipeline.proving import Proved, prove
from noonwall.pipeline.teaching import figured
from noonwall.teach.knowing import ClassKnows
from noonwall.teach.lesson import plan_lesson
from noonwall.teach.spans import danced
from noonwall.teach.telling import Told, Words
from noonwall.teach.values import Lesson, Line
from tests.property.dances import random_dance
from tests.property.sources import Drawn

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.txt"))
BOTH = ("en", "fr")


@dataclass(frozen=True, slots=True)
class PlainSpelling:
    """Words that are quick to make: a number of steps; what the sheet's own words are is tested elsewhere."""

    dance: Dance
    languages: tuple[str, ...] = BOTH

    def lines(self, part: Part, at: int, end: int) -> tuple[Line, ...]:
        steps = danced(part, self.dance.start_free_foot).between(at, end)
        return (Line(f"{at + 1}-{end}", (f"{len(steps)} steps", f"{len(steps)} pas")),) if steps else ()

    def figures(self, part: Part, at: int, end: int) -> Words:
        return (f"counts {at + 1} to {end}", f"comptes {at + 1} à {end}")

    def steps(self, steps: Sequence[Step], counts: int, free: Foot, first: int) -> tuple[Line, ...]:
        return (Line(f"{first + 1}-{first + counts}", (f"{len(steps)} steps", f"{len(steps)} pas")),)

    def level(self) -> Words:
        return (self.dance.level, self.dance.level)

    def changes(self) -> tuple[Words, ...]:
        return tuple((f"restart {one.wall}", f"restart {one.wall}") for one in self.dance.restarts)


def plain_lesson(dance: Dance, minutes: float, knows: ClassKnows | None = None) -> Lesson:
    return plan_lesson(dance, PlainSpelling(dance), int(minutes * 60), knows=knows)


@cache
def proved(path: Path) -> Proved:
    return prove(path.read_text("utf-8"))


def example(name: str) -> Dance:
    """Return the dance of an example sheet, its figures named."""
    dance = proved(ROOT / "examples" / f"{name}.txt").dance
    assert dance is not None
    return figured(dance)


@st.composite
def random_dances(draw: st.DrawFn) -> Dance:
    """A random dance that both languages have words for, its figures named where they can be."""
    return figured(random_dance(Drawn(draw), "fr"))


@st.composite
def random_classes(draw: st.DrawFn) -> ClassKnows:
    """A class that knows some figures to some degree."""
    names = sorted(vocabulary().figures)
    chosen = draw(st.lists(st.sampled_from(names), max_size=8, unique=True))
    shares = {name: draw(st.sampled_from((0.0, 0.3, 0.5, 1.0))) for name in chosen}
    return ClassKnows("Thursday", MappingProxyType(shares))


def remarks_of(lesson: Lesson) -> list[Told]:
    """Return every remark of a lesson."""
    found = [*lesson.opening, *lesson.changes, *lesson.finish, *lesson.closing, *lesson.remarks]
    found += [
        *lesson.cautions,
        *lesson.seated,
        *(one for way in lesson.ways for one in (way.told, way.proof)),
    ]
    found += [remark for one in lesson.gentle for remark in one.told]
    found += [drill.told for drill in lesson.drills] + [one.told for one in lesson.left_out]
    return found + [remark for piece in lesson.pieces for remark in (*piece.why, *piece.watch)]
