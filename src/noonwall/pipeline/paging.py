"""A proved sheet as a page to look at."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from noonwall.checks import tracks_of
from noonwall.dance.claims import NotUnderstood
from noonwall.dance.model import Figure, Foot, Step
from noonwall.outputs.film import Wording, film_of_part, film_of_run, page_finding
from noonwall.outputs.page import check_page
from noonwall.outputs.page_data import Fact, Film, PageData
from noonwall.outputs.page_data import NotUnderstood as GapShown
from noonwall.pipeline.proving import Proved
from noonwall.pipeline.reporting import net_turn_words
from noonwall.text.write_steps import Scene, wordings
from noonwall.words.messages import say, speak
from noonwall.words.nearest import figure_names, nearest_names


def page(proved: Proved, language: str | None = None) -> str:
    """Return a page to look at: facts, findings beside their lines, and the floor, as one HTML document.

    Raises:
        NoonwallError: the language is not spoken.
    """
    told = language or proved.reading.language
    return check_page(page_data(proved, told), told)


def page_data(proved: Proved, told: str, with_films: bool = True) -> PageData:
    """Return what the page of a proved sheet shows, worded in the language ``told``.

    Args:
        proved: the sheet.
        told: language of the page.
        with_films: also make what the floor plays, which takes longer than all the rest.
    """
    dance, run = proved.dance, proved.run
    films: tuple[Film, ...] = ()
    if with_films and dance is not None and run is not None:
        wording = Wording(StepWords(told).step, StepWords(told).figure, told)
        tracks = tracks_of(dance)
        mains = [part for part in dance.parts if part.kind in ("main", "part")]
        films = tuple(film_of_part(part, tracks[part.label], wording) for part in mains)
        films += (film_of_run(dance, run, wording),)
    gaps = [
        GapShown(gap.place.line, gap.place.column, gap.place.end, _hint(gap, proved.reading.language, told))
        for gap in proved.reading.claims.not_understood
    ]
    first = films[0] if films else None
    found = tuple(page_finding(one, speak(one, told).message, first) for one in proved.findings)
    return PageData(
        proved.facts.get("title") or say(told, "cli", "unnamed"),
        _page_facts(proved.facts, told),
        proved.reading.lines,
        films,
        found,
        tuple(gaps),
        dance.bpm if dance else None,
        dance.beats_per_bar if dance else 4,
        proved.reading.language,
        dance.choreographer if dance else "",
    )


def _page_facts(facts: dict[str, Any], language: str) -> tuple[Fact, ...]:
    if not facts:
        return ()
    rows: list[tuple[str, object]] = [
        ("counts_fact", facts["total_counts"]),
        ("walls_fact", facts["walls"]),
        ("level_fact", facts["level"]),
        ("meter_fact", facts["meter"]),
        ("starts_fact", say(language, "foot", facts["free_foot_start"])),
        ("intro_fact", facts["intro_counts"]),
    ]
    turn = facts["net_turn_degrees_per_wall"]
    if turn is not None:
        rows.append(("turn_fact", net_turn_words(turn, language)))
    return tuple(Fact(say(language, "cli", name), str(value)) for name, value in rows if value)


def _hint(gap: NotUnderstood, sheet_language: str, language: str) -> str:
    names = list(gap.nearest or nearest_names(gap.text, sheet_language))
    return say(language, "cli", "nearest", names=names) if names else ""


@dataclass(frozen=True, slots=True)
class StepWords:
    """Words steps and figures for the page, as the canonical sheet would."""

    language: str

    def step(self, step: Step) -> str:
        """Return one act in words, beginning with a capital."""
        free = step.foot if step.foot in (Foot.LEFT, Foot.RIGHT) else Foot.RIGHT
        text = wordings(replace(step, at=Fraction(0)), Scene(free), self.language)[0]
        return text[:1].upper() + text[1:]

    def figure(self, figure: Figure) -> str:
        """Return the name of a figure, "" for plain steps."""
        names = figure_names(self.language).get(figure.id)
        return names[0] if names else ""
