"""The figures of the vocabulary, found by name and explained in words and a drawing."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from noonwall.dance.model import Foot, Step
from noonwall.figures import FigureDef, vocabulary
from noonwall.outputs.drawing import figure_text_drawing
from noonwall.pipeline.paging import StepWords
from noonwall.words.messages import count_text, say
from noonwall.words.nearest import figure_names, nearest_names, plain

_FEET = {"L": Foot.LEFT, "R": Foot.RIGHT, "B": Foot.BOTH, "-": None}


@dataclass(frozen=True, slots=True)
class FigureShown:
    """One figure in one language, written for a right-foot lead.

    ``steps`` are (count, words) such as ("1&", "Step L beside R"); ``drawing`` is rows of characters;
    ``source`` keys are explained in docs/sources.md.
    """

    id: str
    names: tuple[str, ...]
    explained: str
    counts: str
    steps: tuple[tuple[str, str], ...]
    drawing: str
    difficulty: int
    source: str
    cautions: tuple[str, ...] = ()


def figures_like(asked: str, language: str) -> list[FigureShown]:
    """Return the figure called ``asked``, else all whose names hold these words, else the nearest; "" is all.

    Args:
        asked: an id or words in either language, in any case, with or without accents.
        language: language of names and explanations.
    """
    known = vocabulary().figures
    wanted = plain(asked)
    if not wanted:
        ids = sorted(known, key=lambda figure: figure_names(language)[figure][0])
    else:
        called = {
            figure: {
                plain(figure),
                *(plain(name) for tongue in ("en", "fr") for name in figure_names(tongue)[figure]),
            }
            for figure in known
        }
        ids = [figure for figure, names in called.items() if wanted in names]
        ids = ids or [figure for figure, names in called.items() if any(wanted in name for name in names)]
        if not ids:
            near = {plain(name) for tongue in (language, "en", "fr") for name in nearest_names(asked, tongue)}
            ids = [figure for figure, names in called.items() if near & names]
    return [_shown(known[figure], language) for figure in ids]


def _shown(figure: FigureDef, language: str) -> FigureShown:
    form = figure.forms[0]
    moves = vocabulary().moves
    steps = tuple(
        Step(tick, each.move, _FEET[each.foot], moves[each.move].weight == "yes", each.to, each.turn)
        for tick, each in zip(form.ticks, form.steps, strict=True)
    )
    words = StepWords(language)
    return FigureShown(
        figure.id,
        figure_names(language)[figure.id],
        _explanations(language).get(figure.id, ""),
        f"{float(form.counts):g}",
        tuple((count_text(step.at), words.step(step)) for step in steps),
        figure_text_drawing(steps, language),
        figure.difficulty,
        figure.source,
        tuple(say(language, "caution", caution) for caution in _cautions(figure)),
    )


def _cautions(figure: FigureDef) -> list[str]:
    """Return the cautions of a figure and of its moves, each once."""
    moves = vocabulary().moves
    told = [*figure.cautions, *(c for step in figure.forms[0].steps for c in moves[step.move].cautions)]
    return list(dict.fromkeys(told))


@lru_cache(maxsize=4)
def _explanations(language: str) -> dict[str, str]:
    text = (
        resources.files("noonwall")
        .joinpath("words", language.split("-")[0], "figures.toml")
        .read_text("utf-8")
    )
    explained: dict[str, str] = tomllib.loads(text)["explain"]
    return explained
