"""The parts of the band one by one: clock, swing, instruments, grooves, plan and truth."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonwall.demo.band_arrange import LEVELS, arrange, chord_pitches, scale_pitch
from noonwall.demo.band_grooves import GROOVES
from noonwall.demo.band_plan import Phrase, Plan, lay_bars
from noonwall.demo.band_score import Cue, make_clock, perform, swing_position
from noonwall.demo.band_truth import truth_of
from noonwall.demo.band_voices import DRUMS, SAMPLE_RATE, TONES, frequency_hz, wave

places = st.floats(-50, 500, allow_nan=False)
swings = st.floats(0.5, 0.75)


def small_plan(**changes: object) -> Plan:
    phrases = (
        Phrase("intro", (4, 4), (1, 5)),
        Phrase("verse", (4,) * 4 + (2,), (1, 4, 5, 1, 1), odd=True, silent_drum_bars=frozenset({3})),
        Phrase("chorus", (4,) * 4, (1, 4, 5, 1), layers=frozenset({"drums", "melody"}), lifted=True),
    )
    values: dict[str, object] = {
        "title": "Test of the Slipway",
        "groove": GROOVES["rock"],
        "bpm": 120.0,
        "phrases": phrases,
        "phrase_counts": 16,
        "seed": 9,
        "silence_seconds": 0.5,
        "pickup": "sticks",
        "pickup_counts": 2,
    }
    return Plan(**{**values, **changes})  # type: ignore[arg-type]


@given(places, swings)
def test_swing_moves_only_what_lies_between_counts(place: float, swing: float) -> None:
    bent = float(swing_position(place, swing))
    assert np.floor(bent) == np.floor(place) or bent == pytest.approx(np.floor(place) + 1)
    assert bent >= place - 1e-9
    assert float(swing_position(np.floor(place), swing)) == np.floor(place)
    assert float(swing_position(np.floor(place) + 0.5, swing)) == pytest.approx(np.floor(place) + swing)


@given(st.lists(places, min_size=2, max_size=8), swings)
def test_swing_keeps_the_order(positions: list[float], swing: float) -> None:
    assert np.all(np.diff(swing_position(sorted(positions), swing)) >= 0.0)


def test_clock_by_hand() -> None:
    clock = make_clock(np.array([0.5, 0.5, 1.0]), first=-1, start_seconds=2.0)
    assert clock.seconds([-1, 0, 1, 2]).tolist() == [2.0, 2.5, 3.0, 4.0]
    assert float(clock.seconds(1.25)) == 3.25
    # Outside its counts the clock keeps the nearest pace.
    assert float(clock.seconds(3)) == 5.0
    assert float(clock.seconds(-2)) == 1.5


def test_human_error_is_bounded_and_measured() -> None:
    cues = [Cue("hat", float(place), 0.2, 0, 0.5) for place in range(2000)]
    clock = make_clock(np.full(2000, 0.5), first=0, start_seconds=1.0)
    notes = perform(cues, clock, swing=0.5, humanise_seconds=0.006, generator=np.random.default_rng(3))
    error = np.array([note.start_seconds for note in notes]) - (1.0 + 0.5 * np.arange(2000))
    assert np.abs(error).max() <= 0.0150001
    assert 0.0052 < error.std() < 0.0064
    assert abs(error.mean()) < 0.0006


@pytest.mark.parametrize("voice", sorted(TONES))
def test_tones_sound_at_their_pitch(voice: str) -> None:
    """A4 is 440 Hz (ISO 16:1975): the strongest low partial lies on a multiple of the note's frequency."""
    sound = wave(voice, 69)
    spectrum = np.abs(np.fft.rfft(sound, 8 * sound.size))
    strongest = float(np.argmax(spectrum)) * SAMPLE_RATE / (8 * sound.size)
    harmonic = max(round(strongest / 440.0), 1)
    assert abs(1200 * np.log2(strongest / (440.0 * harmonic))) < 12


def test_octaves_double() -> None:
    assert frequency_hz(69) == 440.0
    assert frequency_hz(57) == pytest.approx(220.0)
    # Middle C in equal temperament, 261.63 Hz (from memory).
    assert frequency_hz(60) == pytest.approx(261.63, abs=0.01)


@pytest.mark.parametrize("voice", [*sorted(DRUMS), *sorted(TONES)])
def test_instruments_start_at_once_and_end_in_silence(voice: str) -> None:
    sound = wave(voice, 0 if voice in DRUMS else 60)
    assert sound.dtype == np.float32
    assert np.abs(sound).max() == pytest.approx(1.0, abs=1e-5)
    assert sound[0] == 0.0 and sound[-1] == 0.0
    assert np.abs(sound[: round(0.03 * SAMPLE_RATE)]).max() > 0.15
    if voice in DRUMS and voice not in ("shaker", "guiro"):
        assert np.abs(sound[: round(0.004 * SAMPLE_RATE)]).max() > 0.3
    assert abs(float(sound.mean())) < 1e-5


# Counts a minute. WDSF-derived and NDCA figures as printed by the Polish Dance Society and CentralHome;
# country-western figures from a teacher's list (C. Duttlinger), not a federation document.
PUBLISHED_BPM = {
    "cha_cha": [(120, 128), (96, 118)],
    "slow_waltz": [(84, 90), (76, 98)],
    "waltz": [(84, 90), (174, 180)],
    "jive": [(168, 176), (136, 144)],
    "west_coast": [(112, 128)],
    "polka": [(120, 124), (104, 124)],
    "two_four": [(120, 124), (104, 124)],
    "night_club": [(54, 64)],
    "disco": [(104, 121)],
    "shuffle": [(124, 140)],
}


@pytest.mark.parametrize("name", sorted(PUBLISHED_BPM))
def test_groove_tempos_meet_the_published_ranges(name: str) -> None:
    low, high = GROOVES[name].tempo_bpm
    for published_low, published_high in PUBLISHED_BPM[name]:
        overlap = min(high, published_high) - max(low, published_low)
        assert overlap >= 0.7 * (published_high - published_low)


@pytest.mark.parametrize("name", sorted(GROOVES))
def test_grooves_are_well_formed(name: str) -> None:
    groove = GROOVES[name]
    for pattern in [*groove.drums.values(), *groove.lift.values(), groove.chords]:
        assert set(pattern) <= set(LEVELS) | {"."}
    assert set(groove.bass) <= set("R35678a.")
    assert groove.bass[0] == "R"
    assert set(groove.drums) | set(groove.lift) <= set(DRUMS)
    assert set(groove.chord_voices) <= set(TONES)
    assert all(0.5 <= swing <= 0.75 for swing in groove.swings)


def test_scale_and_chords_by_hand() -> None:
    plan = small_plan(tonic=60)
    assert [scale_pitch(plan, degree) for degree in range(8)] == [60, 62, 64, 65, 67, 69, 71, 72]
    assert {pitch % 12 for pitch in chord_pitches(plan, 1)} == {0, 4, 7}
    assert {pitch % 12 for pitch in chord_pitches(plan, 5)} == {7, 11, 2}
    minor = small_plan(tonic=57, minor=True)
    assert {pitch % 12 for pitch in chord_pitches(minor, 1)} == {9, 0, 4}
    assert {pitch % 12 for pitch in chord_pitches(minor, 5)} == {4, 8, 11}


def test_bars_are_laid_end_to_end() -> None:
    bars = lay_bars(small_plan())
    assert [bar.start for bar in bars] == [0, 4, 8, 12, 16, 20, 24, 26, 30, 34, 38]
    assert [bar.last for bar in bars] == [
        False,
        True,
        False,
        False,
        False,
        False,
        True,
        False,
        False,
        False,
        True,
    ]
    assert bars[1].next_chord == 1 and bars[2].next_chord == 4


def test_truth_by_hand() -> None:
    """Two stick clicks, 8 counts of intro, a phrase of 18, one of 16, a last chord; half a second each."""
    truth = truth_of(small_plan())
    at = [0.5 + 0.5 * count for count in range(2 + 8 + 18 + 16 + 1)]
    one = 2  # the first bar's one is the third beat
    assert truth["beats"] == pytest.approx(at)
    bars = [0, 4, 8, 12, 16, 20, 24, 26, 30, 34, 38, 42]
    assert truth["bar_starts"] == pytest.approx([at[one + count] for count in bars])
    assert truth["phrase_starts"] == pytest.approx([at[one + 8], at[one + 26]])
    assert truth["eight_starts"] == pytest.approx([at[one + count] for count in (0, 8, 16, 24, 26, 34)])
    assert truth["intro_counts"] == 8
    assert truth["odd_phrases"] == [[pytest.approx(at[one + 8]), 18]]
    assert truth["breaks"] == [[pytest.approx(at[one + 20]), pytest.approx(at[one + 24])]]
    assert truth["drums_in"] == pytest.approx(at[one])
    assert truth["melody_in"] == pytest.approx(at[one + 26])


def test_fade_claims_no_beat_that_cannot_be_heard() -> None:
    hit, fade = truth_of(small_plan()), truth_of(small_plan(ending="fade"))
    assert len(fade["beats"]) < len(hit["beats"]) - 1
    assert fade["beats"] == hit["beats"][: len(fade["beats"])]


def test_drift_stays_within_its_bound() -> None:
    truth = truth_of(small_plan(drift=0.012))
    periods = np.diff(truth["beats"])
    assert not truth["steady"]
    assert np.abs(periods / 0.5 - 1.0).max() <= 0.01201
    assert periods.std() > 0.0005


def test_players_keep_to_their_layers() -> None:
    cues = arrange(small_plan(ending="cold"))
    chorus = {cue.voice for cue in cues if cue.position >= 26}
    assert chorus <= set(DRUMS) | {"voice"}
    assert "voice" in chorus
    assert not any(cue.voice == "voice" for cue in cues if cue.position < 26)
    drums_in_break = {cue.voice for cue in cues if 20 < cue.position < 24 and cue.voice in DRUMS}
    assert not drums_in_break
    assert min(cue.position for cue in cues) == -2.0
    assert all(cue.position < 42 for cue in cues)


def test_a_repeated_verse_repeats_its_tune() -> None:
    verse = Phrase("verse", (4,) * 8, (1, 4, 5, 1) * 2, layers=frozenset({"melody"}))
    cues = arrange(small_plan(phrases=(verse, verse), ending="cold", pickup="none", pickup_counts=0))
    first = [(cue.position, cue.pitch) for cue in cues if cue.position < 32]
    second = [(cue.position - 32, cue.pitch) for cue in cues if cue.position >= 32]
    assert first == second and len(first) > 8
    assert all(55 <= pitch <= 90 for _, pitch in first)


@pytest.mark.parametrize("minor", [False, True])
@pytest.mark.parametrize("seed", range(6))
def test_the_tune_agrees_with_the_chords_on_the_counts(seed: int, minor: bool) -> None:
    chords = (1, 4, 5, 6, 2, 5, 1, 1)
    verse = Phrase("verse", (4,) * 8, chords, layers=frozenset({"melody"}))
    plan = small_plan(phrases=(verse,), ending="cold", pickup="none", pickup_counts=0, seed=seed, minor=minor)
    on_count = [cue for cue in arrange(plan) if cue.position % 1.0 == 0.0]
    assert len(on_count) > 6
    for cue in on_count:
        allowed = {pitch % 12 for pitch in chord_pitches(plan, chords[int(cue.position) // 4])}
        assert cue.pitch % 12 in allowed


@pytest.mark.parametrize("groove", sorted(GROOVES))
def test_every_groove_plays_every_layer(groove: str) -> None:
    """A bar of each groove has a bass root on its one, chords and drums, all inside the bar."""
    usual = GROOVES[groove].beats_per_bar
    phrase = Phrase("chorus", (usual,) * 2, (1, 4), lifted=True, fill=False)
    voice = GROOVES[groove].chord_voices[0]
    plan = small_plan(
        groove=GROOVES[groove],
        phrases=(phrase,),
        ending="cold",
        pickup="none",
        pickup_counts=0,
        chord_voice=voice,
    )
    cues = arrange(plan)
    assert {"bass", "pad", voice} <= {cue.voice for cue in cues}
    assert all(0.0 <= cue.position < 2 * usual for cue in cues)
    roots = {cue.position: cue.pitch % 12 for cue in cues if cue.voice == "bass"}
    assert roots[0.0] == plan.tonic % 12
    drums = {cue.position for cue in cues if cue.voice in DRUMS}
    assert 0.0 in drums or groove == "one_drop"
    assert len(drums) >= 2 * usual
