"""A row of the table of dances as a value."""

from __future__ import annotations

from noonwall.shelf.facts import from_json
from noonwall.shelf.rows import DanceRow
from noonwall.shelf.store import Row

ROW_COLUMNS = (
    "dance.id, dance.title, language, level, counts, walls, bpm, meter, choreographer, figures, wrong, "
    "doubtful, unread, current, dance.added_at, dance.changed_at, "
    "(SELECT count(*) FROM taught WHERE taught.dance_id = dance.id AND taught.removed_at IS NULL), "
    "(SELECT max(day) FROM taught WHERE taught.dance_id = dance.id AND taught.removed_at IS NULL)"
)
"""What a SELECT asks for so that :func:`row_of` can read it."""

ROW_TABLES = "dance"


def row_of(row: Row) -> DanceRow:
    """Return a row that was selected with ``ROW_COLUMNS`` first."""
    told = list(row[:18])
    told[9] = tuple(from_json(told[9]))
    told[17] = told[17] or ""
    return DanceRow(*told)
