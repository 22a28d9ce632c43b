"""`noonwall film` as a person uses it: names, sentences, statuses, Ctrl-C. Pictures are small to be quick."""

from __future__ import annotations

from pathlib import Path

import av
import pytest
import srt
import webvtt

from noonwall.cli import film
from noonwall.cli.main import main
from noonwall.cli.status import CLEAN, INTERRUPTED, UNREADABLE, WRONG
from tests.outputs.clip_kit import SHEET, WRONG_SHEET, click_map, write_click


@pytest.fixture(autouse=True)
def small(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NOONWALL_CACHE", str(tmp_path / "kept"))
    monkeypatch.setitem(film.SHORT_SIDES, "720p", 90)  # type: ignore[index]
    monkeypatch.chdir(tmp_path)
    (tmp_path / "lamp.txt").write_text(SHEET, "utf-8")
    write_click(tmp_path / "click.wav", click_map(counts=24))


def test_a_clip_with_captions_beside_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    order = ["--as", "en,fr", "--captions", "beside", "--workers", "1"]
    assert main(["film", "lamp.txt", "click.wav", *order]) == CLEAN
    with av.open("lamp-clip.mp4") as box:
        assert box.streams.video[0].codec_context.name == "h264"
        assert box.metadata["title"] == "Lamp by the Slipway"
    assert capsys.readouterr().err.startswith("Clip written: lamp-clip.mp4 (0:12")
    for language in ("en", "fr"):
        # parsed by two libraries that are not ours
        cues = webvtt.read(f"lamp-clip.{language}.vtt")
        lines = list(srt.parse(Path(f"lamp-clip.{language}.srt").read_text("utf-8")))
        assert len(cues) == len(lines) >= 3
    assert sorted(path.name for path in (tmp_path / "kept" / "clips").iterdir()) == []


def test_an_unproved_dance_is_filmed_and_the_status_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "wrong.txt").write_text(WRONG_SHEET, "utf-8")
    assert main(["film", "wrong.txt", "click.wav", "--as", "fr", "--workers", "1"]) == WRONG
    assert "chaque image le dit" in capsys.readouterr().err


def test_ctrl_c_says_that_the_work_goes_on_later(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(film, "film", interrupted)
    assert main(["film", "lamp.txt", "click.wav"]) == INTERRUPTED
    assert capsys.readouterr().err.strip().startswith("Stopped. What is done is kept")


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        (["--out", "lamp.avi"], "cannot be a avi file; choose mp4"),
        (["--overlay", "green", "--out", "lamp.mov"], "cannot be a mov file; choose mp4"),
        (["--out", "nowhere/lamp.mp4"], "could not be written"),
        (["--speed", "5"], "A speed of 5% cannot be made"),
        (["--as", "de"], "de is not en, fr"),
    ],
)
def test_what_cannot_be_filmed_is_one_sentence(
    more: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        status = main(["film", "lamp.txt", "click.wav", *more])
    except SystemExit as leaving:
        status = int(str(leaving.code))
    told = capsys.readouterr().err
    assert status == UNREADABLE and sentence in told and told.count("\n") == 1
    assert "Traceback" not in told


def test_an_overlay_follows_the_dancer_and_is_called_by_its_format(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[Path, object]] = []

    def note(_fitted: object, _song: Path, path: Path, order: object, **_: object) -> None:
        asked.append((path, order))
        raise KeyboardInterrupt

    monkeypatch.setattr(film, "film", note)
    for more in (["--overlay", "transparent"], []):
        main(["film", "lamp.txt", "click.wav", *more])
    (clear, overlay), (plain, usual) = asked
    assert (clear.name, plain.name) == ("lamp-clip.mov", "lamp-clip.mp4")
    assert (overlay.view, overlay.ending, usual.view) == ("follow", "mov", "above")  # type: ignore[attr-defined]
