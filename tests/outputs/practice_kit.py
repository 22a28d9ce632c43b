"""Made for tests of practice tracks: cue sheets by hand, known sounds, and ears that are not ours."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import soundfile
from numpy.typing import NDArray

from noonwall.outputs.sound_file import TRACK_RATE_HZ
from noonwall.outputs.voice import Saying
from noonwall.teach.cue import Beat, Cue, CueSheet

NUMBERS = {
    "en": ("one", "two", "three", "four", "five", "six", "seven", "eight"),
    "fr": ("un", "deux", "trois", "quatre", "cinq", "six", "sept", "huit"),
}
AND = {"en": "and", "fr": "et"}
Sound = NDArray[np.float32]


# --- cue sheets --------------------------------------------------------------------------------------------


def counted_sheet(
    language: str, bpm: float, counts: int = 16, *, first_seconds: float = 2.5, count_in: bool = True
) -> CueSheet:
    """Return a sheet that counts in and then counts eights at an even tempo."""
    period = 60.0 / bpm
    start = first_seconds
    beats = tuple(
        Beat(
            count,
            start + count * period,
            count % 8 + 1 if count >= 0 else 0,
            "wall" if count >= 0 else "intro",
        )
        for count in range(-4 if count_in else 0, counts)
    )
    cues = tuple(count_cue(language, beat.count, beat.seconds, period) for beat in beats)
    return CueSheet("Lanterns on the Quay", (language,), beats, cues, (), beats[-1].seconds + period)


def count_cue(language: str, count: int, seconds: float, period: float) -> Cue:
    """Return the cue of one number on its beat."""
    kind = "count-in" if count < 0 else "count"
    said = (NUMBERS[language][count % 8],)
    facts = (("count", str(count % 8 + 1)),)
    return Cue(kind, Fraction(count), seconds, seconds, seconds + period, said, facts)  # type: ignore[arg-type]


def call_cue(words: str, starts: float, until: float, on: int = 0) -> Cue:
    """Return a call that has from ``starts`` to ``until``."""
    return Cue("call", Fraction(on), until, starts, until, (words,))


# --- sounds ------------------------------------------------------------------------------------------------


def write_song(path: Path, left: NDArray[np.float64], right: NDArray[np.float64] | None = None) -> Path:
    """Write a stereo song of 16 bits."""
    both = np.stack((left, left if right is None else right), axis=1)
    soundfile.write(path, both, TRACK_RATE_HZ, subtype="PCM_16")
    return path


def clicks_at(times: list[float], seconds: float) -> NDArray[np.float64]:
    """Return short clicks, each beginning at its time."""
    whole = np.zeros(round(seconds * TRACK_RATE_HZ))
    n = np.arange(400)
    click = 0.6 * np.sin(2 * np.pi * 1500 * n / TRACK_RATE_HZ) * np.exp(-n / 80)
    for time in times:
        start = round(time * TRACK_RATE_HZ)
        whole[start : start + click.size] += click[: whole.size - start]
    return whole


@dataclass
class ToneVoice:
    """A voice of pure tones whose length is known: ``seconds`` for each word at 170 words a minute."""

    seconds: float = 0.3
    name: str = "tones"
    languages: tuple[str, ...] = ("en", "fr")
    asked: int = 0

    def say(self, text: str, language: str, rate: int) -> Saying:
        self.asked += 1
        count = round(self.seconds * len(text.split()) * 170 / rate * TRACK_RATE_HZ)
        tone = 0.4 * np.sin(2 * np.pi * 300 * np.arange(count) / TRACK_RATE_HZ)
        quiet = np.zeros(round(0.03 * TRACK_RATE_HZ))
        return Saying(np.concatenate((quiet, tone)).astype(np.float32), TRACK_RATE_HZ, 0.03)

    def close(self) -> None:
        pass


# --- ears --------------------------------------------------------------------------------------------------


def decoded(path: Path) -> Sound:
    """Decode a file to stereo at 44.1 kHz with FFmpeg alone."""
    with av.open(str(path)) as container:
        turned = av.AudioResampler(format="fltp", layout="stereo", rate=TRACK_RATE_HZ)
        pieces = [
            made.to_ndarray().T for frame in container.decode(audio=0) for made in turned.resample(frame)
        ]
    return np.concatenate(pieces)


def _through(samples: Sound, name: str, options: str) -> Iterator[dict[str, str]]:
    """Run a stereo sound through one of FFmpeg's filters and give what it says of every frame."""
    graph = av.filter.Graph()
    source = graph.add_abuffer(sample_rate=TRACK_RATE_HZ, format="fltp", layout="stereo")
    heard, sink = graph.add(name, options), graph.add("abuffersink")
    source.link_to(heard)
    heard.link_to(sink)
    graph.configure()
    size = 1323  # 30 ms: no more than one silence ends in it
    for start in range(0, samples.shape[0], size):
        piece = np.ascontiguousarray(samples[start : start + size].T)
        frame = av.AudioFrame.from_ndarray(piece, format="fltp", layout="stereo")
        frame.sample_rate, frame.pts = TRACK_RATE_HZ, start
        source.push(frame)
        while True:
            try:
                yield dict(sink.pull().metadata)
            except (av.error.BlockingIOError, av.error.EOFError):
                break


def loudness_by_ffmpeg(samples: Sound) -> tuple[float, float]:
    """Return integrated loudness (LUFS) and true peak (dBTP) by FFmpeg's meter, its filter ``ebur128``."""
    last: dict[str, str] = {}
    for told in _through(samples, "ebur128", "metadata=1:peak=true"):
        last = told or last
    peak = max(float(last["lavfi.r128.true_peaks_ch0"]), float(last["lavfi.r128.true_peaks_ch1"]))
    return float(last["lavfi.r128.I"]), 20 * float(np.log10(peak))


def onsets_by_ffmpeg(samples: Sound, quiet_db: float) -> NDArray[np.float64]:
    """Return where silence ends by FFmpeg's filter ``silencedetect``, seconds: an onset detector not ours.

    ``quiet_db`` is below the loudest sample; silence lasts 30 ms or more.
    """
    floor = quiet_db + 20 * np.log10(np.abs(samples).max())
    found = [
        float(value)
        for told in _through(samples, "silencedetect", f"noise={floor:.1f}dB:d=0.03")
        for key, value in told.items()
        if re.fullmatch(r"lavfi\.silence_end(\.\d+)?", key)
    ]
    return np.array(sorted(set(found)))


def onsets_by_rise(samples: Sound) -> NDArray[np.float64]:
    """Return where the level of each sound, in windows of 10 ms, comes within 20 dB of its loudest, seconds.

    Sounds are parted by 30 ms that are 35 dB below the loudest of all.
    """
    mono = samples.mean(axis=1).astype(np.float64)
    hop = TRACK_RATE_HZ // 1000
    hops = mono.size // hop
    power = np.convolve((mono[: hops * hop] ** 2).reshape(hops, hop).mean(axis=1), np.ones(10) / 10, "same")
    level = 10 * np.log10(power + 1e-12)
    loud = level > level.max() - 35
    edges = np.flatnonzero(np.diff(np.concatenate(([False], loud, [False])).astype(int)))
    spans = list(zip(edges[::2], edges[1::2], strict=True))
    joined: list[list[int]] = []
    for start, stop in spans:
        if joined and start - joined[-1][1] < 30:
            joined[-1][1] = stop
        else:
            joined.append([start, stop])
    return np.array(
        [
            (start + int(np.argmax(level[start:stop] > level[start:stop].max() - 20))) * hop / TRACK_RATE_HZ
            for start, stop in joined
        ]
    )


def errors_ms(found: NDArray[np.float64], wanted: list[float]) -> NDArray[np.float64]:
    """Return how far the nearest found time is from each wanted one, milliseconds."""
    return np.array([1000 * (found[np.argmin(np.abs(found - time))] - time) for time in wanted])


def pitch_hz(samples: NDArray[np.float32], near_hz: float) -> float:
    """Return the frequency of a steady tone by its spectrum, between bins by a parabola."""
    size = 1 << 20
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(samples.size), size))
    width = TRACK_RATE_HZ / size
    low, high = int(near_hz * 0.9 / width), int(near_hz * 1.1 / width)
    peak = low + int(np.argmax(spectrum[low:high]))
    below, top, above = np.log(spectrum[peak - 1 : peak + 2])
    return float((peak + 0.5 * (below - above) / (below - 2 * top + above)) * width)
