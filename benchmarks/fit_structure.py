"""Fit the other weights of the listening: bars of two, eights, phrases, the second look, the intro.

The weights that are stored already are the starting point, and a penalty holds the new ones near them, so
that what was learnt from many invented pieces is not lost. The weights of bars of four are left as they are.
The second look is fitted on first looks at pieces left out of the fit of the first.

    python benchmarks/fit_structure.py FOLDER ... [--write]

FOLDERs hold songs beside their truth, as written by `wide_pieces.py`, `invented_pieces.py` and
`python -m tests.music.rendered`.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from fit_listening import WEIGHTS, fit_logistic, spectra_of, starts_of
from scipy.optimize import minimize

from noonwall.music.beatwise import Beatwise, in_context, see
from noonwall.music.chain import PAIRS, PAIRS_COST, Chain
from noonwall.music.layout import USUAL_PHRASE_COUNTS
from noonwall.music.onsets import compress, find_onsets
from noonwall.music.opening import SHORT_SHARE, describe
from noonwall.music.passages import gather
from noonwall.music.recurrence import alike
from noonwall.music.structure import likeliest
from noonwall.music.weights import BAR, EIGHT, PHRASE

FOLDS = 3
NEAR_PENALTY, AGAIN_PENALTY, INTRO_PENALTY = 300.0, 30.0, 10.0
FREE = 0.01  # of the penalty, for the constant


@dataclass(frozen=True, eq=False)
class Piece:
    """One piece with what is true of it: labels are (beats, 3) for bar, eight, phrase."""

    name: str
    beatwise: Beatwise
    labels: np.ndarray
    intro: bool | None


def read_piece(path: Path) -> Piece:
    """A piece from its truth; its sound lies beside it."""
    truth = json.loads(path.read_text(encoding="utf-8"))
    sound = next(
        other for other in path.parent.glob(f"{path.stem}.*") if other.suffix not in (".json", ".pkl")
    )
    spectra = spectra_of(sound)
    compressed = compress(spectra)
    beatwise = see(gather(spectra, compressed), find_onsets(spectra, compressed), np.array(truth["beats"]))
    labels = starts_of(truth)[: beatwise.evidence.shape[0]]
    sections = [phrase[2] for phrase in truth.get("phrases", ())] or [row[0] for row in truth["sections"]]
    return Piece(path.stem, beatwise, labels, has_intro(labels, sections, truth["beats_per_bar"]))


def has_intro(labels: np.ndarray, sections: list[str], bar: int) -> bool | None:
    """Whether a first phrase of the usual length is an intro; None for a short one, or too few phrases."""
    starts = np.flatnonzero(labels[:, 2])
    if starts.size < 4 or starts[1] - starts[0] < SHORT_SHARE * USUAL_PHRASE_COUNTS[bar]:
        return None
    return sections[0] == "intro"


def fit_near(facts: np.ndarray, labels: np.ndarray, before: np.ndarray) -> np.ndarray:
    """Logistic weights held near others."""
    keep = np.append(np.ones(facts.shape[1] - 1), FREE)
    offset = facts @ before

    def loss(change: np.ndarray) -> tuple[float, np.ndarray]:
        logit = offset + facts @ change
        total = np.logaddexp(0.0, logit).sum() - labels @ logit
        slope = facts.T @ (1.0 / (1.0 + np.exp(-logit)) - labels)
        return total + 0.5 * NEAR_PENALTY * float(keep @ change**2), slope + NEAR_PENALTY * keep * change

    start = np.zeros(facts.shape[1])
    return before + minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 300}).x


def rows_of(labels: np.ndarray, level: int) -> np.ndarray:
    """Which beats teach a level: all for bars, bar starts for eights, eights for phrases."""
    return np.ones(labels.shape[0], bool) if level == 0 else labels[:, level - 1] == 1.0


def fit_first(pieces: list[Piece]) -> list[np.ndarray]:
    """Weights of bars of two, of eights among bars, of phrases among eights."""
    found = []
    for level, before in enumerate((BAR, EIGHT, PHRASE)):
        chosen = [(in_context(piece.beatwise.evidence), piece.labels) for piece in pieces]
        facts = np.concatenate([facts[rows_of(labels, level)] for facts, labels in chosen])
        marks = np.concatenate([labels[rows_of(labels, level), level] for _, labels in chosen])
        found.append(fit_near(facts, marks, before))
    return found


def first_chain(logits: np.ndarray, pairs: np.ndarray, beatwise: Beatwise) -> Chain:
    """The chain that the first look finds."""
    chain, _ = likeliest(logits, beatwise)
    if chain.bar == 4:
        evidence = np.column_stack((pairs, logits[:, 1:]))
        twos, fours = Chain(evidence, *PAIRS), Chain(evidence, 4, 8)
        return twos if twos.total() - PAIRS_COST > fours.total() else chain
    return chain


def second_facts(piece: Piece, first: list[np.ndarray]) -> np.ndarray | None:
    """Log odds of the first look beside what the second finds: (3, beats, n)."""
    facts = in_context(piece.beatwise.evidence)
    logits = np.stack([facts @ BAR, facts @ first[1], facts @ first[2]], axis=1)
    pairs = facts @ first[0]
    chain = first_chain(logits, pairs, piece.beatwise)
    again = alike(piece.beatwise, chain.best_chain(), chain.bar)
    if again is None:
        return None
    if chain.bar == 2:
        logits[:, 0] = pairs
    ones = np.ones((facts.shape[0], 1))
    return np.stack([np.hstack((logits[:, [level]], again, ones)) for level in range(3)])


def fit_again(pieces: list[Piece]) -> list[np.ndarray]:
    """Weights of the second look, from first looks at pieces left out."""
    parts: list[list[tuple[np.ndarray, np.ndarray]]] = [[], [], []]
    for fold in range(FOLDS):
        first = fit_first([piece for number, piece in enumerate(pieces) if number % FOLDS != fold])
        for piece in pieces[fold::FOLDS]:
            facts = second_facts(piece, first)
            for level in range(3) if facts is not None else ():
                rows = rows_of(piece.labels, level)
                parts[level].append((facts[level][rows], piece.labels[rows, level]))
    return [
        fit_logistic(
            np.concatenate([facts for facts, _ in part]),
            np.concatenate([marks for _, marks in part]),
            AGAIN_PENALTY,
        )
        for part in parts
    ]


def fit_intro(pieces: list[Piece]) -> np.ndarray:
    """Weights of what sets an intro of the usual length apart from a first verse."""
    chosen = [piece for piece in pieces if piece.intro is not None]
    facts = np.array(
        [describe(piece.beatwise, np.flatnonzero(piece.labels[:, 2]).tolist()) for piece in chosen]
    )
    spread = facts.std(axis=0) + 1e-6
    scaled = np.hstack((facts / spread, np.ones((len(chosen), 1))))
    found = fit_logistic(scaled, np.array([float(bool(piece.intro)) for piece in chosen]), INTRO_PENALTY)
    return np.append(found[:-1] / spread, found[-1])


def fit_all(pieces: list[Piece]) -> dict[str, list[float]]:
    """All weights of this file, by their names in weights.json."""
    pair, eight, phrase = fit_first(pieces)
    again = fit_again(pieces)
    stored = {"pair": pair, "eight": eight, "phrase": phrase, "intro": fit_intro(pieces)}
    stored |= dict(zip(("bar_again", "eight_again", "phrase_again"), again, strict=True))
    return {name: [round(float(value), 4) for value in column] for name, column in stored.items()}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folders", type=Path, nargs="+")
    parser.add_argument("--write", action="store_true")
    options = parser.parse_args()
    pieces = [read_piece(path) for folder in options.folders for path in sorted(folder.glob("*.json"))]
    found = fit_all(pieces)
    print({name: len(column) for name, column in found.items()})
    if options.write:
        stored = json.loads(WEIGHTS.read_text(encoding="utf-8")) | found
        WEIGHTS.write_text(json.dumps(stored) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
