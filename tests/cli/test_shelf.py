"""`noonwall shelf` as a teacher uses it, on a shelf of its own."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from noonwall.cli.main import main
from noonwall.pipeline.shelf_words import shelf_word
from tests.house.tree import PACKAGE, ROOT

EXAMPLES = ROOT / "examples"
Say = Callable[..., str]


@pytest.fixture(autouse=True)
def own_shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NOONWALL_SHELF", str(tmp_path / "shelf.sqlite"))
    monkeypatch.setenv("COLUMNS", "200")


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str]) -> Say:
    def run(*words: object, status: int = 0) -> str:
        assert main(["shelf", "--as", "en", *map(str, words)]) == status
        told = capsys.readouterr()
        return told.out + told.err

    return run


def test_a_folder_is_added_and_a_bad_file_is_told(say: Say, tmp_path: Path) -> None:
    sheets = tmp_path / "sheets"
    sheets.mkdir()
    (sheets / "good.txt").write_text((EXAMPLES / "lantern-walk.txt").read_text("utf-8"), "utf-8")
    (sheets / "empty.txt").write_text("")
    (sheets / "song.wav").write_bytes(b"not heard, only kept")
    told = say("add", sheets)
    assert "1  Lantern Walk" in told
    assert "song 1  song" in told
    assert "empty.txt is empty" in told
    assert "2 added, 0 here already, 1 could not be read." in told
    assert "(it was here already)" in say("add", sheets / "good.txt")


def test_nothing_to_add_is_unreadable(say: Say, tmp_path: Path) -> None:
    (tmp_path / "bare").mkdir()
    assert "There is no sheet and no song at" in say("add", tmp_path / "bare", status=3)
    assert "There is no file" in say("add", tmp_path / "none.txt", status=3)


@pytest.fixture
def filled(say: Say) -> Say:
    say("add", EXAMPLES / "lantern-walk.txt", EXAMPLES / "mill-pond-waltz.txt", EXAMPLES / "tide-table.txt",
        EXAMPLES / "valse-du-moulin.txt")  # fmt: skip
    return say


def test_dances_are_found(filled: Say) -> None:
    assert re.findall(r"^\s*\d+ {2}(\S+ \S+)", filled("find", "lant"), re.MULTILINE) == ["Lantern Walk"]
    assert "Lantern Walk" in filled("find", "--uses", "grapevine")  # the sheet says vine
    assert "Lantern Walk" in filled("find", "vigne")
    assert "2 dances" in filled("find", "--counts", "24", "--level", "beginner")
    assert "1 dance" in filled("find", "--bpm", "100-115")
    assert "Nothing on the shelf is like this." in filled("find", "nowhere")
    told = json.loads(filled("find", "--json", "--order", "tempo", "--walls", "4"))
    assert [row["title"] for row in told["dances"]] == ["Mill Pond Waltz", "Lantern Walk"]
    assert "No figure is called no-such-figure" in filled("find", "--uses", "no-such-figure", status=3)


def test_dances_alike_are_explained(filled: Say) -> None:
    told = filled("find", "--like", 2)
    assert "Valse du moulin" in told.splitlines()[0]
    assert "of its 24 counts are danced alike" in told
    assert json.loads(filled("find", "--like", 2, "--json"))["dances"][0]["message"] in told
    assert "se dansent de même" in filled("find", "--like", 2, "--as", "fr")


def test_a_dance_is_shown_removed_and_put_back(filled: Say) -> None:
    told = filled("show", 1)
    assert "LANTERN WALK" in told
    assert "vine" in told
    assert re.search(r"version 1, \d{4}-\d\d-\d\dT[\d:.]+Z, current", told)
    assert filled("show", 1, "--version", 1).startswith("LANTERN WALK")
    filled("remove", 1)
    assert "It was removed" in filled("show", 1)
    assert "3 dances" in filled("find")
    filled("put-back", 1)
    assert "4 dances" in filled("find")
    assert "There is no dance 9" in filled("show", 9, status=3)
    assert "has no version 7" in filled("restore", 1, 7, status=3)
    assert "Version 1 of Lantern Walk" in filled("restore", 1, 1)


def test_dances_are_read_anew(filled: Say) -> None:
    assert "0 dances were read anew." in filled("renew")
    assert "4 dances were read anew." in filled("renew", "--all")
    assert "Lantern Walk" in filled("find", "vigne")


def test_everything_goes_out_and_comes_back(filled: Say, tmp_path: Path) -> None:
    filled("export", tmp_path / "out")
    elsewhere = tmp_path / "other.sqlite"
    told = filled("import", tmp_path / "out", "--shelf", elsewhere)
    assert "4 dances" in told
    assert "4 dances" in filled("find", "--shelf", elsewhere)
    assert "is not an empty folder" in filled("export", tmp_path / "out", status=3)


def test_a_backup_is_made_listed_and_restored(filled: Say, tmp_path: Path) -> None:
    path = Path(filled("backup").strip().removeprefix("Backup: "))
    assert path.is_file()
    filled("remove", 1)
    assert str(path) in filled("backup", "--list")
    filled("backup", "--restore", path)
    assert "4 dances" in filled("find")
    assert "is not a backup" in filled("backup", "--restore", EXAMPLES / "two-keys.txt", status=3)


def test_a_class_over_a_season(filled: Say) -> None:
    told = filled("class", "Tuesday", "--members", 12, "--taught", 1, "--on", "2026-10-06")
    assert "Lantern Walk was taught to Tuesday on 2026-10-06." in told
    assert re.search(r"60% +vine\b", told)
    assert "Tuesday, 1 dance taught" in filled("class")
    assert "Lantern Walk, 30 days ago" in filled("class", "tuesday", "--due", "--on", "2026-11-05")
    told = filled("class", "Tuesday", "--evening", 60, "--next", "--on", "2026-10-13")
    assert "An evening of 60 minutes:" in told
    assert sum(int(each) for each in re.findall(r"(\d+) min  ", told)) == 60
    assert re.search(r"95% +shuffle", filled("class", "Tuesday", "--knows", "shuffle=0.95"))
    assert "Lantern Walk" in filled("find", "--class", "tuesday")
    assert "is no figure" in filled("class", "Tuesday", "--knows", "none-such=0.5", status=3)


@pytest.mark.parametrize(
    "words",
    [
        ["find", "--bpm", "fast"],
        ["class", "Tuesday", "--on", "soon"],
        ["class", "Tuesday", "--knows", "vine"],
        ["class", "Tuesday", "--evening", "0"],
        ["find", "--order", "prettiest"],
        [],
    ],
)
def test_a_mistyped_command_ends_with_one_sentence(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["shelf", *words])
    assert ended.value.code == 3
    assert capsys.readouterr().err.count("\n") == 1


def test_both_languages_say_the_same() -> None:
    tables = {
        language: tomllib.loads((PACKAGE / "words" / language / "shelf.toml").read_text("utf-8"))
        for language in ("en", "fr")
    }
    flat = {
        language: {(section, name): text for section, rows in table.items() for name, text in rows.items()}
        for language, table in tables.items()
    }
    assert flat["en"].keys() == flat["fr"].keys()
    for key, text in flat["en"].items():
        assert set(re.findall(r"\{\w+\}", text)) == set(re.findall(r"\{\w+\}", flat["fr"][key])), key
    # Unicode CLDR plural rules, cardinal: one is 1 in English, 0 and 1 in French
    assert [shelf_word("en", "find", "found", n=n) for n in (0, 1, 2)] == ["0 dances", "1 dance", "2 dances"]
    assert [shelf_word("fr-CA", "find", "found", n=n) for n in (0, 1, 2)] == [
        "0 danse",
        "1 danse",
        "2 danses",
    ]


def test_every_word_is_used() -> None:
    words = tomllib.loads((PACKAGE / "words" / "en" / "shelf.toml").read_text("utf-8"))
    sources = [*(PACKAGE / "cli").glob("shelf*.py"), PACKAGE / "pipeline" / "shelf_words.py"]
    text = "".join(path.read_text("utf-8") for path in sources)
    kinds = set(words.pop("item")) - {"request", "none_at_hand"}
    assert kinds == {"warm-up", "review", "new", "dance", "close"}
    names = [name.removesuffix("_one") for rows in words.values() for name in rows]
    unused = [name for name in names if f'"{name}"' not in text]
    assert unused == []
