"""The second look at phrases, the opening and the time signature, on pieces known by construction."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from noonwall.music.beatwise import Beatwise
from noonwall.music.decode import ANALYSIS_RATE_HZ
from noonwall.music.listening import hear
from noonwall.music.map import MusicMap
from noonwall.music.opening import counted_in, describe, intro_phrases
from noonwall.music.passages import unit
from noonwall.music.recurrence import alike
from noonwall.music.spectra import measure
from tests.music.rendered import random_plan, render_random
from tests.music.test_map import counts_between, song


def repeating(lengths: list[int]) -> Beatwise:
    """A piece whose phrases all begin with the same 24 beats; what goes beyond is new every time."""
    rng = np.random.default_rng(5)
    verse = {name: rng.random((24, width)) for name, width in WIDTHS.items()}
    rows: dict[str, list[np.ndarray]] = {name: [] for name in WIDTHS}
    for length in lengths:
        for name, width in WIDTHS.items():
            rows[name].append(verse[name] + 0.05 * rng.random((24, width)))
            rows[name].append(rng.random((length - 24, width)))
    joined = {name: np.concatenate(parts) for name, parts in rows.items()}
    count = sum(lengths)
    return Beatwise(
        np.arange(count + 1) * 0.5,
        joined["sound"],
        unit(joined["chroma"]),
        unit(joined["bass"]),
        joined["rhythm"],
        np.zeros((count, 1)),
    )


WIDTHS = {"sound": 32, "chroma": 12, "bass": 24, "rhythm": 20}


@pytest.mark.parametrize("odd", [28, 34, 36, 40])
def test_an_odd_phrase_shows_where_the_next_begins(odd: int) -> None:
    """Known are the starts before it; the one after it, wherever it lies, is the likest beat around."""
    lengths = [32, 32, odd, 32, 32]
    found = alike(repeating(lengths), [0, 32, 64], 4)
    assert found is not None and found.shape == (sum(lengths), 15)
    after = 64 + odd
    around = found[after - 12 : after + 13, 0]
    assert int(np.argmax(around)) == 12


def test_one_start_teaches_nothing() -> None:
    assert alike(repeating([32, 32]), [0], 4) is None


def test_a_start_is_no_witness_for_itself() -> None:
    """Two starts that are alike in nothing: neither stands out because it was named."""
    rng = np.random.default_rng(8)
    rows = {name: rng.random((128, width)) for name, width in WIDTHS.items()}
    piece = Beatwise(
        np.arange(129) * 0.5,
        rows["sound"],
        unit(rows["chroma"]),
        unit(rows["bass"]),
        rows["rhythm"],
        np.zeros((128, 1)),
    )
    found = alike(piece, [32, 80], 4)
    assert found is not None and max(found[32, 0], found[80, 0]) < 2.5


def with_sound(sound: np.ndarray) -> Beatwise:
    piece = repeating([32] * (sound.shape[0] // 32))
    return dataclasses.replace(piece, sound=sound)


@pytest.mark.parametrize(
    ("silent_beats", "bar", "expected"), [(4, 4, True), (0, 4, False), (8, 4, False), (3, 3, True)]
)
def test_a_bar_without_a_body_is_a_count_in(silent_beats: int, bar: int, expected: bool) -> None:
    sound = np.full((128, 32), 0.5)
    sound[:silent_beats, :16] = 0.001
    assert counted_in(with_sound(sound), bar) is expected


def test_a_short_start_is_an_intro_and_a_thin_one_looks_like_it() -> None:
    piece = with_sound(np.full((160, 32), 0.5))
    assert intro_phrases(piece, [(0, 16), (16, 32), (48, 32)], 32) == (1, 1.0)
    assert intro_phrases(piece, [(0, 8), (8, 16), (24, 32), (56, 32)], 32)[0] == 2
    thin = np.full((160, 32), 0.5)
    thin[:32, 6:] = 0.05
    starts = [0, 32, 64, 96, 128]
    assert (describe(with_sound(thin), starts)[1:6] < -1.0).all()
    assert intro_phrases(with_sound(thin), [(start, 32) for start in starts], 32)[0] == 1


def heard_plan(genre: str, bpm: float, seed: int) -> MusicMap:
    plan = dataclasses.replace(random_plan(seed, genre=genre, length_seconds=50.0), bpm=bpm, drift=0.0)
    rendered = render_random(plan)
    mono = rendered.samples.mean(axis=1)
    step = rendered.sample_rate // ANALYSIS_RATE_HZ
    return hear(measure([mono[: mono.size // step * step].reshape(-1, step).mean(axis=1)]))


def test_six_eighths_are_told_by_their_thirds() -> None:
    heard = heard_plan("six_eight", 100.0, 41001)
    assert heard.bpm == pytest.approx(100.0, rel=1e-3)
    assert heard.time_signature == "6/8" and heard.beats_per_bar == 2


def test_swing_is_no_six_eight() -> None:
    heard = heard_plan("shuffle", 120.0, 41002)
    assert heard.time_signature == "4/4" and heard.swing > 0.6


def test_a_waltz_is_three_four() -> None:
    heard = heard_plan("waltz", 140.0, 41003)
    assert heard.time_signature == "3/4" and heard.beats_per_bar == 3


@pytest.mark.parametrize("bpm", [58.0, 63.0])
def test_night_club_is_counted_slowly(bpm: float) -> None:
    """54 to 64: published range of night-club two-step (C. Duttlinger, country-western tempo ranges)."""
    heard = heard_plan("night_club", bpm, 41004)
    assert heard.bpm == pytest.approx(bpm, rel=1e-3)
    assert any(other.kind == "double" for other in heard.alternatives)


def test_a_twelve_bar_song_has_no_odd_phrases() -> None:
    assert song((16, 48, 48, 49)).odd_phrases == ()
    assert [counts for _, counts in song((16, 48, 52, 48, 48)).odd_phrases] == [52]
    assert [counts for _, counts in song((16, 32, 36, 36)).odd_phrases] == [36]


def test_bars_of_two_make_eights_of_eight() -> None:
    heard = song((32, 34, 32, 32), intro=0, bar=2)
    eights = [heard.nearest_beat(time) for time in heard.eight_starts]
    assert eights[:6] == [0, 8, 16, 24, 32, 40] and 66 in eights
    assert len(heard.bar_starts) == 65 and counts_between(heard) == [32, 34, 32]
