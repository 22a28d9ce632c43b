"""Plan a lesson: from a dance, its run on a song, the minutes at hand and what the class knows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil

from noonwall.dance.model import Dance, Foot, Part
from noonwall.fit import Run
from noonwall.floor import RunDanced, dance_run, walls_told
from noonwall.teach.drills import Talk, Whole, exercises_of
from noonwall.teach.knowing import KNOWN, ClassKnows
from noonwall.teach.minutes import WARM_UP_FROM_SECONDS, Exercise, Fitted, fit_minutes
from noonwall.teach.pieces import Cut, Cutting, Reason, cut_part
from noonwall.teach.script import takes_of
from noonwall.teach.spans import danced, spans_of
from noonwall.teach.spelling import Spelling
from noonwall.teach.telling import Told, Words, told
from noonwall.teach.values import Drill, LeftOut, Lesson, Piece, Shown, Tempo
from noonwall.teach.watch import watched
from noonwall.teach.ways import caution_words, gentle_of, seated_words, ways_of
from noonwall.teach.words_around import change_words, closing_words, finish_words, opening_words

ASSUMED_BPM = 110.0
"""Counts a minute where neither song nor sheet says: a beginner class's middle (own summary, no source)."""

NEW_IDEAS = 4
"""A published class plan has no more than 3 or 4 new ideas in an hour (a bachata academy's page)."""

FAST_BPM, HARD_POINTS_PER_EIGHT = 120.0, 150
"""Above either of these the slow speed is 75%, else 90% (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class OnMusic:
    """The song of a lesson: what it is called, counts a minute, and the dance on it."""

    name: str
    bpm: float
    run: Run


def plan_lesson(
    dance: Dance,
    spelling: Spelling,
    budget_seconds: int,
    *,
    knows: ClassKnows | None = None,
    music: OnMusic | None = None,
    unproved: Words = (),
) -> Lesson:
    """Return the plan of a lesson.

    Args:
        dance: the dance, its figures named where they can be.
        spelling: words for its steps, in the languages of the lesson.
        budget_seconds: the time at hand, never exceeded.
        knows: what the class knows; by default nothing.
        music: the song with the dance on it, or None.
        unproved: the mark of a dance with findings still open, one text for each language.
    """
    plan = _Plan(dance, spelling, knows or ClassKnows(), music)
    pieces = plan.pieces()
    lesson = plan.lesson(pieces, max(0, budget_seconds))
    lesson = replace(lesson, unproved=unproved)
    counts, seconds = plan.demonstration()
    closing = closing_words(dance, spelling.languages, pieces, (), False)
    return replace(lesson, takes=takes_of(lesson, closing, seconds, counts))


class _Plan:
    """A lesson while it is planned."""

    def __init__(self, dance: Dance, spelling: Spelling, knows: ClassKnows, music: OnMusic | None) -> None:
        self.dance = dance
        self.spelling = spelling
        self.languages = spelling.languages
        self.knows = knows
        self.music = music
        self.run = dance_run(dance)
        bpm, source = (
            (music.bpm, "song") if music else (dance.bpm or ASSUMED_BPM, "sheet" if dance.bpm else "assumed")
        )
        self.tempo = Tempo(bpm, source, 90)
        self.cuttings: list[Cutting] = []

    # --- pieces --------------------------------------------------------------------------------------------

    def pieces(self) -> tuple[Piece, ...]:
        """Return the pieces in the order of teaching: the parts as they come, then tags, then the ending."""
        found: list[Piece] = []
        cut_walls = frozenset(int(restart.after_count) for restart in self.dance.restarts)
        for part in _in_order(self.dance):
            cutting = cut_part(
                part,
                self.dance.start_free_foot,
                knows=self.knows,
                bpm=self.tempo.bpm,
                beats_per_bar=self.dance.beats_per_bar,
                restarts=cut_walls if part.kind == "main" else frozenset(),
            )
            self.cuttings.append(cutting)
            first = len(found) + 1
            for cut in cutting.cuts:
                found.append(self._piece(part, cut, len(found) + 1, first))
        points = sum(one.work.points for one in found)
        counts = sum(one.counts for one in found)
        if self.tempo.bpm > FAST_BPM or points * 8 > HARD_POINTS_PER_EIGHT * max(counts, 1):
            self.tempo = replace(self.tempo, slow=75)
        return tuple(found)

    def _piece(self, part: Part, cut: Cut, number: int, first: int) -> Piece:
        track, spans = danced(part, self.dance.start_free_foot), spans_of(part)
        inside = [span for span in spans if cut.at <= span.at < cut.end]
        ids = tuple(dict.fromkeys(span.figure for span in inside if span.figure))
        start, end = track.before(cut.at), track.before(cut.end)
        base = _first_facing(self.dance, self.run, part)
        true = [None if base is None else (base + stance.facing) % 8 for stance in (start, end)]
        kind = part.kind if part.kind in ("tag", "ending") else "tag" if part.kind == "bridge" else "part"
        free = start.free_foot or Foot.BOTH
        minded = watched(track, spans, cut.at, cut.end, base or 0)
        return Piece(
            number,
            kind,
            part.label,
            cut.at,
            cut.end,
            tuple(range(first, number)),
            cut.work,
            self.spelling.figures(part, cut.at, cut.end),
            ids,
            tuple(name for name in ids if self.knows.of(name) < KNOWN),
            self.spelling.lines(part, cut.at, cut.end),
            Shown(true[0], true[1], 0, (end.facing - start.facing) % 8),
            free.value,
            cut.cost,
            tuple(self._reason(reason) for reason in cut.why),
            tuple(told(self.languages, f"watch.{one.id}", **dict(one.facts)) for one in minded),
        )

    def _reason(self, reason: Reason) -> Told:
        facts = {**dict(reason.facts), "cost": f"{reason.cost:+d}" if reason.cost else "0"}
        return told(self.languages, f"reason.{reason.id}", **facts)

    # --- the whole -----------------------------------------------------------------------------------------

    def demonstration(self) -> tuple[int, float]:
        """Return counts and seconds of the whole dance to its music, or of one round of its walls without."""
        if self.music:
            run = self.music.run
            counts = sum(wall.length for wall in run.walls) + max(0, run.wait_counts)
            return counts, max(0.0, run.walls[-1].end_seconds)
        counts = sum(int(wall.counts + wall.tag_counts) for wall in self.run.walls)
        counts += self.dance.intro_counts or 0
        return counts, counts * 60 / self.tempo.bpm

    def whole(self, pieces: Sequence[Piece], is_all: bool) -> Whole:
        """Return the dance to music, or of what was learned of it."""
        wait = max(0, self.music.run.wait_counts) if self.music else (self.dance.intro_counts or 0)
        main = sum(piece.counts for piece in pieces if piece.kind == "part")
        if not is_all:
            return Whole(main, 8, wait)
        if self.dance.is_phrased and self.dance.sequence:
            counts = sum(int(wall.counts + wall.tag_counts) for wall in self.run.walls)
            return Whole(counts, 3, wait)
        # a song is played once slowly and once at full speed; without one, two rounds of all walls
        rounds = len(self.music.run.walls) if self.music else 2 * walls_told(self.dance)
        return Whole(main, rounds, wait, self.change_counts())

    def change_counts(self) -> int:
        """Return the counts danced to practise the first restart (and the eight after it), else a tag's."""
        dance = self.dance
        eight = 6 if dance.beats_per_bar == 3 else 8
        if dance.restarts:
            return ceil(min(one.after_count for one in dance.restarts)) + eight
        tags = [dance.part(tag.part) for tag in dance.tags]
        return eight + ceil(tags[0].counts) if tags else 0

    def lesson(self, pieces: tuple[Piece, ...], budget_seconds: int) -> Lesson:
        """Return the lesson with as many pieces as there is time for."""
        run = self.music.run if self.music else None
        name = self.music.name if self.music else ""
        ids = dict.fromkeys(figure for piece in pieces for figure in piece.figure_ids)
        known = [figure for figure in ids if self.knows.of(figure) >= KNOWN]
        ways = ways_of(self.dance, self.spelling)
        cautions = caution_words(self.dance, self.languages, ceil(budget_seconds / 60))
        opening = opening_words(self.dance, self.spelling, self.tempo, name, run, known)
        changes = change_words(self.dance, self.spelling, run)
        finish = finish_words(self.dance, self.languages, run)
        cools = budget_seconds >= WARM_UP_FROM_SECONDS
        easier = tuple(way.told for way in ways if way.kind in ("easier", "sheet"))[:4]

        def tried(number: int) -> tuple[tuple[Exercise, ...], Fitted]:
            learned, left = pieces[:number], pieces[number:]
            closing = closing_words(self.dance, self.languages, learned, left, cools)
            talk = Talk((*opening, *cautions[:2]), changes, easier, finish, closing)
            hardest = hardest_of(learned)
            exercises = exercises_of(
                *(learned, hardest, self.languages, self.tempo, talk),
                *(self.whole(learned, not left), budget_seconds, len(known)),
            )
            return exercises, fit_minutes(exercises, budget_seconds)

        wanted = sum(one.seconds(one.least) for one in tried(len(pieces))[0])
        number = next((n for n in range(len(pieces), 0, -1) if _teaches(tried(n)[1], n)), 0)
        fitted = tried(number)[1]
        learned, left = pieces[:number], pieces[number:]
        return Lesson(
            self.dance.title,
            self.languages,
            self.knows.name,
            budget_seconds,
            self.dance.beats_per_bar,
            self.tempo,
            pieces,
            sum(one.cost for one in self.cuttings),
            _sum([one.cost_at_sections for one in self.cuttings]),
            hardest_of(pieces),
            tuple(self._drills(fitted, pieces)),
            tuple(self._left(fitted, left, tried(len(pieces))[0], budget_seconds)),
            wanted,
            ways,
            gentle_of(self.dance, self.languages),
            seated_words(self.dance, self.languages, pieces),
            cautions,
            opening,
            changes,
            finish,
            closing_words(self.dance, self.languages, learned, left, cools),
            tuple(self._remarks(pieces, number, fitted, budget_seconds)),
        )

    def _drills(self, fitted: Fitted, pieces: Sequence[Piece]) -> Iterator[Drill]:
        by_number = {piece.number: piece for piece in pieces}
        for number, (exercise, rounds) in enumerate(fitted.done, 1):
            facts: dict[str, object] = {}
            if exercise.kind in ("alone", "words", "counts"):
                piece = by_number[exercise.pieces[0]]
                facts = {"piece": piece.number, "shown": piece.shown.start, "shown_end": piece.shown.end}
            elif exercise.kind == "join":
                facts = {"before": exercise.pieces[0], "piece": exercise.pieces[1]}
            elif exercise.kind == "so-far":
                facts = {"piece": exercise.pieces[-1]}
            elif exercise.kind == "slow":
                facts = {"speed": exercise.speed, "bpm": f"{self.tempo.bpm * exercise.speed / 100:.0f}"}
            elif exercise.kind == "full":
                facts = {"bpm": f"{self.tempo.bpm:.0f}"}
            if exercise.counts:
                facts["n"] = rounds
            yield Drill(
                number,
                exercise.kind,  # type: ignore[arg-type]  # the same words, as plain text until here
                exercise.pieces,
                exercise.counts,
                rounds,
                exercise.speed,
                exercise.with_music or exercise.kind == "free",
                exercise.seconds(rounds),
                told(self.languages, f"drill.{_drill_key(exercise)}", **facts),
                exercise.source,
            )

    def _left(
        self, fitted: Fitted, left: Sequence[Piece], wanted: Sequence[Exercise], budget_seconds: int
    ) -> Iterator[LeftOut]:
        for piece in left:
            of_it = [one for one in wanted if one.kind in _LEARNED and one.pieces[-1] == piece.number]
            seconds = sum(one.seconds(one.least) for one in of_it)
            facts = {"piece": piece.number, "seconds": seconds}
            yield LeftOut("piece", (piece.number,), seconds, told(self.languages, "left.piece", **facts))
        for exercise in fitted.left:
            seconds = exercise.seconds(max(exercise.least, 1))
            if exercise.kind == "free" or not seconds:
                continue
            of_piece = {"piece": exercise.pieces[-1]} if exercise.kind in _OF_A_PIECE else {}
            remark = told(self.languages, f"left.{exercise.kind}", **of_piece, seconds=seconds)
            yield LeftOut(exercise.kind, exercise.pieces, seconds, remark)
        if budget_seconds < WARM_UP_FROM_SECONDS:
            yield LeftOut("warm-up", (), 0, told(self.languages, "left.short"))

    def _remarks(
        self, pieces: Sequence[Piece], number: int, fitted: Fitted, budget_seconds: int
    ) -> Iterator[Told]:
        learned = pieces[:number]
        if not learned:
            yield told(self.languages, "remark.nothing")
        elif number < len(pieces):
            yield told(self.languages, "remark.part", n=number, all=len(pieces))
        rounds = sum(n for one, n in fitted.done if one.kind in ("words", "counts", "join", "alone"))
        new = list(dict.fromkeys(name for piece in learned for name in piece.new))
        if learned and new and rounds < _FEW_ROUNDS * len(learned):
            yield told(self.languages, "remark.thin", rounds=rounds, n=len(learned))
        if len(new) > NEW_IDEAS:
            yield told(self.languages, "remark.many_new", new=len(new), most=NEW_IDEAS, figures=new)
        if self.tempo.source == "assumed":
            yield told(self.languages, "remark.assumed", bpm=f"{self.tempo.bpm:.0f}")
        if self.dance.title and self.dance.title.casefold() in {one.casefold() for one in self.knows.dances}:
            yield told(self.languages, "remark.danced", title=self.dance.title)
        if any(drill.source for drill, _ in fitted.done):
            yield told(self.languages, "remark.source", source="class-plan")
        for option in self.dance.options:
            if not option.figures and option.text:
                yield told(self.languages, "remark.option", text=" ".join(option.text.split()))
        spare = budget_seconds - fitted.seconds
        if spare >= 60 and learned:
            yield told(self.languages, "remark.spare", minutes=spare // 60)


_LEARNED = ("words", "counts", "join")
_OF_A_PIECE = ("alone", "words", "counts", "join", "so-far")
_FEW_ROUNDS = 6
"""Rounds of a piece below which a class follows but does not remember (own choice, no source)."""


def _drill_key(exercise: Exercise) -> str:
    return "changes_danced" if exercise.kind == "changes" and exercise.counts else exercise.kind


def hardest_of(pieces: Sequence[Piece]) -> int:
    """Return the number of the piece that asks most, the first of equals; 0 if there are none."""
    return max(pieces, key=lambda piece: (piece.work.points, -piece.number)).number if pieces else 0


def _teaches(fitted: Fitted, pieces: int) -> bool:
    """True if every piece is shown, counted, joined and danced to music; one alone need only be shown."""
    left = {exercise.kind for exercise in fitted.left}
    return "words" not in left if pieces == 1 else not left & {"words", "counts", "join", "full"}


def _sum(costs: Sequence[int | None]) -> int | None:
    known = [cost for cost in costs if cost is not None]
    return sum(known) if len(known) == len(costs) else None


def _in_order(dance: Dance) -> Iterator[Part]:
    """Yield the parts in the order of teaching: as the sequence brings them, then those it never names."""
    labels = [entry.partition(":")[0] for entry in dance.sequence]
    kinds = {"main": 0, "part": 0, "tag": 1, "bridge": 1, "ending": 2}

    def key(part: Part) -> tuple[int, int]:
        return (kinds.get(part.kind, 1), labels.index(part.label) if part.label in labels else len(labels))

    yield from sorted((part for part in dance.parts if part.counts > 0), key=key)


def _first_facing(dance: Dance, run: RunDanced, part: Part) -> int | None:
    """Return the true facing where a part is first begun, None if that is the song's to say."""
    for wall in run.walls:
        if wall.part == part.label:
            return wall.stance_start.facing % 8
        for tag, stance in wall.tag_stances:
            if tag.part == part.label:
                return stance.facing % 8
    ending = dance.ending
    if part.kind == "ending" and ending is not None and ending.wall is not None and not dance.is_phrased:
        wall = dance_run(dance, ending.wall).walls[-1]
        at = wall.start + (wall.counts if ending.after_count is None else ending.after_count)
        before = [moment.stance for moment in wall.moments if moment.count < at]
        return (before[-1] if before else wall.stance_start).facing % 8
    return None
