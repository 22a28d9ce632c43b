"""Dances and their versions: the text is the truth, and no version is ever lost."""

from __future__ import annotations

import threading
from datetime import UTC, datetime
from pathlib import Path

import pytest

from noonwall.shelf import Conflict, Facts, Incoming, Saved, Shelf, ShelfError, open_shelf
from tests.shelf.conftest import Place
from tests.shelf.kit import add, facts, titles


def test_a_dance_comes_back_as_it_was(shelf: Shelf) -> None:
    text = "Marée haute\r\n1-4\tpas droit\n\n  fin 💃 ﷺ\n"
    told = facts("Marée haute", language="fr", level="beginner", bpm=112.5, figures=["vine", "shuffle"],
                 names=["vigne"], shape=[[2**47, "R"], [7, "L"]], wrong=1, unread=2)  # fmt: skip
    dance = shelf.dance(shelf.add_dance(text, told))
    assert dance.text == text
    assert dance.facts == Facts(
        title="Marée haute", language="fr", level="beginner", counts=32.0, walls=4, bpm=112.5,
        figures=("vine", "shuffle"), names=("vigne",), shape=((2**47, "R"), (7, "L")), wrong=1, unread=2,
        edition="1",
    )  # fmt: skip
    assert (dance.row.title, dance.row.figures, dance.row.version) == ("Marée haute", ("vine", "shuffle"), 1)


def test_all_times_are_iso_8601_in_utc(place: Place, tmp_path: Path) -> None:
    moment = datetime(2026, 11, 25, 19, 5, 1, 123456, tzinfo=UTC)
    with open_shelf(place, clock=lambda: moment, backups=tmp_path) as shelf:
        row = shelf.dance(add(shelf, "Noon")).row
    # ISO 8601 itself allows a Z for UTC; the standard library reads it back
    assert row.added_at == "2026-11-25T19:05:01.123Z"
    assert datetime.fromisoformat(row.added_at) == moment.replace(microsecond=123000)


def test_every_version_is_kept_and_can_be_restored(shelf: Shelf) -> None:
    dance = add(shelf, "One", "first")
    assert shelf.save_version(dance, "second", facts("Two"), based_on=1) == Saved(dance, 2)
    assert shelf.restore(dance, 1) == Saved(dance, 3)
    assert [version.text for version in shelf.versions(dance)] == ["first", "second", "first"]
    assert shelf.dance(dance).text == "first"
    assert titles(shelf, "one") == ["One"]
    assert titles(shelf, "two") == []
    assert shelf.version(dance, 2).facts.title == "Two"


def test_an_unchanged_text_is_no_new_version(shelf: Shelf) -> None:
    dance = add(shelf, "One", "first")
    assert shelf.save_version(dance, "first", facts("One"), based_on=1) == Saved(dance, 1, is_new=False)
    assert shelf.restore(dance, 1) == Saved(dance, 1, is_new=False)
    assert len(shelf.versions(dance)) == 1


def test_two_tabs_lose_nothing(shelf: Shelf) -> None:
    dance = add(shelf, "One", "first")
    shelf.save_version(dance, "from the first tab", facts("One"), based_on=1)
    told = shelf.save_version(dance, "from the second tab", facts("One"), based_on=1)
    assert told == Conflict(dance, kept=3, current=2, base=1)
    assert shelf.dance(dance).text == "from the first tab"
    assert shelf.version(dance, 3).is_aside
    # the second tab settles it: its text stands on the first tab's version
    assert shelf.save_version(dance, "from both", facts("One"), based_on=2) == Saved(dance, 4)
    assert {version.text for version in shelf.versions(dance)} == {
        "first", "from the first tab", "from the second tab", "from both",
    }  # fmt: skip


def test_a_second_tab_that_typed_nothing_is_told_of_no_conflict(shelf: Shelf) -> None:
    dance = add(shelf, "One", "first")
    shelf.save_version(dance, "other", facts("One"), based_on=1)
    assert shelf.save_version(dance, "first", facts("One"), based_on=1) == Saved(dance, 2, is_new=False)


def test_tabs_saving_at_the_same_moment_keep_every_text(shelf: Shelf) -> None:
    dance = add(shelf, "One", "first")
    told: list[Saved | Conflict] = []
    start = threading.Barrier(4)

    def save(number: int) -> None:
        start.wait()
        told.append(shelf.save_version(dance, f"text {number}", facts("One"), based_on=1))

    threads = [threading.Thread(target=save, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(type(one).__name__ for one in told) == ["Conflict"] * 3 + ["Saved"]
    assert {version.text for version in shelf.versions(dance)} == {"first", *(f"text {n}" for n in range(4))}


def test_facts_can_be_renewed_without_a_new_version(shelf: Shelf) -> None:
    dance = add(shelf, "Old name", "text")
    before = shelf.dance(dance).row
    shelf.renew_facts(dance, 1, facts("New name", edition="2"))
    after = shelf.dance(dance)
    assert (after.row.title, after.version, after.text) == ("New name", 1, "text")
    assert after.row.changed_at == before.changed_at
    assert titles(shelf, "new") == ["New name"]


def test_what_was_removed_can_be_put_back_with_all_its_versions(shelf: Shelf) -> None:
    dance = add(shelf, "One", "first")
    shelf.save_version(dance, "second", facts("One"), based_on=1)
    shelf.remove("dance", dance)
    assert titles(shelf) == []
    assert [(one.kind, one.id, one.title) for one in shelf.removed()] == [("dance", dance, "One")]
    assert shelf.dance(dance).removed_at
    shelf.put_back("dance", dance)
    assert titles(shelf) == ["One"]
    assert len(shelf.versions(dance)) == 2
    assert shelf.removed() == ()


@pytest.mark.parametrize(
    ("act", "sentence"),
    [
        (lambda shelf, dance: shelf.dance(99), "There is no dance 99 on the shelf"),
        (lambda shelf, dance: shelf.versions(99), "There is no dance 99 on the shelf"),
        (lambda shelf, dance: shelf.version(dance, 7), "The dance 1 has no version 7"),
        (lambda shelf, dance: shelf.restore(dance, 7), "The dance 1 has no version 7"),
        (lambda shelf, dance: shelf.save_version(dance, "x", {}, based_on=7), "The dance 1 has no version 7"),
        (lambda shelf, dance: shelf.remove("dance", 99), "There is no dance 99"),
        (lambda shelf, dance: shelf.remove("dance; DROP TABLE dance", 1), "is not one of dance, song"),
        (lambda shelf, dance: shelf.find(order="prettiest"), "prettiest is not one of best, title"),
        (lambda shelf, dance: shelf.add_dance("x", {"walls": "four"}), "walls is 'four'"),
        (lambda shelf, dance: shelf.add_dance("x", {"colour": "red"}), "nothing is called colour"),
        (lambda shelf, dance: shelf.add_dance("x", {"counts": 10**40}), "counts is 1000"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(shelf: Shelf, act: object, sentence: str) -> None:
    dance = add(shelf, "One")
    with pytest.raises(ShelfError, match=None) as caught:
        act(shelf, dance)  # type: ignore[operator]
    assert sentence in str(caught.value)
    assert titles(shelf) == ["One"]


def test_text_that_no_database_can_hold_is_mended(shelf: Shelf) -> None:
    dance = shelf.add_dance("a\0b\ud800c", {"title": "\udfff\0"})
    assert shelf.dance(dance).text == "a\ufffdb\ufffdc"
    assert shelf.dance(dance).row.title == "\ufffd\ufffd"


def test_a_folder_is_taken_in_and_a_bad_sheet_stops_nothing(shelf: Shelf) -> None:
    known = add(shelf, "Known", "known text")
    sheets = [
        Incoming("a.txt", "text a", facts("A")),
        Incoming("b.txt", trouble="b.txt is empty."),
        Incoming("c.txt", "known text", facts("Known")),
        Incoming("d.txt", "text a", facts("A")),
        *(Incoming(f"{n}.txt", f"text {n}", facts(f"Number {n}")) for n in range(60)),
    ]
    told = list(shelf.take_in(iter(sheets)))
    assert [one.name for one in told] == [sheet.name for sheet in sheets]
    assert told[1].trouble == "b.txt is empty."
    assert (told[2].dance_id, told[2].is_known) == (known, True)
    assert (told[3].dance_id, told[3].is_known) == (told[0].dance_id, True)
    assert shelf.find().total == 62
