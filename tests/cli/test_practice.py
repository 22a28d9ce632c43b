"""The practice command: what it makes, what it says, and what it says when it cannot."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

import pytest

from noonwall.cli.main import main
from tests.outputs.practice_kit import decoded
from tests.outputs.test_practice_track import DANCE
from tests.outputs.test_voice import SPEAKS


@pytest.fixture
def hall(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("NOONWALL_CACHE", str(tmp_path / "cache"))
    (tmp_path / "quayside.txt").write_text(DANCE, encoding="utf-8")
    return tmp_path


def test_it_makes_tracks_and_says_once_what_loud_music_does(
    hall: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    given = ["--as", "fr", "--speed", "100, 75 %", "--format", "wav", "--bpm", "110", "--walls", "1"]
    assert main(["practice", str(hall / "quayside.txt"), *given, "--out", str(hall / "out")]) == 0
    told = capsys.readouterr()
    assert sorted(path.name for path in (hall / "out").iterdir()) == [
        "quayside-100-fr.wav",
        "quayside-75-fr.wav",
    ]
    assert all(decoded(path).any() for path in (hall / "out").iterdir())
    # NIOSH recommended exposure limit: 85 dBA for 8 h, 3 dB exchange rate, so 94 for 1 h and 100 for 15 min
    assert told.out.count("NIOSH") == 1
    for figure in (
        "85 dBA",
        "8 heures",
        "3 dB",
        "1 heure à 94 dBA",
        "15 minutes à 100 dBA",
        "règles locales",
    ):
        assert figure in told.out
    assert 480 / 2 ** ((94 - 85) / 3) == 60 and 480 / 2 ** ((100 - 85) / 3) == 15
    assert "110 battements par minute" in told.out and "AES TD1008" in told.out
    assert told.err == ""


def test_it_goes_on_from_what_is_there(hall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    given = [
        "practice",
        str(hall / "quayside.txt"),
        "--out",
        str(hall),
        "--walls",
        "1",
        "--format",
        "flac",
        "--as",
        "en",
    ]
    assert main(given) == 0
    capsys.readouterr()
    assert main(given) == 0
    assert "quayside-100-en.flac was made before and is still right." in capsys.readouterr().out


def test_another_voice_can_speak(hall: Path) -> None:
    command = shlex.join([sys.executable, "-c", SPEAKS.replace("1600 *", "300 *")])
    given = [
        "--voice",
        command,
        "--say",
        "counts",
        "--walls",
        "1",
        "--format",
        "wav",
        "--as",
        "en",
        "--bpm",
        "60",
    ]
    assert main(["practice", str(hall / "quayside.txt"), *given, "--out", str(hall)]) == 0
    assert decoded(hall / "quayside-100-en.wav").any()


def test_a_dance_that_is_not_proved_is_made_and_the_status_says_so(
    hall: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (hall / "wrong.txt").write_text(DANCE.replace("16 count", "32 count"), encoding="utf-8")
    given = ["--walls", "1", "--format", "wav", "--as", "en", "--out", str(hall)]
    assert main(["practice", str(hall / "wrong.txt"), *given]) == 2
    assert "not proved" in capsys.readouterr().out
    assert (hall / "wrong-100-en.wav").exists()


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        (["--speed", "fast"], "fast are no speeds; write whole percents"),
        (["--speed", "10"], "A speed of 10% cannot be made"),
        (["--as", "de"], "choose en or fr"),
        (["--piece", "no-such-piece"], "There is no demo piece no-such-piece; choose one of"),
        (["song.mp3", "--piece", "harbour-lights"], "Give a song or --piece, not both."),
        (["none.mp3"], "none.mp3"),
        (["--voice", "no-such-voice"], "no-such-voice cannot be started"),
        (["--voice", "'"], "close its quotation marks"),
    ],
)
def test_what_cannot_be_made_is_one_sentence(
    hall: Path, capsys: pytest.CaptureFixture[str], given: list[str], sentence: str
) -> None:
    words = given if "--as" in given else [*given, "--as", "en"]
    assert (
        main(["practice", str(hall / "quayside.txt"), *words, "--out", str(hall / "out"), "--format", "wav"])
        == 3
    )
    told = capsys.readouterr().err
    assert sentence in told and told.count("\n") == 1 and "Traceback" not in told


def test_a_folder_that_is_a_file_is_one_sentence_in_french(
    hall: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    given = ["--as", "fr", "--out", str(hall / "quayside.txt")]
    assert main(["practice", str(hall / "quayside.txt"), *given]) == 3
    assert "ne peut pas être créé" in capsys.readouterr().err


def test_a_sheet_without_steps_is_one_sentence(hall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (hall / "empty.txt").write_text("Nothing to dance here.", encoding="utf-8")
    assert main(["practice", str(hall / "empty.txt"), "--out", str(hall)]) == 3
    assert capsys.readouterr().err.count("\n") == 1
