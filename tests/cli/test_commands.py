"""The commands as a teacher meets them: what is printed, exit statuses, and no traceback ever."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import noonwall
from noonwall.cli import check
from noonwall.cli import main as cli
from noonwall.cli.main import COMMANDS, main

CLEAN = """Bench Press
16 count, 4 wall, beginner

[1-8] VINE R, TOUCH, VINE L, TOUCH
1-4 Step R to R side, step L behind R, step R to R side, touch L beside R
5-8 Step L to L side, step R behind L, step L to L side, touch R beside L

[9-16] ROCKING CHAIR, STEP, PIVOT 1/4 L, WALK, WALK
1-4 Rock R forward, recover onto L, rock R back, recover onto L
5-6 Step R forward, pivot 1/4 left (weight on L) (9:00)
7-8 Walk R, L
"""
WRONG = CLEAN.replace("16 count", "24 count")
DOUBTFUL = CLEAN.replace("pivot 1/4 left (weight on L)", "turn 1/4 (weight on L)")


@pytest.fixture
def sheets(tmp_path: Path) -> Path:
    for name, text in (("clean", CLEAN), ("wrong", WRONG), ("doubtful", DOUBTFUL)):
        (tmp_path / f"{name}.txt").write_text(text, encoding="utf-8")
    return tmp_path


def test_the_version_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--version"])
    assert ended.value.code == 0
    assert capsys.readouterr().out == f"noonwall {noonwall.__version__}\n"


@pytest.mark.parametrize(("name", "status"), [("clean", 0), ("doubtful", 1), ("wrong", 2)])
def test_the_status_tells_the_worst_finding(sheets: Path, name: str, status: int) -> None:
    assert main(["check", str(sheets / f"{name}.txt")]) == status


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("gone.txt", None),
        ("empty.txt", b""),
        ("picture.txt", b"\x89PNG\r\n\x1a\n\x00\x00"),
        ("recipe.txt", b"Pancakes\n\nTwo eggs, a cup of flour and a pinch of salt.\n"),
    ],
)
def test_what_is_no_sheet_is_one_sentence_and_unreadable(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, content: bytes | None
) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    assert main(["check", str(tmp_path / name)]) == 3
    told = capsys.readouterr()
    assert told.err.startswith("noonwall: ") and told.err.count("\n") == 1
    assert "Traceback" not in told.err and told.out == ""


def test_strict_makes_doubtful_wrong(sheets: Path) -> None:
    assert main(["check", "--strict", str(sheets / "doubtful.txt")]) == 2
    assert main(["check", "--strict", str(sheets / "clean.txt")]) == 0


def test_a_finding_is_printed_beside_its_line(sheets: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(sheets / "wrong.txt")])
    lines = capsys.readouterr().out.splitlines()
    at = next(n for n, line in enumerate(lines) if line.startswith("✗"))
    assert "line 2" in lines[at]
    assert lines[at + 1].strip() == "24 count, 4 wall, beginner"
    assert set(lines[at + 2].strip()) == {"^"}
    assert any("16 count, 4 wall, beginner" in line for line in lines[at + 3 :])


def test_the_section_table_shows_counts_weight_facing_and_foot(
    sheets: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["check", str(sheets / "clean.txt")])
    rows = [line.split() for line in capsys.readouterr().out.splitlines()]
    # counted by hand: 6 weight changes in the vines, 8 in rocking chair, pivot and walks; a quarter left
    assert ["1-8", "8", "6", "12:00", "right", "foot"] in rows
    assert ["9-16", "8", "8", "9:00", "right", "foot"] in rows


def test_french_is_spoken_of_an_english_sheet(sheets: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", "--as", "fr", str(sheets / "wrong.txt")])
    out = capsys.readouterr().out
    assert "comptes" in out and "Le total des comptes" in out and "The header" not in out


def test_json_is_the_report_and_nothing_else(sheets: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--json", str(sheets / "wrong.txt")]) == 2
    told = json.loads(capsys.readouterr().out)
    assert told["total_counts"] == 16
    assert [row["code"] for row in told["findings"] if row["severity"] == "wrong"] == ["counts.total"]


def test_standard_input_is_read(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(CLEAN.encode()), encoding="utf-8"))
    assert main(["check", "-"]) == 0
    assert "Bench Press" in capsys.readouterr().out


def test_a_page_is_written(sheets: Path) -> None:
    page = sheets / "out.html"
    assert main(["check", str(sheets / "clean.txt"), "--page", str(page)]) == 0
    assert page.read_text("utf-8").lower().startswith("<!doctype html>")
    assert main(["check", str(sheets / "clean.txt"), "--page", str(sheets / "no" / "out.html")]) == 3


def test_a_folder_is_summed_up_and_one_bad_file_never_stops_it(
    sheets: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (sheets / "bad.pdf").write_bytes(b"%PDF-1.4 broken")
    assert main(["check", str(sheets), "--as", "en", "--workers", "2"]) == 2
    out = " ".join(capsys.readouterr().out.split())
    assert "4 sheets: 1 clean, 1 doubtful, 1 wrong, 1 unreadable." in out


def test_a_folder_of_many_loses_no_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for number in range(23):
        (tmp_path / f"{number:02}.txt").write_text(CLEAN, encoding="utf-8")
    assert main(["check", str(tmp_path), "--json", "--workers", "2"]) == 0
    rows = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert sorted(row["file"] for row in rows) == [f"{number:02}.txt" for number in range(23)]
    assert {row["status"] for row in rows} == {"clean"}


def test_an_empty_folder_is_unreadable(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(tmp_path)]) == 3
    assert capsys.readouterr().err.count("\n") == 1


def test_a_folder_of_bad_files_only_is_unreadable(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_bytes(b"")
    assert main(["check", str(tmp_path), "--workers", "1"]) == 3


@pytest.mark.parametrize(
    "given", [["check"], ["chekc", "a.txt"], ["check", "--colour", "a.txt"], ["check", "a", "--as", "de"]]
)
def test_a_command_that_cannot_be_understood_ends_in_a_sentence(
    given: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(given)
    assert ended.value.code == 3
    told = capsys.readouterr().err
    assert told.startswith("noonwall") and told.count("\n") == 1 and "--help" in told


def test_no_command_prints_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 0
    assert "check" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("fault", "status"),
    [
        (KeyboardInterrupt(), 130),
        (RuntimeError("odd"), 3),
        (RecursionError(), 3),
        (PermissionError(13, "no", "x"), 3),
    ],
)
def test_no_trouble_shows_a_traceback(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], fault: BaseException, status: int
) -> None:
    def fail(given: object) -> int:
        raise fault

    monkeypatch.setattr(check, "run", fail)
    assert main(["check", "x"]) == status
    told = capsys.readouterr().err
    assert "Traceback" not in told
    assert told == "" if status == 130 else told.startswith("noonwall: ") and told.count("\n") == 1


@pytest.mark.skipif(os.name == "nt", reason="pipes that close early are a matter of POSIX shells")
def test_a_reader_that_goes_away_is_no_trouble(sheets: Path) -> None:
    code = "import sys; from noonwall.cli.main import main; sys.exit(main(sys.argv[1:]))"
    for number in range(400):
        (sheets / f"more{number:03}.txt").write_text("", encoding="utf-8")
    run = [sys.executable, "-c", code, "check", str(sheets), "--json", "--workers", "1"]
    with subprocess.Popen(run, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None and process.stderr is not None
        process.stdout.readline()
        process.stdout.close()
        assert process.stderr.read() == ""


def test_figures_lists_and_explains(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["figures", "--as", "en"]) == 0
    assert "coaster-step" in capsys.readouterr().out
    assert main(["figures", "coaster", "step", "--as", "en"]) == 0
    english = capsys.readouterr().out
    # Published (WIL, PAS): back, together, forward on 1&2; the drawing shows all three prints.
    assert "1&" in english and "R1" in english and "R2" in english
    assert main(["figures", "coaster-step", "--as", "fr"]) == 0
    assert "PD" in capsys.readouterr().out
    assert main(["figures", "zzzzqqqq", "--as", "en"]) == 3
    assert "zzzzqqqq" in capsys.readouterr().err


def test_rewrite_says_the_same_dance_in_french(sheets: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = sheets / "fr.txt"
    assert main(["rewrite", str(sheets / "clean.txt"), "--as", "fr", "--out", str(out)]) == 0
    assert main(["check", "--json", str(out)]) == 0
    french = json.loads(capsys.readouterr().out)
    main(["check", "--json", str(sheets / "clean.txt")])
    english = json.loads(capsys.readouterr().out)
    assert french["language"] == "fr" and english["language"] == "en"
    for fact in ("total_counts", "net_turn_degrees_per_wall", "free_foot_end", "total_weight_changes"):
        assert french[fact] == english[fact]
    assert main(["rewrite", str(sheets / "wrong.txt")]) == 2


def test_every_command_is_one_file_with_the_two_functions() -> None:
    folder = Path(cli.__file__).parent
    for name in COMMANDS:
        if (folder / f"{name}.py").is_file():
            text = (folder / f"{name}.py").read_text("utf-8")
            assert "def add_arguments(" in text and "def run(" in text
