"""Finding dances: by words in either language, by facts, by figures, by steps alike."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, get_args

from noonwall.shelf.base import ShelfBase
from noonwall.shelf.dance_rows import ROW_COLUMNS, ROW_TABLES, row_of
from noonwall.shelf.facts import facts_from, from_json
from noonwall.shelf.faults import ShelfError
from noonwall.shelf.folding import words_of
from noonwall.shelf.likeness import alike, rarest
from noonwall.shelf.rows import LEVELS, Alike, DanceRow, Facts, Filters, Found, Order
from noonwall.shelf.store import Session

MOST_WORDS = 12
"""Words of a query that are looked for; nobody types more, and a pasted sheet must not hang the shelf."""
COMPARED = 200
"""Dances whose steps are compared whole, among those that share the most four-count stretches."""

_LEVEL_RANK = "".join(f" WHEN '{level}' THEN {rank}" for rank, level in enumerate(LEVELS))
_ORDERS: dict[str, str] = {
    "title": "sort_title, dance.id",
    "added": "dance.added_at DESC, dance.id DESC",
    "changed": "dance.changed_at DESC, dance.id DESC",
    "level": f"CASE level{_LEVEL_RANK} ELSE {len(LEVELS)} END, sort_title, dance.id",
    "tempo": "CASE WHEN bpm IS NULL THEN 1 ELSE 0 END, bpm, sort_title, dance.id",
    "counts": "CASE WHEN counts IS NULL THEN 1 ELSE 0 END, counts, sort_title, dance.id",
    "taught": (
        "coalesce((SELECT max(day) FROM taught WHERE taught.dance_id = dance.id "
        "AND taught.removed_at IS NULL), '') DESC, sort_title, dance.id"
    ),
}


class Finding(ShelfBase):
    """The part of a shelf that finds dances."""

    def find(
        self,
        query: str = "",
        filters: Filters | None = None,
        order: Order = "best",
        page: int = 1,
        per_page: int = 50,
    ) -> Found[DanceRow]:
        """Return one page of the dances that a query and filters find, and how many there are in all.

        Case and accents do not matter; every word of the query must begin a word of the title, the sheet, the
        choreographer, or a name of a figure used, in English or in French.

        Args:
            query: words; none finds all.
            filters: see :class:`Filters`.
            order: see :data:`Order`.
            page: which page, from 1.
            per_page: rows on a page.

        Raises:
            ShelfError: there is no such order.
        """
        if order not in get_args(Order):
            raise ShelfError("shelf.bad-word", wanted=order, known=", ".join(get_args(Order)))
        page, per_page = max(page, 1), max(per_page, 1)
        words = words_of(query)[:MOST_WORDS]
        if query.strip() and not words:
            return Found((), 0, page, per_page)  # only signs were asked for: no dance holds them
        condition, values = conditions_of(filters or Filters())
        ranking = _ORDERS["title" if order == "best" else order]
        if words:
            matches, told = self._store.match(words, in_title=False)
            condition, values = f"{condition} AND {matches}", values | told
            if order == "best":
                in_title, told = self._store.match(words, in_title=True)
                ranking, told_best = f"CASE WHEN {in_title} THEN 0 ELSE 1 END, {ranking}", told
        with self._store.reading() as session:
            total = int(session.rows(f"SELECT count(*) FROM dance WHERE {condition}", **values)[0][0])
            if words and order == "best":
                values |= told_best
            rows = session.rows(
                f"SELECT {ROW_COLUMNS} FROM {ROW_TABLES} WHERE {condition} ORDER BY {ranking} "
                "LIMIT :most OFFSET :skipped",
                **values,
                most=per_page,
                skipped=(page - 1) * per_page,
            )
        return Found(tuple(row_of(row) for row in rows), total, page, per_page)

    def dances_using(self, figures: Iterable[str], page: int = 1, per_page: int = 50) -> Found[DanceRow]:
        """Return the dances that use all of these figures (ids), by title."""
        return self.find("", Filters(figures=tuple(figures)), "title", page, per_page)

    def figures_used(self) -> dict[str, int]:
        """Return in how many dances each figure is used, the most used first."""
        with self._store.reading() as session:
            rows = session.rows(
                "SELECT figure, count(*) FROM dance_figure JOIN dance ON dance.id = dance_id "
                "WHERE removed_at IS NULL GROUP BY figure ORDER BY count(*) DESC, figure"
            )
        return {str(figure): int(many) for figure, many in rows}

    def counts_of(self, column: str) -> dict[str, int]:
        """Return how many dances there are of each level, language, meter or number of walls.

        Raises:
            ShelfError: dances are not counted by that.
        """
        known = ("level", "language", "meter", "walls")
        if column not in known:
            raise ShelfError("shelf.bad-word", wanted=column, known=", ".join(known))
        with self._store.reading() as session:
            rows = session.rows(
                f"SELECT {column}, count(*) FROM dance WHERE removed_at IS NULL GROUP BY {column}"
            )
        return {"" if value is None else str(value): int(many) for value, many in rows}

    def dances_like(self, dance_id: int, limit: int = 10) -> tuple[Alike, ...]:
        """Return the dances with the most steps in common with one, the most alike first.

        Steps are compared four counts at a time, wherever they stand in the dance, whichever way the dancer
        faces and whichever foot begins (a dance and its mirror image are the same).

        Raises:
            ShelfError: there is no such dance.
        """
        with self._store.reading() as session:
            rows = session.rows(
                "SELECT facts FROM dance JOIN dance_version ON dance_id = dance.id AND number = current "
                "WHERE dance.id = :id",
                id=dance_id,
            )
            if not rows:
                raise ShelfError("shelf.missing", kind="dance", wanted=dance_id)
            facts = facts_from(from_json(rows[0][0]))
            return self._like(session, facts, dance_id, limit)

    def dances_like_steps(self, facts: Facts, limit: int = 10) -> tuple[Alike, ...]:
        """Return the dances with the most steps in common with one that is not on the shelf."""
        with self._store.reading() as session:
            return self._like(session, facts, 0, limit)

    def _like(self, session: Session, facts: Facts, but: int, limit: int) -> tuple[Alike, ...]:
        grams = sorted({gram for gram, _ in facts.shape})
        if not grams:
            return ()
        names = {f"g{number}": gram for number, gram in enumerate(grams)}
        listed = ", ".join(f":{name}" for name in names)
        common = session.rows(
            f"SELECT gram, count(*) FROM dance_gram WHERE gram IN ({listed}) GROUP BY gram", **names
        )
        telling = rarest({int(gram): int(many) for gram, many in common})
        if not telling:
            return ()
        names = {f"g{number}": gram for number, gram in enumerate(telling)}
        listed = ", ".join(f":{name}" for name in names)
        candidates = session.rows(
            "SELECT dance_id FROM dance_gram JOIN dance ON dance.id = dance_id "
            f"WHERE gram IN ({listed}) AND dance_id <> :but AND removed_at IS NULL "
            "GROUP BY dance_id ORDER BY count(*) DESC, dance_id LIMIT :most",
            **names,
            but=but,
            most=COMPARED,
        )
        return self._compared(session, facts, [int(row[0]) for row in candidates], limit)

    def _compared(
        self, session: Session, facts: Facts, candidates: list[int], limit: int
    ) -> tuple[Alike, ...]:
        if not candidates:
            return ()
        ids = {f"d{number}": one for number, one in enumerate(candidates)}
        rows = session.rows(
            f"SELECT {ROW_COLUMNS}, facts FROM {ROW_TABLES} JOIN dance_version "
            "ON dance_version.dance_id = dance.id AND number = current "
            f"WHERE dance.id IN ({', '.join(f':{name}' for name in ids)})",
            **ids,
        )
        found = [alike(facts, facts_from(from_json(row[-1])), row_of(row)) for row in rows]
        found.sort(key=lambda one: (-one.score, one.row.title, one.row.id))
        return tuple(one for one in found[:limit] if one.score > 0)


def conditions_of(filters: Filters) -> tuple[str, dict[str, Any]]:
    """Return filters as a condition on the table of dances, and its values."""
    parts, values = ["dance.removed_at IS NULL"], dict[str, Any]()

    def name_for(value: Any) -> str:
        values[f"f{len(values)}"] = value
        return f":f{len(values) - 1}"

    for column, wanted in (
        ("level", filters.levels),
        ("language", filters.languages),
        ("meter", filters.meters),
        ("walls", filters.walls),
    ):
        if wanted:
            parts.append(f"{column} IN ({', '.join(name_for(one) for one in wanted)})")
    for column, sign, bound in (
        ("counts", ">=", filters.counts_from),
        ("counts", "<=", filters.counts_to),
        ("bpm", ">=", filters.bpm_from),
        ("bpm", "<=", filters.bpm_to),
    ):
        if bound is not None:
            parts.append(f"{column} {sign} {name_for(float(bound))}")
    uses = "EXISTS (SELECT 1 FROM dance_figure WHERE dance_id = dance.id AND figure = {})"
    parts += [uses.format(name_for(figure)) for figure in dict.fromkeys(filters.figures)]
    parts += ["NOT " + uses.format(name_for(figure)) for figure in filters.without_figures]
    if filters.taught is not None:
        to_whom = f" AND class_id = {name_for(filters.class_id)}" if filters.class_id is not None else ""
        taught = "EXISTS (SELECT 1 FROM taught WHERE taught.dance_id = dance.id AND taught.removed_at IS NULL"
        parts.append(f"{'' if filters.taught else 'NOT '}{taught}{to_whom})")
    if filters.clean is not None:
        parts.append("wrong + unread = 0" if filters.clean else "wrong + unread > 0")
    if filters.stale_for:
        parts.append(f"edition <> {name_for(filters.stale_for)}")
    return " AND ".join(parts), values
