"""Decide which foot, which weight and which side: the cheapest story that the whole text allows.

Every counted line offers a few layouts. A state is (free foot at the start, weight, facing); each layout
leads from state to state at a cost, and the cheapest path through all lines is kept exactly (dynamic
programming), so a named foot later in the text decides an open choice earlier. Where no clean path
exists, small mends (another foot, a mirrored line, a turned side) are offered at a price, and the path
tells which of them it took.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from noonwall.dance.model import Foot, Step
from noonwall.text.layout import Layout
from noonwall.text.units import Act

# Prices. A clean reading costs less than 2; a conflict of feet or facings costs more than any choice.
CONFLICT = 10.0
FACING_NOTE = 6.0
WEIGHT_NOTE = 5.0
OPEN_CHOICE = 0.5
LOOP_FOOT = 1.0
WALLS = 4.0
LEFT_START = 0.3
MEND_FOOT = 10.4
MEND_MIRROR = 11.5
MEND_WEIGHT = 9.6
MEND_TURN_SIDE = 9.0
MEND_TURN_AMOUNT = 9.5
SPREAD = 26.0
WIDTH = 14

LEFT, RIGHT, BOTH = Foot.LEFT, Foot.RIGHT, Foot.BOTH
_FOOT = {"L": LEFT, "R": RIGHT, "B": BOTH}


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something the path had to accept or mend: a code, the index of the step, facts."""

    code: str
    index: int
    facts: tuple[tuple[str, object], ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one layout does from one weight: end weight, net turn, steps, facing after each unit."""

    cost: float
    weight: Foot
    turn: int
    steps: tuple[Step, ...]
    owners: tuple[int, ...]
    troubles: tuple[Trouble, ...]
    chosen: tuple[str, ...] = ()


@dataclass(slots=True)
class Slot:
    """One counted line in the order of the dance.

    ``notes`` are facings in eighths with the index of the last unit before them; ``weight_on`` is "R",
    "L" or "". ``outcomes`` caches what each layout does, by weight and whether mends are allowed.
    """

    layouts: list[Layout]
    notes: tuple[tuple[int, int], ...] = ()
    weight_on: str = ""
    fixed_facing: int | None = None
    outcomes: dict[tuple[Foot, bool], list[tuple[int, Outcome]]] = field(default_factory=dict)


@dataclass(slots=True)
class _Node:
    cost: float
    slot: int
    layout: int
    outcome: Outcome | None
    before: _Node | None
    note_wrong: tuple[tuple[int, int], ...] = ()
    facing: int = 0


@dataclass(frozen=True, slots=True)
class Told:
    """The chosen story: the start, and for every slot its layout, outcome and contradicted notes."""

    start_free: Foot
    cost: float
    choices: tuple[tuple[int, Outcome, tuple[tuple[int, int], ...], int], ...]
    end_weight: Foot
    end_facing: int


def resolve(
    slots: list[Slot], start_free: Foot | None, stated_walls: int | None, start_facings: tuple[int, ...] = (0,)
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
    states: dict[tuple[Foot, Foot, int, int], _Node] = {}
    for free in (RIGHT, LEFT):
        price = 0.0 if start_free is free else (LEFT_START if free is LEFT else 0.0)
        if start_free is not None and start_free is not free:
            price = CONFLICT * 0.6
        for rank, facing in enumerate(facings):
            states[(free, free.other, facing, facing)] = _Node(price + 0.4 * rank, -1, -1, None, None)
    for number, slot in enumerate(slots):
        states = _advance(states, number, slot, mends)
    return _best(states, walls)


def _advance(
    states: dict[tuple[Foot, Foot, int, int], _Node], number: int, slot: Slot, mends: bool
) -> dict[tuple[Foot, Foot, int, int], _Node]:
    following: dict[tuple[Foot, Foot, int, int], _Node] = {}
    for (start, weight, origin, facing), node in states.items():
        for layout, outcome in _outcomes(slot, weight, mends):
            cost = node.cost + outcome.cost
            wrong: tuple[tuple[int, int], ...] = ()
            if slot.notes:
                wrong = _contradicted(slot.notes, outcome, facing)
                cost += FACING_NOTE * len(wrong)
            key = (start, outcome.weight, origin, (facing + outcome.turn) % 8)
            held = following.get(key)
            if held is None or cost < held.cost:
                following[key] = _Node(cost, number, layout, outcome, node, wrong, facing)
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
    for stated, unit in notes:
        if stated == end and unit >= (outcome.owners[-1] if outcome.owners else 0):
            continue
        at = facing
        seen = False
        for step, owner in zip(outcome.steps, outcome.owners, strict=True):
            if owner > unit:
                break
            at += step.turn
            seen = True
        if at % 8 != stated and not (not seen and facing % 8 == stated) and end != stated:
            wrong.append((stated, at % 8))
    return tuple(wrong)


def _best(states: dict[tuple[Foot, Foot, int, int], _Node], walls: int | None) -> Told:
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
    node: _Node | None = last
    while node is not None and node.outcome is not None:
        choices.append((node.layout, node.outcome, node.note_wrong, node.facing))
        node = node.before
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
    starts = [weight] if weight is not BOTH else [LEFT, RIGHT]
    for number, layout in enumerate(slot.layouts):
        for begin in starts:
            extra = 0.02 if weight is BOTH and begin is RIGHT else 0.0
            for outcome in _dance(layout, begin, mends):
                cost = outcome.cost + layout.cost + extra
                cost += _weight_note(slot.weight_on, outcome)
                out.append((number, _priced(outcome, cost)))
            if mends:
                out += [(number, o) for o in _mended_lines(layout, begin, layout.cost + extra)]
    best: dict[tuple[Foot, int, tuple[object, ...]], tuple[int, Outcome]] = {}
    for number, outcome in out:
        key = (outcome.weight, outcome.turn, tuple(_facing_profile(slot, outcome)))
        if key not in best or outcome.cost < best[key][1].cost:
            best[key] = (number, outcome)
    return list(best.values())


def _facing_profile(slot: Slot, outcome: Outcome) -> list[int]:
    """Where the line faces at each of its notes: outcomes that agree here may be merged."""
    profile = []
    for _, unit in slot.notes:
        pairs = zip(outcome.steps, outcome.owners, strict=True)
        profile.append(sum(step.turn for step, owner in pairs if owner <= unit))
    return profile


def _weight_note(weight_on: str, outcome: Outcome) -> float:
    if not weight_on or outcome.weight is BOTH:
        return 0.0
    return 0.0 if outcome.weight.value == weight_on else WEIGHT_NOTE


def _priced(outcome: Outcome, cost: float) -> Outcome:
    return Outcome(
        cost, outcome.weight, outcome.turn, outcome.steps, outcome.owners, outcome.troubles, outcome.chosen
    )


def _mended_lines(layout: Layout, weight: Foot, base: float) -> list[Outcome]:
    """Whole-line mends: feet mirrored, one turn to the other side, one turn of another amount."""
    out = []
    mirrored = Layout(
        tuple(_replace_act(p, _mirror_feet(p.act), _swap(p.lead)) for p in layout.placed), layout.cost
    )
    for outcome in _dance(mirrored, weight, False):
        if not outcome.troubles:
            trouble = Trouble("weight.line-mirrored", 0)
            out.append(_with(outcome, base + outcome.cost + MEND_MIRROR, trouble))
    for outcome in _dance(layout, weight, False):
        if any(t.code.startswith("weight") for t in outcome.troubles):
            continue
        for k, step in enumerate(outcome.steps):
            if not step.turn:
                continue
            flipped = _with_turn(outcome, k, -step.turn)
            facts = (("said", step.turn), ("meant", -step.turn))
            out.append(_with(flipped, base + outcome.cost + MEND_TURN_SIDE, Trouble("facing.turn-side", k, facts)))
            for amount in (2, 4):
                if abs(step.turn) in (2, 4, 6) and abs(step.turn) != amount:
                    turn = amount if step.turn > 0 else -amount
                    facts = (("said", step.turn), ("meant", turn))
                    resized = _with_turn(outcome, k, turn)
                    trouble = Trouble("facing.turn-amount", k, facts)
                    out.append(_with(resized, base + outcome.cost + MEND_TURN_AMOUNT, trouble))
    return out


def _with(outcome: Outcome, cost: float, trouble: Trouble) -> Outcome:
    return Outcome(
        cost, outcome.weight, outcome.turn, outcome.steps, outcome.owners, (*outcome.troubles, trouble),
        outcome.chosen,
    )  # fmt: skip


def _with_turn(outcome: Outcome, k: int, turn: int) -> Outcome:
    step = outcome.steps[k]
    new = Step(step.at, step.move, step.foot, step.takes_weight, step.to, turn, step.side)
    steps = (*outcome.steps[:k], new, *outcome.steps[k + 1 :])
    return Outcome(
        outcome.cost, outcome.weight, outcome.turn - step.turn + turn, steps, outcome.owners,
        outcome.troubles, outcome.chosen,
    )  # fmt: skip


def _swap(foot: str) -> str:
    return {"R": "L", "L": "R"}.get(foot, foot)


def _mirror_feet(act: Act) -> Act:
    return Act(act.move, _swap(act.foot), act.to, act.weight, act.turn, act.open_turn, act.side, False)


def _replace_act(placed: object, act: Act, lead: str) -> object:
    from_placed = placed
    return type(from_placed)(from_placed.at, act, from_placed.unit, lead, from_placed.figure)  # type: ignore


@dataclass(slots=True)
class _Walk:
    """A partly danced line."""

    cost: float
    weight: Foot
    leads: tuple[tuple[int, Foot], ...]
    turn: int
    steps: tuple[Step, ...]
    troubles: tuple[Trouble, ...]
    chosen: tuple[str, ...]
    lead_turn: tuple[tuple[int, int], ...] = ()


def _dance(layout: Layout, weight: Foot, mends: bool) -> list[Outcome]:
    """Dance a layout from one weight; every open choice branches."""
    walks = [_Walk(0.0, weight, (), 0, (), (), ())]
    last = len(layout.placed) - 1
    for index, placed in enumerate(layout.placed):
        step_walks: list[_Walk] = []
        for walk in walks:
            step_walks += _take(walk, placed, index, mends, index == last)
        step_walks.sort(key=lambda w: w.cost)
        walks = step_walks[:24]
    owners = tuple(p.unit for p in layout.placed)
    return [Outcome(w.cost, w.weight, w.turn, w.steps, owners, w.troubles, w.chosen) for w in walks]


def _lead(walk: _Walk, placed: object) -> Foot:
    for unit, foot in walk.leads:
        if unit == placed.unit:  # type: ignore[attr-defined]
            return foot
    named = placed.lead  # type: ignore[attr-defined]
    if named in ("R", "L"):
        return _FOOT[named]
    return RIGHT if walk.weight is LEFT or walk.weight is BOTH else LEFT


def _take(walk: _Walk, placed: object, index: int, mends: bool, is_last: bool) -> list[_Walk]:
    act: Act = placed.act  # type: ignore[attr-defined]
    leads = walk.leads
    foot: Foot | None
    if act.foot in ("a", "b"):
        lead = _lead(walk, placed)
        if not any(unit == placed.unit for unit, _ in leads):  # type: ignore[attr-defined]
            leads = (*leads, (placed.unit, lead))  # type: ignore[attr-defined]
        foot = lead if act.foot == "a" else lead.other
    elif act.foot == "?":
        foot = _free(walk, act)
    else:
        foot = _FOOT.get(act.foot)
    turns = _turns(act, walk, placed, leads)
    out = []
    for turn, turn_cost in turns:
        for foot_, takes, cost, code in _weights(walk, act, foot, mends, is_last):
            step = Step(placed.at, act.move, foot_, takes, act.to, turn, act.side if act.side in "LR" else "")  # type: ignore[attr-defined]
            weight = foot_ if takes and foot_ is not None else walk.weight
            troubles = walk.troubles
            chosen = walk.chosen
            if code.startswith("weight."):
                troubles = (*troubles, Trouble(code, index, (("foot", act.foot),)))
            elif code:
                chosen = (*chosen, code)
            out.append(
                _Walk(walk.cost + cost + turn_cost, weight, leads, walk.turn + turn, (*walk.steps, step), troubles, chosen,
                      walk.lead_turn)
            )  # fmt: skip
    return out


def _free(walk: _Walk, act: Act) -> Foot:
    if act.weight == "no" and walk.weight is BOTH:
        return RIGHT
    return walk.weight.other if walk.weight is not BOTH else RIGHT


def _turns(
    act: Act, walk: _Walk, placed: object, leads: tuple[tuple[int, Foot], ...]
) -> list[tuple[int, float]]:
    turn = act.turn
    if turn and act.mirrors:
        lead = next((f for u, f in leads if u == placed.unit), None)  # type: ignore[attr-defined]
        lead = lead or _lead(walk, placed)
        turn = turn if lead is RIGHT else -turn
    if act.open_turn:
        amount = abs(act.open_turn)
        if amount % 8 == 0:
            return [(turn + amount, 0.0), (turn - amount, 0.1)]
        previous = next((s.turn for s in reversed(walk.steps) if s.turn), 0)
        right_cost, left_cost = 0.3, 0.3
        if act.move == "pivot":
            right_cost, left_cost = (0.0, 0.3) if walk.weight is LEFT else (0.3, 0.0)
        elif previous:
            right_cost, left_cost = (0.1, 0.3) if previous > 0 else (0.3, 0.1)
        return [(turn + amount, right_cost), (turn - amount, left_cost)]
    return [(turn, 0.0)]


_SHIFTING = frozenset("bounce swivel twist split toe-swivel toe-split heel-click".split())
"""Moves of both feet after which the weight may have gone to the other foot."""

_SAME_FOOT_MOVES = frozenset("hop scoot drop sway bump swivel twist fan bounce lift split".split())


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
            if mends and act.to in ("together", "place", "cross", "side", "") or mends and is_last:
                ways.append((foot, False, MEND_WEIGHT, "weight.should-touch"))
            return ways
        if act.move in _SAME_FOOT_MOVES or act.move == "pivot":
            return [(foot, True, 0.0, "")]
        ways = [(foot, True, CONFLICT, "weight.same-foot")]
        if mends:
            ways.append((foot.other, True, MEND_FOOT, "weight.other-foot"))
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


def count_of(outcome: Outcome, index: int) -> Fraction:
    """Return the count of a step of an outcome, in the label's own numbers."""
    return outcome.steps[min(index, len(outcome.steps) - 1)].at if outcome.steps else Fraction(0)
