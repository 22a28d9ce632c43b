"""What fit sees of a dance, against the floor."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings

from noonwall.dance import Dance, Foot, Restart, Section, Tag
from noonwall.dance.model import Figure, Part, Step
from noonwall.errors import CannotDance
from noonwall.fit.outline import outline_of
from noonwall.floor import dance_part, dance_run, opening_stance
from tests.fit.builders import dance, dances, part, walk


@settings(max_examples=300, deadline=None)
@given(dances())
def test_a_cut_is_on_the_right_foot_exactly_if_the_floor_leaves_it_free(danced: Dance) -> None:
    plan = outline_of(danced).parts[0]
    track = dance_part(danced.main, opening_stance())
    assert [cut.count for cut in plan.cuts] == list(range(1, plan.counts))
    for cut in plan.cuts:
        stance = track.at(cut.count)
        assert cut.right_foot == (stance.free_foot in (None, Foot.RIGHT))
        assert cut.mirrored == (stance.free_foot is Foot.LEFT)
        assert cut.turn == stance.facing


@settings(max_examples=200, deadline=None)
@given(dances())
def test_the_whole_part_ends_as_on_the_floor(danced: Dance) -> None:
    plan = outline_of(danced).parts[0]
    track = dance_part(danced.main, opening_stance())
    assert plan.straight.turn == track.end.facing == danced.main.turn
    assert plan.mirrors == (track.end.free_foot is Foot.LEFT)


def test_the_last_beat_does_not_see_the_and_after_it() -> None:
    steps = (
        Step(Fraction(0), "step", Foot.RIGHT, True, "fwd", 2),
        Step(Fraction(1, 2), "step", Foot.LEFT, True, "fwd", 2),
        Step(Fraction(1), "step", Foot.RIGHT, True, "fwd", 2),
    )
    section = Section("1", Fraction(0), Fraction(2), (Figure("steps", Fraction(0), Fraction(2), steps),))
    main = replace(walk(2), sections=(section,))
    shape = outline_of(dance(main)).parts[0].straight
    assert shape.turns == (0, 4, 6)
    assert shape.beat_turns == (0, 2, 6)


def test_ends_of_eights_and_insides_of_figures_are_known() -> None:
    main = walk(16)
    first, second = main.sections
    vine = Figure("grapevine", Fraction(8), Fraction(4), second.steps[:4])
    rest = Figure("steps", Fraction(12), Fraction(4), second.steps[4:])
    main = replace(main, sections=(first, replace(second, figures=(vine, rest))))
    cuts = outline_of(dance(main)).parts[0].cuts
    assert [cut.count for cut in cuts if cut.ends_eight] == [8]
    assert [cut.count for cut in cuts if cut.inside_figure] == [9, 10, 11]


def test_a_waltz_is_counted_in_sixes() -> None:
    plan = outline_of(dance(walk(24), beats_per_bar=3))
    assert plan.eight == 6
    assert [cut.count for cut in plan.parts[0].cuts if cut.count % 6 == 0 and cut.ends_eight] == [6, 12, 18]


def test_walls_with_the_same_change_become_one_shape() -> None:
    restarts = (Restart(2, Fraction(8)), Restart(5, Fraction(8)), Restart(6, Fraction(12)))
    plan = outline_of(dance(walk(16, {4: 2}), restarts=restarts))
    assert [(shape.cut_after, shape.walls) for shape in plan.stated] == [(8, (2, 5)), (12, (6,))]
    assert plan.stated[0].turn == 2


def test_a_tag_in_the_middle_turns_and_lengthens_the_wall() -> None:
    extra = part("Tag", "RLRL", {2: 4}, "tag")
    plan = outline_of(dance(walk(16, {16: 2}), extra, tags=(Tag(3, Fraction(8), "Tag", 2),)))
    shape = plan.stated[0]
    assert (shape.length, shape.tag_counts, shape.change_at, shape.tags) == (24, 8, 8, ("Tag", "Tag"))
    assert shape.turns[8] == 0 and shape.turns[16] == 8 and shape.turn == 10


def test_what_cannot_be_danced_as_written_is_set_aside() -> None:
    broken = (Restart(2, Fraction(40)), Restart(3, Fraction(15, 2)))
    lost = Tag(4, Fraction(16), "Nowhere")
    plan = outline_of(dance(walk(16), restarts=broken, tags=(lost,)))
    assert plan.stated == ()
    assert plan.unusable == (*broken, lost)


def test_a_part_without_whole_counts_is_refused_in_one_sentence() -> None:
    main = replace(walk(16), counts=Fraction(31, 2))
    with pytest.raises(CannotDance, match=r"has 15\.5 counts; make them a whole number"):
        outline_of(dance(main))


def test_a_part_without_steps_is_refused() -> None:
    with pytest.raises(CannotDance, match="has no steps to lay on a song"):
        outline_of(dance(replace(walk(16), sections=())))


def test_parts_of_a_phrased_dance_begin_on_their_own_foot() -> None:
    first = part("A", "RLRLRLRr", kind="part")
    second = part("B", "LRLRLRLR", kind="part")
    plan = outline_of(dance(first, second, sequence=("A", "B", "A")))
    assert [p.label for p in plan.parts] == ["A", "B", "A"]
    assert [p.start_foot for p in plan.parts] == [Foot.RIGHT, Foot.LEFT, Foot.RIGHT]
    # B leaves the left foot free at its end: a cut is right where the left foot is free too
    assert [cut.count for cut in plan.parts[1].cuts if cut.right_foot] == [2, 4, 6]


def test_a_sequence_may_cut_a_part_short() -> None:
    a, b = replace(walk(16), label="A", kind="part"), replace(walk(8), label="B", kind="part")
    phrased = replace(dance(a), parts=(a, b), sequence=("A", "B", "A:4", "gone", "B"))
    plan = outline_of(phrased)
    assert [(one.label, one.counts) for one in plan.parts] == [("A", 16), ("B", 8), ("A", 4), ("B", 8)]
    assert [(wall.part, wall.counts) for wall in dance_run(phrased).walls] == [
        (one.label, one.counts) for one in plan.parts
    ]


def test_a_phrased_part_is_danced_as_it_stands_and_an_upbeat_belongs_to_its_wall() -> None:
    left = tuple(
        Step(Fraction(count), "step", Foot.LEFT if count % 2 == 0 else Foot.RIGHT, True, "fwd", 2)
        for count in range(3)
    )
    upbeat = Step(Fraction(-1, 2), "step", Foot.RIGHT, True, "fwd", 2)
    a = _part_of("A", (upbeat, *left))
    b = _part_of("B", tuple(replace(step, foot=step.foot.other) for step in left if step.foot))
    phrased = replace(dance(a), parts=(a, b), sequence=("A", "B"))
    first, second = dance_run(phrased).walls
    assert [moment.count for moment in first.moments] == [Fraction(-1, 2), 0, 1, 2]
    assert [moment.step.foot for moment in second.moments] == [Foot.RIGHT, Foot.LEFT, Foot.RIGHT]
    assert second.stance_end.facing == first.stance_end.facing + 6 == 14
    assert outline_of(phrased).parts[1].straight.turn == 6


def _part_of(label: str, steps: tuple[Step, ...]) -> Part:
    figure = Figure("steps", Fraction(0), Fraction(3), steps)
    return Part(label, "part", Fraction(3), (Section("1", Fraction(0), Fraction(3), (figure,)),))
