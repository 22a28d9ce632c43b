"""listen, fit and match, on a piece of the demo band whose truth is known by construction."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from noonwall.cli.main import main
from noonwall.demo import PIECES, render
from noonwall.demo.band import write_song
from tests.cli.test_commands import CLEAN


@pytest.fixture(scope="module")
def hall(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with one song, one text that claims to be a song, and one sheet in a folder of its own."""
    folder = tmp_path_factory.mktemp("hall")
    (folder / "music").mkdir()
    (folder / "sheets").mkdir()
    rendered = render(PIECES["harbour-lights"])
    audio = next(path for path in write_song(folder, "harbour-lights", rendered) if path.suffix != ".json")
    audio.rename(folder / "music" / audio.name)
    (folder / "music" / "words.mp3").write_text("not a song", encoding="utf-8")
    (folder / "sheets" / "clean.txt").write_text(CLEAN, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def song(hall: Path) -> Path:
    return next(path for path in (hall / "music").iterdir() if path.suffix != ".mp3")


def test_listen_tells_the_song_and_writes_it_out(
    hall: Path, song: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    truth = json.loads((hall / "harbour-lights.json").read_text("utf-8"))
    outs = {kind: hall / f"out.{kind}" for kind in ("txt", "mid", "vtt")}
    given = ["--beats", str(outs["txt"]), "--click", str(outs["mid"]), "--markers", str(outs["vtt"])]
    assert main(["listen", str(song), "--json", *given]) in (0, 1)
    heard = json.loads(capsys.readouterr().out)
    assert heard["bpm"] == pytest.approx(truth["bpm"], rel=0.005)
    assert heard["beats_per_bar"] == truth["beats_per_bar"]
    assert outs["mid"].read_bytes().startswith(b"MThd")
    assert outs["vtt"].read_text("utf-8").startswith("WEBVTT")
    beats = outs["txt"].read_text("utf-8").split("\n")
    assert float(beats[0].split()[0]) == pytest.approx(heard["beats"][0], abs=0.002)


def test_fit_lays_the_walls_on_the_song(hall: Path, song: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["fit", str(hall / "sheets" / "clean.txt"), str(song), "--json", "--as", "en"])
    told = json.loads(capsys.readouterr().out)
    assert status in (0, 1, 2) and told["walls"]
    starts = [wall["start"] for wall in told["walls"]]
    assert starts == sorted(starts)
    # a quarter left in every wall: facings go 12, 9, 6, 3, but for walls cut before the turn
    uncut = [wall for wall in told["walls"] if not wall["cut_after"]]
    facings = [12, 9, 6, 3]
    assert all(
        facings.index(wall["facing_end"]) == (facings.index(wall["facing_start"]) + 1) % 4
        for wall in uncut
        if wall["counts"] == 16
    )


def test_match_ranks_songs_and_names_what_is_none(
    hall: Path, song: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NOONWALL_CACHE", str(hall / "cache"))
    given = ["match", str(hall / "sheets" / "clean.txt"), str(hall / "music"), "--workers", "1"]
    assert main([*given, "--json", "--as", "en"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [match["name"] for match in told["matches"]] == [song.name]
    assert told["matches"][0]["message"]
    assert len(told["unreadable"]) == 1 and "words.mp3" in told["unreadable"][0]
    assert main([*given, "--as", "fr"]) == 0
    assert song.name in capsys.readouterr().out.replace("\n", "")


def test_match_ranks_dances_for_a_song(hall: Path, song: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["match", str(song), str(hall / "sheets"), "--as", "en"]) == 0
    assert "clean.txt" in capsys.readouterr().out


@pytest.mark.parametrize("command", [["listen"], ["fit", "-"]])
def test_a_song_that_is_none_is_one_sentence(
    hall: Path, command: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    sheet = str(hall / "sheets" / "clean.txt")
    given = [sheet if word == "-" else word for word in command]
    assert main([*given, str(hall / "music" / "words.mp3")]) == 3
    told = capsys.readouterr().err
    assert told.startswith("noonwall: ") and told.count("\n") == 1
