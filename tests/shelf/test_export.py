"""Everything to plain files and back with nothing lost."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from noonwall.shelf import Shelf, ShelfError, open_shelf
from noonwall.shelf.folding import clean
from tests.shelf.conftest import Place
from tests.shelf.kit import add, facts

TEXTS = st.text(max_size=40)
PLAIN: st.SearchStrategy[Any] = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | st.floats(allow_nan=False) | TEXTS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
    max_leaves=6,
)
RECORDS = st.dictionaries(TEXTS, PLAIN, max_size=3)


def everything(folder: Path) -> dict[str, bytes]:
    """Return every file of an export but the moment it was made."""
    files = {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    manifest = json.loads(files.pop("manifest.json"))
    assert set(manifest["files"]) == set(files)
    return files


def full(shelf: Shelf, folder: Path) -> None:
    """Put one of everything on a shelf, with a conflict and something removed."""
    one = add(shelf, "Été / au \\ port: 'x' <b>", "première\r\n\tligne", figures=["vine"], shape=[[5, "L"]])
    shelf.save_version(one, "seconde", facts("Été"), based_on=1)
    shelf.save_version(one, "aside", facts("Été"), based_on=1)
    two = add(shelf, "Two")
    shelf.remove("dance", add(shelf, "Gone"))
    (folder / "song.wav").write_bytes(b"sound")
    song = shelf.add_song(folder / "song.wav", artist="The Quay Band", heard={"bpm": 120.25})
    shelf.set_corrections(song, [{"kind": "halve"}])
    run = shelf.add_run(one, 2, song, {"walls": []})
    who = shelf.add_class("Mardi", 12)
    shelf.change_class(who, knows={"figures": {"vine": 0.5}})
    shelf.teach(who, one, "2026-11-03", notes="doucement")
    shelf.add_lesson(two, 1, {"minutes": 25}, title="Leçon", run_id=run, class_id=who)
    shelf.set_setting("language", "fr")


@pytest.fixture
def other_place(tmp_path: Path) -> Path:
    return tmp_path / "other.sqlite"


def test_an_export_comes_back_whole(shelf: Shelf, tmp_path: Path, other_place: Path) -> None:
    full(shelf, tmp_path)
    shelf.export_to(tmp_path / "out")
    with open_shelf(other_place) as other:
        told = other.import_from(tmp_path / "out")
        assert (told.dances, told.others) == (3, 6)
        other.export_to(tmp_path / "again")
        assert everything(tmp_path / "again") == everything(tmp_path / "out")
        assert other.find("ete").total == 1
        assert add(other, "New") == 4  # numbers go on after those that came


def test_sheets_lie_there_as_plain_text(shelf: Shelf, tmp_path: Path) -> None:
    full(shelf, tmp_path)
    shelf.export_to(tmp_path / "out")
    sheet = tmp_path / "out" / "dances" / "00001-ete" / "version-1.txt"
    assert sheet.read_bytes().decode("utf-8") == "première\r\n\tligne"
    # names that every system can hold (Windows forbids < > : " / \ | ? *)
    assert not [name for name in everything(tmp_path / "out") if set(name) & set('<>:"\\|?*')]


def test_importing_twice_brings_nothing_twice(shelf: Shelf, tmp_path: Path) -> None:
    full(shelf, tmp_path)
    shelf.export_to(tmp_path / "out")
    told = shelf.import_from(tmp_path / "out")
    assert (told.dances, told.versions, told.others) == (0, 0, 0)
    shelf.export_to(tmp_path / "again")
    assert everything(tmp_path / "again") == everything(tmp_path / "out")


def test_two_shelves_that_went_apart_come_together(place: Place, tmp_path: Path, other_place: Path) -> None:
    with open_shelf(place, backups=tmp_path) as home, open_shelf(other_place) as hall:
        shared = add(home, "Shared", "first")
        home.export_to(tmp_path / "a")
        hall.import_from(tmp_path / "a")
        home.save_version(shared, "from home", facts("Shared"), based_on=1)
        hall.save_version(shared, "from the hall", facts("Shared"), based_on=1)
        new_home, new_hall = add(home, "New at home"), add(hall, "New in the hall")
        assert new_home == new_hall
        hall.export_to(tmp_path / "b")
        told = home.import_from(tmp_path / "b")
        assert (told.dances, told.versions) == (1, 1)
        assert home.dance(shared).text == "from home"
        assert {version.text for version in home.versions(shared)} == {"first", "from home", "from the hall"}
        assert home.find("new").total == 2


@pytest.mark.parametrize(
    ("harm", "reason"),
    [
        (lambda out: (out / "manifest.json").unlink(), "manifest.json is missing"),
        (lambda out: (out / "manifest.json").write_text("{}"), "its manifest is damaged"),
        (lambda out: (out / "settings.json").unlink(), "settings.json is missing"),
        (lambda out: (out / "settings.json").write_text('{"a": 1}'), "settings.json was changed"),
        (
            lambda out: (out / "manifest.json").write_text(
                json.dumps({"format": "noonwall-shelf-export", "version": 1, "files": {"../x": ""}})
            ),
            "leads out of it",
        ),
        (
            lambda out: (out / "manifest.json").write_text(
                json.dumps({"format": "noonwall-shelf-export", "version": 9, "files": {}})
            ),
            "of another or newer kind",
        ),
    ],
)
def test_an_export_that_is_not_whole_brings_nothing(
    shelf: Shelf, tmp_path: Path, other_place: Path, harm: Any, reason: str
) -> None:
    full(shelf, tmp_path)
    shelf.export_to(tmp_path / "out")
    harm(tmp_path / "out")
    with open_shelf(other_place) as other:
        with pytest.raises(ShelfError) as caught:
            other.import_from(tmp_path / "out")
        assert reason in str(caught.value)
        assert other.find().total == 0


def test_an_export_goes_to_a_new_folder_only(shelf: Shelf, tmp_path: Path) -> None:
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "letter.txt").write_text("mine")
    with pytest.raises(ShelfError, match="is not an empty folder"):
        shelf.export_to(tmp_path / "full")
    (tmp_path / "file").write_text("x")
    with pytest.raises(ShelfError, match="cannot be written"):
        shelf.export_to(tmp_path / "file" / "out")
    assert sorted(path.name for path in tmp_path.glob("*.part")) == []


@settings(deadline=None, max_examples=12, suppress_health_check=list(HealthCheck))
@given(st.lists(st.tuples(TEXTS, TEXTS, TEXTS), max_size=4), RECORDS, TEXTS, TEXTS)
def test_nothing_is_lost_whatever_it_is(
    dances: list[tuple[str, str, str]], record: dict[str, Any], name: str, notes: str
) -> None:
    with tempfile.TemporaryDirectory() as folder, open_shelf(Path(folder) / "a.sqlite") as one:
        for title, text, changed in dances:
            number = one.add_dance(text, {"title": title})
            one.save_version(number, changed, {"title": changed}, based_on=1)
        who = one.add_class(name, notes=notes)
        one.change_class(who, knows=record)
        one.set_setting("any", record)
        one.export_to(Path(folder) / "out")
        with open_shelf(Path(folder) / "b.sqlite") as other:
            other.import_from(Path(folder) / "out")
            other.export_to(Path(folder) / "again")
            assert everything(Path(folder) / "again") == everything(Path(folder) / "out")
            assert other.setting("any") == record
            assert other.class_(who).name == clean(name)
            for number, (_, text, _changed) in enumerate(dances, 1):
                assert other.version(number, 1).text == clean(text)
