"""The demo pieces: invented songs of the Harbour Hall band, each a short plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from noonwall.demo.band_grooves import GROOVES
from noonwall.demo.band_plan import FULL_BAND, Phrase, Plan

VERSE = FULL_BAND | {"melody"}


@dataclass(frozen=True, slots=True)
class Piece:
    """A demo piece: its title, what it is good for showing, and its plan."""

    title: str
    about: str
    plan: Plan


def _phrase(
    section: str,
    bar: int,
    chords: Sequence[int],
    *,
    layers: frozenset[str] = VERSE,
    extra: int = 0,
    motif: int = 0,
    silent: frozenset[int] = frozenset(),
    fill: bool = True,
) -> Phrase:
    """A phrase of one bar per chord, with one more bar of `extra` counts on the last chord if asked."""
    bars = (bar,) * len(chords) + ((extra,) if extra else ())
    harmony = tuple(chords) + ((chords[-1],) if extra else ())
    return Phrase(
        section,
        bars,
        harmony,
        layers=layers,
        lifted=section == "chorus",
        silent_drum_bars=silent,
        fill=fill,
        motif=motif,
        odd=bool(extra),
    )


INTRO_BAND = frozenset({"drums", "bass", "chords"})
SOFT = frozenset({"chords", "pad", "bass"})


def _harbour_lights() -> Piece:
    verse, chorus = (1, 1, 4, 4, 1, 6, 2, 5), (4, 5, 1, 6, 4, 5, 1, 5)
    phrases = (
        _phrase("intro", 4, (1, 4, 1, 5, 1, 4, 1, 5), layers=INTRO_BAND),
        _phrase("verse", 4, verse),
        _phrase("chorus", 4, chorus, motif=1),
        _phrase("verse", 4, verse),
    )
    plan = Plan(
        "Harbour Lights at Noon",
        GROOVES["rock"],
        112.0,
        phrases,
        32,
        seed=101,
        tonic=62,
        chord_voice="guitar",
        melody_voice="voice",
    )
    return Piece(
        plan.title, "straight 4/4 at 112, a 32-count intro, even phrases, an ending on the one", plan
    )


def _lantern_swing() -> Piece:
    verse, chorus = (1, 1, 4, 4, 5, 4, 1, 5), (4, 4, 1, 6, 2, 5, 1, 1)
    phrases = (
        _phrase("intro", 4, (1, 4, 1, 5), layers=INTRO_BAND),
        _phrase("verse", 4, verse),
        _phrase("chorus", 4, chorus, motif=1),
        _phrase("verse", 4, verse),
        _phrase("chorus", 4, chorus, motif=1),
    )
    plan = Plan(
        "Lantern Room Swing",
        GROOVES["shuffle"],
        126.0,
        phrases,
        32,
        seed=202,
        swing=0.667,
        tonic=65,
        pickup="sticks",
        pickup_counts=4,
        chord_voice="piano",
        melody_voice="brass",
    )
    return Piece(plan.title, "swung at 126, four stick clicks and a 16-count intro", plan)


def _slipway_waltz() -> Piece:
    verse, chorus = (1, 1, 4, 1, 6, 2, 5, 5), (4, 4, 1, 1, 2, 5, 1, 1)
    phrases = (
        _phrase("intro", 3, (1, 5, 1, 5), layers=SOFT),
        _phrase("verse", 3, verse),
        _phrase("verse", 3, verse),
        _phrase("chorus", 3, chorus, motif=1),
        _phrase("verse", 3, verse),
    )
    plan = Plan(
        "The Slipway Waltz",
        GROOVES["waltz"],
        96.0,
        phrases,
        24,
        seed=303,
        tonic=67,
        ending="ritard",
        chord_voice="accordion",
        melody_voice="fiddle",
    )
    return Piece(plan.title, "waltz at 96, 12 waiting counts without drums, slowing into the end", plan)


def _ferry_was_late() -> Piece:
    verse, chorus = (6, 6, 4, 4, 1, 1, 5, 5), (1, 5, 6, 4, 1, 5, 4, 4)
    phrases = (
        _phrase("intro", 4, (6, 4, 1, 5), layers=INTRO_BAND),
        _phrase("verse", 4, verse),
        _phrase("chorus", 4, chorus, motif=1, extra=4),
        _phrase("verse", 4, verse),
        _phrase("chorus", 4, chorus, motif=1),
    )
    plan = Plan(
        "The Ferry Was Late Again",
        GROOVES["disco"],
        120.0,
        phrases,
        32,
        seed=404,
        tonic=60,
        chord_voice="muted_guitar",
        melody_voice="voice",
    )
    return Piece(plan.title, "16-count intro, and four counts too many after the first chorus", plan)


def _cha_cha() -> Piece:
    verse, chorus = (1, 1, 4, 4, 5, 5, 1, 1), (4, 4, 1, 1, 5, 5, 1, 5)
    phrases = (
        _phrase("intro", 4, (1, 4, 5, 1), layers=frozenset({"drums", "chords"})),
        _phrase("verse", 4, verse),
        _phrase("chorus", 4, chorus, motif=1),
        _phrase("verse", 4, verse, silent=frozenset({6, 7}), fill=False),
        _phrase("chorus", 4, chorus, motif=1),
    )
    plan = Plan(
        "Cockle Shell Cha-Cha",
        GROOVES["cha_cha"],
        120.0,
        phrases,
        32,
        seed=505,
        tonic=57,
        minor=True,
        chord_voice="piano",
        melody_voice="brass",
    )
    return Piece(plan.title, "cha-cha at 120 with a two-bar break before the last chorus", plan)


def _last_boat() -> Piece:
    verse, chorus = (1, 5, 6, 4, 1, 5, 4, 5), (4, 1, 5, 6, 4, 1, 5, 5)
    phrases = (
        _phrase("intro", 4, (1, 4), layers=SOFT),
        _phrase("verse", 4, verse),
        _phrase("chorus", 4, chorus, motif=1),
    )
    plan = Plan(
        "Last Boat, Slow Water",
        GROOVES["night_club"],
        62.0,
        phrases,
        32,
        seed=606,
        tonic=64,
        ending="ritard",
        chord_voice="piano",
        melody_voice="voice",
    )
    return Piece(plan.title, "slow night-club feel at 62, counted with eighths", plan)


def _market_day() -> Piece:
    verse, chorus = (1, 1, 4, 1, 1, 1, 5, 5), (4, 4, 1, 1, 5, 5, 1, 1)
    phrases = (
        _phrase("intro", 4, (1, 1, 5, 1), layers=INTRO_BAND),
        _phrase("verse", 4, verse),
        _phrase("chorus", 4, chorus, motif=1),
        _phrase("verse", 4, verse),
        _phrase("chorus", 4, chorus, motif=1),
    )
    plan = Plan(
        "Market Day on Quay Street",
        GROOVES["polka"],
        118.0,
        phrases,
        32,
        seed=707,
        swing=0.6,
        tonic=55,
        pickup="notes",
        pickup_counts=1,
        chord_voice="accordion",
        melody_voice="fiddle",
    )
    return Piece(plan.title, "country polka shuffle at 118 with a one-count pickup", plan)


PIECES: dict[str, Piece] = {
    "harbour-lights": _harbour_lights(),
    "lantern-room-swing": _lantern_swing(),
    "slipway-waltz": _slipway_waltz(),
    "ferry-was-late": _ferry_was_late(),
    "cockle-shell-cha-cha": _cha_cha(),
    "last-boat": _last_boat(),
    "market-day": _market_day(),
}
