"""A proved dance as a lesson: its figures named, its steps worded, its song heard, and the plan made of them.

Not imported by the rest of the pipeline: what it makes needs a heavy library.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from noonwall.dance.model import Dance, Figure, Foot, Part, Section, Step
from noonwall.errors import BrokenFile, CannotDance, NoonwallError
from noonwall.outputs import lesson_sheet, prompter
from noonwall.outputs.printed_data import Made
from noonwall.outputs.whole_file import write_whole
from noonwall.pipeline.printed_lines import Stretch, rows_of
from noonwall.pipeline.printed_sheet import OnSong, unproved_words
from noonwall.pipeline.printing import PAPERS, is_unproved
from noonwall.pipeline.proving import Proved, prove_file
from noonwall.teach.knowing import ClassKnows, class_from
from noonwall.teach.lesson import OnMusic, plan_lesson
from noonwall.teach.lesson_json import lesson_json
from noonwall.teach.spans import danced
from noonwall.teach.telling import Words, lesson_word
from noonwall.teach.values import Lesson, Line
from noonwall.text.write_header import level_in
from noonwall.text.write_lines import first_foot
from noonwall.text.write_names import Piece, heading_of, pieces_of
from noonwall.text.write_notes import restart_groups, restart_line, sequence_line, tag_headings
from noonwall.text.write_words import wording_of

_TIMES = re.compile(r" x(?=\d)")

MOST_SECONDS = 24 * 60 * 60
"""A longer lesson is a slip of the keyboard."""


def lesson_of(
    proved: Proved,
    languages: tuple[str, ...],
    minutes: float,
    *,
    knows: ClassKnows | None = None,
    on_song: OnSong | None = None,
) -> Lesson:
    """Return the lesson of a proved sheet.

    Args:
        proved: the sheet; what is still wrong with it marks the lesson.
        languages: "en", "fr" or "fr-CA", the first that of the document.
        minutes: the time at hand.
        knows: what the class knows; by default nothing.
        on_song: the dance on a song, or None.

    Raises:
        CannotDance: the sheet holds no steps.
    """
    if proved.dance is None:
        raise CannotDance("There are no steps in this text, so there is nothing to teach.")
    music = None
    if on_song is not None:
        music = OnMusic(on_song.name, on_song.song.bpm, on_song.run)
    dance = figured(proved.dance)
    return plan_lesson(
        dance,
        SheetSpelling(dance, languages),
        min(MOST_SECONDS, max(0, int(minutes * 60))),
        knows=knows,
        music=music,
        unproved=unproved_words(proved, languages),
    )


def class_of(path: Path | str, language: str) -> ClassKnows:
    """Return what a class knows, from its file.

    Args:
        path: a file by docs/schema/class.schema.json.
        language: to complain in.

    Raises:
        BrokenFile: there is no such file, or it does not hold a class.
    """
    file = Path(path)
    if not file.is_file():
        raise BrokenFile(lesson_word(language, "class", "unknown", name=str(path)))
    try:
        plain = json.loads(file.read_text("utf-8-sig"))
    except (json.JSONDecodeError, UnicodeDecodeError) as error:
        line = getattr(error, "lineno", 1)
        raise BrokenFile(lesson_word(language, "class", "json", path=str(path), line=line)) from error
    return class_of_plain(plain, str(path), language)


def class_of_plain(
    plain: object, place: str, language: str, taught: Iterable[tuple[str, Iterable[str]]] = ()
) -> ClassKnows:
    """Return what a class knows from the values of its file, and from the dances it was taught.

    Args:
        plain: values by docs/schema/class.schema.json.
        place: where they stand, for the complaint.
        language: to complain in.
        taught: title and ids of the figures of each dance.

    Raises:
        BrokenFile: the values are not those of a class.
    """
    try:
        return class_from(plain).with_taught(taught)
    except BrokenFile as error:
        key = error.code.partition(".")[2]
        raise BrokenFile(f"{place}: {lesson_word(language, 'class', key, **error.facts)}") from error


# --- what is made ------------------------------------------------------------------------------------------

LESSON_FILES = ("plan", "prompter", "script")
"""What is made of a lesson: the printed plan (PDF), teleprompter (HTML), the lesson for programs (JSON)."""

_SUFFIXES = {"plan": "pdf", "prompter": "html", "script": "json"}


@dataclass(frozen=True, slots=True)
class LessonFile:
    """A file that was written: one of :data:`LESSON_FILES`, where, and what no font could show."""

    kind: str
    path: Path
    not_shown: tuple[str, ...] = ()


def make_lesson(lesson: Lesson, kind: str, paper: str = "a4") -> Made:
    """Return one of :data:`LESSON_FILES` as the bytes of its file."""
    if kind == "plan":
        return lesson_sheet.make(lesson, "pdf", paper)
    if kind == "prompter":
        return prompter.make(lesson)
    return Made((json.dumps(lesson_json(lesson), ensure_ascii=False, indent=1) + "\n").encode())


def write_lesson(lesson: Lesson, folder: Path, stem: str, paper: str = "a4") -> tuple[LessonFile, ...]:
    """Write everything that is made of a lesson into a folder, each file whole or not at all.

    Args:
        lesson: the lesson.
        folder: made if it is not there.
        stem: beginning of the names of the files.
        paper: "a4", "a5" or "letter".

    Raises:
        NoonwallError: the folder cannot be made or written, or the disk is full.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise NoonwallError(f"{folder} could not be made ({reason}); choose another folder.") from error
    found = []
    for kind in LESSON_FILES:
        made = make_lesson(lesson, kind, paper)
        path = folder / f"{stem}-{kind}.{_SUFFIXES[kind]}"
        write_whole(path, made.content)
        found.append(LessonFile(kind, path, made.not_shown))
    return tuple(found)


# --- figures -----------------------------------------------------------------------------------------------


def figured(dance: Dance) -> Dance:
    """Return a dance whose loose steps are put together into the figures that they are.

    A sheet that writes "step right to the side, step left behind ..." dances a vine all the same: a piece
    must not cut it, and a class that knows vines knows it.
    """
    parts = tuple(
        replace(part, sections=tuple(_figured(section) for section in part.sections)) for part in dance.parts
    )
    return replace(dance, parts=parts)


def _figured(section: Section) -> Section:
    figures = []
    for piece in pieces_of(section.steps):
        first, last = piece.steps[0].at, piece.steps[-1].at
        counts = Fraction(last // 1 + 1) - first
        figures.append(
            Figure(piece.figure or "steps", first, max(counts, Fraction(1, 4)), piece.steps, piece.lead)
        )
    return replace(section, figures=tuple(figures))


# --- words -------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SheetSpelling:
    """Words for the steps of one dance; see :class:`noonwall.teach.spelling.Spelling`."""

    dance: Dance
    languages: tuple[str, ...]

    def lines(self, part: Part, at: int, end: int) -> tuple[Line, ...]:
        """Return the counted lines between two counts, section by section, counted as the sheet counts."""
        track = danced(part, self.dance.start_free_foot)
        found: list[Line] = []
        for section in part.sections:
            since, until = max(section.at, Fraction(at)), min(section.at + section.counts, Fraction(end))
            if since >= until or since.denominator != 1:
                continue
            steps = track.between(since, until)
            later = first_foot(track.between(until, part.counts + 1))
            free = track.before(since).free_foot or first_foot(steps) or self.dance.start_free_foot
            shift = 0 if part.kind in ("tag", "bridge", "ending") else int(section.at)
            found += self._rows(steps, int(until - since), free, later, since, int(since) - shift)
        return tuple(found)

    def _rows(
        self, steps: Sequence[Step], counts: int, free: Foot, later: Foot | None, at: Fraction, first: int
    ) -> list[Line]:
        moved = tuple(
            replace(
                step, at=step.at - at, side="" if step.foot and step.side == step.foot.value else step.side
            )
            for step in steps
        )
        if not moved:
            return []
        stretch = Stretch(moved, counts, self.dance.beats_per_bar, free, later, first)
        return [Line(row.label, row.texts) for row in rows_of(stretch, self.languages)]

    def figures(self, part: Part, at: int, end: int) -> Words:
        """Return the names of the figures between two counts."""
        track = danced(part, self.dance.start_free_foot)
        pieces: list[Piece] = []
        for section in part.sections:
            since, until = max(section.at, Fraction(at)), min(section.at + section.counts, Fraction(end))
            pieces += pieces_of(track.between(since, until)) if since < until else []
        return tuple(
            _plain_case(heading_of(tuple(pieces), wording_of(language))) if pieces else "–"
            for language in self.languages
        )

    def steps(self, steps: Sequence[Step], counts: int, free: Foot, first: int) -> tuple[Line, ...]:
        """Return the counted lines of loose steps."""
        return tuple(self._rows(steps, counts, free, None, Fraction(0), first))

    def level(self) -> Words:
        """Return the level of the dance."""
        dance = self.dance
        if not dance.level:
            return ("",) * len(self.languages)
        return tuple(level_in(dance.level, dance.language, wording_of(tag)) for tag in self.languages)

    def changes(self) -> tuple[Words, ...]:
        """Return the order of the parts, the restarts, and where the tags are danced."""
        dance, wordings = self.dance, [wording_of(language) for language in self.languages]
        found = (
            [tuple(sequence_line(dance, one) for one in wordings)]
            if sequence_line(dance, wordings[0])
            else []
        )
        for group in restart_groups(dance.restarts):
            found.append(tuple(restart_line(group, dance, one) for one in wordings))
        number = 0
        for part in dance.parts:
            if part.kind not in ("tag", "bridge"):
                continue
            number += 1
            told = [tag_headings(part, number, dance, one) for one in wordings]
            found.append(tuple(" ".join([first, *more]) for first, more in told))
        return tuple(tuple(typographic_words(text) for text in texts) for texts in found)


def typographic_words(text: str) -> str:
    """Return a note of the sheet as a sentence, with a dash for a range of counts."""
    text = " ".join(text.split())
    return text if text[-1:] in ".!?" else f"{text}."


def _plain_case(name: str) -> str:
    """Return names in capitals as words: "R VINE ¼ TURN L, STOMP" becomes "R vine ¼ turn L, stomp"."""
    words = [word if word.strip(",") in ("L", "R", "D", "G") else word.lower() for word in name.split(" ")]
    text = _TIMES.sub(" ×", " ".join(words))
    return text[:1].upper() + text[1:]


__all__ = [
    "LESSON_FILES",
    "PAPERS",
    "LessonFile",
    "OnSong",
    "class_of",
    "class_of_plain",
    "figured",
    "is_unproved",
    "lesson_json",
    "lesson_of",
    "lesson_sheet",
    "lesson_word",
    "make_lesson",
    "prove_file",
    "write_lesson",
]
