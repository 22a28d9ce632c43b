"""Finding dances: by words in either language, by facts, by figures, by steps alike."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, get_args

from noonwall.shelf.base import ShelfBase
from noonwall.shelf.dance_rows import ROW_COLUMNS, ROW_TABLES, row_of
from noonwall.shelf.facts import facts_kept
from noonwall.shelf.faults import ShelfError
from noonwall.shelf.folding import words_of
from noonwall.shelf.likeness import alike, rarest, score_of
from noonwall.shelf.rows import Alike, DanceRow, Facts, Filters, Found, Order
from noonwall.shelf.store import Session

MOST_WORDS = 12
"""Words of a query that are looked for; nobody types more, and a pasted sheet must not hang the shelf."""
COMPARED = 100
"""Dances whose steps are compared whole, among those that share the most four-count stretches."""

NOT_REMOVED = "dance.removed_at IS NULL"
_ORDERS: dict[str, str] = {
    "title": "sort_title, dance.id",
    "added": "dance.added_at DESC, dance.id DESC",
    "changed": "dance.changed_at DESC, dance.id DESC",
    "level": "level_rank, sort_title, dance.id",
    "tempo": "CASE WHEN bpm IS NULL THEN 1 ELSE 0 END, bpm, sort_title, dance.id",
    "counts": "CASE WHEN counts IS NULL THEN 1 ELSE 0 END, counts, sort_title, dance.id",
    "taught": ("coalesce(last_day, '') DESC, sort_title, dance.id"),
}
_TAUGHT_DAYS = (
    "LEFT JOIN (SELECT dance_id, max(day) AS last_day FROM taught WHERE removed_at IS NULL "
    "GROUP BY dance_id) AS lessons ON lessons.dance_id = dance.id "
)


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
        if words or values or filters:
            # SQLite would take "not removed" for rare and look at every dance by its index
            condition = condition.replace(NOT_REMOVED, f"{self._store.no_index}{NOT_REMOVED}", 1)
        ranking = _ORDERS["title" if order == "best" else order]
        told_best: dict[str, Any] = {}
        if words:
            matches, told = self._store.match(words, in_title=False)
            condition, values = f"{condition} AND {matches}", values | told
            if order == "best":
                in_title, told_best = self._store.match(words, in_title=True)
                ranking = f"CASE WHEN {in_title} THEN 0 ELSE 1 END, {ranking}"
        with self._store.reading() as session:
            total, ids = self._page_of(session, condition, ranking, values, told_best, per_page, page)
            rows = rows_of(session, ids)
        return Found(tuple(rows[one] for one in ids), total, page, per_page)

    def _page_of(
        self,
        session: Session,
        condition: str,
        ranking: str,
        values: dict[str, Any],
        ranked_by: dict[str, Any],
        per_page: int,
        page: int,
    ) -> tuple[int, list[int]]:
        """Return how many dances there are, and the ids of one page: only their rows are fetched."""
        total = int(session.rows(f"SELECT count(*) FROM dance WHERE {condition}", **values)[0][0])
        if not total:
            return 0, []
        days = _TAUGHT_DAYS if "last_day" in ranking else ""
        rows = session.rows(
            f"SELECT dance.id FROM dance {days}WHERE {condition} "
            f"ORDER BY {ranking} LIMIT :most OFFSET :skipped",
            **values,
            **ranked_by,
            most=per_page,
            skipped=(page - 1) * per_page,
        )
        return total, [int(row[0]) for row in rows]

    def dances_using(self, figures: Iterable[str], page: int = 1, per_page: int = 50) -> Found[DanceRow]:
        """Return the dances that use all of these figures (ids), by title."""
        return self.find("", Filters(figures=tuple(figures)), "title", page, per_page)

    def figures_used(self) -> dict[str, int]:
        """Return in how many dances each figure is used, the most used first."""
        with self._store.reading() as session:
            every = session.rows("SELECT figure, count(*) FROM dance_figure GROUP BY figure")
            # few dances are removed: to take theirs off is quicker than to look at every dance
            gone = session.rows(
                "SELECT figure, count(*) FROM dance_figure "
                "WHERE dance_id IN (SELECT id FROM dance WHERE removed_at > '') GROUP BY figure"
            )
        taken = {str(figure): int(many) for figure, many in gone}
        left = {str(figure): int(many) - taken.get(str(figure), 0) for figure, many in every}
        return {
            figure: left[figure] for figure in sorted(left, key=lambda one: (-left[one], one)) if left[figure]
        }

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
            facts = facts_kept(rows[0][0])
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
            f"SELECT dance_id FROM dance_gram WHERE gram IN ({listed}) AND dance_id <> :but "
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
        listed, ids = _listed(candidates)
        rows = session.rows(
            "SELECT id, facts FROM dance JOIN dance_version ON dance_id = id AND number = current "
            f"WHERE removed_at IS NULL AND dance.id IN ({listed})",
            **ids,
        )
        told = {int(number): facts_kept(kept) for number, kept in rows}
        scores = {number: score_of(facts, other) for number, other in told.items()}
        best = sorted(scores, key=lambda one: (-scores[one], told[one].title, one))[:limit]
        shown = rows_of(session, [one for one in best if scores[one] > 0])
        return tuple(alike(facts, told[number], row) for number, row in shown.items())


def _listed(ids: list[int]) -> tuple[str, dict[str, int]]:
    """Return a list for IN (...), and its values."""
    values = {f"d{number}": one for number, one in enumerate(ids)}
    return ", ".join(f":{name}" for name in values), values


def rows_of(session: Session, ids: list[int]) -> dict[int, DanceRow]:
    """Return the rows of some dances, in the order of their ids as given."""
    if not ids:
        return {}
    listed, values = _listed(ids)
    rows = session.rows(f"SELECT {ROW_COLUMNS} FROM {ROW_TABLES} WHERE dance.id IN ({listed})", **values)
    found = {int(row[0]): row_of(row) for row in rows}
    return {one: found[one] for one in ids}


def conditions_of(filters: Filters) -> tuple[str, dict[str, Any]]:
    """Return filters as a condition on the table of dances, and its values."""
    parts, values = [NOT_REMOVED], dict[str, Any]()

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
    uses = "dance.id IN (SELECT dance_id FROM dance_figure WHERE figure = {})"
    parts += [uses.format(name_for(figure)) for figure in dict.fromkeys(filters.figures)]
    parts += ["NOT " + uses.format(name_for(figure)) for figure in filters.without_figures]
    if filters.taught is not None:
        to_whom = f" AND class_id = {name_for(filters.class_id)}" if filters.class_id is not None else ""
        taught = "dance.id IN (SELECT dance_id FROM taught WHERE taught.removed_at IS NULL"
        parts.append(f"{'' if filters.taught else 'NOT '}{taught}{to_whom})")
    if filters.clean is not None:
        parts.append("wrong + unread = 0" if filters.clean else "wrong + unread > 0")
    if filters.stale_for:
        parts.append(f"edition <> {name_for(filters.stale_for)}")
    return " AND ".join(parts), values
