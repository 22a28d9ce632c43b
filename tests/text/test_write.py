"""The written sheet: what it looks like, and that it reads back as the dance it was written from."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from noonwall.dance.model import Dance, Ending, Figure, Foot, Option, Part, Restart, Section, Step, Tag
from noonwall.text.sheet import read_sheet
from noonwall.text.write import write_sheet
from noonwall.text.write_header import date_in, level_in
from noonwall.text.write_lines import label_of
from noonwall.text.write_words import wording_of
from tests.property.dances import random_dance
from tests.property.sources import Seeded, dances
from tests.text.same import same_dance
from tests.writer.author import write as write_randomly

HAND = Path(__file__).parent.parent / "data" / "hand"
HAND_SHEETS = sorted([*HAND.glob("english/dev/*.txt"), *HAND.glob("french/dev/*.txt")])
LANGUAGES = ("en", "fr")
R, L = Foot.RIGHT, Foot.LEFT


def read(text: str) -> Dance:
    dance = read_sheet(text).dance
    assert dance is not None
    return dance


def differences(dance: Dance, language: str) -> list[str]:
    """What changes when ``dance`` is written and read, and whether its second print differs."""
    text = write_sheet(dance, language)
    again = read(text)
    told = same_dance(dance, again)
    if not told and write_sheet(again, language) != text:
        told.append("printed otherwise the second time")
    return told


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("path", HAND_SHEETS, ids=lambda path: f"{path.parts[-3]}-{path.stem}")
def test_hand_sheets_survive(path: Path, language: str) -> None:
    dance = read(path.read_text("utf-8"))
    assert same_dance(dance, read(write_sheet(dance, language))) == []


@pytest.mark.parametrize("path", HAND_SHEETS, ids=lambda path: f"{path.parts[-3]}-{path.stem}")
def test_a_sheet_crosses_languages_and_returns(path: Path) -> None:
    first = read(path.read_text("utf-8"))
    there, back = ("fr", "en") if first.language == "en" else ("en", "fr")
    other = read(write_sheet(first, there))
    home = read(write_sheet(other, back))
    assert other.language == there and home.language == back
    assert same_dance(first, home) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_written_sheets_print_the_same_again(language: str) -> None:
    stable = 0
    for path in HAND_SHEETS:
        text = write_sheet(read(path.read_text("utf-8")), language)
        stable += write_sheet(read(text), language) == text
    assert stable >= 0.95 * len(HAND_SHEETS)


@given(dance=dances("en"))
@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_random_dances_survive_in_english(dance: Dance) -> None:
    assert differences(dance, "en") == []


@given(dance=dances("fr"))
@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_random_dances_survive_in_french(dance: Dance) -> None:
    assert differences(dance, "fr") == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_nearly_all_seeded_dances_survive(language: str) -> None:
    """Hypothesis keeps to small dances; these are whole ones, with parts, tags, restarts and an ending."""
    dances_ = [random_dance(Seeded(seed), language) for seed in range(5000, 5060)]
    lost = [told for dance in dances_ if (told := differences(dance, language))]
    assert len(lost) <= 2, lost


@pytest.mark.parametrize("language", LANGUAGES)
def test_sheets_of_many_authors_survive(language: str) -> None:
    lost = []
    for seed in range(40):
        dance = read(write_randomly(7000 + seed, language, None, False, None).text)
        lost += [(seed, told) for told in same_dance(dance, read(write_sheet(dance, language)))[:1]]
    assert len(lost) <= 4, lost


def one_section(*steps: Step, **facts: object) -> Dance:
    """A dance of one section of eight counts."""
    figure = Figure("steps", Fraction(0), Fraction(8), steps)
    part = Part("main", "main", Fraction(8), (Section("1-8", Fraction(0), Fraction(8), (figure,)),))
    given_parts = facts.pop("parts", ())
    assert isinstance(given_parts, tuple)
    return Dance("Tin Roof Rain", (part, *given_parts), ("main",), **facts)  # type: ignore[arg-type]


def walk(at: int, foot: Foot, turn: int = 0) -> Step:
    return Step(Fraction(at), "step", foot, True, "fwd", turn)


PLAIN = (
    Step(Fraction(0), "step", R, True, "cross"),
    Step(Fraction(1), "step", L, True, "back"),
    Step(Fraction(2), "step", R, True, "side"),
    Step(Fraction(3), "step", L, True, "fwd"),
    Step(Fraction(4), "step", R, True, "fwd"),
    Step(Fraction(5), "pivot", L, True, "place", -4),
    Step(Fraction(6), "step", R, True, "fwd"),
    Step(Fraction(13, 2), "step", L, True, "together"),
    Step(Fraction(7), "step", R, True, "fwd"),
)


def test_english_is_written_as_authors_write_it() -> None:
    title, gap, heading, *lines = write_sheet(one_section(*PLAIN), "en").splitlines()
    assert (title, gap) == ("Tin Roof Rain", "")
    assert heading.startswith("[1-8] R JAZZ BOX, R ") and heading.endswith(" ½ L, R SHUFFLE")
    assert lines == [
        "1-4     Cross R over L, step L back, step R to R side, step L forward",
        "5-6     Step R forward, pivot ½ L (weight on L) (6:00)",
        "7&8     Step R forward, step L beside R, step R forward (6:00)",
    ]


def test_french_is_written_as_authors_write_it() -> None:
    heading, *lines = write_sheet(one_section(*PLAIN), "fr").splitlines()[2:]
    assert heading.startswith("[1-8] JAZZ BOX D, ") and heading.endswith(" ½ G, SHUFFLE D")
    assert lines == [
        "1-4     Croiser PD devant PG, reculer PG, poser PD à D, avancer PG",
        "5-6     Avancer PD, pivot ½ tour à G (PdC sur PG) (6:00)",
        "7&8     Avancer PD, ramener PG à côté du PD, avancer PD (6:00)",
    ]


def test_quebec_has_its_own_words() -> None:
    steps = (*(walk(n, (R, L)[n % 2]) for n in range(7)), Step(Fraction(7), "hold", None, False))
    dance = one_section(*steps, stated_counts=8, intro_counts=16)
    france, quebec = write_sheet(dance, "fr"), write_sheet(dance, "fr-CA")
    assert "pause" in france and "16 comptes" in france
    assert "retenue" in quebec and "16 temps" in quebec
    assert same_dance(replaced_counts(dance), replaced_counts(read(quebec))) == []


def replaced_counts(dance: Dance) -> Dance:
    """Without the count of the header: a header of eight counts is too short to be one."""
    return Dance(dance.title, dance.parts, dance.sequence, intro_counts=dance.intro_counts)


def test_every_turn_shows_where_it_faces() -> None:
    dance = one_section(*(walk(n, (R, L)[n % 2], 2 if n in (2, 5) else 0) for n in range(8)))
    lines = write_sheet(dance, "en").splitlines()[3:]
    assert [line.partition(" (")[2] for line in lines] == ["", "3:00)", "6:00)", "6:00)"]


def test_headings_cut_where_dancers_hear_it() -> None:
    """Step, pivot, shuffle: not a step pivot step and a ball step, though both cuts have two figures."""
    text = (
        "PIER\n8 count - 1 wall\n\n1-2 Step R fwd, pivot 1/2 L\n3&4 Shuffle fwd R, L, R\n"
        "5-6 Step L fwd, pivot 1/2 R\n7&8 Shuffle fwd L, R, L\n"
    )
    assert "[1-8] R PIVOT TURN ½ L, R SHUFFLE, L PIVOT TURN ½ R, L SHUFFLE" in write_sheet(read(text), "en")


def test_notes_around_the_steps() -> None:
    tag_steps = tuple(walk(n, (R, L)[n % 2]) for n in range(4))
    figure = Figure("steps", Fraction(0), Fraction(4), tag_steps)
    tag = Part("tag1", "tag", Fraction(4), (Section("1-4", Fraction(0), Fraction(4), (figure,)),))
    dance = one_section(
        *(walk(n, (R, L)[n % 2]) for n in range(8)),
        parts=(tag,),
        restarts=(Restart(3, Fraction(4), stated_facing=4), Restart(6, Fraction(4), stated_facing=0)),
        tags=(Tag(2, Fraction(8), "tag1"), Tag(4, Fraction(8), "tag1")),
        ending=Ending(9, Fraction(4)),
        options=(Option("main", Fraction(4), Fraction(2), (Figure("steps", Fraction(4), Fraction(2), (
            walk(4, R), walk(5, L))),)),),
    )  # fmt: skip
    english, french = write_sheet(dance, "en"), write_sheet(dance, "fr")
    assert "Restart: on walls 3 and 6 after 4 counts (facing 6:00 and 12:00)" in english
    assert "TAG 1 (4 counts): at the end of walls 2 and 4" in english
    assert "ENDING: on wall 9 after 4 counts" in english
    assert "Option for counts 5-6 of section 1: step R forward, step L forward" in english
    assert "TAG 1 (4 comptes) : à la fin des murs 2 et 4" in french
    for text in (english, french):
        again = read(text)
        assert [restart.stated_facing for restart in again.restarts] == [4, 0]
        assert same_dance(dance, again) == []


@pytest.mark.parametrize(
    ("ticks", "label"),
    [
        ((0, 1), "1-2"),
        ((2, "5/2", 3), "3&4"),
        ((4, 5, 6, 7), "5-8"),
        (("-1/2", 0, 1), "&1-2"),
        ((0, "1/4", "1/2", "3/4", 1), "1e&a2"),
        ((4, 5, "11/2"), "5-6&"),
        ((6,), "7"),
    ],
)
def test_labels_are_those_of_authors(ticks: tuple[object, ...], label: str) -> None:
    assert label_of([Fraction(tick) for tick in ticks]) == label  # type: ignore[arg-type]


def test_levels_and_months_change_language() -> None:
    french, english = wording_of("fr"), wording_of("en")
    assert level_in("beginner", "en", french) == "débutant"
    assert level_in("novice", "fr", english) == "improver"
    assert level_in("phrased intermediate", "en", english) == "phrased intermediate"
    assert level_in("for the brave", "en", french) == "for the brave"
    assert date_in("March 2024", french) == "mars 2024"
    assert date_in("août 2023", english) == "August 2023"
    assert date_in("11/2019", french) == "11/2019"


def test_an_unknown_language_is_refused() -> None:
    with pytest.raises(ValueError, match="choose en, fr, fr-CA"):
        write_sheet(one_section(*PLAIN), "de")


def test_both_tables_of_wording_have_the_same_entries() -> None:
    english, french = wording_of("en").tables, wording_of("fr").tables
    assert set(english) == set(french)
    for name in ("amounts", "fractions", "places", "moves", "heading", "header", "notes", "lines", "levels"):
        assert set(english[name]) == set(french[name]), name
