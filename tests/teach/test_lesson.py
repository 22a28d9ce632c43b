"""Plans that a good teacher would sign: what must hold for every dance, class and number of minutes."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from noonwall.dance.model import Dance, Option
from noonwall.pipeline.teaching import SheetSpelling
from noonwall.teach.knowing import ClassKnows
from noonwall.teach.lesson import plan_lesson
from noonwall.teach.minutes import CLOSE_MINUTES, FREE_MINUTES, MUSIC_MINUTES, REVIEW_MINUTES, WARM_UP_MINUTES
from noonwall.teach.telling import Told, worded
from noonwall.teach.values import Lesson

from .lesson_kit import BOTH, EXAMPLES, ROOT, example, plain_lesson, random_classes, random_dances, remarks_of

MINUTES = st.sampled_from((0, 0.5, 1, 3, 5, 8, 13, 15, 25, 40, 60, 120))
ANY = settings(max_examples=40, derandomize=True, suppress_health_check=list(HealthCheck))


# --- what holds for every plan -----------------------------------------------------------------------------


@given(dance=random_dances(), knows=random_classes(), minutes=MINUTES)
@ANY
def test_every_plan_keeps_its_promises(dance: Dance, knows: ClassKnows, minutes: float) -> None:
    lesson = plain_lesson(dance, minutes, knows)
    covers_every_count(dance, lesson)
    stands_on_what_was_taught(lesson)
    assert lesson.planned_seconds <= lesson.budget_seconds
    assert sum(drill.seconds for drill in lesson.drills) == lesson.planned_seconds
    told_the_same(lesson)


def covers_every_count(dance: Dance, lesson: Lesson) -> None:
    for part in dance.parts:
        pieces = [piece for piece in lesson.pieces if piece.part == part.label]
        held = [count for piece in pieces for count in range(piece.at, piece.end)]
        assert held == list(range(int(part.counts)))
    taught = {number for drill in lesson.drills if drill.kind == "words" for number in drill.pieces}
    left = {number for one in lesson.left_out if one.kind in ("piece", "words") for number in one.pieces}
    assert taught | left == {piece.number for piece in lesson.pieces}
    assert not taught & left


def stands_on_what_was_taught(lesson: Lesson) -> None:
    """No drill but the very first looks asks for a piece that was not shown before it."""
    shown: set[int] = set()
    for drill in lesson.drills:
        if drill.kind == "words":
            shown |= set(drill.pieces)
        elif drill.kind != "alone":
            assert set(drill.pieces) <= shown, drill.kind
        if drill.kind in ("join", "so-far"):
            last = lesson.piece(drill.pieces[-1])
            assert set(drill.pieces[:-1]) <= set(last.stands_on)
    first = {kind: number for number, kind in reversed([(one.number, one.kind) for one in lesson.drills])}
    assert first.get("slow", 0) <= first.get("full", 999)


def told_the_same(lesson: Lesson) -> None:
    """Every fact of every remark stands in both texts, in the words of each language."""
    for remark in remarks_of(lesson):
        for language, text in zip(lesson.languages, remark.texts, strict=True):
            for name, value in remark.facts:
                said = worded(language, name, value)
                assert spaced(said) in spaced(text), (remark.id, name, value, text)


def spaced(text: str) -> str:
    return text.replace("\u00a0", " ")


@given(dance=random_dances(), minutes=st.sampled_from((3, 25)))
@settings(max_examples=8, derandomize=True, suppress_health_check=list(HealthCheck))
def test_real_words_say_the_same_counts_in_both_languages(dance: Dance, minutes: float) -> None:
    lesson = plan_lesson(dance, SheetSpelling(dance, BOTH), int(minutes * 60))
    told_the_same(lesson)
    for piece in lesson.pieces:
        for line in piece.lines:
            assert len(line.texts) == 2 and all(line.texts)
    by_language = {tag: [take for take in lesson.takes if take.language == tag] for tag in BOTH}
    english, french = by_language["en"], by_language["fr"]
    assert [(one.kind, one.pieces, one.counts, one.bpm) for one in english] == [
        (one.kind, one.pieces, one.counts, one.bpm) for one in french
    ]


# --- the minutes -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [path.stem for path in EXAMPLES])
def test_more_time_teaches_no_less(name: str) -> None:
    dance = example(name)
    taught = []
    for minutes in (1, 3, 6, 10, 15, 20, 30):
        drills = plain_lesson(dance, minutes).drills
        taught.append(sum(drill.kind == "words" for drill in drills))
    assert taught == sorted(taught)
    assert taught[-1] == len(plain_lesson(dance, 30).pieces)


def test_three_minutes_are_told_honestly() -> None:
    lesson = plain_lesson(example("paper-boats"), 3)
    told = {remark.id for remark in lesson.remarks}
    assert {"remark.part", "remark.thin"} <= told
    assert [one.pieces for one in lesson.left_out if one.kind == "piece"] == [(2,), (3,), (4,), (5,), (6,)]
    assert "left.short" in {one.told.id for one in lesson.left_out}
    assert lesson.closing[0].id == "closing.some"


def test_no_time_teaches_nothing_and_says_so() -> None:
    lesson = plain_lesson(example("lantern-walk"), 0)
    assert lesson.drills == () and lesson.remarks[0].id == "remark.nothing"
    assert len([one for one in lesson.left_out if one.kind == "piece"]) == 4


def test_an_hour_has_the_shares_of_the_published_plan() -> None:
    """A bachata academy's page, 60 minutes: 5 warm-up, 5 review, 20 new, 15 with music, 10 free, 5 close."""
    assert WARM_UP_MINUTES + REVIEW_MINUTES + 20 + MUSIC_MINUTES + FREE_MINUTES + CLOSE_MINUTES == 60
    lesson = plain_lesson(example("tide-table"), 60)
    spent = {drill.kind: drill.seconds for drill in lesson.drills}
    assert spent["warm-up"] == 300 and spent["closing"] == 300
    assert spent["free"] <= 600
    assert {drill.kind for drill in lesson.drills if drill.source} == {"warm-up", "free", "closing"}
    assert "remark.source" in {remark.id for remark in lesson.remarks}


def test_a_warm_up_is_within_the_published_six_to_ten_minutes_of_an_hour_and_ten() -> None:
    """IDEA Health & Fitness, sample dance class: warm-up 6 to 10 minutes inside 60 to 70."""
    for minutes in (72, 90, 120):
        seconds = next(
            one.seconds
            for one in plain_lesson(example("tide-table"), minutes).drills
            if one.kind == "warm-up"
        )
        assert 360 <= seconds <= 600


# --- what the class knows ----------------------------------------------------------------------------------


def test_what_is_known_takes_less_time_and_is_reviewed() -> None:
    dance = example("tide-table")
    fresh = plain_lesson(dance, 20)
    ids = {figure for piece in fresh.pieces for figure in piece.figure_ids}
    knows = ClassKnows("Tuesday", MappingProxyType(dict.fromkeys(ids, 1.0)), ("Tide Table",))
    learned = plain_lesson(dance, 20, knows)
    assert learned.wanted_seconds < fresh.wanted_seconds
    assert not [piece for piece in learned.pieces if piece.new]
    assert sum(piece.work.points for piece in learned.pieces) < sum(
        piece.work.points for piece in fresh.pieces
    )
    assert "opening.known" in {remark.id for remark in learned.opening}
    assert "review" in {drill.kind for drill in learned.drills} | {one.kind for one in learned.left_out}
    assert "remark.danced" in {remark.id for remark in learned.remarks}


def test_the_hardest_piece_comes_first_alone() -> None:
    lesson = plain_lesson(example("tide-table"), 25)
    kinds = [(drill.kind, drill.pieces) for drill in lesson.drills]
    assert kinds.index(("alone", (lesson.hardest,))) < kinds.index(("words", (1,)))
    assert lesson.piece(lesson.hardest).work.points == max(piece.work.points for piece in lesson.pieces)


def test_many_new_figures_are_told() -> None:
    told = {remark.id: remark for remark in plain_lesson(example("paper-boats"), 40).remarks}
    assert told["remark.many_new"].fact("most") == "4"


# --- facing, words around ----------------------------------------------------------------------------------


def test_pieces_tell_the_true_facing_and_are_shown_from_the_front() -> None:
    """The sheet itself says 6:00 after its second section (examples/tide-table.txt)."""
    pieces = plain_lesson(example("tide-table"), 25).pieces
    assert (pieces[1].shown.true_start, pieces[1].shown.true_end) == (0, 4)
    assert (pieces[2].shown.true_start, pieces[2].shown.start, pieces[2].shown.end) == (4, 0, 0)
    tag, ending = pieces[4], pieces[5]
    assert (tag.kind, tag.shown.true_start) == ("tag", 4)  # the sheet: after wall 5, facing 6:00
    assert (ending.kind, ending.shown.true_end) == ("ending", 0)  # the sheet: to face 12:00


def test_the_opening_says_what_the_header_says() -> None:
    lesson = plain_lesson(example("tide-table"), 25)
    facts = {remark.id: dict(remark.facts) for remark in lesson.opening}
    assert facts["opening.counts"] == {"n": "32"} and facts["opening.walls"] == {"n": "2"}
    assert facts["opening.bpm"] == {"bpm": "120"} and facts["opening.intro"] == {"n": "32"}
    assert facts["opening.start"] == {"foot": "R", "facing": "0"}
    assert facts["opening.writer"] == {"writer": "Piet Halloran & Wendy Ashdown (NL/UK)"}


def test_no_tempo_anywhere_is_assumed_and_told() -> None:
    lesson = plain_lesson(replace(example("tide-table"), bpm=None), 25)
    assert lesson.tempo.source == "assumed"
    assert "opening.bpm_assumed" in {one.id for one in lesson.opening}
    assert "remark.assumed" in {one.id for one in lesson.remarks}


def test_an_option_in_words_only_is_told_as_not_proved() -> None:
    option = Option("main", Fraction(0), Fraction(4), (), "or wiggle about")
    lesson = plain_lesson(replace(example("lantern-walk"), options=(option,)), 25)
    told = next(one for one in lesson.remarks if one.id == "remark.option")
    assert told.fact("text") == "or wiggle about"


@pytest.mark.parametrize(
    "title", ["سهرة الميناء", "Lampe 🏮 d'été", '<b>Harbour</b> & "Co"', "{n} of {title}", "", "a" * 400]
)
def test_any_title_is_said_as_it_is(title: str) -> None:
    lesson = plain_lesson(replace(example("lantern-walk"), title=title), 25)
    expected = "opening.title" if title else "opening.untitled"
    assert lesson.opening[0].id == expected
    assert all(title in text for text in lesson.opening[0].texts)


# --- the script --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["tide-table", "mill-pond-waltz"])
def test_every_take_lasts_as_long_as_its_words_and_counts(name: str) -> None:
    dance = example(name)
    lesson = plan_lesson(dance, SheetSpelling(dance, BOTH), 1500)
    assert lesson.takes[0].kind == "demonstration" and lesson.takes[0].language == ""
    languages = [take.language for take in lesson.takes[1:]]
    assert languages == sorted(languages, key=BOTH.index), "one language after the other"
    for take in lesson.takes:
        assert take.seconds == pytest.approx(take.speech_seconds + take.danced_seconds + 3, abs=0.11)
        if take.counts:
            assert take.danced_seconds == pytest.approx(take.counts * 60 / take.bpm, rel=0.02)
        words = len(re.findall(r"\w+", " ".join(take.said)))
        # nobody says more than 5 words a second or fewer than 1 (common practice, no source)
        assert take.speech_seconds == 0 or 1 <= words / take.speech_seconds <= 5
    filmed = {number for take in lesson.takes if take.kind == "words" for number in take.pieces}
    assert filmed == {piece.number for piece in lesson.pieces}
    assert {take.camera for take in lesson.takes if take.kind == "counts"} == {"behind"}


def test_abbreviations_are_read_aloud() -> None:
    dance = example("tide-table")
    lesson = plan_lesson(dance, SheetSpelling(dance, BOTH), 1500)
    for take in lesson.takes:
        if take.kind in ("words", "option"):
            said = " ".join(take.said)
            assert not re.search(r"\b(?:R|L|PD|PG|PdC)\b|[½¼&–]", said), said


# --- the words ---------------------------------------------------------------------------------------------


def test_both_languages_have_the_same_words_with_the_same_facts() -> None:
    tables = [
        tomllib.loads((ROOT / "src/noonwall/words" / tag / "lesson.toml").read_text("utf-8")) for tag in BOTH
    ]
    english, french = tables
    assert english.keys() == french.keys()
    for table in english.keys() - {"spoken"}:
        assert english[table].keys() == french[table].keys(), table
        for key, text in english[table].items():
            assert braces(text) == braces(french[table][key]), (table, key)


def braces(text: str) -> list[str]:
    return sorted(re.findall(r"\{(\w+)\}", text))


def test_a_missing_fact_would_be_seen() -> None:
    lesson = plain_lesson(example("lantern-walk"), 3)
    spoilt = Told("opening.counts", (("n", "31"),), lesson.opening[2].texts)
    with pytest.raises(AssertionError):
        told_the_same(replace(lesson, opening=(spoilt,)))


def test_a_dance_of_half_counts_and_holes_is_planned() -> None:
    dance = example("lantern-walk")
    empty = tuple(replace(section, figures=()) for section in dance.main.sections)
    bare = replace(dance, parts=(replace(dance.main, sections=empty),))
    assert sum(piece.counts for piece in plain_lesson(bare, 25).pieces) == 32
    short = replace(dance, parts=(replace(dance.main, counts=Fraction(63, 2)),))
    assert plain_lesson(short, 25).pieces[-1].end == 32
