"""Make an example of everything, from the bundled sheets and the project's own music."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from noonwall.demo import PIECES, render
from noonwall.demo.band import write_song
from noonwall.demo.sheets import WITH_MISTAKES, example_sheets
from noonwall.errors import BrokenFile
from noonwall.fit import fit, run_json
from noonwall.music import beat_file, listen, markers, midi_click
from noonwall.outputs.faults import fault
from noonwall.outputs.whole_file import write_whole
from noonwall.pipeline.demo_teaching import Made, taught
from noonwall.pipeline.paging import page
from noonwall.pipeline.printing import Order, make_print
from noonwall.pipeline.proving import Proved, prove
from noonwall.pipeline.reporting import report
from noonwall.pipeline.rewriting import rewritten
from noonwall.pipeline.song_pages import write_song_page
from noonwall.pipeline.songs import SongFit

DANCED_TO = (
    ("lantern-walk", "harbour-lights"),
    ("mill-pond-waltz", "slipway-waltz"),
    ("rope-and-pulley", "ferry-was-late"),
)
"""Which example is danced to which piece of the band. The first is taught as well."""


def make_demo(folder: Path, language: str) -> Iterator[Made]:
    """Make everything below ``folder``, one file after the other.

    Args:
        folder: where to put it; made if it is not there.
        language: "en" or "fr", for the pages of songs.

    Raises:
        BrokenFile: the folder cannot be written.
    """
    try:
        for name in ("sheets", "pages", "music", "songs", "print", "lesson"):
            (folder / name).mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise fault(BrokenFile, "demo.not-written", folder=folder, reason=error.strerror) from error
    proved: dict[str, Proved] = {}
    for name, text in {**example_sheets(), "with-mistakes": WITH_MISTAKES}.items():
        proved[name] = prove(text)
        yield from _sheet(folder, name, text, proved[name])
    for name in PIECES:
        yield from _song(folder, name)
    for sheet, song in DANCED_TO:
        if sheet in proved and song in PIECES:
            yield from _fitted(folder, sheet, song, proved[sheet], language)


def _sheet(folder: Path, name: str, text: str, proved: Proved) -> Iterator[Made]:
    spoken = proved.reading.language
    other = "fr" if spoken == "en" else "en"
    yield _write("sheet", folder / "sheets" / f"{name}.txt", text)
    told = json.dumps(report(proved, spoken), ensure_ascii=False, indent=1)
    yield _write("report", folder / "sheets" / f"{name}.json", told + "\n")
    yield _write("rewritten", folder / "sheets" / f"{name}.{other}.txt", rewritten(proved, other))
    yield _write("page", folder / "pages" / f"{name}.html", page(proved, spoken))
    for kind in ("sheet", "card"):
        made = make_print(Order(kind, "pdf", (spoken,)), proved)
        yield _write_bytes(f"print_{kind}", folder / "print" / f"{name}-{kind}.pdf", made.content)


def _song(folder: Path, name: str) -> Iterator[Made]:
    path, _ = write_song(folder / "music", name, render(PIECES[name]))
    yield Made("music", path)
    heard = listen(path)
    yield _write("music_map", folder / "songs" / f"{name}.json", heard.to_json())
    yield _write("beats", folder / "songs" / f"{name}.beats.txt", beat_file(heard))
    yield _write("markers", folder / "songs" / f"{name}.vtt", markers(heard))
    yield _write_bytes("click", folder / "songs" / f"{name}.mid", midi_click(heard))


def _fitted(folder: Path, sheet: str, song: str, proved: Proved, language: str) -> Iterator[Made]:
    assert proved.dance is not None
    songs = (folder / "music").iterdir()
    sound = next(path for path in songs if path.stem == song and path.suffix != ".json")
    heard = listen(sound)
    run = fit(proved.dance, heard)
    told = json.dumps(run_json(run), ensure_ascii=False, indent=1)
    yield _write("run", folder / "songs" / f"{sheet}-on-{song}.json", told + "\n")
    page_path = folder / "songs" / f"{sheet}-on-{song}.html"
    write_song_page(page_path, sound, heard, language, dance=proved.dance, run=run, title=PIECES[song].title)
    yield Made("song_page", page_path)
    if (sheet, song) == DANCED_TO[0]:
        fitted = SongFit(proved, heard, run, ())
        yield from taught(folder / "lesson", sheet, fitted, sound, PIECES[song].title)


def _write(kind: str, path: Path, text: str) -> Made:
    return _write_bytes(kind, path, text.encode("utf-8"))


def _write_bytes(kind: str, path: Path, content: bytes) -> Made:
    write_whole(path, content)
    return Made(kind, path)
