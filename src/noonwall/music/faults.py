"""What can be wrong with a song's file or doubtful about a song, and the one sentence that says so.

The sentences are kept by code: the same codes and facts can be worded in another language.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from noonwall.errors import BrokenFile, NoonwallError

FAULTS: dict[str, str] = {
    "sound.folder": "{name} is a folder; name one sound file in it (wav, flac, mp3, ogg or m4a).",
    "sound.missing": "There is no file {path}; check the name and the folder.",
    "sound.permission": "{name} may not be read; give yourself permission to read it.",
    "sound.unreadable": "{name} cannot be read ({reason}); copy it to this machine and try again.",
    "sound.empty": "{name} is empty (0 bytes); fetch or export the song again.",
    "sound.part-missing": "{name} breaks off: {percent}% of it is missing; fetch or export the song again.",
    "sound.text": (
        "{name} holds text, not sound, whatever its name says; choose the song itself "
        "(wav, flac, mp3, ogg or m4a)."
    ),
    "sound.not-sound": (
        "{name} is not a sound file that can be decoded; export it again as wav, flac, mp3, ogg or m4a."
    ),
    "sound.video": "{name} is a video; export its sound as wav, flac, mp3, ogg or m4a and listen to that.",
    "sound.no-track": "{name} has no sound in it; choose a sound file (wav, flac, mp3, ogg or m4a).",
    "sound.too-long": (
        "{name} lasts {length}, more than the {longest} that can be heard in one go; "
        "cut out the one song you dance to."
    ),
    "sound.low-rate": (
        "{name} has a sample rate of {rate_hz} Hz, too low to hear a beat; export it at 44100 Hz."
    ),
    "sound.nothing": (
        "{name} holds no sound that can be decoded; export it again as wav, flac, mp3, ogg or m4a."
    ),
    "sound.breaks-off": "{name} breaks off after {length} of {stated}; fetch or export the song again.",
    "sound.too-short": (
        "{name} lasts only {seconds} seconds, too short to hear eight counts; choose the whole song."
    ),
    "sound.damaged": "{name} is damaged and cannot be decoded; fetch or export the song again.",
    "sound.silent": "{name} is silent from end to end; choose another file or export the song again.",
    "map.not-json": "This is not a music map: line {line} is not JSON; listen to the song again.",
    "map.format": "This is not a music map of format {format}; listen to the song again.",
    "map.damaged": "This music map is damaged ({reason}); listen to the song again.",
    "map.no-beat": "No beat was found in this song, so there is nothing to correct.",
    "map.too-few-beats": "There are too few beats to count at half the tempo.",
    "map.no-counts": "A phrase has at least one count.",
    "map.needs-seconds": "This correction needs a time in seconds.",
    "map.needs-counts": "This correction needs a number of counts.",
    "map.unknown-correction": "{kind} is no correction; known are {known}.",
}

REMARKS: dict[str, str] = {
    "song.no-beat": "No steady beat was found in this audio: it may be speech, noise or free playing.",
    "song.beat-doubtful": (
        "The beat is doubtful: {bpm} beats a minute fit best, but others fit too: {others}; "
        "tap along to check."
    ),
    "song.one-doubtful": "The beats are clear but the one is doubtful: tap the one to set it.",
    "song.phrases-doubtful": (
        "Beats and bars are clear but the phrases are doubtful: check where they start."
    ),
    "song.drifts": "The tempo drifts, as in live playing: see the tempo curve.",
}


def fault(code: str, path: Path, **facts: object) -> BrokenFile:
    """Return the exception for a fault of the file ``path``; ``code`` is a key of ``FAULTS``."""
    filled: dict[str, object] = {"name": path.name, "path": str(path), **facts}
    return BrokenFile(FAULTS[code].format(**filled), code=code, facts=filled)


class CannotCorrect(NoonwallError, ValueError):
    """A correction that cannot be made: its kind is unknown, a number is missing, or there is no beat."""


@dataclass(frozen=True, slots=True)
class Remark:
    """What is doubtful about a song: a key of ``REMARKS`` and the facts that fill its sentence."""

    code: str
    facts: dict[str, str] = field(default_factory=dict)

    @property
    def sentence(self) -> str:
        """The remark in English."""
        return REMARKS[self.code].format(**self.facts)


def map_fault(code: str, **facts: object) -> BrokenFile:
    """Return the exception for a music map that cannot be read."""
    return BrokenFile(FAULTS[code].format(**facts), code=code, facts=facts)


def cannot_correct(code: str, **facts: object) -> CannotCorrect:
    """Return the exception for a correction that cannot be made."""
    return CannotCorrect(FAULTS[code].format(**facts), code=code, facts=facts)
