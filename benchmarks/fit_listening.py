"""Fit the weights of the listening on invented pieces, and write src/noonwall/music/weights.json.

Counting: a softmax over the readings of each piece, so that the right reading wins. Structure: three logistic
regressions (bar, eight, phrase) over the evidence of every beat. Both with a quadratic penalty chosen by
cross-validation on pieces left out. Real songs with a true grid may be added with --songs: only every other
one in alphabetical order is used, the rest is left for checking.

    python benchmarks/fit_listening.py FOLDER ... [--songs FOLDER] [--write]
"""

from __future__ import annotations

import argparse
import json
import pickle
from pathlib import Path

import mir_eval
import numpy as np
from scipy.optimize import minimize

from noonwall.music import weights
from noonwall.music.beatwise import in_context, see
from noonwall.music.counting import beats_within, read_all
from noonwall.music.decode import read_blocks
from noonwall.music.onsets import compress, find_onsets
from noonwall.music.passages import gather
from noonwall.music.spectra import Spectra, measure

WEIGHTS = Path(weights.__file__).with_name("weights.json")
COUNTING_PENALTY = 1.0
STRUCTURE_PENALTY = 30.0
SONG_WEIGHT = 3.0
ONE_COUNT = ("night_club", "one_drop", "six_eight")


def spectra_of(sound: Path) -> Spectra:
    """Spectra of a sound file, kept beside it as .pkl."""
    kept = sound.with_suffix(".pkl")
    if kept.exists():
        return pickle.loads(kept.read_bytes())
    spectra = measure(read_blocks(sound))
    kept.write_bytes(pickle.dumps(spectra))
    return spectra


def examples(spectra: Spectra, truth: dict, rng: np.random.Generator) -> tuple:
    """Facts and fitness of every reading; facts and labels of every beat."""
    compressed = compress(spectra)
    onsets = find_onsets(spectra, compressed)
    passages = gather(spectra, compressed)
    beats = np.array(truth["beats"])
    readings = read_all(onsets, passages, 99)
    facts = np.array([reading.facts for reading in readings])
    trimmed = mir_eval.beat.trim_beats(beats)
    scores = np.array(
        [
            mir_eval.beat.f_measure(trimmed, mir_eval.beat.trim_beats(beats_within(reading, onsets)), 0.025)
            for reading in readings
        ]
    )
    labels = starts_of(truth)
    first = int(rng.integers(1, 40)) if rng.random() < 0.35 else 0
    beatwise = see(passages, onsets, beats[first:] + rng.normal(0.0, 0.004))
    inside = in_context(beatwise.evidence)
    labels = labels[first : first + inside.shape[0]]
    return facts, scores, [reading.bpm for reading in readings], inside, labels


def starts_of(truth: dict) -> np.ndarray:
    """(beats, 3) ones where a bar, an eight, a phrase starts."""
    beats = np.array(truth["beats"])
    labels = np.zeros((beats.size, 3))
    for column, name in enumerate(("bar", "eight", "phrase")):
        counts = truth.get(f"{name}_counts")
        if not isinstance(counts, list):
            times = (
                [phrase[0] for phrase in truth.get("phrases", ())]
                if name == "phrase"
                else truth.get(f"{name}_starts", ())
            )
            counts = [int(np.argmin(np.abs(beats - time))) for time in times]
        labels[[count for count in counts if count < beats.size], : column + 1] = 1.0
    return labels


def fit_counting(pieces: list[tuple[np.ndarray, np.ndarray, float]], penalty: float) -> np.ndarray:
    """Softmax weights: each piece is (facts, good, weight)."""
    spread = np.concatenate([facts for facts, _, _ in pieces]).std(axis=0) + 1e-3

    def loss(values: np.ndarray) -> tuple[float, np.ndarray]:
        total, slope = 0.5 * penalty * float(values @ values), penalty * values
        for facts, good, weight in pieces:
            scaled = facts / spread
            scores = scaled @ values
            chance = np.exp(scores - scores.max())
            right = chance * good
            total -= weight * np.log((right.sum() + 1e-300) / chance.sum())
            slope = slope - weight * scaled.T @ (right / (right.sum() + 1e-300) - chance / chance.sum())
        return total, slope

    return minimize(loss, np.zeros(spread.size), jac=True, method="L-BFGS-B").x / spread


def fit_logistic(facts: np.ndarray, labels: np.ndarray, penalty: float) -> np.ndarray:
    """Logistic weights; the last fact is the constant one and is not penalised."""
    keep = np.ones(facts.shape[1])
    keep[-1] = 0.0

    def loss(values: np.ndarray) -> tuple[float, np.ndarray]:
        logit = facts @ values
        total = np.logaddexp(0.0, logit).sum() - labels @ logit + 0.5 * penalty * float(keep @ values**2)
        return total, facts.T @ (1.0 / (1.0 + np.exp(-logit)) - labels) + penalty * keep * values

    return minimize(loss, np.zeros(facts.shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": 300}).x


def good_readings(scores: np.ndarray, tempos: list[float], also: tuple[float, ...]) -> np.ndarray:
    """Which readings are right: on the beats, or at half or twice the tempo where the truth allows it."""
    good = scores >= max(0.95 * scores.max(), 0.8)
    for other in also:
        # On the beats, a grid of twice or half as many has an F of two thirds.
        good |= (np.abs(np.array(tempos) / other - 1.0) < 0.02) & (scores > 0.62)
    return good


def structure_weights(pieces: list[tuple[np.ndarray, np.ndarray]]) -> list[np.ndarray]:
    """Weights of bar, of eight among bars, of phrase among eights."""
    found = []
    for column in range(3):
        chosen = [
            (facts, labels)
            if column == 0
            else (facts[labels[:, column - 1] == 1], labels[labels[:, column - 1] == 1])
            for facts, labels in pieces
        ]
        facts = np.concatenate([part for part, _ in chosen])
        labels = np.concatenate([part[:, column] for _, part in chosen])
        found.append(fit_logistic(facts, labels, STRUCTURE_PENALTY))
    return found


def also_right(truth: dict) -> tuple[float, ...]:
    """Other tempos a dancer may count, except where one of them is what is danced."""
    return () if truth.get("groove") in ONE_COUNT else tuple(truth.get("bpm_also", ()))


def report(
    pieces: list[tuple[str, np.ndarray, np.ndarray, list[float], float, tuple[float, ...]]],
    values: np.ndarray,
    title: str,
) -> None:
    wrong = []
    for name, facts, scores, tempos, bpm, _ in pieces:
        best = int(np.argmax(facts @ values))
        if scores[best] < 0.8:
            wrong.append(f"{name} {bpm:.0f}->{tempos[best]:.0f} ({scores[best]:.2f} of {scores.max():.2f})")
    print(f"{title}: {len(pieces) - len(wrong)} of {len(pieces)} readings right; wrong: {'; '.join(wrong)}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folders", type=Path, nargs="+")
    parser.add_argument("--songs", type=Path)
    parser.add_argument("--write", action="store_true")
    options = parser.parse_args()
    rng = np.random.default_rng(1)
    drawn, structure = [], []
    for path in sorted(path for folder in options.folders for path in folder.glob("*.json")):
        truth = json.loads(path.read_text())
        sound = next((other for other in path.parent.glob(f"{path.stem}.*") if other.suffix != ".json"), path)
        facts, scores, tempos, inside, labels = examples(spectra_of(sound), truth, rng)
        drawn.append(
            (f"{path.stem} {truth.get('style', '')}", facts, scores, tempos, truth["bpm"], also_right(truth))
        )
        if not truth.get("beats_only"):
            structure.append((inside, labels))
    songs = []
    for path in sorted(options.songs.glob("*.json")) if options.songs else ():
        truth = json.loads(path.read_text())
        if truth.get("ambiguous_phase"):
            continue
        facts, scores, tempos, _, _ = examples(spectra_of(path.with_suffix(".ogg")), truth, rng)
        songs.append((path.stem, facts, scores, tempos, truth["bpm"], ()))
    (options.folders[0] / "examples.pickle").write_bytes(pickle.dumps((drawn, structure, songs)))
    values = fit_and_check(drawn, songs)
    bar, eight, phrase = structure_weights(structure) if structure else ((), (), ())
    if options.write:
        found = {"counting": values}
        if structure:
            found |= {"bar": bar, "eight": eight, "phrase": phrase}
        text = json.loads(WEIGHTS.read_text(encoding="utf-8"))
        text |= {name: [round(float(value), 4) for value in column] for name, column in found.items()}
        WEIGHTS.write_text(json.dumps(text) + "\n", encoding="utf-8")


def fit_and_check(drawn: list, songs: list) -> np.ndarray:
    """Cross-validate, report, and return the weights fitted on everything that may be used."""

    def ready(piece: tuple, weight: float) -> list[tuple[np.ndarray, np.ndarray, float]]:
        good = good_readings(piece[2], piece[3], piece[5])
        return [(piece[1], good, weight)] if good.any() else []

    develop = [part for song in songs[::2] for part in ready(song, SONG_WEIGHT)]
    for fold in range(4):
        used = [
            part for number, piece in enumerate(drawn) if number % 4 != fold for part in ready(piece, 1.0)
        ]
        values = fit_counting(used + develop, COUNTING_PENALTY)
        report(drawn[fold::4], values, f"left out {fold}")
    values = fit_counting([part for piece in drawn for part in ready(piece, 1.0)] + develop, COUNTING_PENALTY)
    report(songs[::2], values, "songs used")
    report(songs[1::2], values, "songs left out")
    return values


if __name__ == "__main__":
    main()
