"""Turn drafts into units: what is to be danced, with the ways it may be danced.

A unit's acts name feet relatively ("a" the leading foot, "b" the other, "?" whichever is free) where the
text names none; the resolver fills them in.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from noonwall.dance.quarters import PER_COUNT, all_quarters, quarters_of
from noonwall.figures import FigureDef, FormStep, vocabulary, vocabulary_moves
from noonwall.text.drafts import Draft, Line

ONE = PER_COUNT
AT_ONCE, THEN = (0,), (0, ONE)
BODY_MOVES = frozenset(["clap", "snap", "slap", "arms", "shimmy", "pose", "knee-pop"])
"""Actions of hands and body: they may share a count with a step."""


class Act(NamedTuple):
    """One action before its foot is known.

    ``foot``: R, L, B, "" (none), "a" (the unit's lead), "b" (the other), "?" (the free foot).
    ``weight``: yes, no or unclear. ``turn`` in eighths; ``open_turn`` an amount whose side is not said.
    ``mirrors``: the turn is written for a right lead and changes side with the lead.
    """

    move: str
    foot: str
    to: str = ""
    weight: str = "yes"
    turn: int = 0
    open_turn: int = 0
    side: str = ""
    mirrors: bool = False


class Way(NamedTuple):
    """One way to dance a unit: acts, their natural ticks from the unit's start, its length; in quarters."""

    acts: tuple[Act, ...]
    ticks: tuple[int, ...]
    counts: int
    cost: float = 0.0
    figure: str = ""


class Unit(NamedTuple):
    """One thing to dance. ``lead`` is R, L or "" (unknown); ``kind`` is figure, action, turn or body."""

    kind: str
    ways: tuple[Way, ...]
    lead: str
    start: int
    end: int
    inline: str = ""
    weight_on: str = ""
    slow: bool = False
    named: bool = False
    in_brackets: bool = False
    tied: bool = False  # no comma stands before it: it may replace the last act of the figure before


def units_of(line: Line) -> list[Unit]:
    """Return the units of a line in order."""
    units: list[Unit] = []
    drafts = list(line.drafts)
    told = [draft for draft in drafts if draft.named and draft.amount]
    described = [draft for draft in drafts[line.named_until :] if not draft.named]
    if len(told) == 1 and described and not any(draft.amount for draft in drafts if not draft.named):
        # "volta turning 1/2 right: cross, ball, cross ...": the turn told in the name belongs to the steps
        end = drafts[-1].end
        drafts.append(Draft(end, end, amount=told[0].amount, turn_side=told[0].turn_side, turn_word="turn"))
        described.append(drafts[-1])
    if len(described) > 1 and any(draft.amount for draft in described):
        # "two ¼ pivots: step R fwd, pivot ¼ L, ...": steps that tell the turn themselves tell all of it
        drafts = [draft for draft in drafts if not (draft.named and (draft.is_figure or draft.is_turn_only))]
    i = 0
    while i < len(drafts):
        draft = drafts[i]
        named = draft.named
        bare = []
        j = i + 1
        while (
            j < len(drafts)
            and drafts[j].is_bare
            and drafts[j].after in ("sep", "and")
            and not draft.is_bare
            and (draft.foot or draft.feet or draft.is_figure or draft.verb or draft.is_turn_only)
        ):
            bare.append(drafts[j])
            j += 1
        tail = drafts[j] if j < len(drafts) else None
        if tail and tail.is_turn_only and tail.after == "" and draft.is_figure and not draft.amount and bare:
            draft.amount, draft.turn_side = tail.amount, tail.turn_side
            j += 1
        if _is_echo(draft, drafts[i - 1] if i else None):
            i = j
            continue
        _inherit(draft, drafts[i - 1] if i else None)
        made = _units(draft, bare, units)
        if draft.weight and made:
            made[-1] = _with_weight(made[-1], draft.weight)
        for unit in made:
            plain = not named and not draft.in_brackets and not unit.named and not unit.in_brackets
            units.append(unit if plain else unit._replace(named=named, in_brackets=draft.in_brackets))
        i = j
    return units


_GESTURES = frozenset(
    [
        "fan",
        "swivel",
        "twist",
        "touch",
        "tap",
        "point",
        "heel",
        "toe",
        "split",
        "kick",
        "bump",
        "heel-fan",
        "toe-swivel",
        "grind",
    ]
)


_OPENINGS = frozenset({"split", "fan", "heel-fan", "toe-split", "heel-split"})
_TWISTS = frozenset({"swivel", "swivet", "fan", "heel-swivel", "toe-swivel"})


def _is_echo(draft: Draft, before: Draft | None) -> bool:
    """ "Cross L behind R *and step*": the step was already told."""
    if draft.verb in ("grind", "heel-grind") and draft.after == "and" and not draft.foot:
        draft.verb, draft.is_figure, draft.places, draft.body = "", False, [], ""
        draft.turn_word = "turn" if draft.amount else ""
        return not draft.amount
    lone = draft.verb == "step" and not (
        draft.foot or draft.places or draft.amount or draft.feet or draft.body
    )
    return bool(
        lone and draft.after == "and" and before and before.places and before.verb in ("", "drag", "step")
    )


def _inherit(draft: Draft, before: Draft | None) -> None:
    """ "Fan right toes out, *in, out*": a place alone after a gesture is the same gesture again."""
    closes = draft.verb == "close" or (not draft.verb and draft.places == ["together"])
    if before and closes and not draft.foot and before.verb in _OPENINGS:
        draft.verb, draft.places = "swivel", []
        return
    turned_in = before and before.verb in _GESTURES | _TWISTS and (draft.places or before.verb in _TWISTS)
    if before and turned_in and draft.verb == "recover" and not draft.foot:
        draft.verb, draft.is_figure = ("swivel" if before.foot in ("", "B") else before.verb), False
        return
    if before is None or draft.verb or draft.foot or draft.body or draft.amount or not draft.places:
        return
    verb = before.verb or {"heel": "heel", "toe": "touch"}.get(before.body, "")
    hips = next((move for move in reversed(before.joined) if move in ("bump", "sway", "swivel")), "")
    if hips and draft.after in ("sep", "and"):
        draft.verb, before.joined = hips, [*before.joined]
        draft.joined = [hips]
        return
    figure = vocabulary().figures.get(verb)
    if figure and all(step.move in _GESTURES or step.foot == "B" for step in figure.forms[0].steps):
        draft.verb = "swivel"
        return
    if (
        verb in _GESTURES
        and set(draft.places) <= {"in", "out", "fwd", "back", "side"}
        and draft.after in ("sep", "and")
    ):
        draft.verb, draft.body, draft.foot = verb, before.body, before.foot
        draft.foot_certain = before.foot_certain


def _with_weight(unit: Unit, weight: str) -> Unit:
    """Apply "with weight" or "no weight" to the last foot act of a unit."""
    take = "yes" if weight == "take" else "no"
    ways = []
    for way in unit.ways:
        acts = list(way.acts)
        for k in range(len(acts) - 1, -1, -1):
            if acts[k].foot:
                acts[k] = acts[k]._replace(weight=take)
                break
        ways.append(way._replace(acts=tuple(acts)))
    return unit._replace(ways=tuple(ways))


def _units(draft: Draft, bare: list[Draft], before: list[Unit]) -> list[Unit]:
    feet = draft.feet or ""
    listed = "".join(d.feet or d.foot for d in bare)
    if draft.times > 1 and draft.foot in ("R", "L") and any(one.times > 1 for one in bare):
        # "heel digs R x2, L x2": each foot as often as it says
        feet = draft.foot * draft.times + "".join((one.feet or one.foot) * one.times for one in bare)
        draft, listed = replace(draft, times=1), ""
    ends = max([draft.end, *(d.end for d in bare)])
    if draft.is_figure:
        return _figure_units(draft, feet, listed, ends)
    if draft.is_bare:
        return _repeat_bare(draft, feet or draft.foot, before)
    if draft.is_turn_only and draft.times > 1 and "pivot-turn" in draft.alternatives:
        # "pivot ½ left twice": each time with its step, for nobody pivots twice without one
        return _figure_units(replace(draft, verb="pivot-turn", is_figure=True), feet, listed, ends)
    if draft.is_turn_only:
        run = feet or ((draft.foot if draft.foot in "RL" else "") + listed if listed else "")
        if len(run) > 1:
            draft.feet = run
        return [_turn_unit(draft, ends)]
    return _action_units(draft, feet, listed, bare)


_OTHER = {"R": "L", "L": "R"}


def _figure_units(draft: Draft, feet: str, listed: str, end: int) -> list[Unit]:
    if draft.amount and not draft.turn_side and feet[:1] in ("R", "L") and draft.foot == _OTHER[feet[0]]:
        # "½ turn triple step L (R-L-R)": the feet are listed, so the side before them is that of the turn
        draft = replace(draft, turn_side=draft.foot, foot="")
    run = feet or ((draft.foot or "") + listed if listed else "")
    table = vocabulary().figures
    ids = [draft.verb, *(a for a in draft.alternatives if not a.startswith("move:"))]
    defs = [table[name] for name in ids if name in table]
    lead = (draft.foot if draft.foot in "RL" else "") or _lead_of_side(draft, defs, run)
    whole = any(
        len(run) in (len(f.steps), sum(s.foot != "-" for s in f.steps)) for d in defs for f in d.forms
    )
    instances: list[str] = [lead]
    if len(run) > 1 and whole and draft.times == 1:
        instances = [run[0]]
    elif len(run) > 1:
        instances = list(run)
    elif len(run) == 1:
        instances = [run]
    if draft.times > 1 and len(instances) == 1:
        instances = instances + [""] * (draft.times - 1)
    ways = _figure_ways(draft, defs)
    moves = [a[5:] for a in draft.alternatives if a.startswith("move:")]
    unit = Unit(
        "figure", tuple(ways), instances[0], draft.start, end, draft.inline, draft.weight_on,
        bool(draft.slow) and not (len(run) > 1 and whole), tied=draft.after == "",
    )  # fmt: skip
    if moves and draft.times > 1 and (lead or draft.side) and vocabulary_moves()[moves[0]].weight != "yes":
        # "hip bump R x2": the same hip twice
        return _action_units(replace_draft(draft, moves[0]), feet, listed, [])
    if moves and draft.times == 1 and len(instances) == 1:
        plain = _action_units(replace_draft(draft, moves[0]), "", "", [])
        late = 1.0 if draft.slow else 0.0  # "for two counts": one slow rock, not a rock and its recovery
        ways = [w._replace(cost=w.cost + late) for w in unit.ways]
        unit = unit._replace(
            ways=(*ways, *(w._replace(cost=w.cost + 0.1 * (1 - late)) for w in plain[0].ways))
        )
    out = [unit._replace(lead=one) for one in instances]
    for extra in draft.joined:
        if extra in ("touch", "scuff", "hitch", "kick", "brush", "stomp", "point", "hook", "flick"):
            out.append(_simple(extra, draft, end, soft=True))
    return out


TURNS_TO_ITS_LEAD = frozenset(["monterey-turn", "rolling-vine", "figure-of-eight-vine"])
"""Figures that always turn to the side of their leading foot."""


def _lead_of_side(draft: Draft, defs: list[FigureDef], run: str) -> str:
    """Return the foot that a side names: "chassé to the left" begins with the left foot, which goes there."""
    if run or not defs:
        return ""
    if draft.verb in TURNS_TO_ITS_LEAD and draft.turn_side in ("R", "L"):
        return draft.turn_side
    goes_aside = all(f.steps[0].to == "side" and f.steps[0].foot == "R" for d in defs for f in d.forms)
    return draft.side if goes_aside and draft.side in ("R", "L") else ""


def replace_draft(draft: Draft, verb: str) -> Draft:
    """Return a copy of ``draft`` that names a plain move."""
    copy = replace(draft, verb=verb, is_figure=False, alternatives=())
    copy.places = list(draft.places)
    return copy


def _simple(move: str, draft: Draft, end: int, soft: bool = False) -> Unit:
    entry = vocabulary_moves()[move]
    act = Act(move, "?" if entry.feet == "one" else "", entry.to, entry.weight)
    way = Way((act,), AT_ONCE, ONE)
    return Unit("body" if soft else "action", (way,), "", draft.start, end, tied=True)


def _figure_ways(draft: Draft, defs: list[FigureDef]) -> list[Way]:
    ways = []
    first = defs[0].forms[0].steps
    if [step.move for step in first] == ["rock", "recover"]:
        # "rock forward R" may be the rock alone: its recovery is told next, or it is held
        rock = _form_acts(first[:1], defs[0], draft)
        ways.append(Way(rock, AT_ONCE, ONE, 0.0 if draft.slow else 0.2, defs[0].id))
    if len(first) == 2 and first[1].turn and not first[0].turn:
        # "step forward R, paddle 1/4 L": the name may tell only the turn that follows a step already told
        act = _form_acts(first, defs[0], draft)[1]
        if act.mirrors:
            act = act._replace(turn=0, open_turn=abs(act.turn), mirrors=False)
        if act.weight == "yes":
            act = act._replace(move="pivot", foot="?", to="place")
        ways.append(Way((act,), AT_ONCE, ONE, 0.25, defs[0].id))
    for rank, figure in enumerate(defs):
        for number, (form, (ticks, counts)) in enumerate(zip(figure.forms, timing(figure.id), strict=True)):
            acts = _form_acts(form.steps, figure, draft)
            cost = 0.6 * rank + 0.15 * number + (1.0 if draft.slow and form.steps[0].move == "rock" else 0.0)
            ways.append(Way(acts, ticks, counts, cost, figure.id))
    return ways


@lru_cache(maxsize=512)
def timing(figure: str) -> tuple[tuple[tuple[int, ...], int], ...]:
    """Return the ticks and the length of every form of a figure, in quarters of a count."""
    return tuple((all_quarters(f.ticks), quarters_of(f.counts)) for f in vocabulary().figures[figure].forms)


_RELATIVE = {"R": "a", "L": "b", "B": "B", "-": ""}


def _form_acts(steps: tuple[FormStep, ...], figure: FigureDef, draft: Draft) -> tuple[Act, ...]:
    moves = vocabulary_moves()
    places = merge_places(draft.places, "")
    has_open = any(step.open_place for step in steps)
    acts = []
    for step in steps:
        to = places if places and step.open_place else step.to
        foot = _RELATIVE[step.foot]
        acts.append(Act(step.move, foot, to, moves[step.move].weight, step.turn, 0, "", True))
    if places and not has_open and places in ("cross", "fwd", "back", "side", "together", "behind"):
        last = max((k for k, a in enumerate(acts) if a.weight == "yes"), default=-1)
        if last >= 0:
            acts[last] = acts[last]._replace(to=places)
    return _turned(tuple(acts), figure, draft)


def _turned(acts: tuple[Act, ...], figure: FigureDef, draft: Draft) -> tuple[Act, ...]:
    """Give a figure the turn the text asks for.

    Natural turns are written for a right lead; they are kept as such here ("a" leads) and mirrored
    when the lead turns out to be the left foot. A stated side is absolute.
    """
    natural = sum(a.turn for a in acts)
    turning = [k for k, a in enumerate(acts) if a.turn]
    amount, stated = draft.amount, draft.turn_side
    if not amount and not stated:
        return acts
    out = list(acts)
    if not amount:
        amount = abs(natural)
        if not amount:
            return acts
    if turning:
        shares = _shares([abs(acts[k].turn) for k in turning], amount)
    else:
        turning = [k for k in figure.turn_on if k < len(acts)] or [0]
        shares = _even(amount, len(turning))
    for k, share in zip(turning, shares, strict=True):
        if stated:
            out[k] = out[k]._replace(turn=share if stated == "R" else -share, mirrors=False)
        elif natural:
            out[k] = out[k]._replace(turn=share if natural > 0 else -share)
        elif figure.turn_side:
            out[k] = out[k]._replace(turn=share if figure.turn_side == "R" else -share)
        else:
            out[k] = out[k]._replace(turn=0, open_turn=share, mirrors=False)
    return tuple(out)


def _shares(natural: list[int], amount: int) -> list[int]:
    total = sum(natural)
    if total == amount:
        return natural
    if len(natural) == 1:
        return [amount]
    rest = list(natural)
    rest[-1] += amount - total
    if rest[-1] >= 0:
        return rest
    return _even(amount, len(natural))


def _even(amount: int, parts: int) -> list[int]:
    base, extra = divmod(amount, parts)
    return [base + (1 if k < extra else 0) for k in range(parts)]


def _repeat_bare(draft: Draft, feet: str, before: list[Unit]) -> list[Unit]:
    """A foot alone repeats the action before it; after a figure it is one more of the same."""
    if not before:
        acts = [Unit("action", (Way((Act("step", f, ""),), AT_ONCE, ONE),), f, draft.start, draft.end)
                for f in feet]  # fmt: skip
        return acts
    last = before[-1]
    ways = tuple(
        way._replace(acts=tuple(a._replace(foot="a") if a.foot in ("R", "L", "?") else a for a in way.acts))
        for way in last.ways
    )
    return [last._replace(ways=ways, lead=f, start=draft.start, end=draft.end, inline=draft.inline,
                    weight_on=draft.weight_on) for f in feet]  # fmt: skip


def _turn_unit(draft: Draft, end: int) -> Unit:
    """A turn with no step of its own: a pivot onto the other foot, or a turn on the standing one."""
    amount = draft.amount
    signed = amount if draft.turn_side == "R" else -amount
    turn, opened = (signed, 0) if draft.turn_side else (0, amount)
    pivot = Act("pivot", "?", "place", "yes", turn, opened)
    stand = Act("turn", "", "", "no", turn, opened)
    ways = [Way((pivot,), AT_ONCE, ONE, 0.2, "turn"), Way((stand,), AT_ONCE, ONE, 0.35, "turn")]
    if draft.turn_word == "pivot" and amount:
        step = Act("step", "?", "fwd", "yes")
        ways.append(Way((step, pivot), THEN, 2 * ONE, 0.3, "pivot-turn"))
    if amount in (8, 12, 4) and draft.turn_word:
        (turn_first, turn_then), (first, then) = _halves(turn), _halves(opened)
        walked = (
            Act("step", "?", "fwd", "yes", turn_first, first),
            Act("step", "?", "back", "yes", turn_then, then),
        )
        ways.append(Way(walked, THEN, 2 * ONE, 0.45, "full-turn"))
    if draft.feet:
        ways = [_turn_on_feet(draft)]
    return Unit(
        "turn", tuple(ways), "", draft.start, end, draft.inline, draft.weight_on, bool(draft.slow),
        tied=draft.after == "",
    )  # fmt: skip


def _turn_on_feet(draft: Draft) -> Way:
    """A turn shared by the steps of the feet it lists ("full turn R, L")."""
    acts = []
    for foot, share in zip(draft.feet, _even(draft.amount, len(draft.feet)), strict=True):
        signed = share if draft.turn_side == "R" and draft.amount else -share
        turn, opened = (signed, 0) if draft.turn_side else (0, share)
        acts.append(Act("step", foot, "", "yes", turn, opened))
    return Way(tuple(acts), tuple(range(0, ONE * len(acts), ONE)), ONE * len(acts), 0, "full-turn")


def _halves(turn: int) -> tuple[int, int]:
    """Halve a turn between two steps; the second takes what is odd."""
    first = abs(turn) // 2
    then = abs(turn) - first
    return (first, then) if turn > 0 else (-first, -then)


def merge_places(places: list[str], verb: str) -> str:
    """Return one place for several words: "forward" and "diagonal" are "diag-fwd"."""
    if not places:
        return ""
    given = list(dict.fromkeys(places))
    held = set(given)
    for one in ("lock-behind", "lock-front"):
        if one in held:
            return one
    if "behind" in held or ("back" in held and "cross" in held):
        return "back" if verb == "rock" and "cross" not in held and "back" in held else "behind"
    if "cross" in held:
        return "cross"
    for one in ("diag-fwd", "diag-back"):
        if one in held:
            return one
    if "diag" in held:
        return "diag-back" if "back" in held else "diag-fwd"
    for one in ("together", "out", "in"):
        if one in held and not held & {"side", "fwd", "back"}:
            return one
    if held & {"out"} and held & {"fwd"}:
        return "diag-fwd"
    for one in given:
        if one in ("fwd", "back", "side", "together", "place"):
            return one
    return given[0]


def _verb_of(draft: Draft) -> str:
    """Return the move a draft names, refined by heel, toe or knee."""
    verb, body = draft.verb, draft.body
    if verb == "close":
        return "step"
    if verb == "return-heel":
        return "swivel"
    if verb == "step-slide":
        return "step"
    if body == "heel" and verb in ("touch", "tap", "point", ""):
        return "heel"
    if body == "toe" and verb == "step" and "together" in draft.places and draft.weight == "none":
        return "fan"
    if body == "toe" and verb in ("", "tap"):
        return "touch"
    if body == "toe" and verb == "touch":
        return "touch"
    if body == "knee" and verb in ("lift", ""):
        return "hitch"
    if body == "hip" and verb in ("", "swing"):
        return "bump"
    if body in ("heel", "toe") and verb == "step":
        return "step"
    return verb or "step"


def _action_units(draft: Draft, feet: str, listed: str, bare: list[Draft]) -> list[Unit]:
    verb = _verb_of(draft)
    entry = vocabulary_moves()[verb]
    places = list(draft.places)
    if draft.verb == "close" or (draft.verb == "step-slide" and not places):
        places.append("together" if draft.verb == "close" else "side")
    to = merge_places(places, verb)
    foot = draft.foot or ""
    if verb == "sway" and not (foot or feet or listed):
        foot = draft.side if draft.side in ("R", "L") else ""  # a sway to the left goes onto the left foot
    run = feet or (foot + listed if listed else "")
    if feet and foot and feet[0] != foot:
        run = foot + feet
    names = list(run) if len(run) > 1 else [foot or run]
    if draft.times > 1 and len(names) == 1:
        names = names + [""] * (draft.times - 1)
    if len(names) > 1 and draft.times > 1 and run and not draft.counted:
        names = names * draft.times
    units = []
    for k, name in enumerate(names):
        same_foot = entry.weight != "yes" and k and not name
        acts = _acts(draft, verb, to, name or (names[0] if same_foot else ""), k == 0)
        ways = [Way(acts, AT_ONCE, ONE)]
        if verb == "rock" and not run:
            back = Act("recover", "?", "place", "yes")
            ways.append(Way((*acts, back), THEN, 2 * ONE, 0.4, "rock-step"))
        if verb == "unwind":
            ways = _unwind_ways(acts)
        first = draft if k == 0 else (bare[k - 1] if k - 1 < len(bare) else draft)
        tail = draft.joined if k == 0 else []
        kind = "body" if verb in BODY_MOVES else "action"
        units.append(
            Unit(
                kind, tuple(ways), name if name in "RL" else "", first.start, first.end, first.inline,
                first.weight_on, bool(draft.slow) or verb in ("drag", "sway", "hold", "body-roll", "sweep"),
                tied=draft.after == "" and k == 0,
            )
        )  # fmt: skip
        for extra in tail:
            if extra in BODY_MOVES:
                units.append(_simple(extra, draft, draft.end, soft=True))
    return units


def _unwind_ways(acts: tuple[Act, ...]) -> list[Way]:
    """An unwind may end on either foot: the next lead or a weight note decides."""
    act = acts[0]
    stay = act._replace(foot="", weight="no")
    move = act._replace(foot=act.foot if act.foot in "RL" and act.foot else "?", weight="yes")
    out = []
    for k, way in enumerate((move, stay)):
        for span in (1, 2):
            out.append(Way((way,), AT_ONCE, span * ONE, 0.1 * k, "unwind"))
    return out[:2] + out[2:]


def _acts(draft: Draft, verb: str, to: str, name: str, first: bool) -> tuple[Act, ...]:
    entry = vocabulary_moves()[verb]
    weight = entry.weight
    foot = name
    if entry.feet == "none":
        foot = ""
    elif entry.feet == "both" and verb != "unwind":
        foot = name if name in ("R", "L") else "B"
    elif not foot:
        foot = "?"
    if foot == "B" and entry.feet == "one":
        weight = "yes" if verb in ("step", "jump", "hop", "leap", "stomp") else weight
    amount = draft.amount if first else 0
    turn, open_turn = 0, 0
    if amount and draft.turn_side:
        turn = amount if draft.turn_side == "R" else -amount
    elif amount:
        open_turn = amount
    own = draft.side if draft.side and draft.side != foot and foot in ("R", "L") else ""
    if to not in ("side", "out", "diag-fwd", "diag-back"):
        own = ""  # "touch R to L instep" names where, not a side to travel to
    if verb == "drop" and foot != "?":
        weight = "yes"
    return (Act(verb, foot, to or entry.to, weight, turn, open_turn, own),)
