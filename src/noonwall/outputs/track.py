"""One practice track: the music at a speed, the voice over it, levelled to a published loudness, written."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import log10
from pathlib import Path
from types import MappingProxyType

import numpy as np

from noonwall.outputs.click import Click, ClickMusic
from noonwall.outputs.loudness import loudness_with, measure, true_peaks
from noonwall.outputs.mixing import Curve, Mixture, Placed, limit_curve
from noonwall.outputs.sound_file import BLOCK_SECONDS, TRACK_RATE_HZ, Samples, open_raw, stereo_blocks
from noonwall.outputs.stretch import Music, Piece, SlowedMusic, WholeMusic, pieces_of, write_raw
from noonwall.outputs.track_files import FORMATS, write_sound
from noonwall.outputs.whole_file import write_whole

TARGETS_LUFS: Mapping[str, float] = MappingProxyType({"music": -16.0, "broadcast": -23.0})
"""Integrated loudness by ITU-R BS.1770-4. "music": AES TD1008 (2021), tracks of music that are levelled one
by one, so that practice tracks sit between other songs on the same phone and nobody turns up for them and
is then blasted; "broadcast": EBU R 128, for who films or broadcasts."""

CEILING_DB = -1.3
LOSSY_CEILING_DB = -2.3
"""Highest true peak, dBTP, before writing. EBU R 128 and AES TD1008 ask for at most -1; the rest is for
meters that differ by some tenths, and for what lossy codecs add (about 1 dB; measured in the tests)."""

EDITION = 3
"""To be raised when the same order makes another track, so that nothing kept from before is taken for it."""

BETWEEN_SAMPLES_DB = 3.5
"""Where samples stay this far below the ceiling nothing between them is looked for: full-scale music
exceeds its samples by up to about 3 dB between them (from memory; more is possible only in tones near half
the sample rate)."""

SILENT_LUFS = -70.0
"""The absolute gate of ITU-R BS.1770-4: below it there is nothing to level."""

MOST_TURNS = 8
NEAR_ENOUGH_LU = 0.02


@dataclass(frozen=True, slots=True)
class SongAtHand:
    """A song decoded once, and cut into pieces to be stretched.

    Attributes:
        folder: where it and what is made of it is kept.
        size: its samples.
        pieces: to be stretched.
    """

    folder: Path
    size: int
    pieces: tuple[Piece, ...]

    @property
    def raw(self) -> Path:
        """The file of its samples."""
        return self.folder / "song.f32"

    @property
    def level(self) -> Path:
        """The file of its loudness."""
        return self.folder / "lufs.txt"

    def lufs(self) -> float:
        """Return its loudness, measured once."""
        measure_song(self.raw, self.level)
        return float(self.level.read_text("ascii"))

    def stretched(self, speed: float) -> tuple[Path, ...]:
        """Return where the stretched pieces are kept."""
        return tuple(
            self.folder / f"{EDITION}-{speed:.4f}-{number}.f32" for number in range(len(self.pieces))
        )

    def music(self, speed: float) -> Music:
        """Return the song at a speed; its pieces must have been stretched."""
        if speed == 1.0:
            return WholeMusic(open_raw(self.raw))
        return SlowedMusic(self.stretched(speed), self.pieces, speed, self.size)


@dataclass(frozen=True, slots=True)
class TrackJob:
    """All that one track is made of; it can be handed to another process.

    Attributes:
        out: the file.
        form: a name of ``track_files.FORMATS``.
        tags: see ``track_files.write_sound``.
        speed: 1 is full speed.
        placed: the texts.
        song: the song, None for a click.
        offset: sample at which the song begins.
        clicks: the clicks, or those before the song.
        size: samples of the music of a click.
        target_lufs: loudness.
    """

    out: Path
    form: str
    tags: Mapping[str, str]
    speed: float
    placed: tuple[Placed, ...]
    song: SongAtHand | None
    offset: int
    clicks: tuple[Click, ...]
    size: int
    target_lufs: float = TARGETS_LUFS["music"]

    @property
    def seconds(self) -> float:
        """About how long the track is."""
        return self.size / TRACK_RATE_HZ

    def mark(self) -> str:
        """Return a text that differs as soon as the track would."""
        held = hashlib.sha256(f"{EDITION} {self.form} {sorted(self.tags.items())}".encode())
        held.update(f"{self.speed} {self.offset} {self.size} {self.target_lufs} {self.clicks}".encode())
        held.update(f"{self.song.folder.name if self.song else ''}".encode())
        for each in self.placed:
            held.update(f"{each.at} {each.gain}".encode() + each.spoken.samples.tobytes())
        return held.hexdigest()


@dataclass(frozen=True, slots=True)
class TrackMade:
    """A file: its length, its loudness (LUFS) before the codec, and whether it was there already."""

    out: Path
    seconds: float
    lufs: float
    is_kept: bool = False


def song_at_hand(song: Path, cache: Path) -> SongAtHand:
    """Decode a song into the cache, once for its content, and cut it.

    Raises:
        BrokenFile: it cannot be decoded.
        OSError: the cache cannot be written.
    """
    with song.open("rb") as file:
        name = hashlib.file_digest(file, "sha256").hexdigest()[:24]
    folder = cache / name
    folder.mkdir(parents=True, exist_ok=True)
    raw = folder / "song.f32"
    if not raw.exists():
        write_raw(raw, stereo_blocks(song))
    raw.touch()  # the cache is emptied by age
    samples = open_raw(raw)
    return SongAtHand(folder, samples.shape[0], pieces_of(samples))


def measure_song(raw: Path, level: Path) -> None:
    """Write the loudness of a raw file beside it, unless it is there (for other processes)."""
    if not level.exists():
        write_whole(level, f"{measure(_in_blocks(open_raw(raw))).lufs:.4f}".encode())


def _in_blocks(samples: Samples) -> Iterator[Samples]:
    step = BLOCK_SECONDS * TRACK_RATE_HZ
    for start in range(0, samples.shape[0], step):
        yield samples[start : start + step]


def make_track(job: TrackJob, stopped: Callable[[], bool] | None = None) -> TrackMade:
    """Mix, level and write one track.

    Args:
        job: what.
        stopped: asked every ten seconds of sound; if it says yes, nothing is written.

    Raises:
        InterruptedError: it was stopped.
        NoonwallError: the file cannot be written.
    """
    mixture = mixture_of(job)
    ceiling = 10.0 ** ((LOSSY_CEILING_DB if FORMATS[job.form].is_lossy else CEILING_DB) / 20.0)
    gain, limit, lufs = _levelled(mixture, job.target_lufs, ceiling, stopped)
    write_sound(job.out, _watched(mixture.blocks(gain, limit), stopped), job.form, job.tags)
    return TrackMade(job.out, mixture.size / TRACK_RATE_HZ, lufs)


def mixture_of(job: TrackJob) -> Mixture:
    """Return the track of a job before it is levelled."""
    clicks = ClickMusic(job.clicks, job.size)
    if job.song is None:
        return Mixture(clicks, job.placed, measure(_of_music(clicks)).lufs)
    under = ClickMusic(job.clicks, max(0, job.offset + TRACK_RATE_HZ)) if job.clicks else None
    return Mixture(job.song.music(job.speed), job.placed, job.song.lufs(), job.offset, under)


def _of_music(music: Music) -> Iterator[Samples]:
    # a quarter of a minute tells how loud a click is
    yield music.read(0, min(music.size, 15 * TRACK_RATE_HZ))


def _levelled(
    mixture: Mixture, target_lufs: float, ceiling: float, stopped: Callable[[], bool] | None
) -> tuple[float, Curve | None, float]:
    """Find gain and limiter that bring a mixture to its loudness under its ceiling, and that loudness.

    A limiter takes away some loudness, so gain and limiter are found in turn; mostly none is needed and the
    first measurement does.
    """
    plain = measure(_watched(mixture.blocks(), stopped))
    if plain.lufs < SILENT_LUFS:
        return 1.0, None, plain.lufs
    gain = 10.0 ** ((target_lufs - plain.lufs) / 20.0)
    if plain.peak_db + 20 * log10(gain) + BETWEEN_SAMPLES_DB <= 20 * log10(ceiling):
        return gain, None, target_lufs
    peaks = true_peaks(_watched(mixture.blocks(), stopped))
    for _ in range(MOST_TURNS):
        limit = limit_curve(peaks, gain, ceiling)
        lufs = loudness_with(plain.powers, limit * np.float32(gain))
        if abs(lufs - target_lufs) <= NEAR_ENOUGH_LU:
            break
        gain *= 10.0 ** ((target_lufs - lufs) / 20.0)
    return gain, limit, lufs


def _watched(blocks: Iterable[Samples], stopped: Callable[[], bool] | None) -> Iterator[Samples]:
    for block in blocks:
        if stopped is not None and stopped():
            raise InterruptedError("stopped")
        yield block
