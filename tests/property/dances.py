"""Build random dances from any source of choices: a seeded generator for measuring, hypothesis for tests.

Not named figures but legal acts: the free foot moves, weight alternates, counts fall on whole counts,
halves and quarters, turns in eighths, with tags, restarts, step changes, an ending, phrased parts, waltz.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Protocol, TypeVar

from noonwall.dance.model import Dance, Ending, Figure, Foot, Part, Restart, Section, Step, Tag
from noonwall.dance.turns import walls_of

from .moves import BODY, BOTH, GESTURES, NO_WORDS, STEPS, TURNS, WITH_A_STEP

T = TypeVar("T")
HALF, QUARTER = Fraction(1, 2), Fraction(1, 4)
RHYTHMS = (
    (Fraction(0),),
    (Fraction(0), HALF),
    (Fraction(0), QUARTER, HALF),
    (Fraction(0), 3 * QUARTER),
    (Fraction(0), HALF, 3 * QUARTER),
)
TITLES = ("Harbour Lights", "Quay Side Lanterns", "Tin Roof Rain", "Salt and Starlight", "Slow Ferry Home")
AUTHORS = ("Nell Quayside", "Odile Marant-Roche", "Bram Hollis (Harbour Hall)", "")
LEVELS = ("beginner", "improver", "intermediate", "advanced", "high beginner", "")
DATES = ("March 2024", "August 2023", "2022", "")
SONGS = ("Lantern Song by The Quay Lights", "Low Tide - Marrow & Thyme", "")


class Choices(Protocol):
    """Where choices come from."""

    def pick(self, options: Sequence[T]) -> T:
        """Return one of ``options``; the first is the simplest."""

    def chance(self, percent: int) -> bool:
        """Return True in about ``percent`` of a hundred cases."""


@dataclass(slots=True)
class Feet:
    """Which foot is free while steps are made up."""

    free: Foot


def random_dance(choices: Choices, language: str) -> Dance:
    """Return a random dance that ``language`` has words for."""
    meter = 3 if choices.chance(20) else 4
    start = Foot.LEFT if choices.chance(20) else Foot.RIGHT
    if choices.chance(15):
        dance = _phrased(choices, language, meter, start)
    else:
        dance = _plain(choices, language, meter, start)
    title = choices.pick(TITLES)
    return replace(
        dance,
        title=title,
        choreographer=choices.pick(AUTHORS),
        date=choices.pick(DATES),
        level=choices.pick(LEVELS),
        music=choices.pick(SONGS),
        bpm=float(choices.pick((96, 102, 124))) if choices.chance(50) else None,
        intro_counts=choices.pick((16, 32, 8)) if choices.chance(60) else None,
    )


def _plain(choices: Choices, language: str, meter: int, start: Foot) -> Dance:
    feet = Feet(start)
    main = _part(choices, language, meter, feet, "main", "main", choices.pick((2, 3, 4, 1)))
    parts = [main]
    cuts = list(range(meter, int(main.counts), meter))
    restarts = []
    used: set[int] = set()
    for wall in (2, 5):
        if cuts and choices.chance(15):
            cut = choices.pick(cuts)
            change = _change(choices, language, main, start, cut) if choices.chance(30) else None
            restarts.append(Restart(wall, Fraction(cut), change))
            used.add(wall)
    tags = []
    for number in range(1, 3):
        if choices.chance(20):
            counts = choices.pick((4, 2, 8)) if meter == 4 else choices.pick((3, 6))
            steps = _stretch(choices, language, meter, Feet(feet.free), counts, pick_up=False)
            tag = _made_part(f"tag{len(tags) + 1}", "tag", [(steps, counts)])
            inside = [c for c in cuts if c != counts]
            at = Fraction(choices.pick(inside)) if inside and choices.chance(30) else main.counts
            again = at < main.counts and choices.chance(40)
            walls = [wall for wall in ((3,), (4, 6))[number - 1] if wall not in used]
            times = 2 if choices.chance(15) else 1
            parts.append(tag)
            tags += [Tag(wall, at, tag.label, times, again) for wall in walls]
            if again:
                restarts += [Restart(wall, at) for wall in walls]
    ending = None
    if choices.chance(20):
        label = "ending" if choices.chance(70) else ""
        at_count = Fraction(choices.pick(cuts)) if cuts and choices.chance(70) else None
        ending = Ending(choices.pick((7, 9)), at_count, label)
        if label:
            steps = _stretch(choices, language, meter, Feet(feet.free), meter, pick_up=False)
            parts.append(_made_part("ending", "ending", [(steps, meter)]))
    walls = walls_of(main.turn)
    return Dance(
        "",
        tuple(parts),
        ("main",),
        meter,
        stated_counts=int(main.counts) if main.counts >= 10 and choices.chance(70) else None,
        stated_walls=walls if choices.chance(70) else None,
        start_free_foot=start,
        restarts=tuple(sorted(restarts, key=lambda restart: restart.wall)),
        tags=tuple(tags),
        ending=ending,
    )


def _phrased(choices: Choices, language: str, meter: int, start: Foot) -> Dance:
    labels = ["A", "B", "C"][: choices.pick((2, 3))]
    parts = []
    for label in labels:
        feet = Feet(start)
        parts.append(_part(choices, language, meter, feet, label, "part", choices.pick((2, 1, 3))))
    order = [choices.pick(labels) for _ in range(choices.pick((4, 3, 6)))]
    sequence = list(dict.fromkeys([*labels])) + order
    if choices.chance(40):
        sequence.append(f"A:{8 if meter == 4 else 6}")
    if choices.chance(30):
        counts = 4 if meter == 4 else 3
        steps = _stretch(choices, language, meter, Feet(start), counts, pick_up=False)
        parts.append(_made_part("tag1", "tag", [(steps, counts)]))
        sequence.insert(len(labels), "tag1")
    return Dance("", tuple(parts), tuple(sequence), meter, start_free_foot=start)


def _part(
    choices: Choices, language: str, meter: int, feet: Feet, label: str, kind: str, sections: int
) -> Part:
    lengths = [8 if meter == 4 else 6] * sections
    if meter == 4 and sections > 2 and choices.chance(10):
        lengths[-1] = 4
    made = []
    for number, length in enumerate(lengths):
        steps = _stretch(choices, language, meter, feet, length, pick_up=not number and choices.chance(8))
        made.append((steps, length))
    return _made_part(label, kind, made)


def _made_part(label: str, kind: str, made: list[tuple[list[Step], int]]) -> Part:
    sections = []
    at = Fraction(0)
    for steps, length in made:
        moved = tuple(replace(step, at=step.at + at) for step in steps)
        figure = Figure("steps", moved[0].at, Fraction(length), moved)
        name = f"{int(at) + 1}-{int(at) + length}"
        sections.append(Section(name, at, Fraction(length), (figure,)))
        at += length
    return Part(label, kind, at, tuple(sections))


def _change(choices: Choices, language: str, main: Part, start: Foot, cut: int) -> Part:
    """Return other steps for the last two counts before a restart."""
    before = [s.foot for s in main.steps if s.at < cut - 2 and s.takes_weight and s.foot]
    last = before[-1] if before else start.other
    free = last.other if last is not Foot.BOTH else start
    steps = [
        Step(
            Fraction(0), "step", free, True, choices.pick(("fwd", "side", "back")), choices.pick((0, 2, -4))
        ),
        Step(Fraction(1), "touch", free.other, False, choices.pick(("together", "side"))),
    ]
    return _made_part("change", "bridge", [(steps, 2)])


def _stretch(
    choices: Choices, language: str, meter: int, feet: Feet, counts: int, pick_up: bool
) -> list[Step]:
    """Return acts that fill ``counts`` counts."""
    out: list[Step] = []
    if pick_up:
        out.append(_step(choices, language, feet, -HALF))
    count = 0
    while count < counts:
        quick = choices.chance(25)
        rhythm = choices.pick(RHYTHMS[1:]) if quick else RHYTHMS[0]
        slow = not quick and count + 1 < counts and choices.chance(5)
        for tick in rhythm:
            at = count + tick
            if not out:
                act = _first_step(choices, feet, at)
            elif quick or slow:
                act = _step(choices, language, feet, at)
            else:
                act = _act(choices, language, feet, at)
            out.append(act)
            if (
                len(out) > 1
                and not quick
                and not slow
                and act.foot in (Foot.LEFT, Foot.RIGHT)
                and choices.chance(5)
            ):
                out.append(Step(at, choices.pick(WITH_A_STEP), None, False))
        count += 2 if slow else 1
    return out


def _first_step(choices: Choices, feet: Feet, at: Fraction) -> Step:
    """Return a plain step: nothing before it tells which foot is free, so its own foot must."""
    foot, feet.free = feet.free, feet.free.other
    turn = choices.pick(TURNS) if choices.chance(10) else 0
    return Step(at, "step", foot, True, choices.pick(STEPS["step"]), turn)


def _act(choices: Choices, language: str, feet: Feet, at: Fraction) -> Step:
    """Return one act on a whole count."""
    if choices.chance(65):
        return _step(choices, language, feet, at)
    if choices.chance(60):
        move = choices.pick(_known(GESTURES, language))
        turn = choices.pick(TURNS[:4]) if choices.chance(10) else 0
        return Step(at, move, feet.free, False, choices.pick(GESTURES[move]), turn)
    if choices.chance(35):
        foot, feet.free = feet.free, feet.free.other
        # a pivot turns away from the foot that stepped: onto the left foot, to the left (facts.md, part 2)
        turn = abs(choices.pick(TURNS[:4])) * (-1 if foot is Foot.LEFT else 1)
        return Step(at, "pivot", foot, True, "place", turn)
    if choices.chance(30):
        move = choices.pick(tuple(BOTH))
        takes, places = BOTH[move]
        return Step(at, move, Foot.BOTH, takes, choices.pick(places))
    if choices.chance(15):
        return Step(at, "hop", feet.free.other, True, "place")
    move = choices.pick(tuple(BODY))
    return Step(at, move, None, False, BODY[move])


def _step(choices: Choices, language: str, feet: Feet, at: Fraction) -> Step:
    """Return an act that takes the weight onto the free foot."""
    move = "step" if choices.chance(50) else choices.pick(_known(STEPS, language))
    to = choices.pick(STEPS[move])
    turn = choices.pick(TURNS) if choices.chance(15) else 0
    foot, feet.free = feet.free, feet.free.other
    over = move == "step" and to in ("side", "diag-fwd", "diag-back") and choices.chance(10)
    return Step(at, move, foot, True, to, turn, foot.other.value if over else "")


def _known(table: dict[str, tuple[str, ...]], language: str) -> tuple[str, ...]:
    return tuple(move for move in table if move not in NO_WORDS[language])
