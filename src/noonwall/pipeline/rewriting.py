"""A proved sheet written anew."""

from __future__ import annotations

from noonwall.errors import CannotDance
from noonwall.outputs.faults import fault
from noonwall.pipeline.proving import Proved
from noonwall.text.write import write_sheet


def rewritten(proved: Proved, language: str) -> str:
    """Return the canonical sheet of a proved dance in "en", "fr" or "fr-CA".

    Raises:
        CannotDance: there is no dance to write.
    """
    if proved.dance is None:
        raise fault(CannotDance, "dance.nothing-to-write")
    return write_sheet(proved.dance, language)
