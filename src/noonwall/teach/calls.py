"""What may be said of a figure, from the fullest words to the shortest, each with what it is worth."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from noonwall.dance.model import Foot, Step
from noonwall.figures import vocabulary
from noonwall.teach.call_words import LONGEST_ROW, Chunk, Fact, call_rules, call_table

WORTH = {
    "steps": 8.0,
    "step": 1.7,
    "name": 6.0,
    "strange_name": 3.5,
    "turn": 8.0,
    "side": 2.0,
    "place": 2.0,
    "both": 1.5,
}
"""What it is worth to say something of a figure: the steps of one the class does not know ("step" for each
and one more, "steps" at most), the name of one it knows ("name") or does not ("strange_name"), its turns,
foot or side, and place; "both" is the name before the steps. Own scale, no source; that names replace step
words once they are known is Gilbert, Cueing, American Square Dance 1978."""

_FEET = (Foot.LEFT, Foot.RIGHT)
_SHOWN = frozenset({"heel", "point", "kick", "toe", "dig"})
"""Moves whose foot is said even in the middle of a figure: "right heel, together, left heel, together"."""


@dataclass(frozen=True, slots=True)
class Called:
    """A figure, or an act that belongs to none, where it is danced.

    Attributes:
        figure: id in the vocabulary, "" for a single act.
        lead: the foot that moves first.
        place: where it is danced if a text may place it otherwise.
        steps: what is danced; only moves, feet, places and turns are read.
        at: counts of the run of its first step.
        start: whole count of the run that it belongs to; an upbeat belongs to the count after it.
        block: number of the section it lies in, over the whole run; no call reaches over two.
        in_block: ``start`` in counts from the start of the section.
    """

    figure: str
    lead: Foot | None
    place: str
    steps: tuple[Step, ...]
    at: Fraction
    start: int
    block: int
    in_block: int

    @property
    def turn(self) -> int:
        """Net turn in eighths."""
        return sum(step.turn for step in self.steps)


@dataclass(frozen=True, slots=True)
class Phrasing:
    """Words for one thing as facts in chunks, and what saying them is worth."""

    chunks: tuple[Chunk, ...]
    worth: float


def chunk_of(*facts: Fact) -> Chunk:
    """Return facts as one chunk, in the order in which they are compared."""
    return tuple(sorted(fact for fact in facts if fact[1] or fact[0] not in ("side", "place", "turn")))


def phrasings(called: Called, known: Collection[str]) -> tuple[Phrasing, ...]:
    """Return what may be said of a figure, the most telling first.

    A figure that the class knows, or whose name is the row of its steps, is called by its name. Another one
    is called by its steps; its name comes before them if there is time, or alone if there is none.
    """
    names = list(_names(called, known))
    figure = _figure_of(called)[0]
    if names and ({figure, called.figure} & set(known) or figure in call_rules().telling):
        return _best_first(names)
    steps = list(_steps(called, has_name=bool(names)))
    both = [
        Phrasing((*name.chunks, *words.chunks), words.worth + WORTH["both"])
        for name in [one for one in names if one.chunks[0][0][0] == "figure"][:1]
        for words in steps[:1]
    ]
    return _best_first([*both, *steps, *names])


def _best_first(told: Sequence[Phrasing]) -> tuple[Phrasing, ...]:
    return tuple(sorted(dict.fromkeys(told), key=lambda one: -one.worth))


def _figure_of(called: Called) -> tuple[str, str]:
    """Return the figure by which something is called, and its place if that still is to be said."""
    rules = call_rules()
    figure, place = called.figure, called.place
    if called.turn and figure in rules.turned_as:
        figure = rules.turned_as[figure]
    other = rules.same_as.get(f"{figure}.{place}")
    return (other, "") if other else (figure, place)


def _names(called: Called, known: Collection[str]) -> Iterator[Phrasing]:
    """Give the name of a figure with all that goes with it, then with less."""
    figure, place = _figure_of(called)
    rules = call_rules()
    if not figure or figure in rules.unsure:
        return
    turn = turn_fact(called.turn)
    if called.turn and turn is None:
        return
    if figure in rules.full_turn:
        if turn:
            yield Phrasing((chunk_of(turn),), WORTH["name"] + WORTH["turn"])
        return
    is_told = {figure, called.figure} & set(known) or figure in rules.telling
    name = WORTH["name" if is_told else "strange_name"]
    side = "" if figure in rules.no_side else _side_of(called)
    if turn and figure in rules.no_side:
        # "half turn left" says more of a pivot than its name
        yield Phrasing((chunk_of(turn),), name + WORTH["side"])
    told: list[tuple[Fact, float]] = []
    if side:
        told.append((("side", side), WORTH["side"]))
    if place:
        told.append((("place", place), WORTH["place"]))
    if turn:
        told.append((turn, WORTH["turn"]))
    for mask in range(2 ** len(told) - 1, -1, -1):
        chosen = [row for number, row in enumerate(told) if mask >> number & 1]
        facts = [fact for fact, _ in chosen]
        if turn and figure in rules.no_side and turn not in facts:
            continue
        yield Phrasing((chunk_of(("figure", figure), *facts),), name + sum(worth for _, worth in chosen))


def _side_of(called: Called) -> str:
    """Return "R" or "L", "RL" if the figure is danced on one foot and at once on the other, "" for
    neither."""
    if called.lead not in _FEET:
        return ""
    definition = vocabulary().figures[called.figure]
    shortest = min(len(form.steps) for form in definition.forms)
    half = len(called.steps) // 2
    first, second = called.steps[:half], called.steps[half:]
    is_pair = (
        len(called.steps) == 2 * half
        and half >= min(shortest, len(definition.forms[0].steps))
        and [(s.move, s.to) for s in first] == [(s.move, s.to) for s in second]
        and all(
            a.foot in _FEET and b.foot is a.foot.other for a, b in zip(first, second, strict=True) if a.foot
        )
    )
    return called.lead.value + called.lead.other.value if is_pair and half > 1 else called.lead.value


def turn_fact(eighths: int) -> Fact | None:
    """Return a turn as a fact ("R2" is a quarter turn to the right), None if it has no words or is none."""
    if not eighths or str(abs(eighths)) not in call_table("en")["turns"]:
        return None
    return ("turn", f"{'R' if eighths > 0 else 'L'}{abs(eighths)}")


def _steps(called: Called, has_name: bool) -> Iterator[Phrasing]:
    """Give the step words with feet, then without them, then fewer of them where there is no name to say."""
    turns = sum(bool(step.turn) for step in called.steps)
    acts = sum(step.move != "hold" for step in called.steps)
    steps = min(WORTH["steps"], WORTH["step"] * (1 + acts))
    worth = steps + WORTH["turn"] * bool(turns)
    with_feet = _step_chunks(called.steps, True)
    plain = _step_chunks(called.steps, False)
    if with_feet:
        yield Phrasing(with_feet, worth + WORTH["side"])
    if plain:
        yield Phrasing(plain, worth)
    for count in {(len(called.steps) + 1) // 2, 1} if len(called.steps) > 2 and not has_name else ():
        # the beginning of a figure brings a class further than nothing
        share = count / len(called.steps) / 2
        turns = any(step.turn for step in called.steps[:count])
        for with_side in (True, False):
            begun = _step_chunks(called.steps[:count], with_side)
            if begun:
                yield Phrasing(begun, steps * share + WORTH["turn"] * turns + with_side)
    whole = turn_fact(called.turn)
    turning = next((step.at for step in called.steps if step.turn), None)
    if whole and plain and turning is not None and turning - called.steps[0].at <= 1:
        # said alone only where it comes first: a class turns when it is told to
        yield Phrasing((chunk_of(whole),), WORTH["turn"] + 0.5)


def _step_chunks(steps: Sequence[Step], with_feet: bool) -> tuple[Chunk, ...]:
    out: list[Chunk] = []
    last: Foot | None = None
    row = _row(steps)
    if row >= 2 and with_feet:
        feet = "".join(step.foot.value for step in steps[:row] if step.foot)
        out.append(chunk_of(("step", _word_of(steps[0]) or ""), ("side", feet)))
        steps, last = steps[row:], steps[row - 1].foot
    for number, step in enumerate(steps, len(out)):
        word = _word_of(step)
        turn = turn_fact(step.turn)
        if word is None or (step.turn and turn is None):
            return ()
        in_one = turn is not None and step.foot not in _FEET and word != ""
        if turn and not in_one:
            out.append((turn,))
        if word:
            is_said = number == 0 or (step.move in _SHOWN and step.foot is not last)
            side = step.foot.value if with_feet and is_said and step.foot in _FEET else ""
            facts = [("step", word), ("side", side), *([turn] if turn and in_one else [])]
            out.append(chunk_of(*facts))
        last = step.foot or last
    return tuple(out)


def _word_of(step: Step) -> str | None:
    words = call_rules().steps
    return words.get(f"{step.move}-{step.to}", words.get(step.move))


def _row(steps: Sequence[Step]) -> int:
    """Return how many steps from the first on are of one kind, on one foot and then the other, one a
    count."""
    first = steps[0]
    if _word_of(first) not in call_rules().rows:
        return 0
    length = 1
    while length < min(len(steps), LONGEST_ROW):
        before, step = steps[length - 1], steps[length]
        is_next = (step.move, step.to) == (first.move, first.to) and step.at == before.at + 1
        if not is_next or step.turn or step.foot not in _FEET or before.foot is not step.foot.other:
            break
        length += 1
    return length if first.foot in _FEET and not first.turn else 0


def together(told: Sequence[tuple[Chunk, ...]]) -> tuple[Chunk, ...]:
    """Return the chunks of several figures in a row; one that comes again at once is told with how often."""
    out: list[Chunk] = []
    at = 0
    while at < len(told):
        times = 1
        while at + times < len(told) and told[at + times] == told[at]:
            times += 1
        out += told[at]
        if times > 1 and len(told[at]) == 1:
            out.append((("twice", ""),) if times == 2 else (("times", str(times)),))
        elif times > 1:
            out += [chunk for _ in range(times - 1) for chunk in told[at]]
        at += times
    return tuple(out)
