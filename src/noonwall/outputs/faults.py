"""Why a thing cannot be made or written, and the one sentence that says so.

The sentences are kept by code: the same codes and facts can be worded in another language.
"""

from __future__ import annotations

from typing import TypeVar

from noonwall.errors import NoonwallError

Kind = TypeVar("Kind", bound=NoonwallError)

FAULTS: dict[str, str] = {
    "write.is-folder": "{path} is a folder; give the name of a file in it.",
    "write.no-folder": "{folder} is not a folder; make it first or name another.",
    "write.failed": "{path} could not be written ({reason}); choose another place.",
    "page.song-too-large": (
        "{name} has {megabytes} MB, more than the {most} MB that a page can hold; save it as mp3 first, or "
        "let the page refer to it."
    ),
    "page.no-corrections": (
        "{name}: these are no corrections of a song ({reason}); save them again from its page."
    ),
    "print.not-typeset": "{template} cannot be typeset ({reason}); please report it with the sheet.",
    "demo.not-written": "{folder}: cannot be written ({reason}); choose another folder.",
    "voice.language": "The voice does not speak {language}; it speaks {languages}.",
    "voice.failed": (
        'The voice stopped at "{text}", or took too long; try again, or name another with --voice.'
    ),
    "voice.refused": 'The voice could not say "{text}"; change those words on the sheet.',
    "voice.command": "{command} is not a command; close its quotation marks.",
    "voice.missing": "{program} cannot be started; check that it is installed and spelt right.",
    "voice.no-sound": 'The voice wrote no sound for "{text}"; it must write a sound file to standard output.',
    "track.killed": "What was making a track was ended from outside; start again, what is done is kept.",
    "track.cache": (
        "{where} could not be written ({reason}); make room there, or name another folder in NOONWALL_CACHE."
    ),
    "dance.nothing-to-print": "There are no steps in this text, so there is nothing to print.",
    "dance.nothing-to-write": "There are no steps in this text, so there is nothing to write.",
}


def fault(kind: type[Kind], code: str, **facts: object) -> Kind:
    """Return the exception of a kind for a fault; ``facts`` fill the blanks of its sentence."""
    return kind(FAULTS[code].format(**facts), code=code, facts=facts)
