"""What can go wrong with a shelf, as one sentence for a person each."""

from __future__ import annotations

from noonwall.errors import NoonwallError


class ShelfError(NoonwallError):
    """A shelf that cannot be opened, read or written.

    ``code`` names the trouble (a studio may word it in another language) and ``facts`` fill its sentence.
    """

    def __init__(self, code: str, **facts: object) -> None:
        super().__init__(FAULTS[code].format(**facts))
        self.code = code
        self.facts = facts


FAULTS = {
    "shelf.newer": (
        "{place} was written by a newer noonwall (its form is {found}, this one knows {known}); "
        "install the newer noonwall to open it."
    ),
    "shelf.not-a-shelf": (
        "{place} is not a shelf, or is damaged; restore a backup with noonwall shelf backup --restore."
    ),
    "shelf.full": "There is no room left on the disk of {place}; nothing was lost: make room and save again.",
    "shelf.read-only": "{place} cannot be written; change its permissions, or name another place.",
    "shelf.cannot-open": "{place} cannot be opened ({reason}); check the place and its permissions.",
    "shelf.busy": "{place} is in use by something that does not let go of it; close that and try again.",
    "shelf.failed": "The shelf at {place} could not do this ({reason}); nothing was changed, try again.",
    "shelf.no-search": (
        "This Python's SQLite cannot search words (it lacks FTS5), which a shelf needs; "
        "use a Python from python.org or from your system."
    ),
    "shelf.no-driver": (
        "A shelf on PostgreSQL needs two more packages; install them with: pip install 'noonwall[school]'."
    ),
    "shelf.unreachable": "The database {place} cannot be reached ({reason}); is its server running?",
    "shelf.url": "{place} names no database for a shelf; write postgresql://user@host/name, or a file.",
    "shelf.missing": "There is no {kind} {wanted} on the shelf; noonwall shelf find lists what there is.",
    "shelf.no-version": "The dance {dance} has no version {version}; noonwall shelf show lists its versions.",
    "shelf.bad-word": "{wanted} is not one of {known}; choose one of these.",
    "shelf.bad-facts": "The facts of a dance are not right: {reason}; this is a fault of noonwall.",
    "shelf.bad-date": "{wanted} is not a date; write it as 2026-11-25.",
    "shelf.export-place": "{place} is not an empty folder; name a new folder to export to.",
    "shelf.export-broken": "{place} is not a whole export ({reason}); export again, or name another folder.",
    "shelf.backup-broken": "{place} is not a backup of a shelf ({reason}); choose another one.",
    "shelf.unwritable": "{place} cannot be written ({reason}); choose another place or make room.",
    "shelf.unreadable-song": "{place} cannot be read ({reason}); check the name of the song.",
    "shelf.closed": "This shelf is closed; open it again.",
}
"""The sentence of every code; {braces} are filled by the facts."""
