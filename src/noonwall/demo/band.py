"""The demo band: plays a plan and writes the pieces of `PIECES` with their exact truth."""

from __future__ import annotations

import importlib
import importlib.util
import json
import wave
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from noonwall.demo.band_arrange import arrange
from noonwall.demo.band_mix import master, mix, room, sounding_end_seconds
from noonwall.demo.band_plan import Plan
from noonwall.demo.band_score import Note, perform
from noonwall.demo.band_truth import fade_gain, fade_span, plan_clock, total_counts, truth_of
from noonwall.demo.band_voices import SAMPLE_RATE
from noonwall.demo.pieces import PIECES, Piece

TAIL_SECONDS = 3.0
RING_SECONDS = 0.7  # the last chord keeps its strength this long


@dataclass(frozen=True, slots=True)
class Rendered:
    """Audio and what is exactly true of it.

    Attributes:
        samples: float32, shape (samples, 2), left and right, within -1 to 1.
        sample_rate: samples a second.
        truth: see `band_truth.truth_of`, with `audio_end`.
    """

    samples: NDArray[np.float32]
    sample_rate: int
    truth: dict[str, Any]


def play(plan: Plan) -> tuple[list[Note], float]:
    """The notes of a plan in seconds and the length of the audio that holds them."""
    clock = plan_clock(plan)
    notes = perform(
        arrange(plan),
        clock,
        swing=plan.swing,
        humanise_seconds=plan.humanise_seconds,
        generator=np.random.default_rng([plan.seed, 3]),
    )
    return notes, float(clock.seconds(total_counts(plan))) + TAIL_SECONDS


def shape_ending(stereo: NDArray[np.float32], plan: Plan) -> None:
    """Fade the song if it fades, or let the last chord die away; rows (2, samples), in place."""
    clock = plan_clock(plan)
    span = fade_span(plan, clock)
    if span is None:
        end = float(clock.seconds(total_counts(plan)))
        span = (end + RING_SECONDS, end + TAIL_SECONDS)
    first = int(span[0] * SAMPLE_RATE)
    times = np.arange(first, stereo.shape[1]) / SAMPLE_RATE
    stereo[:, first:] *= fade_gain(times, span).astype(np.float32)


def render_plan(plan: Plan) -> Rendered:
    """Play a plan through the band's own instruments; the same plan gives the same samples."""
    notes, length_seconds = play(plan)
    rows = mix(notes, length_seconds)
    stereo = rows[:2]
    stereo += room(rows[2])
    shape_ending(stereo, plan)
    samples = master(stereo, drive=plan.drive, peak_dbfs=plan.peak_dbfs)
    truth = truth_of(plan)
    truth["audio_end"] = round(sounding_end_seconds(samples), 6)
    return Rendered(samples, SAMPLE_RATE, truth)


def render(piece: Piece) -> Rendered:
    """Render one demo piece.

    Args:
        piece: a value of `PIECES`.

    Returns:
        Stereo audio at 44.1 kHz with a peak of -1.5 dBFS, and its truth.
    """
    return render_plan(piece.plan)


def write_audio(path: Path, samples: NDArray[np.float32], sample_rate: int) -> Path:
    """Write 16-bit audio beside `path`: flac if the soundfile library is present, otherwise wav.

    Args:
        path: file without suffix.
        samples: shape (samples, channels) or (samples,), within -1 to 1.
        sample_rate: samples a second.

    Returns:
        The file written.
    """
    whole = np.round(np.clip(samples, -1.0, 1.0) * 32767.0).astype("<i2")
    if importlib.util.find_spec("soundfile") is not None:
        target = path.with_name(path.name + ".flac")
        importlib.import_module("soundfile").write(target, whole, sample_rate, subtype="PCM_16")
        return target
    target = path.with_name(path.name + ".wav")
    with wave.open(str(target), "wb") as file:
        file.setnchannels(1 if whole.ndim == 1 else whole.shape[1])
        file.setsampwidth(2)
        file.setframerate(sample_rate)
        file.writeframes(whole.tobytes())
    return target


def write_song(folder: Path, name: str, rendered: Rendered) -> list[Path]:
    """Write the audio and, under the same name, its truth as JSON; returns both files."""
    audio = write_audio(folder / name, rendered.samples, rendered.sample_rate)
    truth = folder / f"{name}.json"
    truth.write_text(json.dumps(rendered.truth, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return [audio, truth]


def write_all(folder: Path) -> list[Path]:
    """Write every demo piece into a folder, which is made if it is missing.

    Raises:
        OSError: the folder cannot be made or written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    return [path for name, piece in PIECES.items() for path in write_song(folder, name, render(piece))]
