"""Exceptions, for broken files and broken programs only.

A mistake in a step sheet is never an exception: it is a :class:`noonwall.findings.Finding`.
Every message is one sentence for a person: what is wrong, where, what to do.
"""

from collections.abc import Mapping


class NoonwallError(Exception):
    """Root of all errors that noonwall raises on purpose.

    ``code`` names the fault and ``facts`` fill its sentence, so that it can be said in any language;
    both may be empty, and then only the message as it stands is known.
    """

    def __init__(self, message: str, *, code: str = "", facts: Mapping[str, object] | None = None) -> None:
        super().__init__(message)
        self.code = code
        self.facts: dict[str, object] = dict(facts or {})


class BrokenFile(NoonwallError):
    """A file that cannot be read at all (missing, not what its name says, too large, no text in it)."""


class BrokenVocabulary(NoonwallError):
    """The bundled data breaks one of its own invariants: a fault of the program, not of the user."""


class CannotDance(NoonwallError):
    """A dance that has no steps to put on a floor, or a request that no dance could meet."""
