"""The demo pieces: their truth against hand-counted expectations, their sound against their truth."""

from __future__ import annotations

import json
import time
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import mir_eval
import numpy as np
import pytest

from noonwall.demo import PIECES, Rendered, render

EXPECTED: dict[str, dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "pieces_expected.toml").read_text(encoding="utf-8")
)
NAMES = sorted(EXPECTED)


@cache
def rendered(name: str) -> Rendered:
    return render(PIECES[name])


def onset_strength(samples: np.ndarray, hop: int = 220) -> np.ndarray:
    """Rise of the level from one 5 ms frame to the next, written here apart from the package."""
    mono = samples.astype(np.float64).mean(axis=1)
    # A first difference lifts the attacks of drums over held notes.
    frames = np.diff(mono)[: (mono.size - 1) // hop * hop].reshape(-1, hop)
    energy = np.sqrt((frames**2).mean(axis=1))
    return np.asarray(np.maximum(np.diff(energy, prepend=energy[0]), 0.0))


def test_every_piece_has_an_expectation() -> None:
    assert sorted(PIECES) == NAMES
    assert len(PIECES) >= 6
    assert len({piece.title for piece in PIECES.values()}) == len(PIECES)


@pytest.mark.parametrize("name", NAMES)
def test_truth_is_what_was_meant(name: str) -> None:
    truth, expected = rendered(name).truth, EXPECTED[name]
    for key in ("bpm", "beats_per_bar", "swing", "intro_counts", "pickup_counts"):
        assert truth[key] == expected[key], key
    assert [counts for _, counts, section in truth["phrases"] if section != "intro"] == expected["phrases"]
    beats = truth["beats"]
    first = expected["pickup_counts"]
    odd = [[beats.index(start) - first, counts] for start, counts in truth["odd_phrases"]]
    assert odd == expected["odd"]
    starts, place = [], expected["intro_counts"]
    for counts in expected["phrases"]:
        starts.append(beats[first + place])
        place += counts
    assert truth["phrase_starts"] == starts


@pytest.mark.parametrize("name", NAMES)
def test_beats_are_even_until_the_ending(name: str) -> None:
    truth = rendered(name).truth
    slow = 2 * truth["beats_per_bar"] if truth["ending"] == "ritard" else 0
    beats = np.array(truth["beats"])
    steady = np.diff(beats[: beats.size - slow - 1])
    assert np.allclose(steady, 60.0 / EXPECTED[name]["bpm"], atol=2e-6)
    if slow:
        assert np.all(np.diff(beats)[-slow:] > 1.02 * 60.0 / EXPECTED[name]["bpm"])


@pytest.mark.parametrize("name", NAMES)
def test_sound_is_clean(name: str) -> None:
    piece = rendered(name)
    assert piece.samples.dtype == np.float32
    assert piece.samples.ndim == 2 and piece.samples.shape[1] == 2
    assert piece.sample_rate == 44_100
    assert 60.0 <= piece.samples.shape[0] / piece.sample_rate <= 100.0
    assert np.isfinite(piece.samples).all()
    peak = float(np.abs(piece.samples).max())
    assert 0.5 < peak < 10.0 ** (-1.0 / 20.0)
    assert np.abs(piece.samples.mean(axis=0)).max() < 1e-4
    # It ends in silence, not in a cut.
    assert np.abs(piece.samples[-200:]).max() < 2e-3
    assert truth_end_is_heard(piece)


def truth_end_is_heard(piece: Rendered) -> bool:
    end = round(piece.truth["audio_end"] * piece.sample_rate)
    loud = np.abs(piece.samples).max()
    before, after = piece.samples[end - 4410 : end], piece.samples[end:]
    return bool(np.abs(before).max() > 1e-3 * loud and np.abs(after).max(initial=0.0) <= 1.001e-3 * loud)


@pytest.mark.parametrize("name", NAMES)
def test_sound_follows_the_truth(name: str) -> None:
    """Onsets gather on the claimed beats, and on no grid a quarter count away."""
    piece = rendered(name)
    strength = onset_strength(piece.samples)
    beats = np.array(piece.truth["beats"][:-1])
    period = 60.0 / piece.truth["bpm"]

    def gathered(shift: float) -> float:
        frames = np.floor((beats + shift) * 44_100 / 220).astype(int)
        near = np.stack([strength[np.clip(frames + k, 0, strength.size - 1)] for k in (0, 1, 2)])
        return float(near.max(axis=0).mean())

    on = gathered(0.0)
    assert all(on > 1.3 * gathered(shift * period) for shift in (-0.37, -0.2, 0.12, 0.2, 0.37))


@pytest.mark.parametrize("name", NAMES)
def test_loudest_onsets_are_beats_or_their_halves(name: str) -> None:
    """Strong onsets lie within 25 ms of a beat or of its swung half (mir_eval.util.match_events)."""
    piece = rendered(name)
    strength = onset_strength(piece.samples)
    beats = np.array(piece.truth["beats"])
    # As many onsets as beats, so that a slow piece is not judged by its faint sixteenths.
    strong = np.sort(np.argsort(strength)[-beats.size :])
    strong = strong[np.diff(strong, prepend=-10) > 4]
    onsets = (strong + 0.5) * 220 / 44_100
    halves = beats[:-1] + piece.truth["swing"] * np.diff(beats)
    grid = np.sort(np.concatenate([beats, halves]))
    matched = mir_eval.util.match_events(grid, onsets, 0.025)
    assert len(matched) / onsets.size > 0.8


def test_same_piece_same_samples() -> None:
    again = render(PIECES["last-boat"])
    assert np.array_equal(again.samples, rendered("last-boat").samples)
    assert again.truth == rendered("last-boat").truth


def test_rendering_is_quick() -> None:
    start = time.process_time()
    render(PIECES["harbour-lights"])
    assert time.process_time() - start < 2.0


@pytest.mark.parametrize("name", NAMES)
def test_truth_is_plain_json(name: str) -> None:
    truth = rendered(name).truth
    assert json.loads(json.dumps(truth)) == truth
