"""A song of the demo band with its exact truth, and the invented dance of Harbour Hall laid on it."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import soundfile

from noonwall.demo import PIECES, render
from noonwall.fit import Run, as_danced, fit
from noonwall.floor import dance_run
from noonwall.music.layout import lay
from noonwall.music.map import CERTAINTY_KEYS, MusicMap, laid_out
from noonwall.outputs.film import Wording, film_of_run
from noonwall.outputs.page_data import Film
from tests.outputs.harbour_lights import Speaker, harbour_lights

PIECE = "ferry-was-late"


@lru_cache(maxsize=1)
def _rendered() -> tuple[np.ndarray, int, dict[str, object]]:
    rendered = render(PIECES[PIECE])
    return rendered.samples[::2].mean(axis=1), rendered.sample_rate // 2, rendered.truth


def write_song(folder: Path, name: str = "ferry.mp3") -> Path:
    """Write the song, mono at 22.05 kHz, as the format of its name."""
    samples, rate, _ = _rendered()
    path = folder / name
    soundfile.write(path, samples, rate)
    return path


@lru_cache(maxsize=1)
def true_map() -> MusicMap:
    """The music map that is exactly right for the song: 16 counts of intro, one phrase of 36."""
    truth = _rendered()[2]
    beats = tuple(truth["beats"])
    starts = [min(range(len(beats)), key=lambda b: abs(beats[b] - p[0])) for p in truth["phrases"]]
    end = float(truth["audio_end"])
    sure = dict.fromkeys(CERTAINTY_KEYS, 0.95) | {"phrase_starts": 0.7, "odd_phrases": 0.4}
    empty = MusicMap(float(truth["bpm"]), 4, (), (), (), (), 0, (), end, sure)
    return laid_out(empty, lay(beats, 4, starts, int(truth["intro_counts"]), end))


def ferry_run() -> Run:
    """Harbour Lights Shuffle on this song: the tag of wall 4 takes up the four counts too many."""
    return fit(harbour_lights(), true_map())


def stated_run() -> Run:
    """The same dance with every change as its sheet says; its finish is not its own."""
    run = ferry_run()
    stated = next(other for other in run.alternatives if other.kind == "stated")
    return replace(run, walls=stated.walls, start_count=stated.start_count, wait_counts=stated.wait_counts)


def ferry_film(language: str = "en", run: Run | None = None) -> Film:
    """The film of a run, by default the best one."""
    dance, run = harbour_lights(), run or ferry_run()
    wording = Wording(Speaker(language).step, Speaker(language).figure, language)
    return film_of_run(dance, dance_run(as_danced(dance, run), len(run.walls)), wording)
