"""`noonwall teach` as a person uses it: files, statuses, classes, and what goes wrong."""

from __future__ import annotations

import json
import os
from pathlib import Path

import jsonschema
import pytest

from noonwall.cli.main import main
from noonwall.shelf import open_shelf
from tests.teach.lesson_kit import ROOT

SHEET = ROOT / "examples" / "tide-table.txt"
SCHEMA = json.loads((ROOT / "docs/schema/lesson.schema.json").read_text("utf-8"))


@pytest.mark.parametrize("name", ["tide-table", "two-keys", "valse-du-moulin"])
@pytest.mark.parametrize("minutes", ["0", "3", "45"])
def test_the_lesson_for_programs_keeps_to_its_schema(
    name: str, minutes: str, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["teach", str(ROOT / "examples" / f"{name}.txt"), "--json", "--as", "fr,en", "--minutes", minutes]
    assert main(words) == 0
    told = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator(SCHEMA).validate(told)
    assert told["languages"] == ["fr", "en"] and told["planned_seconds"] <= told["budget_seconds"]


def test_a_lesson_that_breaks_the_schema_is_seen(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["teach", str(SHEET), "--json", "--as", "en"]) == 0
    told = json.loads(capsys.readouterr().out)
    told["drills"][0]["kind"] = "nap"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(SCHEMA).validate(told)


def test_a_folder_gets_plan_teleprompter_and_lesson(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "new" / "lesson"
    assert main(["teach", str(SHEET), "--as", "en,fr", "--out", str(folder)]) == 0
    files = {path.name: path.read_bytes()[:4] for path in folder.iterdir()}
    assert files == {
        "tide-table-plan.pdf": b"%PDF",
        "tide-table-prompter.html": b"<!do",
        "tide-table-script.json": b'{\n "',
    }
    assert "The plan is in" in capsys.readouterr().err


def test_a_terminal_shows_the_minutes_in_each_language(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["teach", str(SHEET), "--as", "fr,en", "--minutes", "12,5"]) == 0
    out = capsys.readouterr().out
    assert "Le cours" in out and "The lesson" in out and "12:30" in out
    assert out.index("Le cours") < out.index("The lesson")


def test_a_class_that_knows_it_all_needs_less(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["teach", str(SHEET), "--json", "--as", "en"]) == 0
    fresh = json.loads(capsys.readouterr().out)
    known = {figure: 1 for piece in fresh["pieces"] for figure in piece["figure_ids"]}
    file = tmp_path / "thursday.json"
    file.write_text(json.dumps({"name": "Thursday", "figures": known}), "utf-8")
    assert main(["teach", str(SHEET), "--json", "--as", "en", "--class", str(file)]) == 0
    learned = json.loads(capsys.readouterr().out)
    assert learned["class"] == "Thursday"
    assert learned["wanted_seconds"] < fresh["wanted_seconds"]


def test_a_class_on_the_shelf_is_found_by_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("NOONWALL_SHELF", str(tmp_path / "shelf.sqlite"))
    words = ["teach", str(SHEET), "--json", "--as", "en", "--class", "Mardi gras"]
    assert main(words) == 3
    assert list(tmp_path.iterdir()) == [], "no shelf is made for the asking"
    capsys.readouterr()
    with open_shelf() as shelf:
        number = shelf.add_class("Mardi Gras")
        shelf.change_class(number, knows={"figures": {"shuffle": 1}})
        facts = {"title": "Paper Boats", "language": "en", "counts": 48, "figures": ["coaster-step"]}
        shelf.teach(number, shelf.add_dance("Paper Boats", facts), "2026-11-19")
    assert main(words) == 0
    told = json.loads(capsys.readouterr().out)
    new = {figure for piece in told["pieces"] for figure in piece["new"]}
    assert told["class"] == "Mardi Gras"
    assert "sailor-step" in new and not {"shuffle", "coaster-step"} & new


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("{", "line 1"),
        ('{"name": "A", "figures": {"wibble": 1}}', "wibble"),
        ('{"name": "A", "figures": {"vine": 7}}', "from 0 to 1"),
        ("[]", "class.schema.json"),
        (None, "neither as a file"),
    ],
)
def test_what_is_no_class_is_said_in_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: str | None, said: str
) -> None:
    file = tmp_path / "class.json"
    if content is not None:
        file.write_text(content, "utf-8")
    assert main(["teach", str(SHEET), "--as", "en", "--class", str(file)]) == 3
    told = capsys.readouterr().err
    assert said in told and "Traceback" not in told and told.count("\n") == 1


def test_a_wrong_sheet_is_taught_and_marked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = tmp_path / "wrong.txt"
    sheet.write_text(SHEET.read_text("utf-8").replace("Count: 32", "Count: 48"), "utf-8")
    assert main(["teach", str(sheet), "--as", "fr", "--out", str(tmp_path)]) == 2
    assert "non prouvé" in capsys.readouterr().err
    assert json.loads((tmp_path / "wrong-script.json").read_text("utf-8"))["unproved"]["fr"].startswith(
        "NON PROUVÉE"
    )


@pytest.mark.parametrize("given", ["-1", "x", "nan", "9999"])
def test_minutes_that_are_none_are_refused(given: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["teach", str(SHEET), "--minutes", given])
    assert left.value.code == 3 and "minutes" in capsys.readouterr().err


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="everything may be written here")
def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tmp_path.chmod(0o500)
    assert main(["teach", str(SHEET), "--out", str(tmp_path / "no")]) == 3
    assert "choose another folder" in capsys.readouterr().err


def test_a_file_in_the_place_of_a_folder_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "taken").touch()
    assert main(["teach", str(SHEET), "--as", "en", "--out", str(tmp_path / "taken")]) == 3
    assert "choose another folder" in capsys.readouterr().err


def test_a_sheet_without_steps_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = tmp_path / "empty.txt"
    sheet.write_text("A shopping list\nflour\n", "utf-8")
    assert main(["teach", str(sheet), "--as", "en"]) == 3
    assert capsys.readouterr().err.count("\n") == 1
