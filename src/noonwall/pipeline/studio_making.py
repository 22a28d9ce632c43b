"""Everything that the studio makes of a dance, in a process of its own that tells how far it is.

Run as ``python -m noonwall.pipeline.studio_making ORDER``: the order is a file of JSON, progress is lines on
standard error, and the made file is told on standard output. So pages stay quick while a clip is drawn, and a
fault of a codec ends that process alone.
"""

from __future__ import annotations

import importlib
import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from noonwall.errors import NoonwallError
from noonwall.pipeline.proving import prove
from noonwall.words.messages import fault_words

MAKES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "sheet": ("pdf", "docx", "html"),
        "card": ("pdf",),
        "chart": ("pdf", "svg"),
        "plan": ("pdf",),
        "prompter": ("html",),
        "practice": ("m4a", "mp3", "flac"),
        "captions": ("zip",),
        "clip": ("mp4",),
        "text": ("txt",),
        "page": ("html",),
    }
)
"""What is made, and the formats of each, the usual one first."""

NEEDS_SONG = ("clip",)
IN_BOTH = ("sheet", "card", "chart", "plan", "captions", "clip")
"""What can hold both languages side by side; of the rest there is one file for each language."""

KINDS = {
    "pdf": "application/pdf",
    "docx": "application/vnd.openxmlformats-officedocument.wordprocessingml.document",
    "html": "text/html; charset=utf-8",
    "svg": "image/svg+xml",
    "m4a": "audio/mp4",
    "mp3": "audio/mpeg",
    "flac": "audio/flac",
    "mp4": "video/mp4",
    "zip": "application/zip",
    "txt": "text/plain; charset=utf-8",
}
MOST_SECONDS = 900
"""Longest making: a clip of ten minutes of music takes about a third of it on two cores."""
FAULT = 9


@dataclass(frozen=True, slots=True)
class MakeOrder:
    """What is to be made.

    Attributes:
        what: one of :data:`MAKES`.
        format: one of its formats.
        languages: "en", "fr" or both.
        text: the sheet.
        folder: where to make it.
        paper: "a4", "a5" or "letter".
        percents: speeds of practice tracks.
        shape: "landscape" or "portrait", for a clip.
        minutes: of a lesson.
        song: the sound file, "" without one; ``song_title`` what it is called.
        heard: the song's map as JSON, "" without one; ``corrections`` the teacher's, as JSON.
        plan: which plan on the song.
    """

    what: str
    format: str
    languages: tuple[str, ...]
    text: str
    folder: str
    paper: str = "a4"
    percents: tuple[int, ...] = (100,)
    shape: str = "landscape"
    minutes: int = 30
    song: str = ""
    song_title: str = ""
    heard: str = ""
    corrections: str = "[]"
    plan: int = 0


@dataclass(frozen=True, slots=True)
class MadeFile:
    """The file that was made and its media type."""

    path: Path
    kind: str


def make_apart(order: MakeOrder, progress: Callable[[float], None]) -> MadeFile:
    """Make something in a process of its own.

    Args:
        order: what.
        progress: told how much of it is done, 0 to 1.

    Raises:
        NoonwallError: it cannot be made; the sentence is in the first of the order's languages.
    """
    told = Path(order.folder) / "order.json"
    told.write_text(json.dumps(asdict(order)), "utf-8")
    command = [sys.executable, "-m", "noonwall.pipeline.studio_making", str(told)]
    environment = {**os.environ, "PYTHONUTF8": "1"}
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, encoding="utf-8", env=environment
    ) as making:
        assert making.stderr is not None and making.stdout is not None
        try:
            for line in making.stderr:
                if line.startswith("share "):
                    progress(float(line.split()[1]))
            answer = making.stdout.read()
        except BaseException:
            making.kill()
            raise
    if making.returncode == FAULT:
        raise NoonwallError(json.loads(answer)["message"])
    if making.returncode:
        raise NoonwallError("This could not be made: a fault of noonwall; please report it with the sheet.")
    return MadeFile(Path(json.loads(answer)["path"]), KINDS[order.format])


def _tell(share: float) -> None:
    print(f"share {share:.4f}", file=sys.stderr, flush=True)


def main(arguments: list[str]) -> int:
    """Make what the file of an order asks for."""
    plain = json.loads(Path(arguments[0]).read_text("utf-8"))
    order = MakeOrder(
        **{**plain, "languages": tuple(plain["languages"]), "percents": tuple(plain["percents"])}
    )
    _tell(0.02)
    try:
        path = _make(order)
    except NoonwallError as error:
        print(json.dumps({"message": fault_words(error, order.languages[0])}))
        return FAULT
    print(json.dumps({"path": str(path)}))
    return 0


def _make(order: MakeOrder) -> Path:
    makers: dict[str, Callable[[MakeOrder], Path]] = {
        "plan": _lesson,
        "prompter": _lesson,
        "practice": _practice,
        "captions": _captions,
        "clip": _clip,
        "text": _text,
        "page": _page,
    }
    return makers.get(order.what, _print)(order)


def _out(order: MakeOrder, suffix: str = "") -> Path:
    return Path(order.folder) / f"made{suffix}.{order.format}"


def _fitted(order: MakeOrder) -> Any:
    """Return the run and the song as the dancers count it, or (None, None)."""
    if not order.heard:
        return None, None
    songs = importlib.import_module("noonwall.pipeline.studio_song")
    heard = songs.SongHeard(order.heard, order.corrections)
    run = songs.fitted(order.text, heard, order.plan)
    return run, importlib.import_module("noonwall.outputs.song_data").as_counted(heard.map, run)


def _on_song(order: MakeOrder) -> Any:
    run, music = _fitted(order)
    if run is None:
        return None
    on_song = importlib.import_module("noonwall.pipeline.printed_sheet").OnSong
    return on_song(order.song_title, music, run)


def _print(order: MakeOrder) -> Path:
    printing = importlib.import_module("noonwall.pipeline.printing")
    wish = printing.Order(order.what, order.format, order.languages, order.paper)
    made = printing.make_print(wish, prove(order.text), _on_song(order))
    return _written(order, made.content)


def _lesson(order: MakeOrder) -> Path:
    teaching = importlib.import_module("noonwall.pipeline.teaching")
    proved = prove(order.text)
    lesson = teaching.lesson_of(proved, order.languages, order.minutes, on_song=_on_song(order))
    return _written(order, teaching.make_lesson(lesson, order.what, order.paper).content)


def _text(order: MakeOrder) -> Path:
    rewritten = importlib.import_module("noonwall.pipeline.rewriting").rewritten
    return _written(order, rewritten(prove(order.text), order.languages[0]).encode("utf-8"))


def _page(order: MakeOrder) -> Path:
    page = importlib.import_module("noonwall.pipeline.paging").page
    return _written(order, page(prove(order.text), order.languages[0]).encode("utf-8"))


def _practice(order: MakeOrder) -> Path:
    practising = importlib.import_module("noonwall.pipeline.practising")
    folder = Path(order.folder)
    wish = practising.PracticeOrder(
        folder / "tracks", "practice", order.languages, order.percents, order.format
    )
    corrections = folder / "corrections.json"
    corrections.write_text(order.corrections, "utf-8")
    begins = {"hearing": 0.05, "speaking": 0.2, "making": 0.4}
    spans = {"hearing": 0.15, "speaking": 0.2, "making": 0.58}

    def tell(stage: str, done: float, whole: float) -> None:
        _tell(begins.get(stage, 0.4) + spans.get(stage, 0.5) * done / max(whole, 1e-9))

    song = Path(order.song) if order.song else None
    made = practising.practise(
        prove(order.text), wish, song, corrections=corrections if song else None, progress=tell
    )
    return _one_of([track.made.out for track in made.tracks], order)


def _captions(order: MakeOrder) -> Path:
    captioning = importlib.import_module("noonwall.pipeline.captioning")
    cue_sheet = importlib.import_module("noonwall.pipeline.cueing").cue_sheet
    proved = prove(order.text)
    run, music = _fitted(order)
    cues = cue_sheet(proved, order.languages, run=run, music=music)
    made = captioning.caption_files(cues, proved.dance.beats_per_bar if proved.dance else 4)
    path = _out(order)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as kept:
        for ending, content in made.files.items():
            kept.writestr(f"captions{ending}", content)
    return path


def _clip(order: MakeOrder) -> Path:
    filming = importlib.import_module("noonwall.pipeline.filming")
    run, music = _fitted(order)
    if run is None:
        raise NoonwallError("A clip needs a song: choose one on the music page first.")
    fitted = filming.SongFit(prove(order.text), music, run, ())
    wish = filming.ClipOrder(shape=order.shape, languages=order.languages)
    path = _out(order)
    filming.film(
        fitted, Path(order.song), path, wish, progress=lambda done, whole: _tell(done / max(whole, 1))
    )
    return path


def _written(order: MakeOrder, content: bytes) -> Path:
    path = _out(order)
    path.write_bytes(content)
    return path


def _one_of(paths: list[Path], order: MakeOrder) -> Path:
    """Return the only file, or all of them in one archive."""
    if len(paths) == 1:
        return paths[0]
    archive = Path(order.folder) / "made.zip"
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_STORED) as kept:
        for path in paths:
            kept.write(path, path.name)
    return archive


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
