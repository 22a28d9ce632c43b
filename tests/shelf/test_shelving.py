"""What the pipeline hands to a shelf: facts, figures and steps of a sheet."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from noonwall.dance.model import Dance, Figure, Foot, Part, Section, Step
from noonwall.pipeline import prove, rewritten
from noonwall.pipeline.figures_danced import figures_used
from noonwall.pipeline.shelving import read_for_shelf, shape_of, sheets_for_shelf, shelf_facts
from noonwall.shelf.facts import facts_from
from tests.house.tree import ROOT
from tests.writer.author import write

EXAMPLES = ROOT / "examples"
OTHER = {"L": "R", "R": "L", "": ""}


def mirrored(dance: Dance) -> Dance:
    """Return a dance on the other foot: feet, sides and turns the other way round."""

    def step(one: Step) -> Step:
        foot = one.foot.other if one.foot else None
        return replace(one, foot=foot, turn=-one.turn, side=OTHER[one.side])

    def figure(one: Figure) -> Figure:
        return replace(one, steps=tuple(step(each) for each in one.steps))

    def section(one: Section) -> Section:
        return replace(one, figures=tuple(figure(each) for each in one.figures))

    def part(one: Part) -> Part:
        return replace(one, sections=tuple(section(each) for each in one.sections))

    return replace(dance, parts=tuple(part(one) for one in dance.parts))


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000))
def test_a_dance_and_its_mirror_image_have_one_shape(seed: int) -> None:
    proved = prove(write(seed).text, with_mends=False)
    if proved.dance is None:
        return
    shape, other = shape_of(proved.dance), shape_of(mirrored(proved.dance))
    assert [gram for gram, _ in shape] == [gram for gram, _ in other]
    assert [OTHER[lead] for _, lead in shape] == [lead for _, lead in other]


def one_part(steps: list[Step], counts: int) -> Dance:
    figure = Figure("steps", Fraction(0), Fraction(counts), tuple(steps))
    section = Section("", Fraction(0), Fraction(counts), (figure,))
    return Dance("", (Part("A", "main", Fraction(counts), (section,)),))


def walk(at: int, foot: Foot, turn: int = 0, to: str = "fwd") -> Step:
    return Step(Fraction(at), "step", foot, True, to, turn)


FEET = [Foot.RIGHT, Foot.LEFT]


def test_where_a_wall_begins_does_not_matter() -> None:
    turns = [0, 2, 0, 0, -4, 0, 0, 0]
    wall = [walk(at, FEET[at % 2], turns[at]) for at in range(8)]
    later = [replace(wall[(at + 4) % 8], at=Fraction(at)) for at in range(8)]
    assert sorted(shape_of(one_part(wall, 8))) == sorted(shape_of(one_part(later, 8)))


@pytest.mark.parametrize("change", [{"turn": 2}, {"to": "back"}, {"at": Fraction(3, 2)}, {"move": "touch"}])
def test_another_step_is_another_shape(change: dict[str, object]) -> None:
    wall = [walk(at, FEET[at % 2]) for at in range(8)]
    other = [*wall[:1], replace(wall[1], **change), *wall[2:]]  # type: ignore[arg-type]
    assert shape_of(one_part(wall, 8)) != shape_of(one_part(other, 8))


def test_a_part_without_steps_has_no_shape() -> None:
    assert shape_of(one_part([], 8)) == []
    hold = Step(Fraction(0), "hold", None, False)
    assert shape_of(one_part([hold], 8)) == []


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.txt")), ids=lambda path: path.stem)
def test_a_dance_in_the_other_language_is_the_same_dance(path: Path) -> None:
    proved = prove(path.read_text("utf-8"), with_mends=False)
    other = "fr" if proved.reading.language == "en" else "en"
    told, again = shelf_facts(proved), read_for_shelf(rewritten(proved, other), other)[1]
    for name in ("title", "counts", "walls", "bpm", "meter", "level", "shape"):
        assert again[name] == told[name], name
    assert again["language"] == other
    facts_from(told)


@pytest.mark.parametrize(
    ("name", "figures"),
    [
        ("lantern-walk", {"vine", "rocking-chair", "step-touch"}),
        ("two-keys", {"chasse", "kick-ball-change", "v-step", "monterey-turn"}),  # named by its headings
        ("quai-des-lanternes", {"vine", "coaster-step", "jazz-box"}),
        ("valse-du-moulin", {"waltz-basic"}),  # named nowhere: its steps make it up
    ],
)
def test_the_figures_a_teacher_would_name_are_found(name: str, figures: set[str]) -> None:
    proved = prove((EXAMPLES / f"{name}.txt").read_text("utf-8"), with_mends=False)
    assert proved.dance is not None
    assert figures <= set(figures_used(proved.dance, proved.reading.claims))


def test_a_figure_that_is_not_there_is_not_found() -> None:
    proved = prove((EXAMPLES / "lantern-walk.txt").read_text("utf-8"), with_mends=False)
    assert proved.dance is not None
    used = set(figures_used(proved.dance, proved.reading.claims))
    assert not used & {"coaster-step", "monterey-turn", "sailor-step", "weave", "steps"}


def test_files_that_cannot_be_read_are_told_in_the_language(tmp_path: Path) -> None:
    (tmp_path / "empty.txt").write_text("")
    told = list(
        sheets_for_shelf([tmp_path / "empty.txt", tmp_path / "none.txt", EXAMPLES / "two-keys.txt"], "fr")
    )
    assert told[0].trouble.startswith("empty.txt est vide")
    assert "none.txt" in told[1].trouble
    assert (told[2].trouble, told[2].facts and told[2].facts["title"]) == ("", "Two Keys")


def test_words_without_steps_are_kept_by_their_first_line() -> None:
    facts = read_for_shelf("\n  Notes for Thursday\nbring the lamp\n")[1]
    assert facts["title"] == "Notes for Thursday"
    assert facts_from(facts).shape == ()
