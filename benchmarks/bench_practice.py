"""How fast practice tracks are made, and how near counts are to beats: `python benchmarks/bench_practice.py`.

`[SONG]` measures the speed; the bar is 30 times real time. Without a song, a piece of the demo band is
played over until it is as long as a song, three and a half minutes. Each format is measured alone, in a
fresh interpreter and with an empty cache, from the proved sheet and the music map to the file on the
disk: decoding, stretching, speaking, mixing, levelling, encoding. Told are seconds by the clock on the
wall (other work shows in it) and of all processors together (it shows less), and how many seconds of the
song, and of the slower track, are made in each. Hearing the song is told apart: it is done once.
`--onsets` looks for every spoken count in rendered tracks.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from importlib import import_module
from pathlib import Path

import numpy as np

SHEET = Path(__file__).parents[1] / "examples" / "lantern-walk.txt"
SONG_SECONDS = 210.0
FORMATS = ("wav", "flac", "m4a", "mp3")
ORDERS = [(form, (75,)) for form in FORMATS] + [("m4a", (75, 90, 100))]
TEMPOS_BPM = (88.0, 104.0, 120.0, 136.0)
SPEEDS = (1.0, 0.75, 0.6)


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


def measure(song: Path, form: str, percents: tuple[int, ...]) -> dict[str, float]:
    """Make the tracks of an order and return what it took, seconds and megabytes."""
    from noonwall.pipeline import practising

    proved = practising.prove_file(SHEET)
    heard_began = time.perf_counter()
    danced = practising._heard(proved, song, None, None)
    hearing = time.perf_counter() - heard_began
    practising._heard = lambda *_: danced  # type: ignore[assignment]
    with tempfile.TemporaryDirectory() as out:
        order = practising.PracticeOrder(Path(out), "track", ("en",), percents, form)
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
        "song": danced.heard.audio_end * len(percents),
        "track": sum(track.made.seconds for track in made.tracks),
        "megabytes": most / 1024,
    }


def onsets(form: str = "flac") -> None:
    """Print how far every count of rendered tracks is from its beat, by three detectors."""
    sys.path.insert(0, str(Path(__file__).parents[1]))
    kit = import_module("tests.outputs.practice_kit")
    tests = import_module("tests.outputs.test_practice_track")
    speaker = tests.Speaker(tests.offline_voice())
    detectors = {
        "silencedetect -30 dB": lambda sound: kit.onsets_by_ffmpeg(sound, -30.0),
        "silencedetect -18 dB": lambda sound: kit.onsets_by_ffmpeg(sound, -18.0),
        "rise to -20 dB": kit.onsets_by_rise,
    }
    print(f"{'language':<10}{'speed':>6}{'counts':>8}" + "".join(f"{name:>34}" for name in detectors))
    for language in ("en", "fr"):
        for speed in SPEEDS:
            found: dict[str, list[float]] = {name: [] for name in detectors}
            for bpm in TEMPOS_BPM:
                with tempfile.TemporaryDirectory() as folder:
                    quiet = kit.write_song(Path(folder) / "q.wav", np.zeros(16 * 44_100))
                    song = tests.song_at_hand(quiet, Path(folder) / "cache")
                    sheet = kit.counted_sheet(language, bpm, first_seconds=3.0)
                    job = tests.job_of(sheet, speaker, Path(folder) / f"t.{form}", speed, song)
                    tests.make_tracks([job], Path(folder) / "cache", workers=1)
                    sound = kit.decoded(job.out)
                wanted = [cue.from_seconds / speed for cue in sheet.cues]
                for name, detect in detectors.items():
                    found[name] += list(kit.errors_ms(detect(sound), wanted))
            told = [
                f"mean {np.mean(errors):+.1f}, furthest {np.abs(errors).max():.1f} ms"
                for errors in found.values()
            ]
            print(
                f"{language:<10}{speed:>6.0%}{len(found['rise to -20 dB']):>8}"
                + "".join(f"{one:>34}" for one in told)
            )
    speaker.voice.close()


def main() -> None:
    if sys.argv[1:] == ["--onsets"]:
        onsets()
        return
    if len(sys.argv) == 4:
        percents = tuple(map(int, sys.argv[3].split(",")))
        print(json.dumps(measure(Path(sys.argv[1]), sys.argv[2], percents)))
        return
    with tempfile.TemporaryDirectory() as folder:
        song = Path(sys.argv[1]) if len(sys.argv) > 1 else write_song(Path(folder))
        print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores; one language")
        heads = ("wall s", "cpu s", "song x", "track x", "track/cpu", "MB", "hearing s")
        print(f"{'order':<16}" + "".join(f"{head:>10}" for head in heads))
        for form, percents in ORDERS:
            speeds = ",".join(map(str, percents))
            given = {**os.environ, "NOONWALL_CACHE": str(Path(folder) / f"{form}-{len(percents)}")}
            command = [sys.executable, __file__, str(song), form, speeds]
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
            print(f"{form + ' ' + speeds:<16}" + "".join(f"{value:>10.1f}" for value in row))


if __name__ == "__main__":
    main()
