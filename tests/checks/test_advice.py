"""Body, room, level, options and safety on dances made for them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from noonwall.checks import body, level, options, proof_of, room, room_of, safety
from noonwall.dance import Figure, Foot, Option, Restart
from noonwall.findings import Place, Severity
from noonwall.floor import dance_run
from tests.checks.dances import codes, dance, step

WALK = ("1 R step fwd", "2 L step fwd", "3 R step fwd", "4 L step together")


def test_a_plain_walk_needs_no_advice() -> None:
    proof = proof_of(dance(*WALK, counts=4, bpm=120.0, level="beginner", stated_walls=1))
    assert [*body.check(proof), *level.check(proof), *safety.check(proof), *options.check(proof)] == []


@pytest.mark.parametrize(("bpm", "told"), [(60.0, []), (180.0, ["body.turn-speed"]), (None, [])])
def test_turns_are_held_against_the_tempo(bpm: float | None, told: list[str]) -> None:
    # 12 eighths in one count are 540 degrees: 540 a second at 60 bpm (the limit), 1620 at 180.
    spinning = dance("1 R step fwd 12", "2 L step together", counts=2, bpm=bpm)
    assert codes(body.check(proof_of(spinning))) == told


def test_crossed_legs_matter_only_if_the_next_wall_leaves_them_crossed() -> None:
    ends_crossed = dance("1 R step place", "2 L step cross", counts=2)
    assert body.is_crossed(proof_of(ends_crossed).tracks["main"].end)
    assert codes(body.check(proof_of(ends_crossed))) == ["body.crossed"]
    uncrosses = dance("1 R step side", "2 L step cross", counts=2)
    assert codes(body.check(proof_of(uncrosses))) == []


def test_a_dance_that_walks_away_is_told_of_its_drift() -> None:
    away = dance(*(f"{n} {'RL'[(n + 1) % 2]} step fwd" for n in range(1, 13)), counts=12, stated_walls=1)
    found = room.check(proof_of(away))
    assert codes(found) == ["room.drift"]
    assert found[0].facts["where"] == "front"
    assert found[0].facts["metres"] == pytest.approx(12 * 0.45, abs=0.2)


def test_four_quarters_bring_a_square_back() -> None:
    square = dance("1 R step fwd +2", "2 L step together", counts=2)
    needed = room_of(proof_of(square))
    assert len(needed.drifts) == 4
    assert needed.end == pytest.approx((0.0, 0.0), abs=1e-9)


def test_contra_lines_that_walk_into_each_other_are_told() -> None:
    towards = dance("1 R step fwd", "2 L step fwd", "3 R step side", "4 L step together", counts=4)
    assert room.check(proof_of(towards)) == []
    found = room.check(proof_of(replace(towards, title="Contra Bench")))
    assert codes(found) == ["room.contra"]


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("Absolute Beginner", "absolute-beginner"), ("beginner", "beginner"), ("Débutant", "beginner"),
        ("Novice", "improver"), ("INTERMEDIATE", "intermediate"), ("high beginner", ""), ("", ""),
    ],
)  # fmt: skip
def test_levels_are_known_in_both_languages_and_other_words_are_not_judged(words: str, name: str) -> None:
    assert level.level_of(words) == name


def test_an_absolute_beginner_dance_has_no_syncopation_and_no_restart() -> None:
    # Linedancer, Guide to Line Dance Level Definitions, 2014: no syncopation, tags or restarts.
    steps = ("1 R step fwd", "1.5 L step together", "2 R step fwd", "3 L step together")
    quick = dance(*steps, counts=4, level="absolute beginner", restarts=(Restart(2, Fraction(2)),))
    found = level.check(proof_of(quick))
    assert codes(found) == ["level.above"]
    assert found[0].severity is Severity.ADVICE
    assert found[0].facts["reasons"] == ["syncopated", "cut"]
    assert level.check(proof_of(replace(quick, level="intermediate"))) == []


def option(*steps: str, counts: int) -> Option:
    danced = tuple(step(text) for text in steps)
    figures = tuple(Figure("steps", one.at, Fraction(1), (one,), one.foot) for one in danced)
    return Option("main", Fraction(0), Fraction(counts), figures, "Option", Place(9))


@pytest.mark.parametrize(
    ("steps", "told"),
    [
        (("1 R step side", "2 L touch together"), []),
        (("1 R step side", "2 L step together"), ["option.foot"]),
        (("1 R step side +2", "2 L touch together"), ["option.facing"]),
        (("1 R step side", "3 L touch together"), ["option.counts"]),
        (("1 R step back", "2 L touch together"), ["option.place"]),
    ],
)
def test_options_keep_counts_foot_facing_and_place(steps: tuple[str, ...], told: list[str]) -> None:
    written = dance("1 R step side", "2 L touch together", counts=2)
    written = replace(written, options=(option(*steps, counts=2),))
    assert codes(options.check(proof_of(written, lines=("",) * 9))) == told


def test_turning_one_way_and_impacts_on_one_leg_are_told() -> None:
    spin = dance("1 R step fwd 8", "2 L step fwd 8", "3 R step fwd 8", "4 L step together", counts=4)
    assert codes(safety.check(proof_of(spin))) == ["safety.turning"]
    turned_back = dance("1 R step fwd 8", "2 L step fwd 8", "3 R step fwd -8", "4 L step together", counts=4)
    assert codes(safety.check(proof_of(turned_back))) == []
    stomps = dance(*(f"{n} R stomp-up" for n in range(1, 5)), counts=4)
    found = safety.check(proof_of(stomps))
    assert codes(found) == ["safety.one-sided"] and found[0].facts["foot"] == Foot.RIGHT.value
    hops = dance(*(f"{n} B jump place" for n in range(1, 8)), counts=7)
    assert codes(safety.check(proof_of(hops))) == ["safety.impact"]


@pytest.mark.parametrize("turn", [-4, -2, 0, 1, 2, 8])
def test_a_round_is_where_dancing_all_its_walls_leads(turn: int) -> None:
    steps = (f"1 R step fwd {turn:+d}", "2 L step side", "3 R step cross", "4 L step back")
    walked = proof_of(dance(*steps, counts=4))
    needed = room_of(walked)
    ends = [wall.stance_end.centre for wall in dance_run(walked.dance, len(needed.drifts)).walls]
    assert [pytest.approx(end) for end in ends] == list(needed.drifts)
