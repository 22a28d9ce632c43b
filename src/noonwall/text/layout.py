"""Put the units of a line on the counts of its label: the cheapest way that says what the text says."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from noonwall.text.units import Act, Unit, Way

# Costs of a layout. Their order matters, not their size: a held count inside a line is likelier than a
# squeezed step, and a name that its own description follows is not danced twice.
HOLD_TOLD = 0.3
HOLD_UNTOLD = 4.0
SQUEEZE_BODY = 0.3
SQUEEZE_TURN_NEXT = 0.25
SQUEEZE_TURN_BEFORE = 0.5
SQUEEZE_STEP = 8.0
DROP_NAMED = 0.4
DROP_UNIT = 9.0
LOSE_LAST = 1.0
OFF_RHYTHM = 0.2
BAD = 4.0
"""A layout that costs this much or more does not fit its counts."""


_COLOURS = frozenset("drag sweep bump sway drop hitch flick hook fan swivel twist lift bounce body-roll hip-roll".split())


@dataclass(frozen=True, slots=True)
class Placed:
    """An act at a count: ``at`` from the label's first number; ``unit`` and ``way`` say whose it is."""

    at: Fraction
    act: Act
    unit: int
    lead: str
    figure: str


@dataclass(frozen=True, slots=True)
class Layout:
    """One way to dance a line on its counts."""

    placed: tuple[Placed, ...]
    cost: float
    problems: tuple[str, ...] = ()


@dataclass(slots=True)
class _State:
    cost: float
    placed: tuple[Placed, ...]
    problems: tuple[str, ...]
    pending: tuple[Act, ...] = ()
    """Turns waiting for the next act to carry them."""


def lay_out(units: list[Unit], ticks: tuple[Fraction, ...], keep: int = 4) -> list[Layout]:
    """Return up to ``keep`` layouts of ``units`` on ``ticks``, cheapest first.

    Args:
        units: what the line says, in order.
        ticks: the counts of the label, ascending, from any origin.
    """
    inline = _inline_layout(units, ticks)
    if inline:
        return inline
    table: dict[int, list[_State]] = {0: [_State(0.0, (), ())]}
    described = _described(units)
    for number, unit in enumerate(units):
        following: dict[int, list[_State]] = {}
        follower = units[number + 1] if number + 1 < len(units) else None
        for k, states in table.items():
            for state in states:
                for cost, used, placed, problem, pending in _options(
                    unit, number, k, ticks, state, follower, described[number]
                ):
                    problems = state.problems + ((problem,) if problem else ())
                    new = _State(state.cost + cost, state.placed + placed, problems, pending)
                    following.setdefault(k + used, []).append(new)
        table = {k: sorted(states, key=lambda s: s.cost)[: keep + 2] for k, states in following.items()}
    return _finish(table, ticks, keep, units)


def _finish(
    table: dict[int, list[_State]], ticks: tuple[Fraction, ...], keep: int, units: list[Unit]
) -> list[Layout]:
    done = []
    for k, states in table.items():
        left = len(ticks) - k
        for state in states:
            cost, placed, problems = state.cost, state.placed, state.problems
            if state.pending and placed:
                last = placed[-1]
                placed = (*placed[:-1], replace(last, act=_add_turns(last.act, state.pending)))
                cost += SQUEEZE_TURN_BEFORE
            if left:
                told = bool(units) and (units[-1].slow or units[-1].kind == "turn")
                cost += left * (HOLD_TOLD if told else HOLD_UNTOLD)
                if not told:
                    problems = (*problems, "counts.unused")
            done.append(Layout(placed, cost, problems))
    done.sort(key=lambda layout: layout.cost)
    unique: dict[tuple[tuple[Fraction, Act, str], ...], Layout] = {}
    for layout in done:
        unique.setdefault(tuple((p.at, p.act, p.lead) for p in layout.placed), layout)
    return list(unique.values())[:keep]


def _described(units: list[Unit]) -> list[bool]:
    """For each unit: do later words describe it again, so that it may be dropped?"""
    out = []
    for number, unit in enumerate(units):
        later = units[number + 1 :]
        out.append(
            bool(later) and (unit.named or (unit.kind == "figure" and any(u.in_brackets for u in later)))
            or unit.in_brackets
        )
    return out


def _options(
    unit: Unit, number: int, k: int, ticks: tuple[Fraction, ...], state: _State, follower: Unit | None,
    described: bool,
) -> list[tuple[float, int, tuple[Placed, ...], str, tuple[Act, ...]]]:  # fmt: skip
    out: list[tuple[float, int, tuple[Placed, ...], str, tuple[Act, ...]]] = []
    left = len(ticks) - k
    for way in _ways(unit, follower):
        count = len(way.acts)
        if count <= left:
            out.append(_straight(unit, number, way, k, ticks, state))
        if count > 1 or way.counts > 1:
            natural = _natural(unit, number, way, k, ticks, state)
            if natural:
                out.append(natural)
    if unit.slow and left > 1:
        way = unit.ways[0]
        if len(way.acts) == 1:
            for held in range(2, left + 1):
                cost, _, placed, problem, pending = _straight(unit, number, way, k, ticks, state)
                out.append((cost + HOLD_TOLD * (held - 1), held, placed, problem, pending))
    out += _squeezed(unit, number, k, ticks, state, follower)
    if described or unit.kind == "figure" and unit.ways and follower is not None:
        out.append((DROP_NAMED if described else DROP_UNIT, 0, (), "" if described else "counts.dropped", state.pending))
    if not described and not (unit.kind == "figure" and follower is not None):
        out.append((DROP_UNIT, 0, (), "counts.dropped", state.pending))
    return out


def _ways(unit: Unit, follower: Unit | None) -> list[Way]:
    ways = list(unit.ways)
    if unit.kind == "figure" and follower is not None and follower.tied:
        for way in unit.ways:
            if len(way.acts) > 2:
                short = replace(way, acts=way.acts[:-1], ticks=way.ticks[:-1], counts=max(way.counts - 1, Fraction(1)),
                                cost=way.cost + LOSE_LAST)  # fmt: skip
                ways.append(short)
    return ways


def _add_turns(act: Act, pending: tuple[Act, ...]) -> Act:
    for turn in pending:
        if turn.turn:
            act = replace(act, turn=act.turn + turn.turn, mirrors=False)
        elif turn.open_turn:
            act = replace(act, open_turn=act.open_turn + turn.open_turn)
    return act


def _place(
    unit: Unit, number: int, way: Way, times: list[Fraction], pending: tuple[Act, ...]
) -> tuple[Placed, ...]:
    acts = list(way.acts)
    if pending and acts:
        acts[0] = _add_turns(acts[0], pending)
    lead = unit.lead
    acts = [replace(a, foot=lead) if lead and a.foot == "?" and i == 0 else a for i, a in enumerate(acts)]
    return tuple(Placed(t, a, number, lead, way.figure) for t, a in zip(times, acts, strict=True))


def _straight(
    unit: Unit, number: int, way: Way, k: int, ticks: tuple[Fraction, ...], state: _State
) -> tuple[float, int, tuple[Placed, ...], str, tuple[Act, ...]]:
    """One act on each tick."""
    count = len(way.acts)
    times = list(ticks[k : k + count])
    rhythm = [t - times[0] for t in times]
    off = OFF_RHYTHM if list(way.ticks) != rhythm and count > 1 else 0.0
    pending = state.pending
    cost = way.cost + off + (SQUEEZE_TURN_NEXT if pending else 0.0)
    return cost, count, _place(unit, number, way, times, pending), "", ()


def _natural(
    unit: Unit, number: int, way: Way, k: int, ticks: tuple[Fraction, ...], state: _State
) -> tuple[float, int, tuple[Placed, ...], str, tuple[Act, ...]] | None:
    """The figure's own rhythm laid over whole counts ("1-4 kick ball change twice")."""
    if k >= len(ticks):
        return None
    start = ticks[k]
    if start.denominator != 1:
        return None
    end = start + way.counts
    used = sum(start <= t < end for t in ticks[k:])
    covered = set(ticks[k : k + used])
    if used != way.counts or any(t.denominator != 1 for t in covered) or used == len(way.acts):
        if not (used == way.counts and len(way.acts) == used and any(x.denominator != 1 for x in way.ticks)):
            return None
    times = [start + t for t in way.ticks]
    pending = state.pending
    cost = way.cost + OFF_RHYTHM + (SQUEEZE_TURN_NEXT if pending else 0.0)
    return cost, used, _place(unit, number, way, times, pending), "", ()


def _squeezed(
    unit: Unit, number: int, k: int, ticks: tuple[Fraction, ...], state: _State, follower: Unit | None
) -> list[tuple[float, int, tuple[Placed, ...], str, tuple[Act, ...]]]:
    """A unit that takes no count of its own."""
    if unit.kind == "turn":
        turn = next((w.acts[0] for w in unit.ways if len(w.acts) == 1), None)
        return [] if turn is None else [(0.0, 0, (), "", (*state.pending, turn))]
    first = unit.ways[0].acts if unit.ways else ()
    if not first:
        return []
    if unit.kind == "figure" and len(first) == 1 and first[0].weight == "no" and first[0].turn and k:
        return [(0.4, 0, (), "", (*state.pending, first[0]))]
    at = ticks[k - 1] if k else (ticks[0] if ticks else Fraction(0))
    if unit.kind == "body" or first[0].move in ("hold", "hip-roll"):
        lone = replace(first[0], weight="no")
        placed = (Placed(at, lone, number, unit.lead, ""),) if unit.kind == "body" and k else ()
        return [(SQUEEZE_BODY + (0.2 if first[0].move == "hold" else 0), 0, placed, "", state.pending)]
    if unit.ways[0].acts[0].move in _COLOURS and k:
        weightless = first[0].weight != "yes"
        cost = 1.2 if weightless else 3.0
        if weightless and first[0].move in ("sway", "bump") and unit.lead and state.placed:
            cost = 0.6 if state.placed[-1].lead == unit.lead else 3.0
        placed = () if weightless else _place(unit, number, unit.ways[0], [at], ())
        return [(cost, 0, placed, "", state.pending)]
    if len(first) == 1 and k:
        placed = _place(unit, number, unit.ways[0], [at], state.pending)
        return [(SQUEEZE_STEP, 0, placed, "counts.squeezed", ())]
    return []


def _inline_layout(units: list[Unit], ticks: tuple[Fraction, ...]) -> list[Layout]:
    """Counts written behind each step, "step R (1), step L (&)", place the steps themselves."""
    if not units or sum(bool(u.inline) for u in units) < max(2, (len(units) + 1) // 2):
        return []
    counted = [unit for unit in units if unit.inline]
    if ticks and len(counted) == len(ticks) == len([u for u in units if u.kind != "turn"]):
        return []  # the label says the same, and reads "8&1" better
    placed: list[Placed] = []
    origin: int | None = None
    current = Fraction(0)
    pending: tuple[Act, ...] = ()
    for number, unit in enumerate(units):
        way = unit.ways[0]
        if not unit.inline:
            if unit.kind == "turn":
                pending = (*pending, way.acts[0])
                continue
            at = current
        elif unit.inline == "&":
            at = current + Fraction(1, 2)
        elif unit.inline == "a":
            at = current + Fraction(3, 4)
        else:
            value = int(unit.inline)
            origin = value if origin is None else origin
            at = current = Fraction(value - origin) + (ticks[0] if ticks else 0)
        single = next((w for w in unit.ways if len(w.acts) == 1), way)
        times = [at + t for t in single.ticks]
        placed += _place(unit, number, single, times, pending)
        pending = ()
    return [Layout(tuple(placed), 0.1)]


