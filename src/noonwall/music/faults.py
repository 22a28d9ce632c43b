"""What can be wrong with a song's file or doubtful about a song, and the one sentence that says so.

The sentences are kept by code: the same codes and facts can be worded in another language.
"""

from __future__ import annotations

import re
from pathlib import Path

from noonwall.errors import BrokenFile

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


def remark(code: str, **facts: object) -> str:
    """Return the English sentence of a remark on a song; ``code`` is a key of ``REMARKS``."""
    return REMARKS[code].format(**facts)


def remark_of(sentence: str) -> tuple[str, dict[str, str]]:
    """Return the code and the facts of a sentence made by :func:`remark`; ("", {}) for any other.

    A music map keeps its remarks as sentences, those on a disk too: this is the way back to other languages.
    """
    for code, template in REMARKS.items():
        pattern = re.sub(r"\\\{(\w+)\\\}", r"(?P<\1>.+)", re.escape(template))
        if met := re.fullmatch(pattern, sentence):
            return code, met.groupdict()
    return "", {}
