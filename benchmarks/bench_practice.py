"""How fast practice tracks are made: `python benchmarks/bench_practice.py [SONG]`; the bar is 30.

The bar is in times real time. Without a song, a piece of the demo band is played over until it is as
long as a song, three and a half minutes. Each format is measured alone, in a fresh interpreter and with
an empty cache, from the proved sheet and the music map to the file on the disk: decoding, stretching,
speaking, mixing, levelling, encoding. Told are seconds by the clock on the wall (other work shows in it)
and of all processors together (it shows less), and how many seconds of the song, and of the slower
track, are made in each. Hearing the song is told apart: it is done once.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

SHEET = Path(__file__).parents[1] / "examples" / "lantern-walk.txt"
SONG_SECONDS = 210.0
PERCENT = 75
FORMATS = ("wav", "flac", "m4a", "mp3")


def write_song(folder: Path) -> Path:
    """Write a song of the demo band that is as long as a song."""
    from noonwall.demo import PIECES, render
    from noonwall.demo.band import write_audio

    played = render(PIECES["harbour-lights"])
    times = int(np.ceil(SONG_SECONDS * played.sample_rate / played.samples.shape[0]))
    whole = np.tile(played.samples, (times, 1))[: round(SONG_SECONDS * played.sample_rate)]
    return write_audio(folder / "song", whole, played.sample_rate)


def _processor_seconds() -> float:
    return sum(
        use.ru_utime + use.ru_stime
        for use in (resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN))
    )


def measure(song: Path, form: str) -> dict[str, float]:
    """Make one track and return what it took, seconds and megabytes."""
    from noonwall.pipeline import practising

    proved = practising.prove_file(SHEET)
    heard_began = time.perf_counter()
    danced = practising._heard(proved, song, None, None)
    hearing = time.perf_counter() - heard_began
    practising._heard = lambda *_: danced  # type: ignore[assignment]
    with tempfile.TemporaryDirectory() as out:
        order = practising.PracticeOrder(Path(out), "track", ("en",), (PERCENT,), form)
        processor, wall = _processor_seconds(), time.perf_counter()
        made = practising.practise(proved, order, song)
        wall = time.perf_counter() - wall
        processor = _processor_seconds() - processor
    assert danced.heard is not None
    most = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return {
        "hearing": hearing,
        "wall": wall,
        "processor": processor,
        "song": danced.heard.audio_end,
        "track": made.tracks[0].made.seconds,
        "megabytes": most / 1024,
    }


def main() -> None:
    if len(sys.argv) == 3:
        print(json.dumps(measure(Path(sys.argv[1]), sys.argv[2])))
        return
    with tempfile.TemporaryDirectory() as folder:
        song = Path(sys.argv[1]) if len(sys.argv) > 1 else write_song(Path(folder))
        print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores; {PERCENT}%, one language")
        heads = ("wall s", "cpu s", "song x", "track x", "track/cpu", "MB", "hearing s")
        print(f"{'format':<8}" + "".join(f"{head:>10}" for head in heads))
        for form in FORMATS:
            given = {**os.environ, "NOONWALL_CACHE": str(Path(folder) / form)}
            command = [sys.executable, __file__, str(song), form]
            done = subprocess.run(command, capture_output=True, text=True, check=True, env=given)
            told = json.loads(done.stdout)
            row = (
                told["wall"],
                told["processor"],
                told["song"] / told["wall"],
                told["track"] / told["wall"],
                told["track"] / told["processor"],
                told["megabytes"],
                told["hearing"],
            )
            print(f"{form:<8}" + "".join(f"{value:>10.1f}" for value in row))


if __name__ == "__main__":
    main()
