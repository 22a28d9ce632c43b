"""Score the listening against true grids with mir_eval, and time it.

    python benchmarks/listening.py SONGS [--librosa PYTHON] [--rendered FOLDER] [--json FILE]

SONGS holds NAME.ogg (or .wav) beside NAME.json with `bpm`, `beats` and perhaps `bar_starts`, `eight_starts`,
`phrase_starts`, in seconds. Beats are scored by the published definitions of mir_eval (first five seconds
skipped): F at 70 ms and 25 ms, CMLt, AMLt. "octave F" allows half and double tempo and the off-beat of
neither. Pieces marked `ambiguous_phase` count for tempo and AMLt only. --librosa names a Python that has
librosa, run in its own process.
"""

from __future__ import annotations

import argparse
import itertools
import json
import resource
import subprocess
import time
from collections.abc import Iterable
from pathlib import Path

import mir_eval
import numpy as np

from noonwall.music.decode import read_blocks
from noonwall.music.listening import hear
from noonwall.music.map import MusicMap
from noonwall.music.spectra import measure

START_WITHIN_SECONDS = 0.12
LIBROSA = """
import json, sys, time, librosa
for path in sys.argv[1:]:
    sound, rate = librosa.load(path, sr=22050)
    if path == sys.argv[1]:
        librosa.beat.beat_track(y=sound[: rate * 10], sr=rate)
    start = time.process_time()
    tempo, beats = librosa.beat.beat_track(y=sound, sr=rate, units="time")
    print(json.dumps({"beats": list(map(float, beats)), "seconds": time.process_time() - start}))
"""


def trimmed(times: Iterable[float]) -> np.ndarray:
    return mir_eval.beat.trim_beats(np.asarray(list(times), dtype=float))


def f_measure(truth: Iterable[float], heard: Iterable[float], window: float = 0.07) -> float:
    return float(mir_eval.beat.f_measure(trimmed(truth), trimmed(heard), window))


def beat_scores(truth: list[float], heard: list[float]) -> dict[str, float]:
    """F, F25, CMLt, AMLt and F with the octave allowed."""
    continuity = mir_eval.beat.continuity(trimmed(truth), trimmed(heard))
    middles = [(left + right) / 2 for left, right in itertools.pairwise(heard)]
    octaves = [heard, sorted(heard + middles), heard[::2], heard[1::2]]
    return {
        "F": f_measure(truth, heard),
        "F25": f_measure(truth, heard, 0.025),
        "CMLt": float(continuity[1]),
        "AMLt": float(continuity[3]),
        "octave F": max(f_measure(truth, times) for times in octaves),
    }


def hear_file(sound: Path) -> tuple:
    """The map, seconds of decoding, seconds of listening, by processor time."""
    start = time.process_time()
    blocks = list(read_blocks(sound))
    decoded = time.process_time()
    heard = hear(measure(blocks))
    return heard, decoded - start, time.process_time() - decoded


def score_piece(sound: Path, other: dict | None) -> dict:
    truth = json.loads(sound.with_suffix(".json").read_text(encoding="utf-8"))
    for name in ("bar", "eight", "phrase"):
        counts = truth.get(f"{name}_counts")
        if isinstance(counts, list):
            truth[f"{name}_starts"] = [
                truth["beats"][count] for count in counts if count < len(truth["beats"])
            ]
    heard, decoding, listening = hear_file(sound)
    row = {
        "name": sound.stem,
        "truth_bpm": truth["bpm"],
        "bpm": heard.bpm,
        "ambiguous": truth.get("ambiguous_phase", False),
        **beat_scores(truth["beats"], list(heard.beats)),
    }
    ratio = heard.bpm / truth["bpm"]
    octave = min((0.5, 1.0, 2.0), key=lambda factor: abs(ratio / factor - 1.0))
    row["tempo_error_%"] = 100.0 * abs(ratio / octave - 1.0)
    for name in ("bar_starts", "eight_starts", "phrase_starts"):
        if truth.get(name):
            row[name] = f_measure(truth[name], getattr(heard, name))
    if "bpm_also" in truth:
        row["F, other counts too"] = max(
            f_measure(truth["beats"], beats) for beats in also_counted(truth, list(heard.beats))
        )
    row |= waiting_and_odd(truth, heard)
    row["sure"] = heard.certainty["beats"]
    row["sure_bars"] = heard.certainty["bar_starts"]
    row["sure_eights"] = heard.certainty["eight_starts"]
    row["sure_phrases"] = heard.certainty["phrase_starts"]
    row["s/min"] = 60.0 * listening / heard.audio_end
    row["decode s/min"] = 60.0 * decoding / heard.audio_end
    if other:
        row |= {
            f"librosa {name}": value for name, value in beat_scores(truth["beats"], other["beats"]).items()
        }
        row["librosa s/min"] = 60.0 * other["seconds"] / heard.audio_end
    return row


def also_counted(truth: dict, beats: list[float]) -> list[list[float]]:
    """The beats, and the same at half or twice the tempo if the truth says that this sounds as right."""
    factors = {round(tempo / truth["bpm"], 2) for tempo in truth["bpm_also"]}
    middles = [(left + right) / 2 for left, right in itertools.pairwise(beats)]
    found = [beats]
    if 2.0 in factors:
        found += [beats[::2], beats[1::2]]
    if 0.5 in factors:
        found.append(sorted(beats + middles))
    return found


def waiting_and_odd(truth: dict, heard: MusicMap) -> dict:
    """Whether the waiting counts are right; odd phrases there are, found (start and length), and false."""
    if "odd_phrases" not in truth:
        return {}
    meant = [tuple(phrase) for phrase in truth["odd_phrases"]]

    def same(first: tuple, second: tuple) -> bool:
        return abs(first[0] - second[0]) < START_WITHIN_SECONDS and first[1] == second[1]

    return {
        "intro": float(heard.intro_counts == truth["intro_counts"]),
        "odd": len(meant),
        "found": sum(any(same(odd, other) for other in heard.odd_phrases) for odd in meant),
        "false": sum(not any(same(odd, other) for odd in meant) for other in heard.odd_phrases),
    }


def table(rows: list[dict]) -> str:
    """Markdown table with a line of means; ambiguous pieces count for tempo and AMLt only."""
    names = [name for name in max(rows, key=len) if name != "ambiguous"]
    lines = ["| " + " | ".join(names) + " |", "|" + "---|" * len(names)]

    def shown(value: object) -> str:
        return f"{value:.3f}" if isinstance(value, float) else str(value)

    for row in rows:
        lines.append("| " + " | ".join(shown(row.get(name, "–")) for name in names) + " |")
    means = []
    for name in names:
        values = [
            row[name]
            for row in rows
            if isinstance(row.get(name), float)
            and (not row["ambiguous"] or name in ("AMLt", "tempo_error_%", "s/min", "decode s/min"))
        ]
        means.append("mean" if name == "name" else shown(float(np.mean(values))) if values else "–")
    return "\n".join([*lines, "| " + " | ".join(means) + " |"])


def calibration(rows: list[dict], score: str, sure: str, right: float) -> str:
    """How often the sure ones are right, in three classes of certainty."""
    parts = []
    for low, high in ((0.0, 0.6), (0.6, 0.9), (0.9, 1.01)):
        inside = [row for row in rows if low <= row[sure] < high and score in row and not row["ambiguous"]]
        good = sum(row[score] >= right for row in inside)
        parts.append(
            f"{sure} {low:.1f}–{min(high, 1.0):.1f}: {good} of {len(inside)} with {score} >= {right}"
        )
    return "; ".join(parts)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("songs", type=Path)
    parser.add_argument("--librosa", help="a Python that has librosa")
    parser.add_argument("--json", type=Path)
    options = parser.parse_args()
    sounds = sorted(
        path
        for path in options.songs.iterdir()
        if path.suffix in (".ogg", ".wav", ".flac", ".mp3") and path.with_suffix(".json").exists()
    )
    others: list[dict | None] = [None] * len(sounds)
    if options.librosa:
        command = [options.librosa, "-c", LIBROSA, *map(str, sounds)]
        output = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        others = [json.loads(line) for line in output.splitlines() if line.startswith("{")]
    rows = [score_piece(sound, other) for sound, other in zip(sounds, others, strict=True)]
    print(table(rows))
    for score, sure in (
        ("F", "sure"),
        ("bar_starts", "sure_bars"),
        ("eight_starts", "sure_eights"),
        ("phrase_starts", "sure_phrases"),
    ):
        if any(score in row for row in rows):
            print(calibration(rows, score, sure, 0.85))
    if "odd" in rows[0]:
        odd, found, false = (sum(row[name] for row in rows) for name in ("odd", "found", "false"))
        intros = sum(row["intro"] for row in rows)
        print(f"intro right {intros:.0f} of {len(rows)}; odd phrases found {found} of {odd}, {false} false")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    if options.json:
        options.json.write_text(json.dumps(rows, indent=1), encoding="utf-8")


if __name__ == "__main__":
    main()
