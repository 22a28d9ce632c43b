"""A class over a season. The numbers are our own scale; properties hold whatever the scale."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonwall.errors import BrokenFile
from noonwall.pipeline.seasons import candidates_of, history_of, knowing
from noonwall.season import (
    Candidate,
    ClassHistory,
    TaughtOn,
    evening,
    knowledge,
    memories,
    reviews_due,
    what_next,
)
from noonwall.season.memory import FIRST_HALF_LIFE_DAYS, Memory
from noonwall.shelf import DanceRow, Taught
from noonwall.teach.knowing import KNOWN, ClassKnows, class_from

DAY = date(2026, 10, 6)
FIGURES = ["vine", "shuffle", "coaster-step", "sailor-step", "rocking-chair"]
LESSONS = st.lists(
    st.builds(
        TaughtOn,
        st.integers(-200, 60).map(lambda days: DAY + timedelta(days=days)),
        st.integers(1, 6),
        st.sampled_from(["Paper Boats", "Tide Table", "Two Keys"]),
        st.lists(st.sampled_from(FIGURES), max_size=3, unique=True).map(tuple),
    ),
    max_size=8,
)
CANDIDATES = st.lists(
    st.builds(
        Candidate,
        st.integers(10, 99),
        st.text(min_size=1, max_size=6),
        st.lists(st.sampled_from(FIGURES), max_size=4, unique=True).map(tuple),
    ),
    max_size=6,
)


def lesson(days: int, number: int = 1, title: str = "Paper Boats", *figures: str) -> TaughtOn:
    return TaughtOn(DAY + timedelta(days=days), number, title, figures or ("vine",))


def known_on(days: int, *lessons: TaughtOn, figure: str = "vine") -> float:
    return knowledge(ClassHistory(taught=lessons), DAY + timedelta(days=days)).of(figure)


def test_half_is_left_after_the_half_life() -> None:
    # the form's own definition: p = 2 ** (-days / half-life), Settles and Meeder, ACL 2016 (from memory)
    memory = Memory("vine", 0.8, 30.0, DAY)
    assert memory.on(DAY) == 0.8
    assert memory.on(DAY + timedelta(days=30)) == pytest.approx(0.4)
    assert memory.on(DAY + timedelta(days=60)) == pytest.approx(0.2)
    assert known_on(int(FIRST_HALF_LIFE_DAYS), lesson(0)) == pytest.approx(0.3)


def test_a_weekly_class_knows_a_figure_by_name_after_two_lessons_not_after_one() -> None:
    assert known_on(0, lesson(0)) >= KNOWN
    assert known_on(7, lesson(0)) < KNOWN
    assert known_on(14, lesson(0), lesson(7)) >= KNOWN


def test_three_lessons_keep_half_for_twelve_weeks() -> None:
    lessons = (lesson(0), lesson(7), lesson(14))
    assert known_on(14 + 84, *lessons) == pytest.approx(known_on(14, *lessons) / 2, abs=0.001)


def test_two_lessons_on_one_day_are_one() -> None:
    assert known_on(5, lesson(0), lesson(0)) == known_on(5, lesson(0))


def test_what_is_long_past_is_forgotten_but_the_dance_is_not_new() -> None:
    known = knowledge(ClassHistory(taught=(lesson(0),)), DAY + timedelta(days=400))
    assert known.figures == {}
    assert known.dances == ("Paper Boats",)


def test_lessons_of_the_future_are_not_known_yet() -> None:
    assert known_on(0, lesson(7)) == 0.0


@given(LESSONS, st.integers(0, 300), st.integers(0, 300))
def test_knowledge_fades_without_lessons_and_stays_between_0_and_1(
    lessons: list[TaughtOn], days: int, more: int
) -> None:
    history = ClassHistory(taught=tuple(lessons))
    last = DAY + timedelta(days=60 + days)
    before, after = knowledge(history, last), knowledge(history, last + timedelta(days=more))
    for figure in FIGURES:
        assert 0.0 <= after.of(figure) <= before.of(figure) <= 1.0


@given(LESSONS, st.sampled_from(FIGURES))
def test_a_lesson_never_weakens(lessons: list[TaughtOn], figure: str) -> None:
    today = DAY + timedelta(days=61)
    more = (*lessons, TaughtOn(today, 9, "New", (figure,)))
    before = knowledge(ClassHistory(taught=tuple(lessons)), today)
    after = knowledge(ClassHistory(taught=more), today)
    assert after.of(figure) >= max(before.of(figure), KNOWN)
    assert all(after.of(one) == before.of(one) for one in FIGURES if one != figure)


@given(LESSONS)
def test_the_order_in_which_lessons_are_told_does_not_matter(lessons: list[TaughtOn]) -> None:
    one = ClassHistory(taught=tuple(lessons))
    other = ClassHistory(taught=tuple(sorted(lessons, key=lambda each: each.day)))
    day = DAY + timedelta(days=90)
    assert {k: m.strength for k, m in memories(one, day).items()} == pytest.approx(
        {k: m.strength for k, m in memories(other, day).items()}
    )


def test_what_the_teacher_says_counts_and_fades_from_that_day() -> None:
    told = ClassKnows("Tuesday", {"vine": 0.9}, ("Old Favourite",))
    assert knowledge(ClassHistory(told), DAY).of("vine") == 0.9
    fading = ClassHistory(told, DAY)
    assert knowledge(fading, DAY).of("vine") == 0.9
    assert knowledge(fading, DAY + timedelta(days=42)).of("vine") == pytest.approx(0.45)
    assert knowledge(fading, DAY).dances == ("Old Favourite",)


@given(LESSONS)
def test_what_a_class_knows_has_the_form_of_a_class_file(lessons: list[TaughtOn]) -> None:
    known = knowledge(ClassHistory(ClassKnows("Tuesday"), None, tuple(lessons)), DAY)
    assert class_from(known.plain()) == known


def test_what_is_about_to_be_lost_is_due_the_weakest_first() -> None:
    history = ClassHistory(
        taught=(
            lesson(0, 1, "Paper Boats", "vine"),
            lesson(0, 2, "Tide Table", "shuffle"),
            lesson(7, 2, "Tide Table", "shuffle"),
            lesson(-30, 3, "Two Keys", "coaster-step"),
        )
    )
    due = reviews_due(history, DAY + timedelta(days=8))
    assert [one.title for one in due] == ["Two Keys", "Paper Boats"]
    assert (due[0].days, due[0].fading) == (38, ("coaster-step",))
    assert reviews_due(history, DAY + timedelta(days=8), until_next_days=60)[-1].title == "Tide Table"


def test_a_dance_of_plain_steps_fades_too() -> None:
    history = ClassHistory(taught=(TaughtOn(DAY, 1, "Plain", ()),))
    assert [one.title for one in reviews_due(history, DAY + timedelta(days=30))] == ["Plain"]
    assert reviews_due(history, DAY, until_next_days=1) == ()


KNOWS = ClassKnows("Tuesday", {"vine": 0.9, "shuffle": 0.8, "rocking-chair": 0.3}, ("Taught",))


@pytest.mark.parametrize(
    ("figures", "comes"),
    [
        (("vine", "shuffle", "coaster-step"), 1),  # one new
        (("vine", "shuffle", "coaster-step", "sailor-step"), 2),  # two new
        (("vine", "shuffle"), 3),  # nothing new
        (("coaster-step", "sailor-step", "rocking-chair"), 4),  # all new
    ],
)
def test_one_new_figure_among_known_ones_is_best(figures: tuple[str, ...], comes: int) -> None:
    every = [
        Candidate(1, "One new", ("vine", "shuffle", "coaster-step")),
        Candidate(2, "Two new", ("vine", "shuffle", "coaster-step", "sailor-step")),
        Candidate(3, "Nothing new", ("vine", "shuffle")),
        Candidate(4, "All new", ("coaster-step", "sailor-step", "rocking-chair")),
    ]
    found = what_next(KNOWS, reversed(every))
    assert [one.dance_id for one in found] == [1, 2, 3, 4]
    told = next(one for one in found if one.dance_id == comes)
    assert set(told.known) | set(told.new) == set(figures)


def test_what_was_taught_or_is_too_much_or_says_nothing_is_left_out() -> None:
    every = [
        Candidate(1, "Taught", ("vine",)),
        Candidate(2, "Too much", ("coaster-step", "sailor-step", "rocking-chair", "monterey-turn")),
        Candidate(3, "Plain", ()),
    ]
    assert what_next(KNOWS, every) == ()
    assert [one.dance_id for one in what_next(KNOWS, every, most_new=4)] == [2]


@given(LESSONS, CANDIDATES, st.integers(1, 240))
def test_an_evening_fills_its_minutes(
    lessons: list[TaughtOn], candidates: list[Candidate], minutes: int
) -> None:
    history = ClassHistory(taught=tuple(lessons))
    plan = evening(history, candidates, DAY + timedelta(days=61), minutes)
    assert sum(item.minutes for item in plan.items) == minutes
    assert all(item.minutes > 0 for item in plan.items)
    new = [item for item in plan.items if item.kind == "new" and item.dance_id]
    assert len(new) <= 1
    assert all(item.title not in {lesson.title for lesson in lessons} for item in new)
    # every dance that is due is danced, or said to be left out
    danced = {item.dance_id for item in plan.items}
    due = {one.dance_id for one in reviews_due(history, plan.day)}
    assert due == {number for number in due if number in danced} | {one.dance_id for one in plan.left_out}


def test_an_hour_has_the_shares_of_a_published_plan() -> None:
    history = ClassHistory(taught=(lesson(0), lesson(7), lesson(-30, 2, "Two Keys", "shuffle")))
    next_one = Candidate(9, "New", ("vine", "coaster-step"))
    plan = evening(history, [next_one], DAY + timedelta(days=14), 60)
    minutes = {kind: sum(one.minutes for one in plan.items if one.kind == kind) for kind in
               ("warm-up", "review", "new", "dance", "close")}  # fmt: skip
    assert minutes["new"] == 20  # a published class plan of 60 minutes: 20 new
    assert minutes["close"] == 5  # the same: 5 to close
    assert 6 <= minutes["warm-up"] <= 10  # IDEA Health & Fitness, sample dance class
    assert [(one.kind, one.title) for one in plan.items[:3]] == [
        ("warm-up", "Paper Boats"), ("review", "Two Keys"), ("new", "New"),
    ]  # fmt: skip
    with pytest.raises(ValueError, match="at least one minute"):
        evening(history, [], DAY, 0)


def test_from_what_a_shelf_keeps() -> None:
    taught = [Taught(1, "u", 1, 5, 1, "2026-10-06", "Paper Boats", ("vine",))]
    history = history_of("Tuesday", {"figures": {"shuffle": 0.9}, "told_on": "2026-10-06"}, taught)
    assert history.told_on == DAY
    assert knowledge(history, DAY).figures == {"shuffle": 0.9, "vine": 0.6}
    row = DanceRow(
        7, "New", "en", "beginner", 32.0, 4, None, "4/4", "", ("vine", "no-figure"), 0, 0, 0, 1, "", ""
    )
    assert candidates_of([row])[0].figures == ("vine",)
    told = knowing({"dances": ["Old"]}, "vine", 0.75, DAY)
    assert told == {"dances": ["Old"], "figures": {"vine": 0.75}, "told_on": "2026-10-06"}
    for figure, share in (("no-figure", 0.5), ("vine", 7.0)):
        with pytest.raises(BrokenFile):
            knowing({}, figure, share, DAY)
