"""How fast clips are filmed: `python benchmarks/bench_clip.py [ORDER ...]`; the bar is faster than real time.

A dance is filmed on a piece of the demo band from the proved sheet and the music map to the file on the disk:
drawing, converting, encoding, joining, sound. Hearing the song is left out: it is done once. Beside it stands
the limit of encoding alone: as many processes, given pictures of the same clip that are already in the
encoder's own format, with the same settings and no sound. "share" is how much of that limit filming reaches.
Told are times real time by the clock on the wall (other work on the machine shows in it) and milliseconds of
processor for each picture, all processes together (it shows less in those); "idle" is what these come to if
the processors had nothing else to do: computed, not measured.
"""

from __future__ import annotations

import multiprocessing
import os
import resource
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from noonwall.outputs.clip import make_clip
from noonwall.outputs.clip_codec import PieceWriter
from noonwall.outputs.clip_data import ClipData, ClipOrder
from noonwall.outputs.clip_frame import FramePainter
from noonwall.pipeline.filming import clip_data, fit_song

SHEET = Path(__file__).parents[1] / "examples" / "rope-and-pulley.txt"
WORKERS = os.cpu_count() or 1
LIMIT_PICTURES, LIMIT_ROUNDS = 120, 3
USUAL = ("720p30 above", "720p30 follow")
ORDERS = {
    "720p30 above": ClipOrder(languages=("en",)),
    "720p30 above, en + fr": ClipOrder(languages=("en", "fr")),
    "720p30 portrait": ClipOrder(shape="portrait", languages=("en",)),
    "720p30 follow": ClipOrder(view="follow", languages=("en",)),
    "1080p30 above": ClipOrder(short_side=1080, languages=("en",)),
    "720p30 green overlay": ClipOrder(overlay="green", view="follow", languages=("en",)),
    "720p30 alpha, ProRes": ClipOrder(overlay="transparent", view="follow", ending="mov", languages=("en",)),
    "720p30 alpha, VP9": ClipOrder(overlay="transparent", view="follow", ending="webm", languages=("en",)),
}


def write_song(folder: Path) -> Path:
    """Write a song of the demo band."""
    from noonwall.demo import PIECES, render
    from noonwall.demo.band import write_song as write

    return write(folder, "ferry-was-late", render(PIECES["ferry-was-late"]))[0]


def _processor_seconds() -> float:
    return sum(
        use.ru_utime + use.ru_stime
        for use in (resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN))
    )


def filmed(data: ClipData, order: ClipOrder, song: Path) -> tuple[float, float, int, float]:
    """Film and return seconds by the wall and of the processors, pictures, and megabytes of the file."""
    with tempfile.TemporaryDirectory() as folder:
        processor, wall = _processor_seconds(), time.perf_counter()
        out, cache = Path(folder) / f"clip.{order.ending}", Path(folder) / "cache"
        made = make_clip(data, order, song, out, cache, workers=WORKERS)
        took = time.perf_counter() - wall
        return took, _processor_seconds() - processor, made.frames, out.stat().st_size / 1e6


def encode_only(data: ClipData, order: ClipOrder, starts: Any, out: Any) -> None:
    """Encode pictures that are drawn and converted before the clock runs (for other processes)."""
    painter = FramePainter(data, order)
    first = painter.frames // 3
    with tempfile.TemporaryDirectory() as folder:
        spare = PieceWriter(Path(folder) / "spare", order.ending, order.size, order.fps, 1)
        ready = []
        for number in range(first, first + LIMIT_PICTURES):
            image, changed = painter.paint(number)
            if changed or not ready:
                spare._frame = spare._converted(image, changed)
            ready.append(spare._frame)
        starts.wait()
        began, processor = time.perf_counter(), time.process_time()
        for round_number in range(LIMIT_ROUNDS):
            writer = PieceWriter(Path(folder) / str(round_number), order.ending, order.size, order.fps, 1)
            for number, frame in enumerate(ready):
                frame.pts, frame.time_base = number, writer._beat
                writer._box.mux(writer._stream.encode(frame))
            writer.close()
        out.put((time.perf_counter() - began, time.process_time() - processor))


def limit(data: ClipData, order: ClipOrder) -> tuple[float, float]:
    """Return pictures a second of encoding alone with all processes, and processor seconds for each."""
    context = multiprocessing.get_context("spawn")
    starts, out = context.Barrier(WORKERS), context.Queue()
    work = [context.Process(target=encode_only, args=(data, order, starts, out)) for _ in range(WORKERS)]
    for one in work:
        one.start()
    took = [out.get() for _ in work]
    for one in work:
        one.join()
    pictures = LIMIT_ROUNDS * LIMIT_PICTURES
    return WORKERS * pictures / max(wall for wall, _ in took), sum(p for _, p in took) / WORKERS / pictures


def main() -> None:
    """Measure the orders named, or the usual two, and print a table."""
    wanted = sys.argv[1:] or list(USUAL)
    with tempfile.TemporaryDirectory() as folder:
        song = write_song(Path(folder))
        began = time.perf_counter()
        fitted = fit_song(SHEET, song)
        print(f"heard and fitted in {time.perf_counter() - began:.1f} s; {WORKERS} processes")
        print(
            f"{'':24} by the wall: film, limit, share | ms a picture: film, encode, share, idle | MB a minute"
        )
        for name in wanted:
            order = ORDERS[name]
            data = clip_data(fitted.proved, fitted.run, fitted.song, order.languages)
            wall, processor, frames, megabytes = filmed(data, order, song)
            speed, (most, encoding) = frames / order.fps / wall, limit(data, order)
            most /= order.fps
            each, size = processor / frames, megabytes / (frames / order.fps / 60)
            idle = WORKERS / each / order.fps
            wall_told = f"{speed:18.1f}×{most:6.1f}×{speed / most:6.2f}"
            told = f"{1000 * each:19.1f}{1000 * encoding:8.1f}{encoding / each:7.2f}{idle:5.1f}×"
            print(f"{name:24}{wall_told} |{told} |{size:9.1f}", flush=True)


if __name__ == "__main__":
    main()
