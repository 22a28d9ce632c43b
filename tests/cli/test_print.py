"""`noonwall print` as a person uses it: names, statuses, and disks that fail."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from noonwall.cli.main import main
from noonwall.errors import NoonwallError
from noonwall.outputs.whole_file import write_whole
from noonwall.pipeline import printing
from tests.outputs import printing_kit as kit

SHEET = kit.HAND / "english" / "dev" / "01.txt"


def test_the_file_is_called_after_the_sheet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["print", str(SHEET)]) == 0
    assert main(["print", str(SHEET), "--kind", "card", "--as", "en,fr"]) == 0
    assert main(["print", str(SHEET), "--kind", "chart", "--format", "svg"]) == 0
    assert {path.name for path in tmp_path.iterdir()} == {"01-sheet.pdf", "01-card.pdf", "01-chart.svg"}


@pytest.mark.parametrize(("name", "begins"), [("a.pdf", b"%PDF"), ("a.html", b"<!DOC"), ("a.docx", b"PK")])
def test_the_name_tells_the_format(tmp_path: Path, name: str, begins: bytes) -> None:
    assert main(["print", str(SHEET), "--out", str(tmp_path / name)]) == 0
    assert (tmp_path / name).read_bytes().startswith(begins)


def test_a_wrong_sheet_is_printed_and_the_status_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = tmp_path / "wrong.txt"
    sheet.write_text(kit.sheet_text("english/dev/01").replace("Count: 32", "Count: 48"), "utf-8")
    assert main(["print", str(sheet), "--out", str(tmp_path / "a.pdf")]) == 2
    assert "marked as not proved" in capsys.readouterr().err
    assert (tmp_path / "a.pdf").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--as", "de"], "en, fr, fr-CA"),
        (["--as", "fr,fr-CA"], "en, fr, fr-CA"),
        (["--kind", "card", "--format", "docx"], "choose pdf"),
        (["--out", "no/such/folder/a.pdf"], "is not a folder"),
        (["--out", "."], "is a folder"),
        (["--song", "no-such-song.mp3"], "no-such-song.mp3"),
    ],
)
def test_trouble_is_one_sentence(
    words: list[str],
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    try:
        status = main(["print", str(SHEET), *words])
    except SystemExit as stop:  # argparse ends by itself
        status = int(str(stop.code))
    told = capsys.readouterr().err
    assert status == 3 and said in told and "Traceback" not in told
    assert list(tmp_path.iterdir()) == []


def test_a_text_without_steps_is_not_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = tmp_path / "letter.txt"
    text.write_text("Dear class,\nno dance on Thursday.\n", "utf-8")
    assert main(["print", str(text), "--out", str(tmp_path / "a.pdf")]) == 3
    assert "no steps" in capsys.readouterr().err


def test_without_python_docx_the_way_out_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(printing, "find_spec", lambda _: None)
    order = printing.Order("sheet", "docx", ("en",))
    with pytest.raises(NoonwallError, match=r"noonwall\[docx\]"):
        printing.make_print(order, kit.proved("english/dev/01"))


# --- files whole or not at all -----------------------------------------------------------------------------


def test_a_full_disk_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.pdf"
    path.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NoonwallError, match="no space left"):
        write_whole(path, b"new")
    assert [(one.name, one.read_bytes()) for one in tmp_path.iterdir()] == [("a.pdf", b"old")]


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on the size of files here")
def test_a_disk_that_takes_no_more_is_told_in_a_sentence(tmp_path: Path) -> None:
    """The system itself refuses to write more than 4,000 bytes (POSIX setrlimit)."""
    code = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))\n"
        "from noonwall.cli.main import main; sys.exit(main(sys.argv[1:]))"
    )
    command = [sys.executable, "-B", "-c", code, "print", str(SHEET), "--out", str(tmp_path / "a.pdf")]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 3 and "could not be written" in done.stderr and "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="permissions are other there")
def test_the_file_can_be_read_as_files_usually_can(tmp_path: Path) -> None:
    usual = tmp_path / "usual"
    usual.write_bytes(b"")
    write_whole(tmp_path / "made", b"content")
    assert (tmp_path / "made").stat().st_mode == usual.stat().st_mode


def test_other_commands_do_not_load_the_typesetter() -> None:
    run = "import sys; from noonwall.cli.main import main; main(['figures', 'shuffle'])"
    code = f"{run}; print('typst' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "False"
