"""A broken file is told in the language that was asked for, and every fault has its sentence in each."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from noonwall.cli.main import main
from noonwall.errors import BrokenFile, NoonwallError
from noonwall.fit import faults as fit_faults
from noonwall.music import faults
from noonwall.outputs import faults as output_faults
from noonwall.pipeline import prove_folder
from noonwall.shelf import faults as shelf_faults
from noonwall.text.source_faults import FAULTS
from noonwall.words.messages import fault_words, say
from tests.house.tree import PACKAGE

EVERY = FAULTS | faults.FAULTS | fit_faults.FAULTS | output_faults.FAULTS | shelf_faults.FAULTS


def worded(language: str, table: str) -> dict[str, str]:
    tables = tomllib.loads((PACKAGE / "words" / language / "messages.toml").read_text("utf-8"))
    return dict(tables[table])


def bare(sentence: str) -> str:
    """Drop the kinds of fields: {format:format} is {format} in the stage that raises it."""
    return re.sub(r"\{(\w+):\w+\}", r"{\1}", sentence)


def test_the_english_words_are_those_of_the_exceptions() -> None:
    assert {code: bare(text) for code, text in worded("en", "fault").items()} == EVERY
    assert {code: bare(text) for code, text in worded("en", "remark").items()} == faults.REMARKS


@pytest.mark.parametrize("table", ["fault", "remark", "format"])
def test_the_french_words_are_of_the_same_codes_and_are_french(table: str) -> None:
    english, french = worded("en", table), worded("fr", table)
    assert french.keys() == english.keys()
    assert [code for code in french if french[code] == english[code]] == []
    assert [text for text in french.values() if re.search(r"\b(?:the|is|and|open it)\b", text)] == []


def test_every_other_format_is_worded() -> None:
    known = set(worded("fr", "format"))
    source = "".join((PACKAGE / "text" / name).read_text("utf-8") for name in ("source.py", "source_docx.py"))
    named = set(re.findall(r'"(an? (?:[\w-]+ ?){1,4}(?: ?\(\.\w+\) ?\w*)?)"', source))
    assert len(named) > 5
    assert named == known


def test_a_fault_without_a_code_keeps_its_own_sentence() -> None:
    assert fault_words(NoonwallError("So it is."), "fr") == "So it is."
    assert fault_words(BrokenFile("So it is.", code="none.such"), "fr") == "So it is."


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("none.txt", None, "Il n'y a pas de fichier"),
        ("a.txt", b"", "est vide"),
        ("a.pdf", b"%PDF-1.4\n%broken", "est un PDF abîmé"),
        ("a.txt", b"\x89PNG\r\n\x1a\n\0\0", "est une image, qui ne se lit pas ici"),
    ],
)
def test_the_check_speaks_french_of_a_broken_sheet(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, content: bytes | None, told: str
) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    assert main(["check", str(tmp_path / name), "--as", "fr"]) == 3
    assert told in capsys.readouterr().err
    assert main(["check", str(tmp_path / name), "--as=en"]) == 3
    assert told not in capsys.readouterr().err


def test_the_listening_speaks_french_of_a_broken_song(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a.mp3").write_text("this is no song, only some words", "utf-8")
    assert main(["listen", str(tmp_path / "a.mp3"), "--as", "fr"]) == 3
    assert "contient du texte, pas du son" in capsys.readouterr().err


def test_the_computers_language_decides_where_nothing_is_asked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LC_ALL", "fr_CA.UTF-8")
    assert main(["check", str(tmp_path / "none.txt")]) == 3
    assert "Il n'y a pas de fichier" in capsys.readouterr().err


def test_a_folder_tells_its_broken_files_in_the_language_asked(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_bytes(b"")
    (one,) = prove_folder([tmp_path / "a.txt"], 1, "fr")
    assert one.trouble.startswith("a.txt est vide")


@pytest.mark.parametrize("code", faults.REMARKS)
def test_a_remark_on_a_song_is_said_in_french(code: str) -> None:
    facts = dict.fromkeys(re.findall(r"\{(\w+)\}", faults.REMARKS[code]), "60.0 (half), 180.0 (other)")
    assert "{" not in faults.Remark(code, facts).sentence
    told = say("fr", "remark", code, **facts)
    assert ("60.0 (au demi-tempo), 180.0 (autrement)" in told) == (code == "song.beat-doubtful")


def test_what_fit_and_the_makers_complain_of_is_said_in_french(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = next((PACKAGE.parent.parent / "examples").glob("*.txt"))
    assert main(["match", str(sheet), str(tmp_path / "nowhere"), "--as", "fr"]) == 3
    assert "n'est pas un dossier" in capsys.readouterr().err
    assert main(["print", str(sheet), "--out", str(tmp_path / "no" / "a.pdf"), "--as", "fr"]) == 3
    assert "créez-le d'abord" in capsys.readouterr().err
    assert main(["check", str(tmp_path), "--json", "--as", "fr"]) == 3
