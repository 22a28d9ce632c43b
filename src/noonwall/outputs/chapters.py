"""A cue sheet as chapters: walls, tags and the ending, for players (WebVTT) and for a film's description."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from noonwall.outputs.caption_words import caption_word, clock_word
from noonwall.outputs.captions import Caption, escaped, stamp
from noonwall.teach.cue import Beat, CueSheet


@dataclass(frozen=True, slots=True)
class Chapter:
    """A stretch of the run: ``names`` in each language of the sheet, ``kind`` what begins there.

    ``kind`` is "intro", "wall", "last", "restart" (a wall begun after a cut one), "part", "tag", "ending" or
    "after". ``count`` is in counts of the run.
    """

    kind: str
    count: int
    from_seconds: float
    names: tuple[str, ...]


def chapters_of(sheet: CueSheet, speed: float = 1.0) -> tuple[Chapter, ...]:
    """Return the chapters of a cue sheet; the first begins with the audio.

    Args:
        sheet: the run.
        speed: of the track; times are divided by it.
    """
    found = list(_begun(sheet))
    if found and found[0].from_seconds > 0.0:
        first = found[0]
        if first.kind == "intro":
            found[0] = Chapter("intro", first.count, 0.0, first.names)
        else:
            found.insert(0, _chapter(sheet, "intro", first.count, 0.0, {}))
    return tuple(Chapter(one.kind, one.count, one.from_seconds / speed, one.names) for one in found)


def _begun(sheet: CueSheet) -> Iterator[Chapter]:
    restarts = {int(cue.on) for cue in (*sheet.cues, *sheet.left_out) if cue.kind == "restart"}
    parts = {beat.part for beat in sheet.beats if beat.kind == "wall"}
    last_wall = max((beat.wall for beat in sheet.beats), default=0)
    before: Beat | None = None
    for beat in sheet.beats:
        facing = before.facing if before else 0
        is_new = before is None or (beat.kind, beat.wall, beat.part) != (
            before.kind,
            before.wall,
            before.part,
        )
        resumes = before is not None and before.kind == "tag" and beat.wall == before.wall
        if is_new and not (beat.kind == "wall" and resumes):
            facts: dict[str, object] = {"n": beat.wall, "part": beat.part, "facing": facing}
            yield _chapter(sheet, _kind(beat, restarts, parts, last_wall), beat.count, beat.seconds, facts)
        before = beat


def _kind(beat: Beat, restarts: set[int], parts: set[str], last_wall: int) -> str:
    if beat.kind != "wall":
        return beat.kind
    if beat.count in restarts:
        return "restart"
    if len(parts) > 1:
        return "part"
    return "last" if beat.wall == last_wall and last_wall > 1 else "wall"


def _chapter(sheet: CueSheet, kind: str, count: int, seconds: float, facts: dict[str, object]) -> Chapter:
    facing = facts.get("facing", 0)
    names = []
    for language in sheet.languages:
        clock = clock_word(language, facing if isinstance(facing, int) else 0)
        names.append(caption_word(language, "chapter", kind, **facts, clock=clock))
    return Chapter(kind, count, seconds, tuple(names))


def chapter_spans(chapters: Sequence[Chapter], ends_seconds: float, place: int) -> tuple[Caption, ...]:
    """Return chapters with where they end, named in the language at ``place``."""
    out = []
    for number, chapter in enumerate(chapters):
        following = chapters[number + 1].from_seconds if number + 1 < len(chapters) else ends_seconds
        if following > chapter.from_seconds:
            out.append(Caption(chapter.from_seconds, following, (chapter.names[place],)))
    return tuple(out)


def chapters_webvtt(chapters: Sequence[Chapter], ends_seconds: float, place: int = 0) -> str:
    """Return chapters as a WebVTT file of kind "chapters": one line for each, none over another."""
    blocks = ["WEBVTT\n"]
    for number, span in enumerate(chapter_spans(chapters, ends_seconds, place), 1):
        start, end = round(span.from_seconds * 1000), round(span.until_seconds * 1000)
        blocks.append(
            f"{number}\n{stamp(start)} --> {stamp(max(end, start + 1))}\n{escaped(span.lines[0])}\n"
        )
    return "\n".join(blocks)


def chapters_text(chapters: Sequence[Chapter], place: int = 0) -> str:
    """Return chapters as lines of time and name, as descriptions of films have them: "1:04 Wall 3, 6:00"."""
    return "".join(f"{clock_time(one.from_seconds)} {one.names[place]}\n" for one in chapters)


def clock_time(seconds: float) -> str:
    """Return a time as m:ss, with hours where there are any."""
    hours, rest = divmod(int(seconds), 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{left:02d}" if hours else f"{minutes}:{left:02d}"
