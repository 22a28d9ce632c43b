"""Why a dance cannot be laid on a song, or a folder not be matched, and the one sentence that says so.

The sentences are kept by code: the same codes and facts can be worded in another language.
"""

from __future__ import annotations

from typing import TypeVar

from noonwall.errors import NoonwallError

Kind = TypeVar("Kind", bound=NoonwallError)

FAULTS: dict[str, str] = {
    "fit.no-steps": 'Part "{part}" has no steps to lay on a song; write its steps first.',
    "fit.broken-count": 'Part "{part}" has {counts} counts; make them a whole number to fit it to a song.',
    "fit.no-start": '"{title}" finds no place to begin in this song; mark where it starts.',
    "fit.no-beats": "The song has no beats to count; listen to it again or tap them in.",
    "fit.beats-back": "The beats of the song do not go forward in time; listen to it again.",
    "fit.not-a-map": "{name} is not a music map ({reason}); listen to the song again.",
    "match.not-a-folder": "{folder} is not a folder; name the folder that holds the music.",
    "match.cache": "The cache folder {folder} cannot be made ({reason}); choose another.",
    "match.no-dask": (
        'A cluster needs Dask, which is not installed here: run "pip install noonwall[cluster]".'
    ),
    "match.no-cluster": "No cluster answers at {address}; check the address and that its scheduler runs.",
}


def fault(kind: type[Kind], code: str, **facts: object) -> Kind:
    """Return the exception of a kind for a fault; ``facts`` fill the blanks of its sentence."""
    return kind(FAULTS[code].format(**facts), code=code, facts=facts)
