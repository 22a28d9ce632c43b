"""Search on both databases: words without accents, filters, orders, pages, steps alike."""

from __future__ import annotations

import tomllib
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonwall.shelf import LEVELS, Filters, Shelf
from noonwall.shelf.folding import folded, words_of
from noonwall.shelf.likeness import MOST_ROWS, rarest
from tests.house.tree import PACKAGE
from tests.shelf.kit import add, facts, titles


@pytest.fixture
def library(shelf: Shelf) -> Shelf:
    add(shelf, "Été au port", "pas à droite, cœur", language="fr", level="beginner", walls=4, bpm=110.0,
        figures=["vine", "shuffle"], names=["grapevine", "vigne"])  # fmt: skip
    add(shelf, "Harbour Lights", "step right, summer in port", level="improver", walls=2, counts=64,
        bpm=126.0, figures=["shuffle"], wrong=1)  # fmt: skip
    add(shelf, "Slipway Waltz", "step left", level="beginner", meter="3/4", counts=24, walls=1, bpm=88.0)
    add(shelf, "zebra crossing", "été", level="own-words", counts=None, walls=None, unread=2)
    return shelf


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("ete", ["Été au port", "zebra crossing"]),  # the title first, then the sheet
        ("ÉTÉ", ["Été au port", "zebra crossing"]),
        ("e\u0301te\u0301", ["Été au port", "zebra crossing"]),  # accents as characters of their own
        ("coeur", ["Été au port"]),  # the ligature
        ("cœur", ["Été au port"]),
        ("port", ["Été au port", "Harbour Lights"]),
        ("harb lig", ["Harbour Lights"]),  # the beginnings of words
        ("lights harbour", ["Harbour Lights"]),
        ("arbour", []),  # not their ends
        ("grapev", ["Été au port"]),  # a French sheet by the English name of its figure
        ("vigne", ["Été au port"]),
        ("right left", []),
        ("", ["Été au port", "Harbour Lights", "Slipway Waltz", "zebra crossing"]),
        ("   ", ["Été au port", "Harbour Lights", "Slipway Waltz", "zebra crossing"]),
        ('"; DROP TABLE dance; --', []),
        ("port OR slipway", []),  # no query language that a teacher would have to know
        ("*", []),
        ("'", []),
    ],
)
def test_words_find_dances(library: Shelf, query: str, found: list[str]) -> None:
    page = library.find(query)
    assert [row.title for row in page.rows] == found
    assert page.total == len(found)


@pytest.mark.parametrize(
    ("filters", "found"),
    [
        (Filters(levels=("beginner",)), ["Été au port", "Slipway Waltz"]),
        (Filters(levels=("beginner", "improver"), walls=(2, 4)), ["Été au port", "Harbour Lights"]),
        (Filters(languages=("fr",)), ["Été au port"]),
        (Filters(meters=("3/4",)), ["Slipway Waltz"]),
        (Filters(counts_from=32, counts_to=64), ["Été au port", "Harbour Lights"]),
        (Filters(bpm_from=88, bpm_to=110), ["Été au port", "Slipway Waltz"]),
        (Filters(figures=("shuffle",)), ["Été au port", "Harbour Lights"]),
        (Filters(figures=("shuffle", "vine")), ["Été au port"]),
        (Filters(figures=("shuffle",), without_figures=("vine",)), ["Harbour Lights"]),
        (Filters(clean=True), ["Été au port", "Slipway Waltz"]),
        (Filters(clean=False), ["Harbour Lights", "zebra crossing"]),
        (Filters(stale_for="1"), []),
        (Filters(levels=("'; --",)), []),
    ],
)
def test_filters_narrow(library: Shelf, filters: Filters, found: list[str]) -> None:
    assert titles(library, "", filters) == found


def test_taught_or_not_by_any_class_or_one(library: Shelf) -> None:
    tuesday, friday = library.add_class("Tuesday"), library.add_class("Friday")
    lights = library.find("lights").rows[0].id
    note = library.teach(tuesday, lights, "2026-10-06")
    library.teach(tuesday, lights, "2026-11-03")
    assert titles(library, "", Filters(taught=True)) == ["Harbour Lights"]
    assert titles(library, "", Filters(taught=True, class_id=friday)) == []
    assert "Harbour Lights" in titles(library, "", Filters(taught=False, class_id=friday))
    assert "Harbour Lights" not in titles(library, "", Filters(taught=False))
    row = library.find("lights").rows[0]
    assert (row.times_taught, row.last_taught) == (2, "2026-11-03")
    library.remove("taught", note)
    assert library.find("lights").rows[0].times_taught == 1


@pytest.mark.parametrize(
    ("order", "found"),
    [
        ("title", ["Été au port", "Harbour Lights", "Slipway Waltz", "zebra crossing"]),
        ("added", ["zebra crossing", "Slipway Waltz", "Harbour Lights", "Été au port"]),
        ("level", ["Été au port", "Slipway Waltz", "Harbour Lights", "zebra crossing"]),
        ("tempo", ["Slipway Waltz", "Été au port", "Harbour Lights", "zebra crossing"]),
        ("counts", ["Slipway Waltz", "Été au port", "Harbour Lights", "zebra crossing"]),
    ],
)
def test_orders(library: Shelf, order: str, found: list[str]) -> None:
    assert titles(library, "", order=order) == found


def test_changed_and_taught_come_latest_first(library: Shelf) -> None:
    lights = library.find("lights").rows[0].id
    library.save_version(lights, "another text", facts("Harbour Lights"), based_on=1)
    assert titles(library, "", order="changed")[0] == "Harbour Lights"
    waltz = library.find("waltz").rows[0].id
    library.teach(library.add_class("Tuesday"), waltz, "2026-10-06")
    assert titles(library, "", order="taught")[0] == "Slipway Waltz"


def test_pages_cover_every_dance_once(shelf: Shelf) -> None:
    for number in range(23):
        add(shelf, f"Dance {number:02}", "same words")
    pages = [shelf.find("same", order="title", page=page, per_page=10) for page in (1, 2, 3, 4)]
    assert [len(page.rows) for page in pages] == [10, 10, 3, 0]
    assert {page.total for page in pages} == {23}
    assert pages[0].pages == 3
    assert [row.title for page in pages for row in page.rows] == [f"Dance {n:02}" for n in range(23)]


def test_a_pasted_sheet_as_a_query_does_not_hang(library: Shelf) -> None:
    assert library.find("step right " * 5000).total == 1


def test_figures_and_counts_for_the_lists_of_filters(library: Shelf) -> None:
    assert library.figures_used() == {"shuffle": 2, "vine": 1}
    assert library.counts_of("walls") == {"1": 1, "2": 1, "4": 1, "": 1}
    assert library.dances_using(["vine"]).total == 1


def shape(*grams: int, lead: str = "R") -> list[list[object]]:
    return [[gram, lead] for gram in grams]


def test_dances_alike_by_their_steps(shelf: Shelf) -> None:
    asked = add(shelf, "Asked", shape=shape(*range(32)), figures=["vine"])
    same = add(shelf, "Same", shape=shape(*range(32)))
    half = add(shelf, "Half", shape=shape(*range(16), *range(100, 116)), figures=["vine", "shuffle"])
    mirrored = add(shelf, "Mirrored", shape=shape(*range(24), *range(200, 208), lead="L"))
    add(shelf, "Other", shape=shape(*range(300, 332)))
    gone = add(shelf, "Gone", shape=shape(*range(32)))
    shelf.remove("dance", gone)
    found = shelf.dances_like(asked)
    assert [one.row.id for one in found] == [same, mirrored, half]
    # weighted Jaccard by hand: 32 of 32; 24 of 40; 16 of 48
    assert [one.score for one in found] == [1.0, 24 / 40, 16 / 48]
    assert [one.is_mirrored for one in found] == [False, True, False]
    # a stretch covers four counts, so 16 that begin one after the other cover 19
    assert [one.shared_counts for one in found] == [32, 27, 19]
    assert found[2].figures == ("vine",)


def test_a_dance_without_steps_is_like_nothing(shelf: Shelf) -> None:
    assert shelf.dances_like(add(shelf, "Nothing")) == ()


def test_the_commonest_stretches_are_asked_last() -> None:
    common = dict.fromkeys(range(20), MOST_ROWS // 4) | {99: 1}
    chosen = rarest(common)
    assert chosen[0] == 99
    assert len(chosen) == 8
    assert len(rarest(dict.fromkeys(range(500), 1))) == 500


def test_levels_are_those_of_the_reader() -> None:
    words = tomllib.loads((PACKAGE / "words" / "en" / "writing.toml").read_text("utf-8"))
    assert set(LEVELS) == set(words["levels"])


@given(st.text(max_size=60))
def test_folding_twice_changes_nothing(text: str) -> None:
    assert folded(folded(text)) == folded(text)
    for word in words_of(text):
        assert words_of(word) == [word]


@given(st.text(alphabet="abcdeéèêàçùôïñöüÿÅ", max_size=20))
def test_folding_drops_what_unicode_calls_combining_marks(text: str) -> None:
    # Unicode Standard Annex 15: canonical decomposition splits these letters into base and mark
    bare = "".join(one for one in unicodedata.normalize("NFD", text) if unicodedata.category(one) != "Mn")
    assert folded(text) == bare.lower()
