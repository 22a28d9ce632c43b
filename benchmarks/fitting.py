"""How fast a dance is fitted: a 10-minute song with a 64-count dance, regular and as awkward as it comes.

    python benchmarks/fitting.py [--repeat N]

Prints for each song the median and the worst of N fits in milliseconds of processor time (a fit uses one
core and waits for nothing, so on an idle machine this is the wall time), first for the optimum alone and then
with four runners-up and the plans "straight" and "stated", beside the bar of 50 ms.
"""

from __future__ import annotations

import argparse
import sys
from fractions import Fraction
from pathlib import Path
from statistics import median
from time import process_time

from noonwall.dance import Dance, Restart, Tag
from noonwall.fit import Song, fit, rank_songs

sys.path.insert(0, str(Path(__file__).parents[1]))
from tests.fit.builders import dance, part, song, walk

BAR_MILLISECONDS = 50.0
TEN_MINUTES = 1200

SONGS: dict[str, list[int]] = {
    "phrases of 32": [16, *[32] * 37],
    "one odd phrase": [16, *[32] * 6, 36, *[32] * 30],
    "an odd phrase in four": [16, *[32, 32, 32, 36] * 9],
    "every second phrase odd": [16, *[36, 32] * 17],
    "every phrase odd": [16, *[28, 36, 40, 20] * 9],
    "phrases of 20": [16, *[20] * 59],
}


def dances() -> dict[str, Dance]:
    """Return 64-count dances: without changes of their own, and with two restarts and a tag."""
    main = walk(64, {8: 2, 32: 4, 64: -4})
    tag = part("Tag", "RLRL", {4: 4}, "tag")
    restarts = (Restart(2, Fraction(32)), Restart(5, Fraction(16)))
    return {
        "plain": dance(main),
        "2 restarts, 1 tag": dance(main, tag, restarts=restarts, tags=(Tag(4, Fraction(64), "Tag"),)),
    }


def measure(danced: Dance, music: Song, runners_up: int, repeat: int) -> tuple[float, float]:
    """Return the median and the worst time of a fit in milliseconds."""
    times = []
    for _ in range(repeat):
        begin = process_time()
        fit(danced, music, runners_up=runners_up)
        times.append(1000 * (process_time() - begin))
    return median(times), max(times)


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--repeat", type=int, default=15)
    repeat = parser.parse_args().repeat
    print("milliseconds, median / worst")
    print(f"{'dance':<18} {'song':<24} {'counts':>6}   {'optimum':>15}   {'with runners-up':>15}")
    slowest = 0.0
    for dance_name, danced in dances().items():
        for song_name, phrases in SONGS.items():
            music = song(phrases, 60.0 * sum(phrases) / 600.0)
            alone, full = (measure(danced, music, count, repeat) for count in (0, 4))
            slowest = max(slowest, alone[0])
            print(
                f"{dance_name:<18} {song_name:<24} {len(music.beats):>6}   {alone[0]:6.1f} / {alone[1]:6.1f}"
                f"   {full[0]:6.1f} / {full[1]:6.1f}"
            )
    print(f"slowest median of the optimum: {slowest:.1f} ms; bar: {BAR_MILLISECONDS:.0f} ms")
    songs = [(str(number), song([16, *[32] * (8 + number % 5)], 90 + number % 60)) for number in range(300)]
    begin = process_time()
    rank_songs(next(iter(dances().values())), songs)
    each = 1000 * (process_time() - begin) / len(songs)
    print(f"ranking songs already heard: {each:.1f} ms a song, one core")


if __name__ == "__main__":
    main()
