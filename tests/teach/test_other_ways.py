"""Easier, fancier, gentler: each danced again here, as a whole part, and held against the written one."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import dist

import pytest
from hypothesis import HealthCheck, given, settings

from noonwall.dance.model import Dance, Figure, Foot, Option, Part, Section, Step
from noonwall.figures import vocabulary
from noonwall.floor import dance_part, opening_stance
from noonwall.teach.easier import Swap, found_options, sheet_options
from noonwall.teach.gentle import low_impact, seated_feet
from noonwall.teach.spans import entered
from noonwall.teach.swap import STEP_METRES
from noonwall.teach.ways import caution_words, dose_minutes, loudest_decibels

from .lesson_kit import EXAMPLES, example, random_dances

NAMES = [path.stem for path in EXAMPLES]


def with_steps(part: Part, since: Fraction, until: Fraction, steps: tuple[Step, ...]) -> Part:
    """Return a part of one section with some of its steps replaced, without the code that is tested."""
    before = [step for section in part.sections for step in section.steps if max(section.at, step.at) < since]
    after = [step for section in part.sections for step in section.steps if max(section.at, step.at) >= until]
    whole = (*before, *steps, *after)
    figure = Figure("steps", Fraction(0), part.counts, whole)
    return replace(part, sections=(Section("1", Fraction(0), part.counts, (figure,)),))


def ends_alike(dance: Dance, part: Part, swap: Swap) -> None:
    start = entered(part, dance.start_free_foot)
    written = dance_part(part, start)
    other = dance_part(with_steps(part, swap.at, swap.at + swap.counts, swap.steps), start)
    assert not [moment for moment in other.moments if moment.problem and moment.step in swap.steps]
    assert other.end.weight is written.end.weight or Foot.BOTH in (written.end.weight, other.end.weight)
    assert other.end.facing % 8 == written.end.facing % 8
    assert dist(other.end.centre, written.end.centre) <= STEP_METRES + 1e-6
    assert len({step.at for step in swap.steps}) == len(swap.steps)
    assert all(swap.at <= step.at < swap.at + swap.counts for step in swap.steps)


@pytest.mark.parametrize("name", NAMES)
def test_found_options_leave_the_dance_as_it_is(name: str) -> None:
    dance = example(name)
    parts = [part for part in dance.parts if part.kind in ("main", "part")]
    swaps = found_options(dance, parts)
    assert swaps
    for swap in swaps:
        ends_alike(dance, dance.part(swap.part), swap)
        before, after = (vocabulary().figures[one].difficulty for one in (swap.was, swap.figure))
        assert swap.difficulty == (before, after)
        assert after < before if swap.kind == "easier" else after > before


@given(dance=random_dances())
@settings(max_examples=25, derandomize=True, suppress_health_check=list(HealthCheck))
def test_options_of_random_dances_leave_them_as_they_are(dance: Dance) -> None:
    parts = [part for part in dance.parts if part.kind in ("main", "part")]
    for swap in found_options(dance, parts):
        assert swap.proof.holds
        ends_alike(dance, dance.part(swap.part), swap)


def test_the_sheets_own_options_are_proved_and_a_wrong_one_is_told() -> None:
    dance = example("lantern-walk")
    steps = dance.main.sections[0].figures[0].steps
    good = Option("main", Fraction(0), Fraction(4), (Figure("steps", Fraction(0), Fraction(4), steps),))
    touched = tuple(replace(step, takes_weight=True) if step.move == "touch" else step for step in steps)
    wrong = replace(good, figures=(Figure("steps", Fraction(0), Fraction(4), touched),))
    turned = replace(
        good, figures=(Figure("steps", Fraction(0), Fraction(4), (replace(steps[0], turn=2), *steps[1:])),)
    )
    swaps = sheet_options(replace(dance, options=(good, wrong, turned)))
    assert [swap.proof.holds for swap in swaps] == [True, False, False]
    assert (swaps[1].proof.weight, swaps[2].proof.facing) == (False, False)


@pytest.mark.parametrize("name", NAMES)
def test_low_impact_has_no_jump_stomp_or_spin(name: str) -> None:
    dance = example(name)
    moves = vocabulary().moves
    for part in dance.parts:
        low = low_impact(part, dance.start_free_foot)
        assert not [step for step in low.steps if {"jump", "stomp"} & set(moves[step.move].cautions)]
        assert low.proof.holds
        written = dance_part(part, entered(part, dance.start_free_foot))
        gentle = dance_part(with_steps(part, Fraction(-1), part.counts + 1, low.steps), written.start)
        assert gentle.end.weight is written.end.weight
        assert dist(gentle.end.centre, written.end.centre) <= STEP_METRES


def step(at: int, move: str, foot: Foot | None, takes: bool, to: str = "", turn: int = 0) -> Step:
    return Step(Fraction(at), move, foot, takes, to, turn)


def part_of(*steps: Step, counts: int = 8) -> Part:
    figure = Figure("steps", Fraction(0), Fraction(counts), steps)
    return Part("main", "main", Fraction(counts), (Section("1", Fraction(0), Fraction(counts), (figure,)),))


R, L, B = Foot.RIGHT, Foot.LEFT, Foot.BOTH


def test_a_rolling_vine_is_walked_as_a_vine() -> None:
    """Quarter right forward, half right back, quarter right side: without the turns side, behind, side."""
    part = part_of(
        step(0, "step", R, True, "fwd", 2),
        step(1, "step", L, True, "back", 4),
        step(2, "step", R, True, "side", 2),
    )
    low = low_impact(part, R)
    assert [one.kind for one in low.changes] == ["turn-walk"]
    assert [(one.foot, one.to, one.turn) for one in low.steps] == [
        (R, "side", 0),
        (L, "behind", 0),
        (R, "side", 0),
    ]


@pytest.mark.parametrize(
    ("first", "kind", "becomes"),
    [
        (step(0, "stomp", R, True, "together"), "stomp-step", [("step", R)]),
        (step(0, "stomp-up", R, False, "together"), "stomp-touch", [("touch", R)]),
        (step(0, "leap", R, True, "fwd"), "leap-step", [("step", R)]),
        (step(0, "jump", B, True, "together"), "jump-steps", [("step", R), ("step", L)]),
    ],
)
def test_each_impact_has_its_gentle_way(first: Step, kind: str, becomes: list[tuple[str, Foot]]) -> None:
    follow = step(1, "step", R if kind != "stomp-step" and kind != "leap-step" else L, True, "fwd")
    low = low_impact(part_of(first, follow), R)
    assert [one.kind for one in low.changes] == [kind]
    assert [(one.move, one.foot) for one in low.steps[:-1]] == becomes
    assert low.proof.weight and low.proof.facing


def test_feet_on_a_chair_are_those_of_the_dance() -> None:
    steps = (
        step(0, "step", R, True),
        step(1, "touch", L, False),
        step(2, "hold", None, False),
        step(3, "jump", B, True),
    )
    assert seated_feet(steps) == ("R", "l", "-", "B")


def test_both_parts_of_a_phrased_dance_begin_where_their_first_foot_is_free() -> None:
    dance = example("two-keys")
    assert all(entered(part, dance.start_free_foot) == opening_stance(R) for part in dance.parts)


@pytest.mark.parametrize(
    ("decibels", "minutes"), [(85, 480), (88, 240), (91, 120), (94, 60), (97, 30), (100, 15)]
)
def test_a_days_dose_of_noise_is_the_published_one(decibels: int, minutes: int) -> None:
    """CDC/NIOSH: 85 dBA for 8 hours, 88 for 4, 91 for 2, 94 for 1, 97 for 30 minutes, 100 for 15."""
    assert dose_minutes(decibels) == minutes
    assert loudest_decibels(minutes) == decibels
    assert loudest_decibels(minutes + 1) == decibels - 1
    assert loudest_decibels(3) == 100  # WHO Global Standard for Safe Listening Venues and Events, 2022


def test_the_effort_of_line_dancing_is_the_published_range() -> None:
    """CDC/ACSM list of intensities: line dancing is moderate, 3.0 to 6.0 METs."""
    remarks = caution_words(example("lantern-walk"), ("en", "fr"), 30)
    effort = next(one for one in remarks if one.id == "caution.effort")
    assert (effort.fact("least"), effort.fact("most")) == ("3", "6")
