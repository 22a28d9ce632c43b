"""Decide which foot, which weight and which side: the cheapest story that the whole text allows.

Every counted line offers a few layouts. A state is (free foot at the start, weight, facing); each layout
leads from state to state at a cost, and the cheapest path through all lines is kept exactly (dynamic
programming), so a named foot later in the text decides an open choice earlier. Where no clean path
exists, small mends (another foot, a mirrored line, a turned side) are offered at a price, and the path
tells which of them it took.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from operator import itemgetter
from typing import NamedTuple

from noonwall.dance.model import Foot, Step
from noonwall.dance.quarters import count_at
from noonwall.text.layout import Layout, Placed
from noonwall.text.units import Act

# Prices. A clean reading costs less than 2; a conflict of feet or facings costs more than any choice.
CONFLICT = 10.0
FACING_NOTE = 6.0
WEIGHT_NOTE = 5.0
OPEN_CHOICE = 0.5
LOOP_FOOT = 1.0
WALLS = 4.0
AGAINST_THE_STEP = 3.4
LEFT_START = 0.3
MEND_FOOT = 10.4
MEND_RECOVER = 9.7
MEND_MIRROR = 11.5
MEND_WEIGHT = 9.6
MEND_STRIDE = 10.6
MEND_TURN_SIDE = 9.0
MEND_TURN_AMOUNT = 9.5
SPREAD = 26.0
WIDTH = 14
MOST_WALKS = 24
"""Ways through one line that are followed at once."""

LEFT, RIGHT, BOTH = Foot.LEFT, Foot.RIGHT, Foot.BOTH
_FOOT = {"L": LEFT, "R": RIGHT, "B": BOTH}


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something the path had to accept or mend: a code, the index of the step, facts."""

    code: str
    index: int
    facts: tuple[tuple[str, object], ...] = ()


Move = tuple[Foot | None, bool, int]
"""What the resolver decides of an act: the foot, whether it takes the weight, the turn in eighths."""


class Outcome(NamedTuple):
    """What one layout does from one weight: end weight, net turn, and a move for every act placed."""

    cost: float
    weight: Foot
    turn: int
    placed: tuple[Placed, ...]
    moves: tuple[Move, ...]
    troubles: tuple[Trouble, ...]
    chosen: tuple[str, ...] = ()

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps, counts from the label's first whole count."""
        return tuple(step_of(p, move, 0) for p, move in zip(self.placed, self.moves, strict=True))


def step_of(placed: Placed, move: Move, origin: int) -> Step:
    """Return the step that a placed act is; ``origin`` is added to its count, both in quarters."""
    foot, takes_weight, turn = move
    act = placed.act
    side = act.side if act.side in "LR" else ""
    return _step(placed.at + origin, act.move, foot, takes_weight, act.to, turn, side)


@lru_cache(maxsize=8192)
def _step(
    quarters: int, move: str, foot: Foot | None, takes_weight: bool, to: str, turn: int, side: str
) -> Step:
    """Dances are made of few different steps: equal ones are one object."""
    return Step(count_at(quarters), move, foot, takes_weight, to, turn, side)


@dataclass(slots=True)
class Slot:
    """One counted line in the order of the dance.

    ``notes`` are facings in eighths with the index of the last unit before them; ``weight_on`` is "R",
    "L" or "". ``outcomes`` caches what each layout does, by weight and whether mends are allowed.
    """

    layouts: list[Layout]
    notes: tuple[tuple[int, int], ...] = ()
    weight_on: str = ""
    outcomes: dict[tuple[Foot, bool], list[tuple[int, Outcome]]] = field(default_factory=dict)


class _Node(NamedTuple):
    cost: float
    layout: int
    outcome: Outcome | None
    before: _Node | None
    note_wrong: tuple[tuple[int, int], ...] = ()
    facing: int = 0


_States = dict[tuple[Foot, Foot, int, int], _Node]
"""The cheapest way to each (free foot at the start, weight, facing at the start, facing)."""


@dataclass(frozen=True, slots=True)
class Told:
    """The chosen story: the start, and for every slot its layout, outcome and contradicted notes."""

    start_free: Foot
    cost: float
    choices: tuple[tuple[int, Outcome, tuple[tuple[int, int], ...], int], ...]
    end_weight: Foot
    end_facing: int


def resolve(
    slots: list[Slot],
    start_free: Foot | None,
    stated_walls: int | None,
    start_facings: tuple[int, ...] = (0,),
) -> Told:
    """Return the cheapest story of ``slots``.

    Args:
        slots: the counted lines in order.
        start_free: the foot the sheet says is free at the start, or None.
        stated_walls: the header's number of walls, or None: evidence about the net turn.
        start_facings: facings the part may start from (for later parts of a phrased dance).
    """
    clean = _search(slots, start_free, stated_walls, start_facings, mends=False)
    if clean.cost < CONFLICT * 0.5:
        return clean
    mended = _search(slots, start_free, stated_walls, start_facings, mends=True)
    return mended if mended.cost < clean.cost else clean


def _search(
    slots: list[Slot], start_free: Foot | None, walls: int | None, facings: tuple[int, ...], mends: bool
) -> Told:
    states: _States = {}
    for free in (RIGHT, LEFT):
        price = 0.0 if start_free is free else (LEFT_START if free is LEFT else 0.0)
        if start_free is not None and start_free is not free:
            price = CONFLICT * 0.6
        for rank, facing in enumerate(facings):
            states[(free, free.other, facing, facing)] = _Node(price + 0.4 * rank, -1, None, None)
    for slot in slots:
        states = _advance(states, slot, mends)
    return _best(states, walls)


def _advance(states: _States, slot: Slot, mends: bool) -> _States:
    following: _States = {}
    notes = slot.notes
    for (start, weight, origin, facing), node in states.items():
        before = node.cost
        for layout, outcome in _outcomes(slot, weight, mends):
            cost = before + outcome.cost
            wrong: tuple[tuple[int, int], ...] = ()
            if notes:
                wrong = _contradicted(notes, outcome, facing)
                cost += FACING_NOTE * len(wrong)
            key = (start, outcome.weight, origin, (facing + outcome.turn) % 8)
            held = following.get(key)
            if held is None or cost < held.cost:
                following[key] = _Node(cost, layout, outcome, node, wrong, facing)
    if len(following) > WIDTH:
        ranked = sorted(following.items(), key=lambda item: item[1].cost)
        floor = ranked[0][1].cost + SPREAD
        following = {key: node for key, node in ranked[:WIDTH] if node.cost <= floor}
    return following


def _contradicted(
    notes: tuple[tuple[int, int], ...], outcome: Outcome, facing: int
) -> tuple[tuple[int, int], ...]:
    """Return the notes that neither the moment where they stand nor the end of the line fulfils."""
    wrong = []
    end = (facing + outcome.turn) % 8
    placed = outcome.placed
    for stated, unit in notes:
        if stated == end:
            continue
        at = facing
        seen = False
        for act, move in zip(placed, outcome.moves, strict=True):
            if act.unit > unit:
                break
            at += move[2]
            seen = True
        if at % 8 != stated and (seen or facing % 8 != stated):
            wrong.append((stated, at % 8))
    return tuple(wrong)


def _best(states: _States, walls: int | None) -> Told:
    ranked = []
    for (start, weight, origin, facing), node in states.items():
        price = node.cost
        if weight is not BOTH and weight.other is not start:
            price += LOOP_FOOT
        if walls in (1, 2, 4, 8) and _order((facing - origin) % 8) != walls:
            price += WALLS
        ranked.append((price, start.value, weight.value, facing, node))
    ranked.sort(key=lambda row: row[:4])
    price, start_value, weight_value, facing, last = ranked[0]
    choices = []
    at: _Node | None = last
    while at is not None and at.outcome is not None:
        choices.append((at.layout, at.outcome, at.note_wrong, at.facing))
        at = at.before
    return Told(_FOOT[start_value], price, tuple(reversed(choices)), _FOOT[weight_value], facing)


def _order(net: int) -> int:
    return {0: 1, 4: 2, 2: 4, 6: 4}.get(net, 8)


def _outcomes(slot: Slot, weight: Foot, mends: bool) -> list[tuple[int, Outcome]]:
    held = slot.outcomes.get((weight, mends))
    if held is None:
        held = slot.outcomes[weight, mends] = _all_outcomes(slot, weight, mends)
    return held


def _all_outcomes(slot: Slot, weight: Foot, mends: bool) -> list[tuple[int, Outcome]]:
    out: list[tuple[int, Outcome]] = []
    starts = (weight,) if weight is not BOTH else (LEFT, RIGHT)
    for number, layout in enumerate(slot.layouts):
        for begin in starts:
            extra = 0.02 if weight is BOTH and begin is RIGHT else 0.0
            danced = _dance(layout, begin, mends)
            for outcome in danced:
                cost = outcome.cost + layout.cost + extra
                cost += _weight_note(slot.weight_on, outcome)
                out.append((number, _priced(outcome, cost)))
            if mends:
                out += [(number, o) for o in _mended_lines(layout, begin, layout.cost + extra)]
    if len(out) < 2:
        return out
    best: dict[tuple[Foot, int, tuple[int, ...]], tuple[int, Outcome]] = {}
    for number, outcome in out:
        key = (outcome.weight, outcome.turn, _facing_profile(slot, outcome))
        held = best.get(key)
        if held is None or outcome.cost < held[1].cost:
            best[key] = (number, outcome)
    return list(best.values())


def _facing_profile(slot: Slot, outcome: Outcome) -> tuple[int, ...]:
    """Where the line faces at each of its notes: outcomes that agree here may be merged."""
    profile = []
    for _, unit in slot.notes:
        pairs = zip(outcome.moves, outcome.placed, strict=True)
        profile.append(sum([move[2] for move, placed in pairs if placed.unit <= unit]))
    return tuple(profile)


def _weight_note(weight_on: str, outcome: Outcome) -> float:
    if not weight_on or outcome.weight is BOTH:
        return 0.0
    return 0.0 if outcome.weight.value == weight_on else WEIGHT_NOTE


def _priced(outcome: Outcome, cost: float) -> Outcome:
    _, weight, turn, placed, moves, troubles, chosen = outcome
    return Outcome(cost, weight, turn, placed, moves, troubles, chosen)


def _mended_lines(layout: Layout, weight: Foot, base: float) -> list[Outcome]:
    """Whole-line mends: feet mirrored, one turn to the other side, one turn of another amount."""
    out = []
    mirrored = Layout(tuple([_mirrored(placed) for placed in layout.placed]), layout.cost)
    for outcome in _dance(mirrored, weight, False):
        if not outcome.troubles:
            trouble = Trouble("weight.line-mirrored", 0)
            out.append(_with(outcome, base + outcome.cost + MEND_MIRROR, trouble))
    for outcome in _dance(layout, weight, False):
        if any(t.code.startswith("weight") for t in outcome.troubles):
            continue
        for k, (_, _, said) in enumerate(outcome.moves):
            if said:
                out += _other_turns(outcome, k, said, base + outcome.cost)
    return out


def _other_turns(outcome: Outcome, k: int, said: int, cost: float) -> list[Outcome]:
    """Mends of one turn: to the other side, or a quarter for a half and the other way about."""
    facts = (("said", said), ("meant", -said))
    trouble = Trouble("facing.turn-side", k, facts)
    out = [_with(_with_turn(outcome, k, -said), cost + MEND_TURN_SIDE, trouble)]
    for amount in (2, 4):
        if abs(said) in (2, 4, 6) and abs(said) != amount:
            turn = amount if said > 0 else -amount
            trouble = Trouble("facing.turn-amount", k, (("said", said), ("meant", turn)))
            out.append(_with(_with_turn(outcome, k, turn), cost + MEND_TURN_AMOUNT, trouble))
    return out


def _with(outcome: Outcome, cost: float, trouble: Trouble) -> Outcome:
    return outcome._replace(cost=cost, troubles=(*outcome.troubles, trouble))


def _with_turn(outcome: Outcome, k: int, turn: int) -> Outcome:
    foot, takes_weight, said = outcome.moves[k]
    moves = (*outcome.moves[:k], (foot, takes_weight, turn), *outcome.moves[k + 1 :])
    return outcome._replace(turn=outcome.turn - said + turn, moves=moves)


def _swap(foot: str) -> str:
    return {"R": "L", "L": "R"}.get(foot, foot)


def _mirrored(placed: Placed) -> Placed:
    """The same act on the other foot; its turn stays as it is written."""
    act = placed.act
    swapped = Act(act.move, _swap(act.foot), act.to, act.weight, act.turn, act.open_turn, act.side, False)
    return Placed(placed.at, swapped, placed.unit, _swap(placed.lead), placed.figure)


_Leads = tuple[tuple[int, Foot], ...]


class _Walk(NamedTuple):
    """A partly danced line; ``last_turn`` is the last turn that was not 0."""

    cost: float
    weight: Foot
    leads: _Leads
    turn: int
    last_turn: int
    moves: tuple[Move, ...]
    troubles: tuple[Trouble, ...]
    chosen: tuple[str, ...]


_COST = itemgetter(0)


def _dance(layout: Layout, weight: Foot, mends: bool) -> list[Outcome]:
    """Dance a layout from one weight; every open choice branches."""
    walks = [_Walk(0.0, weight, (), 0, 0, (), (), ())]
    placed_acts = layout.placed
    last = len(placed_acts) - 1
    for index, placed in enumerate(placed_acts):
        step_walks: list[_Walk] = []
        for walk in walks:
            _take(walk, placed, index, mends, index == last, step_walks)
        if len(step_walks) > 1:
            step_walks.sort(key=_COST)
            del step_walks[MOST_WALKS:]
        walks = step_walks
    return [Outcome(w.cost, w.weight, w.turn, placed_acts, w.moves, w.troubles, w.chosen) for w in walks]


def _lead(walk: _Walk, placed: Placed) -> Foot:
    for unit, foot in walk.leads:
        if unit == placed.unit:
            return foot
    if placed.lead in ("R", "L"):
        return _FOOT[placed.lead]
    return LEFT if walk.weight is RIGHT else RIGHT


def _take(walk: _Walk, placed: Placed, index: int, mends: bool, is_last: bool, out: list[_Walk]) -> None:
    """Add to ``out`` every way to dance one more act."""
    act = placed.act
    cost, weight, leads, turned, last_turn, moves, troubles, chosen = walk
    foot: Foot | None
    if act.foot in ("a", "b"):
        lead = _lead(walk, placed)
        if all(unit != placed.unit for unit, _ in leads):
            leads = (*leads, (placed.unit, lead))
        foot = lead if act.foot == "a" else lead.other
    elif act.foot == "?":
        foot = RIGHT if weight is BOTH else weight.other
    else:
        foot = _FOOT.get(act.foot)
    ways = _weights(walk, act, foot, mends, is_last)
    for turn, turn_cost in _turns(act, walk, placed, leads, mends):
        for way_foot, takes, way_cost, code in ways:
            now_troubled, now_chosen = troubles, chosen
            if code:
                if code.startswith("weight."):
                    now_troubled = (*troubles, Trouble(code, index, (("foot", act.foot),)))
                else:
                    now_chosen = (*chosen, code)
            out.append(
                _Walk(
                    cost + way_cost + turn_cost,
                    way_foot if takes and way_foot is not None else weight,
                    leads,
                    turned + turn,
                    turn or last_turn,
                    (*moves, (way_foot, takes, turn)),
                    now_troubled,
                    now_chosen,
                )
            )


_NO_TURN = ((0, 0.0),)


def _against_the_step(act: Act, turn: int, walk: _Walk, mends: bool) -> float:
    """A pivot turns away from the foot that stepped: after a left step, to the right.

    Right forward, half left (BNS, RAY, TPE, NF1). Where something must be mended, the same goes for a turn
    that is not called a pivot and follows its step: the step may be on the wrong foot.
    """
    against = (walk.weight is LEFT and turn < 0) or (walk.weight is RIGHT and turn > 0)
    is_pivot = act.move == "pivot" or (mends and act.move == "turn" and len(walk.moves) == 1)
    return AGAINST_THE_STEP if is_pivot and against and abs(turn) < 6 else 0.0


def _turns(act: Act, walk: _Walk, placed: Placed, leads: _Leads, mends: bool) -> Sequence[tuple[int, float]]:
    """Return the turns an act may make, each with its cost."""
    turn, amount = act.turn, abs(act.open_turn)
    if not turn and not amount:
        return _NO_TURN
    if turn and act.mirrors:
        lead = next((foot for unit, foot in leads if unit == placed.unit), None) or _lead(walk, placed)
        turn = turn if lead is RIGHT else -turn
    if not amount:
        return [(turn, _against_the_step(act, turn, walk, mends))]
    if amount % 8 == 0:
        return [(turn + amount, 0.0), (turn - amount, 0.1)]
    previous = walk.last_turn
    right_cost, left_cost = 0.3, 0.3
    if act.move == "pivot":
        right_cost, left_cost = (0.0, 0.3) if walk.weight is LEFT else (0.3, 0.0)
    elif previous:
        right_cost, left_cost = (0.1, 0.3) if previous > 0 else (0.3, 0.1)
    return [(turn + amount, right_cost), (turn - amount, left_cost)]


_SHIFTING = frozenset(["bounce", "swivel", "twist", "split", "toe-swivel", "toe-split", "heel-click"])
"""Moves of both feet after which the weight may have gone to the other foot."""

_SAME_FOOT_MOVES = frozenset(
    ["hop", "scoot", "drop", "sway", "bump", "swivel", "twist", "fan", "bounce", "lift", "split"]
)


_TOUCHABLE = frozenset(["together", "place", "cross", "side", ""])
"""Places to which a touch may go as well as a step."""

_NEVER_TOUCHES = frozenset(["recover", "rock", "ball", "walk", "pivot"])
"""Moves whose name says that they take the weight."""


def _weights(
    walk: _Walk, act: Act, foot: Foot | None, mends: bool, is_last: bool
) -> list[tuple[Foot | None, bool, float, str]]:
    """Return the ways an act may use its foot: (foot, takes weight, cost, remark)."""
    if foot is None:
        return [(None, False, 0.0, "")]
    if foot is BOTH:
        both: list[tuple[Foot | None, bool, float, str]] = [(BOTH, act.weight == "yes", 0.0, "")]
        if is_last and act.move in _SHIFTING and walk.weight is not BOTH:
            both.append((walk.weight.other, True, 0.9, f"{act.move}-takes"))
        return both
    carries = walk.weight is foot
    if act.weight == "unclear":
        return _unclear(act, foot, carries)
    if act.weight == "yes":
        if not carries:
            ways: list[tuple[Foot | None, bool, float, str]] = [(foot, True, 0.0, "")]
            if act.move == "stomp":
                ways.append((foot, False, 1.5, "stomp-free"))
            if mends and act.move not in _NEVER_TOUCHES:
                if act.to in _TOUCHABLE:
                    ways.append((foot, False, MEND_WEIGHT, "weight.should-touch"))
                elif is_last:
                    ways.append((foot, False, MEND_STRIDE, "weight.should-touch"))
            return ways
        if act.move in _SAME_FOOT_MOVES or act.move == "pivot":
            return [(foot, True, 0.0, "")]
        ways = [(foot, True, CONFLICT, "weight.same-foot")]
        if mends:
            price = MEND_RECOVER if act.move == "recover" else MEND_FOOT
            ways.append((foot.other, True, price, "weight.other-foot"))
        return ways
    if carries and act.move not in _SAME_FOOT_MOVES and act.move not in ("turn",):
        ways = [(foot, False, CONFLICT, "weight.gesture-on-weight")]
        if mends:
            ways.append((foot.other, False, MEND_FOOT, "weight.other-foot"))
        return ways
    ways = [(foot, False, 0.0, "")]
    if mends and act.move in ("touch", "tap", "point", "heel", "stomp-up", "drag"):
        ways.append((foot, True, MEND_WEIGHT, "weight.should-step"))
    return ways


def _unclear(act: Act, foot: Foot, carries: bool) -> list[tuple[Foot | None, bool, float, str]]:
    """Sway, bump and unwind: whichever keeps the next named foot free (facts.md, part 4)."""
    if carries:
        return [(foot, False, 0.0, "")]
    takes_first = act.move in ("sway", "unwind")
    yes = (foot, True, 0.0 if takes_first else OPEN_CHOICE, f"{act.move}-takes")
    no = (foot, False, OPEN_CHOICE if takes_first else 0.0, f"{act.move}-free")
    return [yes, no] if takes_first else [no, yes]
