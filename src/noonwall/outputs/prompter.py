"""The teleprompter: the shooting script as one page that scrolls at the pace of speech and music."""

from __future__ import annotations

from collections.abc import Iterator

from noonwall.dance.turns import clock
from noonwall.outputs.lesson_sheet import clock_minutes, title_words
from noonwall.outputs.markup import fill, text
from noonwall.outputs.page_parts import asset, policy
from noonwall.outputs.print_words import joined
from noonwall.outputs.printed_data import Made
from noonwall.teach.minutes import speech_seconds
from noonwall.teach.script import BREATH_SECONDS
from noonwall.teach.telling import lesson_word
from noonwall.teach.values import Lesson, Take

NAMES = (
    "before",
    "next",
    "play",
    "pause",
    "slower",
    "faster",
    "smaller",
    "larger",
    "mirror",
    "pace",
    "keys",
    "end",
)


def make(lesson: Lesson) -> Made:
    """Return the teleprompter as one HTML document that needs no network: no script but its own may run.

    Args:
        lesson: the plan with its takes.
    """
    language = lesson.languages[0]
    style, script = asset("prompter.css"), asset("prompter.js")
    mark = joined(lesson.unproved, " · ")
    values = {name: text(lesson_word(language, "prompter", name)) for name in NAMES}
    values |= {
        "language": text(language),
        "policy": policy(style, script),
        "title": text(joined(title_words(lesson))),
        "prompter": text(lesson_word(language, "prompter", "title")),
        "takes_label": text(lesson_word(language, "prompter", "takes")),
        "left": text(lesson_word(language, "prompter", "left")),
        "style": style,
        "script": script,
        "mark": f'<p class="unproved" role="note">{text(mark)}</p>' if mark else "",
        "choices": "".join(_choice(one) for one in lesson.languages),
        "takes": "".join(_section(take, lesson) for take in lesson.takes),
    }
    return Made(fill(asset("prompter.html"), values).encode())


def _choice(language: str) -> str:
    name = text(lesson_word(language, "names", language.split("-")[0]))
    tag = text(language)
    return f'<button value="{tag}" lang="{tag}" aria-pressed="false">{name[:1].upper()}{name[1:]}</button>'


def _section(take: Take, lesson: Lesson) -> str:
    language = take.language or lesson.languages[0]
    notes = text(" · ".join(_notes(take, language)))
    head = f"<span>{take.number}. {text(take.title)}</span><small>{notes}</small>"
    said = "".join(
        f'<p data-seconds="{speech_seconds(language, [words]):.2f}" dir="auto">{text(words)}</p>'
        for words in take.said
    )
    silent = "" if said else f'<p class="silent">{text(lesson_word(language, "prompter", "silent"))}</p>'
    return (
        f'<section data-language="{text(take.language)}" data-number="{take.number}" '
        f'data-title="{text(take.title)}" '
        f'data-breath="{BREATH_SECONDS}" lang="{text(language)}"><h2>{head}</h2>{said}{silent}'
        f"{_dance(take, language, lesson)}</section>"
    )


def _notes(take: Take, language: str) -> Iterator[str]:
    """Yield what stands beside the title of a take: its length, the camera, the true facing."""
    yield clock_minutes(take.seconds)
    yield lesson_word(language, "prompter", f"camera_{take.camera}")
    if take.facing_start is not None:
        if take.facing_end is None or take.facing_end == take.facing_start:
            yield lesson_word(language, "prompter", "facing", facing=clock(take.facing_start))
        else:
            start, end = clock(take.facing_start), clock(take.facing_end)
            yield lesson_word(language, "prompter", "facing_both", facing=start, facing_end=end)


def _dance(take: Take, language: str, lesson: Lesson) -> str:
    if not take.counts:
        return ""
    told = lesson_word(language, "prompter", "dance", counts=take.counts, bpm=f"{take.bpm:.0f}")
    lead = 0 if take.kind == "demonstration" else lesson.beats_per_bar
    return (
        f'<div class="dance" data-seconds="{take.danced_seconds}" data-bpm="{take.bpm}" data-lead="{lead}" '
        f'data-eight="{lesson.eight}"><b aria-hidden="true">–</b><span>{text(told)}</span></div>'
    )
