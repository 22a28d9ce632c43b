"""Floor objects into films: what the page plays."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from noonwall.dance.model import Dance, Figure, Part, Step, Tag
from noonwall.findings import Finding
from noonwall.floor.run import RunDanced, WallDanced
from noonwall.floor.track import Moment, Stance, Track
from noonwall.outputs.page_data import Film, Frame, PageFinding, PageSection, PageStep
from noonwall.outputs.page_words import PageWords, page_words

StepWords = Callable[[Step], str]
FigureWords = Callable[[Figure], str]

_FRACTION_LABELS = {
    Fraction(1, 4): "e",
    Fraction(1, 3): "&",
    Fraction(1, 2): "&",
    Fraction(2, 3): "&",
    Fraction(3, 4): "a",
}


@dataclass(frozen=True, slots=True)
class Wording:
    """How the caller words steps and figures, and the page's language."""

    step: StepWords
    figure: FigureWords
    language: str = "en"


def count_label(at: Fraction, start: Fraction = Fraction(0)) -> str:
    """Return what is said at ``at``, counted from ``start``: "1", "e", "&", "a", "2" ..., else "·"."""
    inside = at - start
    fraction = inside - floor(inside)
    return _FRACTION_LABELS.get(fraction, "·") if fraction else str(floor(inside) + 1)


def frames_of(danced: Track | RunDanced) -> tuple[Frame, ...]:
    """Return the opening stance and then one frame per moment of a track or a whole run, in order.

    Counts run from the start of ``danced``; the opening frame stands at -1. A moment that a faulty
    sheet puts before its predecessor is shown with it, so that the frames never go back in time.
    """
    if isinstance(danced, Track):
        return _frames(danced.start, danced.moments)
    if not danced.walls:
        return ()
    return _frames(danced.walls[0].stance_start, danced.moments)


def _frames(start: Stance, moments: Iterable[Moment]) -> tuple[Frame, ...]:
    frames = [Frame(Fraction(-1), start)]
    for moment in moments:
        frames.append(Frame(max(moment.count, frames[-1].count), moment.stance))
    return tuple(frames)


def film_of_part(part: Part, track: Track, wording: Wording, label: str = "") -> Film:
    """Return the film of one part danced once: the wall of an ordinary dance, or part A of a phrased one.

    Args:
        part: the part.
        track: its track, one moment per step of the part.
        wording: how steps and figures are worded.
        label: the film's name; by default "one wall" for a main part, else the part's own label.
    """
    frames = frames_of(track)
    facts = _facts_of_steps(part, wording)
    steps: list[PageStep] = []
    sections: list[PageSection] = []
    for section in part.sections:
        first = len(steps)
        for _ in section.steps:
            if len(steps) < len(track.moments):
                moment, (figure, line, said) = track.moments[len(steps)], facts[len(steps)]
                steps.append(_page_step(moment, frames[len(steps) + 1], said, figure, line, wording))
        name = section.heading or section.label
        sections.append(PageSection(name, section.at, section.counts, first, len(steps) - first))
    own = page_words(wording.language).say("run", "one_wall") if part.kind == "main" else part.label
    return Film(label or own, track.counts, tuple(sections), tuple(steps), frames)


def film_of_run(dance: Dance, run: RunDanced, wording: Wording) -> Film:
    """Return the film of a whole run; its sections are the walls and the tags, in the order danced."""
    words = page_words(wording.language)
    frames = frames_of(run)
    steps: list[PageStep] = []
    sections: list[PageSection] = []
    for wall in run.walls:
        moments = list(wall.moments)
        for stretch in _stretches(dance, wall, words):
            first = len(steps)
            facts = _facts_by_count(dance, wall, stretch.part, wording)
            until = stretch.start + stretch.counts
            while moments and (moments[0].count < until or stretch.is_last):
                moment = moments.pop(0)
                local = _local_count(stretch, moment.count)
                figure, line, said = facts.get(local, ("", 0, count_label(local)))
                steps.append(_page_step(moment, frames[len(steps) + 1], said, figure, line, wording))
            sections.append(
                PageSection(
                    stretch.label, stretch.start, stretch.counts, first, len(steps) - first, stretch.note
                )
            )
    last = sections[-1] if sections else None
    counts = last.start + last.counts if last else Fraction(0)
    return Film(words.say("run", "whole_run"), counts, tuple(sections), tuple(steps), frames)


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A wall, a piece of a wall, or a tag: ``start`` in the run, ``offset`` where it starts in ``part``."""

    label: str
    part: Part
    start: Fraction
    counts: Fraction
    offset: Fraction
    note: str = ""
    is_last: bool = False


def _local_count(stretch: _Stretch, count: Fraction) -> Fraction:
    # A tag danced twice starts over: its second time has the labels of the first.
    local = count - stretch.start + stretch.offset
    return local % stretch.part.counts if stretch.part.counts and local >= 0 else local


def _stretches(dance: Dance, wall: WallDanced, words: PageWords) -> Iterator[_Stretch]:
    part = next(part for part in dance.parts if part.label == wall.part)
    tags = [] if dance.is_phrased else [tag for tag in dance.tags if tag.after_wall == wall.number]
    label = part.label if dance.is_phrased else words.say("run", "wall", n=wall.number)
    note = _note(wall, tags, words)
    position, shift = Fraction(0), Fraction(0)
    pieces: list[_Stretch] = []
    for tag in sorted(tags, key=lambda tag: tag.after_count):
        until = min(tag.after_count, wall.counts)
        if until > position:
            pieces.append(
                _Stretch(label, part, wall.start + shift + position, until - position, position, note)
            )
            label, note = words.say("run", "wall_resumes", n=wall.number), ""
        inside = until < part.counts
        tag_part = dance.part(tag.part)
        name = words.say("run", "tag_inside" if inside else "tag", n=wall.number)
        length = tag_part.counts * tag.times
        pieces.append(_Stretch(name, tag_part, wall.start + shift + until, length, Fraction(0)))
        position, shift = until, shift + length
    if wall.counts > position or not pieces:
        pieces.append(
            _Stretch(label, part, wall.start + shift + position, wall.counts - position, position, note)
        )
    yield from pieces[:-1]
    end = pieces[-1]
    yield _Stretch(end.label, end.part, end.start, end.counts, end.offset, end.note, is_last=True)


def _note(wall: WallDanced, tags: list[Tag], words: PageWords) -> str:
    if wall.cut_after is None:
        return ""
    if any(tag.then_restart for tag in tags):
        return words.say("run", "tag_restart")
    return words.say("run", "restart", n=wall.cut_after)


def _facts_of_steps(part: Part, wording: Wording) -> list[tuple[str, int, str]]:
    """Return figure name, line and count label of every step of a part, in order."""
    facts = []
    for section in part.sections:
        for figure in section.figures:
            name, line = wording.figure(figure), figure.place.line if figure.place else 0
            facts += [(name, line, count_label(step.at, section.at)) for step in figure.steps]
    return facts


def _facts_by_count(
    dance: Dance, wall: WallDanced, part: Part, wording: Wording
) -> dict[Fraction, tuple[str, int, str]]:
    facts = dict(zip((step.at for step in part.steps), _facts_of_steps(part, wording), strict=True))
    restart = next((restart for restart in dance.restarts if restart.wall == wall.number), None)
    if restart and restart.change and part.label == wall.part and not dance.is_phrased:
        # The steps that replace the last counts before the cut belong to other figures and lines.
        begin = wall.counts - restart.change.counts
        changed = zip(restart.change.steps, _facts_of_steps(restart.change, wording), strict=True)
        facts = {at: fact for at, fact in facts.items() if at < begin}
        for step, (figure, line, _) in changed:
            facts[step.at + begin] = (
                figure,
                line,
                count_label(step.at + begin, _section_start(part, step.at + begin)),
            )
    return facts


def _section_start(part: Part, at: Fraction) -> Fraction:
    return max((section.at for section in part.sections if section.at <= at), default=Fraction(0))


def _page_step(moment: Moment, frame: Frame, said: str, figure: str, line: int, wording: Wording) -> PageStep:
    step = moment.step
    return PageStep(
        frame.count,
        said,
        step.foot,
        step.move,
        wording.step(step),
        step.turn,
        moment.stance.facing,
        moment.stance.weight,
        figure,
        line,
        moment.problem,
    )


def page_finding(finding: Finding, message: str, film: Film | None = None) -> PageFinding:
    """Return a finding for the page, tied to the step of ``film`` on its line and count if there is one.

    Args:
        finding: the finding.
        message: its sentence, in the page's language.
        film: the film that opens first.
    """
    place = finding.place
    line = place.line if place else 0
    step = None
    if film and finding.count is not None:
        at_count = [i for i, step in enumerate(film.steps) if step.count == finding.count]
        on_line = [i for i in at_count if not line or film.steps[i].line in (0, line)]
        step = next(iter(on_line), None)
    return PageFinding(
        finding.severity,
        message,
        finding.mend,
        line,
        place.column if place else 1,
        place.end if place else 0,
        step,
    )
