"""Put the units of a line on the counts of its label: the cheapest way that says what the text says."""

from __future__ import annotations

from math import inf
from operator import itemgetter
from typing import NamedTuple

from noonwall.dance.quarters import PER_COUNT
from noonwall.text.units import Act, Unit, Way

# Costs of a layout. Their order matters, not their size: a held count inside a line is likelier than a
# squeezed step, and a name that its own description follows is not danced twice.
HOLD_TOLD = 0.3
HOLD_UNTOLD = 4.0
SQUEEZE_BODY = 0.3
SQUEEZE_TURN_NEXT = 0.25
SQUEEZE_TURN_BEFORE = 0.55
SQUEEZE_STEP = 8.0
DROP_NAMED = 0.4
DROP_UNIT = 9.0
LOSE_LAST = 1.0
OFF_RHYTHM = 0.2
BAD = 4.0
"""A layout that costs this much or more does not fit its counts."""
NEAR = 1.6
"""Layouts that cost this much more than the cheapest are still offered to the resolver."""
_GUESS = 0.6
"""The cheapest layout rarely costs more: dearer states are looked at only if it does."""

_COLOURS = frozenset(
    [
        "drag",
        "sweep",
        "bump",
        "sway",
        "drop",
        "hitch",
        "flick",
        "hook",
        "fan",
        "swivel",
        "twist",
        "lift",
        "bounce",
        "body-roll",
        "hip-roll",
    ]
)


_SHARED_COUNT = _COLOURS | {"hold", "hip-roll"}
"""Moves that may share a count with another."""


class Placed(NamedTuple):
    """An act at a count: ``at`` in quarters from the label's first number; ``unit`` says whose it is."""

    at: int
    act: Act
    unit: int
    lead: str
    figure: str


class Layout(NamedTuple):
    """One way to dance a line on its counts."""

    placed: tuple[Placed, ...]
    cost: float
    problems: tuple[str, ...] = ()


class _Piece(NamedTuple):
    """The acts of a unit at their times, not yet placed: most pieces belong to layouts that lose."""

    unit: int
    lead: str
    acts: tuple[Act, ...]
    times: tuple[int, ...]
    figure: str
    as_it_is: bool = False


class _Chain(NamedTuple):
    """A piece, the turns its first act carries besides its own, and the pieces before it."""

    before: _Chain | None
    piece: _Piece
    carried: tuple[Act, ...]


class _State(NamedTuple):
    """Part of a layout: its cost, its pieces, and ``pending`` turns that wait for an act to carry them."""

    cost: float
    chain: _Chain | None
    problems: tuple[str, ...]
    pending: tuple[Act, ...]


_KEEP, _CARRY, _CARRY_FREE, _WAIT = range(4)
_CARRIES = (_CARRY, _CARRY_FREE)
"""What an option does with waiting turns: leaves them, carries them (at a price or free), adds its own."""


class _Option(NamedTuple):
    """One way to go on from a state; ``held`` is what its counts without an act cost."""

    cost: float
    used: int
    piece: _Piece | None
    problem: str = ""
    turns: int = _KEEP
    held: float = 0.0
    own: tuple[Act, ...] = ()
    same_lead: str = ""


def lay_out(units: list[Unit], ticks: tuple[int, ...], keep: int = 4) -> list[Layout]:
    """Return up to ``keep`` layouts of ``units`` on ``ticks``, cheapest first, none dearer than ``NEAR``.

    Args:
        units: what the line says, in order.
        ticks: the counts of the label in quarters, ascending, from any origin.
        keep: how many layouts are kept at most.
    """
    only = _inline_layout(units, ticks) or _direct_layout(units, ticks)
    if only:
        return only
    bound = NEAR + _GUESS
    found = _search(units, ticks, keep, bound)
    if not found:
        found = _search(units, ticks, keep, inf)
    elif found[0].cost + NEAR > bound:
        found = _search(units, ticks, keep, found[0].cost + NEAR)
    floor = found[0].cost if found else 0.0
    kept = [layout for layout in found if layout.cost <= floor + NEAR]
    return kept + _with_rock(units, ticks, floor)


def _direct_layout(units: list[Unit], ticks: tuple[int, ...]) -> list[Layout]:
    """A plain step on every count: any other way to dance the line would cost more than ``NEAR``."""
    if len(units) != len(ticks):
        return []
    placed = []
    for number, unit in enumerate(units):
        way = unit.ways[0] if unit.kind == "action" and len(unit.ways) == 1 else None
        if way is None or way.cost or way.counts != PER_COUNT or len(way.acts) != 1:
            return []
        act = way.acts[0]
        if unit.slow or unit.named or unit.in_brackets or act.move in _SHARED_COUNT:
            return []
        if unit.lead and act.foot == "?":
            act = act._replace(foot=unit.lead)
        placed.append(Placed(ticks[number], act, number, unit.lead, way.figure))
    return [Layout(tuple(placed), 0.0)]


def _search(units: list[Unit], ticks: tuple[int, ...], keep: int, bound: float) -> list[Layout]:
    """Return the cheapest layouts that cost no more than ``bound`` (exact: no price is negative)."""
    table: dict[int, list[_State]] = {0: [_State(0.0, None, (), ())]}
    described = _described(units)
    last = len(units) - 1
    for number, unit in enumerate(units):
        following: dict[int, list[_State]] = {}
        follower = units[number + 1] if number < last else None
        ways = _ways(unit, follower)
        for k, states in table.items():
            options = _options(unit, number, k, ticks, ways, follower, described[number], bound)
            for state in states:
                _extend(state, k, options, bound, following)
        table = following
        for states in table.values():
            if len(states) > 1:
                states.sort(key=_COST)
                del states[keep + 2 :]
    return _finish(table, ticks, keep, units, bound)


def _with_rock(units: list[Unit], ticks: tuple[int, ...], floor: float) -> list[Layout]:
    """ "Recover onto L" alone on two counts: the rock before it was left out. Offered at its price."""
    first = units[0].ways[0].acts[0] if units and units[0].ways else None
    if first is None or first.move != "recover" or floor < BAD:
        return []
    foot = {"R": "L", "L": "R"}.get(first.foot if first.foot in ("R", "L") else units[0].lead, "?")
    way = Way((Act("rock", foot, "fwd"),), (0,), PER_COUNT, 0.0, "")
    rock = Unit("action", (way,), "", units[0].start, units[0].end)
    out = []
    for layout in _search([rock, *units], ticks, 1, NEAR):
        placed = tuple(p._replace(unit=max(0, p.unit - 1)) for p in layout.placed)
        out.append(Layout(placed, layout.cost + BAD + 0.2, ("counts.unused",)))
    return out


_COST = itemgetter(0)


def _extend(
    state: _State, k: int, options: list[_Option], bound: float, following: dict[int, list[_State]]
) -> None:
    """Add to ``following``, by the ticks used so far, what each option makes of a state."""
    before, chain, problems, pending = state
    for option in options:
        cost, used, piece, problem, turns, held, own, same_lead = option
        if same_lead and chain is not None:
            cost = 0.6 if chain.piece.lead == same_lead else 3.0
        if pending and turns == _CARRY:
            cost += SQUEEZE_TURN_NEXT
        total = before + (cost + held)
        if total > bound:
            continue
        carries = turns in _CARRIES
        new = _State(
            total,
            _Chain(chain, piece, pending if carries else ()) if piece else chain,
            (*problems, problem) if problem else problems,
            () if carries else (*pending, *own) if own else pending,
        )
        following.setdefault(k + used, []).append(new)


_STANDING = Act("turn", "", "", "no")


def _finish(
    table: dict[int, list[_State]], ticks: tuple[int, ...], keep: int, units: list[Unit], bound: float
) -> list[Layout]:
    done: list[tuple[float, _State, tuple[str, ...]]] = []
    told = bool(units) and (units[-1].slow or units[-1].kind == "turn")
    for k, states in table.items():
        left = len(ticks) - k
        for state in states:
            cost, problems = state.cost, state.problems
            if state.pending and state.chain:
                cost += SQUEEZE_TURN_BEFORE
            if left:
                cost += left * (HOLD_TOLD if told else HOLD_UNTOLD)
                if not told:
                    problems = (*problems, "counts.unused")
            if cost <= bound:
                done.append((cost, state, problems))
    done.sort(key=_COST)
    unique: dict[tuple[tuple[int, Act, str], ...], Layout] = {}
    for cost, state, problems in done:
        placed = _placed(state)
        if not placed and state.pending and ticks:  # a turn and nothing else: it has the first count
            placed = (Placed(ticks[0], _add_turns(_STANDING, state.pending), 0, "", "turn"),)
        unique.setdefault(tuple([(p.at, p.act, p.lead) for p in placed]), Layout(placed, cost, problems))
        if len(unique) == keep:
            break
    return list(unique.values())


def _placed(state: _State) -> tuple[Placed, ...]:
    """Place the pieces of a state; turns that still wait go to its last act."""
    chain, links = state.chain, []
    while chain is not None:
        links.append(chain)
        chain = chain.before
    out: list[Placed] = []
    for _, piece, carried in reversed(links):
        out += _place(piece, carried)
    if state.pending and out:
        out[-1] = out[-1]._replace(act=_add_turns(out[-1].act, state.pending))
    return tuple(out)


def _place(piece: _Piece, carried: tuple[Act, ...]) -> list[Placed]:
    unit, lead, acts, times, figure, as_it_is = piece
    if carried:
        acts = (_add_turns(acts[0], carried), *acts[1:])
    if lead and acts[0].foot == "?" and not as_it_is:
        acts = (acts[0]._replace(foot=lead), *acts[1:])
    return [Placed(at, act, unit, lead, figure) for at, act in zip(times, acts, strict=True)]


def _add_turns(act: Act, pending: tuple[Act, ...]) -> Act:
    for turn in pending:
        if turn.turn:
            act = act._replace(turn=act.turn + turn.turn, mirrors=False)
        elif turn.open_turn:
            act = act._replace(open_turn=act.open_turn + turn.open_turn)
    return act


def _described(units: list[Unit]) -> list[bool]:
    """For each unit: do later words describe it again, so that it may be dropped?"""
    out = []
    bracketed = [number for number, unit in enumerate(units) if unit.in_brackets]
    last_bracketed = bracketed[-1] if bracketed else -1
    for number, unit in enumerate(units):
        is_last = number == len(units) - 1
        retold = unit.named or (unit.kind == "figure" and number < last_bracketed)
        out.append((retold and not is_last) or unit.in_brackets)
    return out


def _options(
    unit: Unit, number: int, k: int, ticks: tuple[int, ...], ways: tuple[Way, ...], follower: Unit | None,
    described: bool, bound: float,
) -> list[_Option]:  # fmt: skip
    """Return the ways to go on with a unit; some that cost more than ``bound`` are left out."""
    out: list[_Option] = []
    left = len(ticks) - k
    for way in ways:
        count = len(way.acts)
        if count <= left:
            out.append(_straight(unit, number, way, k, ticks))
        if (count > 1 or way.counts > PER_COUNT) and left:
            natural = _natural(unit, number, way, k, ticks)
            if natural:
                out.append(natural)
    if unit.slow and left > 1 and len(unit.ways[0].acts) == 1:
        once = _straight(unit, number, unit.ways[0], k, ticks)
        for held in range(2, left + 1):
            out.append(once._replace(used=held, held=HOLD_TOLD * (held - 1)))
    squeezed = _squeezed(unit, number, k, ticks, bound)
    if squeezed:
        out.append(squeezed)
    if described:
        out.append(_NAMED)
    elif bound < DROP_UNIT:
        pass
    elif unit.ways or not (unit.kind == "figure" and follower is not None):
        out.append(_DROPPED)
    return out


_NAMED = _Option(DROP_NAMED, 0, None)
_DROPPED = _Option(DROP_UNIT, 0, None, "counts.dropped")


def _ways(unit: Unit, follower: Unit | None) -> tuple[Way, ...]:
    """The ways of a unit; a figure may lose its last act to words that follow without a comma."""
    if unit.kind != "figure" or follower is None or not follower.tied:
        return unit.ways
    short = [
        Way(
            way.acts[:-1], way.ticks[:-1], max(way.counts - PER_COUNT, PER_COUNT), way.cost + LOSE_LAST,
            way.figure,
        )
        for way in unit.ways
        if len(way.acts) > 2
    ]  # fmt: skip
    return (*unit.ways, *short)


def _straight(unit: Unit, number: int, way: Way, k: int, ticks: tuple[int, ...]) -> _Option:
    """One act on each tick."""
    count = len(way.acts)
    times = ticks[k : k + count]
    cost = way.cost
    if count > 1:
        first = times[0]
        if way.ticks != tuple([t - first for t in times]):
            cost += OFF_RHYTHM
    return _Option(cost, count, _Piece(number, unit.lead, way.acts, times, way.figure), "", _CARRY)


def _natural(unit: Unit, number: int, way: Way, k: int, ticks: tuple[int, ...]) -> _Option | None:
    """The figure's own rhythm laid over whole counts ("1-4 kick ball change twice")."""
    start = ticks[k]
    if start % PER_COUNT:
        return None
    end = start + way.counts
    used = sum([start <= t < end for t in ticks[k:]])
    if used * PER_COUNT != way.counts:
        return None
    # as many acts as counts: only another rhythm makes a difference; else the label must count in wholes
    is_odd = any(t % PER_COUNT for t in (way.ticks if used == len(way.acts) else ticks[k : k + used]))
    if is_odd != (used == len(way.acts)):
        return None
    times = tuple([start + t for t in way.ticks])
    piece = _Piece(number, unit.lead, way.acts, times, way.figure)
    return _Option(way.cost + OFF_RHYTHM, used, piece, "", _CARRY)


def _squeezed(unit: Unit, number: int, k: int, ticks: tuple[int, ...], bound: float) -> _Option | None:
    """A unit that takes no count of its own."""
    if unit.kind == "turn":
        turn = next((w.acts[0] for w in unit.ways if len(w.acts) == 1), None)
        return None if turn is None else _Option(0.0, 0, None, "", _WAIT, own=(turn,))
    acts = unit.ways[0].acts if unit.ways else ()
    if not acts:
        return None
    first = acts[0]
    if unit.kind == "figure" and len(acts) == 1 and first.weight == "no" and first.turn and k:
        return _Option(0.4, 0, None, "", _WAIT, own=(first,))
    at = ticks[k - 1] if k else (ticks[0] if ticks else 0)
    if unit.kind == "body" or first.move in ("hold", "hip-roll"):
        piece: _Piece | None = None
        if unit.kind == "body" and k:
            piece = _Piece(number, unit.lead, (first._replace(weight="no"),), (at,), "", True)
        return _Option(SQUEEZE_BODY + (0.2 if first.move == "hold" else 0), 0, piece)
    if first.move in _COLOURS and k:
        if first.weight == "yes":
            piece = _Piece(number, unit.lead, acts, (at,) * len(acts), unit.ways[0].figure)
            return _Option(3.0, 0, piece)
        swings = first.move in ("sway", "bump")
        return _Option(1.2, 0, None, same_lead=unit.lead if swings else "")
    if len(acts) == 1 and k and bound >= SQUEEZE_STEP:
        piece = _Piece(number, unit.lead, acts, (at,), unit.ways[0].figure)
        return _Option(SQUEEZE_STEP, 0, piece, "counts.squeezed", _CARRY_FREE)
    return None


def _inline_layout(units: list[Unit], ticks: tuple[int, ...]) -> list[Layout]:
    """Counts written behind each step, "step R (1), step L (&)", place the steps themselves."""
    if not units or sum(bool(u.inline) for u in units) < max(2, (len(units) + 1) // 2):
        return []
    counted = [unit for unit in units if unit.inline]
    if ticks and len(counted) == len(ticks) == len([u for u in units if u.kind != "turn"]):
        return []  # the label says the same, and reads "8&1" better
    placed: list[Placed] = []
    origin: int | None = None
    current = 0
    pending: tuple[Act, ...] = ()
    for number, unit in enumerate(units):
        way = unit.ways[0]
        if not unit.inline:
            if unit.kind == "turn":
                pending = (*pending, way.acts[0])
                continue
            at = current
        elif unit.inline == "&":
            at = current + PER_COUNT // 2
        elif unit.inline == "a":
            at = current + PER_COUNT * 3 // 4
        else:
            value = int(unit.inline)
            origin = value if origin is None else origin
            at = current = PER_COUNT * (value - origin) + (ticks[0] if ticks else 0)
        single = next((w for w in unit.ways if len(w.acts) == 1), way)
        times = tuple([at + t for t in single.ticks])
        placed += _place(_Piece(number, unit.lead, single.acts, times, single.figure), pending)
        pending = ()
    return [Layout(tuple(placed), 0.1)]
