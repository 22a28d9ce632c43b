"""The finish: every change that is offered ends at 12:00 when the floor dances it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings

from noonwall.dance import Dance, Ending, Foot, Tag
from noonwall.fit import Song, check_ending, count_grid, fit, outline_of
from noonwall.fit.finish import wall_moments
from noonwall.floor import dance_steps, opening_stance
from tests.fit.builders import dance, dances, part, song, songs, walk


@settings(max_examples=500, deadline=None)
@given(dances(), songs(most_phrases=4, lengths=(7, 8, 13, 16, 21)))
def test_each_change_ends_at_twelve_on_the_last_beat(danced: Dance, music: Song) -> None:
    run = fit(danced, music, runners_up=0)
    wall, finish = run.walls[-1], run.finish
    assert (finish.wall, finish.count) == (wall.wall, wall.length)
    assert finish.at_seconds == music.beats[-1]
    moments = [m for m in wall_moments(danced, wall) if m.count <= wall.length - 1]
    assert (moments[-1].stance.facing if moments else wall.facing_start) % 8 == finish.facing
    assert bool(finish.changes) <= (finish.facing != 0)
    for change in finish.changes:
        added = {turn.count: turn for turn in change.turns}
        steps = []
        for moment in moments:
            turn = added.get(int(moment.count) + 1)
            step = moment.step
            if turn:
                assert step.foot is turn.foot
                step = replace(step, turn=step.turn + turn.added)
                assert step.turn == turn.total and abs(turn.total) <= 4
            steps.append(step)
        if change.kind == "pose":
            steps = [step for step in steps if step.at <= change.count - 1]
            assert change.hold_counts == wall.length - change.count
        free = Foot.LEFT if wall.mirrored else Foot.RIGHT
        end = dance_steps(steps, opening_stance(free, wall.facing_start))[-1].stance
        assert end.facing % 8 == 0
    efforts = [change.effort for change in finish.changes]
    assert efforts == sorted(efforts)


def test_the_turn_that_is_not_danced_is_the_smallest_change() -> None:
    # the half turn of count 16 would end at 6:00: not dancing it is easier than any turn that brings one back
    half = dance(walk(16, {16: 4}))
    run = fit(half, song([16, 16], intro_phrases=1))
    assert run.finish.facing == 4
    best = run.finish.changes[0]
    assert [(turn.count, turn.foot, turn.added, turn.total) for turn in best.turns] == [
        (16, Foot.LEFT, -4, 0)
    ]


def test_a_quarter_goes_to_the_side_of_the_stepping_foot() -> None:
    # ends at 3:00 and needs a quarter left: the left foot of count 16 opens to the left
    run = fit(dance(walk(16, {4: 2})), song([16, 16]))
    best = run.finish.changes[0]
    assert [(turn.count, turn.foot, turn.total) for turn in best.turns] == [(16, Foot.LEFT, -2)]


def test_a_pose_is_offered_where_the_last_turn_comes_late() -> None:
    # the song ends on a hold right after a half turn that no single step may undo
    late = dance(part("main", "RLRLRLRLRLRLRL--", {14: 4}))
    run = fit(late, song([16, 16]), runners_up=0)
    assert any(change.kind == "pose" and change.count == 13 for change in run.finish.changes)


def test_nothing_is_offered_at_the_front() -> None:
    run = fit(dance(walk(16)), song([16, 16]))
    assert run.finish.at_front and run.finish.changes == ()


END = part("Ending", "RLRL", {1: 4}, "ending")


def ended(ending: Ending, turn: int = 4) -> Dance:
    return dance(walk(32, {32: turn}), END, ending=ending)


def findings(danced: Dance, music: Song) -> list[str]:
    grid = count_grid(music)
    run = fit(danced, music, runners_up=0)
    return [finding.code for finding in check_ending(danced, run.walls, grid)[1]]


SONG = song([16, 32, 32, 32, 16])


def test_an_ending_that_holds_says_nothing() -> None:
    # wall 4 starts at 6:00 with 16 counts left: 12 of them, then four that turn a half
    danced = ended(Ending(4, Fraction(12), "Ending", 0))
    run = fit(danced, SONG, runners_up=0)
    taught, found = check_ending(danced, run.walls, count_grid(SONG))
    assert found == []
    assert taught is not None and taught.holds and taught.counts_left == 0


@pytest.mark.parametrize(
    ("ending", "codes"),
    [
        (Ending(3, Fraction(12), "Ending"), ["fit.ending-other-wall", "fit.ending-not-front"]),
        (Ending(4, Fraction(8), "Ending"), ["fit.ending-too-early"]),
        (Ending(4, Fraction(16), "Ending"), ["fit.ending-too-late"]),
        (Ending(4, Fraction(12), "Ending", 4), ["fit.ending-other-facing"]),
        (Ending(4, Fraction(16)), ["fit.ending-not-front"]),
        (Ending(9, Fraction(12), "Ending"), ["fit.ending-other-wall"]),
        (Ending(None, None, "Ending"), []),
        (Ending(4, Fraction(12), "Nowhere"), ["fit.ending-unplaced"]),
        (Ending(4, Fraction(25, 2), "Ending"), ["fit.ending-unplaced"]),
    ],
)
def test_what_an_ending_gets_wrong(ending: Ending, codes: list[str]) -> None:
    assert findings(ended(ending), SONG) == codes


def test_no_ending_no_finding() -> None:
    assert findings(dance(walk(32)), SONG) == []


def test_the_last_wall_may_end_inside_the_sheets_own_tag() -> None:
    tag = part("Tag", "RLRL", {1: 2}, "tag")
    danced = dance(walk(16, {16: 2}), tag, tags=(Tag(2, Fraction(16), "Tag"),))
    run = fit(danced, song([16, 16, 18]), runners_up=0)
    last = run.walls[-1]
    assert (last.wall, last.counts, last.tag_counts, last.change) == (2, 16, 2, "stated")
    # two quarters of the walls and the quarter on the tag's first count
    assert run.finish.facing == 6
    assert outline_of(danced).stated[0].length == 20
