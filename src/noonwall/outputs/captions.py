"""A cue sheet as captions: WebVTT and SRT, one file for each language.

Captions show what is called, the count-in as one line, and the title. Numbers under the dance are left out:
at half a second each nobody could read them. Rules: at most two lines of 40 characters, three words a second
at most and one and a half seconds at least (F. Karamitroglou, A Proposed Set of Subtitling Standards in
Europe, Translation Journal 2, 1998: 150 to 180 words a minute; two lines of about 35 characters, up to 40;
one and a half seconds for a single word; lengths and least time from memory). Where calls follow each other
faster, two are shown together.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from noonwall.teach.cue import CueSheet

MOST_CHARACTERS = 40
MOST_LINES = 2
MOST_WORDS_PER_SECOND = 3.0
LEAST_SECONDS = 1.5
HANGS_SECONDS = 1.5
"""How long a caption may stay after its words were said (BBC Subtitle Guidelines, version 1.1.7, 5.2)."""

AHEAD_SECONDS = 1.5
"""How long a caption may come before its words are said (the same)."""

TITLE_SECONDS = 4.0
"""How long the title is shown at most, own choice."""

_BREAKS = re.compile(r"\s+")


@dataclass(frozen=True, slots=True)
class Caption:
    """Lines shown from one moment to another, seconds from the start of the audio; never empty."""

    from_seconds: float
    until_seconds: float
    lines: tuple[str, ...]

    @property
    def is_readable(self) -> bool:
        """True if it stays as long as the guidance asks for."""
        return self.until_seconds - self.from_seconds >= _needed(self.lines) - 0.002


def captions_of(sheet: CueSheet, language: str, speed: float = 1.0) -> tuple[Caption, ...]:
    """Return the captions of a cue sheet in one of its languages.

    Args:
        sheet: all that is said.
        language: one of ``sheet.languages``.
        speed: of the track: 0.75 is three quarters of the song's own speed.
    """
    place = sheet.languages.index(language)
    said = [cue for cue in sheet.cues if cue.kind not in ("count", "count-in")]
    spoken = [_Spoken(cue.from_seconds, cue.until_seconds, (capital(cue.words[place]),)) for cue in said]
    counted = [cue for cue in sheet.cues if cue.kind == "count-in"]
    if counted:
        numbers = ", ".join(dict(cue.facts)["count"] for cue in counted)
        spoken.append(_Spoken(counted[0].from_seconds, counted[-1].until_seconds, (numbers,)))
    spoken.sort(key=lambda one: one.start)
    title = plain(sheet.title)
    first = spoken[0].start if spoken else sheet.ends_seconds
    if title and first >= LEAST_SECONDS * speed:
        spoken.insert(0, _Spoken(0.0, min(first, TITLE_SECONDS * speed), (title,)))
    end = sheet.ends_seconds or (spoken[-1].end + LEAST_SECONDS if spoken else 0.0)
    slowed = [replace(one, start=one.start / speed, end=one.end / speed) for one in spoken]
    return tuple(_laid(_joined(slowed), end / speed))


@dataclass(frozen=True, slots=True)
class _Spoken:
    """Words and when they are said."""

    start: float
    end: float
    texts: tuple[str, ...]


def _needed(texts: Iterable[str]) -> float:
    words = sum(len(text.split()) for text in texts)
    return max(LEAST_SECONDS, words / MOST_WORDS_PER_SECOND)


def _joined(spoken: Sequence[_Spoken]) -> list[_Spoken]:
    """Put two that follow each other too fast to be read together, if they fit on the lines there are."""
    out: list[_Spoken] = []
    for number, one in enumerate(spoken):
        following = spoken[number + 1].start if number + 1 < len(spoken) else float("inf")
        before = out[-1] if out else None
        if before is not None:
            is_short = one.start - before.start < _needed(before.texts)
            is_short = is_short or following - one.start < _needed(one.texts)
            fits = sum(len(lines_of(text)) for text in (*before.texts, *one.texts)) <= MOST_LINES
            gains = min(following, one.end + HANGS_SECONDS) - before.start
            near = one.start - before.start <= AHEAD_SECONDS
            both = (*before.texts, *one.texts)
            if is_short and fits and near and len(before.texts) == 1 and gains >= _needed(both):
                out[-1] = _Spoken(before.start, one.end, both)
                continue
        out.append(one)
    return out


def _laid(spoken: Sequence[_Spoken], end_seconds: float) -> Iterable[Caption]:
    """Give each its lines and its time: until it is read and said, but not into the next.

    One that has too little time begins earlier, where the screen is free.
    """
    free = 0.0
    for number, one in enumerate(spoken):
        following = spoken[number + 1].start if number + 1 < len(spoken) else max(end_seconds, one.end)
        lines = tuple(line for text in one.texts for line in lines_of(text))
        until = min(following, max(one.start + _needed(lines), min(one.end, one.start + 6.0)))
        missing = min(AHEAD_SECONDS, max(0.0, _needed(lines) - (until - one.start)))
        start = max(free, one.start - missing)
        if until > start and lines:
            yield Caption(start, until, lines)
            free = until


def capital(text: str) -> str:
    """Return a text with a capital letter at its start."""
    return text[:1].upper() + text[1:]


def plain(text: str) -> str:
    """Return a text on one line, without control characters; what joins emoji and turns writing round
    stays."""
    spaced = _BREAKS.sub(" ", text).strip()
    return "".join(char for char in spaced if unicodedata.category(char) != "Cc")


def lines_of(text: str, most: int = MOST_CHARACTERS) -> tuple[str, ...]:
    """Return a text on as few lines as it needs, of like length, broken after a comma if one is near."""
    words = text.split()
    if len(text) <= most:
        return (text,) if text else ()
    whole = len(text)
    best: tuple[float, int] | None = None
    for cut in range(1, len(words)):
        head, tail = " ".join(words[:cut]), " ".join(words[cut:])
        if len(head) > most:
            break
        odd = abs(len(head) - len(tail)) - (whole / 4 if head.endswith(",") else 0.0)
        odd += whole if len(tail) > most else 0.0
        if best is None or odd < best[0]:
            best = (odd, cut)
    if best is None:
        # one word that is longer than a line stays whole
        return (words[0], *lines_of(" ".join(words[1:]), most))
    return (" ".join(words[: best[1]]), *lines_of(" ".join(words[best[1] :]), most))


# --- files -------------------------------------------------------------------------------------------------


def webvtt(captions: Sequence[Caption]) -> str:
    """Return captions as WebVTT (W3C): UTF-8 text, hours always written, ``&``, ``<`` and ``>`` escaped."""
    blocks = ["WEBVTT\n"]
    for number, caption in enumerate(captions, 1):
        lines = "\n".join(escaped(line) for line in caption.lines)
        blocks.append(f"{number}\n{_span(caption, '.')}\n{lines}\n")
    return "\n".join(blocks)


def srt(captions: Sequence[Caption]) -> str:
    """Return captions as SubRip text: a comma before the milliseconds.

    SubRip has no standard and no escapes, and players take ``<`` for a tag: angle brackets are written as the
    like quotation marks, an arrow as one sign.
    """
    blocks = []
    for number, caption in enumerate(captions, 1):
        lines = "\n".join(
            line.replace("-->", "→").replace("<", "‹").replace(">", "›") for line in caption.lines
        )
        blocks.append(f"{number}\n{_span(caption, ',')}\n{lines}\n")
    return "\n".join(blocks)


def escaped(text: str) -> str:
    """Return a text for the payload of a WebVTT cue."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _span(caption: Caption, point: str) -> str:
    start = round(caption.from_seconds * 1000)
    end = max(round(caption.until_seconds * 1000), start + 1)
    return f"{stamp(start, point)} --> {stamp(end, point)}"


def stamp(milliseconds: int, point: str = ".") -> str:
    """Return a time as hh:mm:ss.mmm, with ``point`` before the milliseconds."""
    hours, rest = divmod(milliseconds, 3_600_000)
    minutes, rest = divmod(rest, 60_000)
    seconds, part = divmod(rest, 1000)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}{point}{part:03d}"
