"""Plant one mistake of a kind that authors really make, and say whether the sheet holds evidence of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random
from typing import Any

from . import prose
from .floor import dance_part, walls_of
from .labels import label
from .lines import Item, Line, say_items
from .model import OTHER, Restart, Step, Use
from .sheet import Sheet, all_sections, heading_names, heading_text, lay_out

#: Steps whose wording always names the foot.
FOOTED = frozenset(
    [
        "fwd",
        "back",
        "side",
        "beside",
        "over",
        "behind",
        "rockf",
        "rockb",
        "rocks",
        "rockx",
        "rec",
        "walk",
        "walkb",
        "stomp",
        "ball",
    ]
)
TURNED = frozenset(["fwd", "back", "side", "beside", "pivot", "rec", "behind", "unwind"])


@dataclass(slots=True)
class Planted:
    """The line that is wrong now, and what it says against what is true."""

    line: Line
    text_says: str
    truth: str
    why: str
    detectable: bool
    sheet: Sheet
    line_number: int = 0


def _step_lines(sheet: Sheet, *, plain: bool = True) -> list[Line]:
    """Lines of steps; `plain` leaves out lines that another line repeats: one error would become two."""
    repeated = {line.section for line in sheet.lines if "repeat" in line.tags}
    repeated |= {
        int(tag.split()[1]) for line in sheet.lines for tag in line.tags if tag.startswith("source ")
    }
    lines = [
        line
        for line in sheet.lines
        if line.kind == "steps" and "step" in line.tags and "repeat" not in line.tags
    ]
    if plain:
        lines = [
            line
            for line in lines
            if line.section not in repeated and "folded" not in line.tags and not line.prose
        ]
    return lines


def _said_steps(line: Line, acts: frozenset[str]) -> list[tuple[Item, int]]:
    """Spelled steps of a line whose action is one of `acts`."""
    return [
        (item, place)
        for item in line.items
        for place, step in enumerate(item.steps)
        if item.mode == "spell" and step.act in acts
    ]


def _change_step(item: Item, place: int, step: Step) -> None:
    item.steps = [*item.steps[:place], step, *item.steps[place + 1 :]]


def wrong_facing(sheet: Sheet, rng: Random) -> Planted | None:
    """A facing note that the turns contradict."""
    lines = [line for line in _step_lines(sheet, plain=False) if line.facing is not None]
    if not lines:
        return None
    line = rng.choice(lines)
    before = line.render(sheet.voice)
    assert line.facing is not None
    true = sheet.voice.facing_words(line.facing)
    line.facing += rng.choice((2, 4, 6, -2))
    said = sheet.voice.facing_words(line.facing)
    return Planted(
        line,
        line.render(sheet.voice),
        before,
        f"The turns lead to {true}, the note says {said}.",
        True,
        sheet,
    )


def dropped_count(sheet: Sheet, rng: Random) -> Planted | None:
    """A line of steps that is missing."""
    lines = [line for line in _step_lines(sheet) if all(not time % 1 for time in line.times)]
    lines = [
        line
        for line in lines
        if sum(other.section == line.section and other.kind == "steps" for other in sheet.lines) > 1
    ]
    if not lines:
        return None
    line = rng.choice(lines)
    place = sheet.lines.index(line)
    del sheet.lines[place]
    at = min(place, len(sheet.lines) - 1)
    return Planted(
        sheet.lines[at],
        "(line missing)",
        line.render(sheet.voice),
        "The counts of this line are gone, so its section falls short.",
        True,
        sheet,
    )


def impossible_foot(sheet: Sheet, rng: Random) -> Planted | None:
    """A step on the foot that carries the weight."""
    lines = [line for line in _step_lines(sheet) if _said_steps(line, FOOTED)]
    if not lines:
        return None
    line = rng.choice(lines)
    before = line.render(sheet.voice)
    item, place = rng.choice(_said_steps(line, FOOTED))
    step = item.steps[place]
    _change_step(item, place, replace(step, foot=OTHER[step.foot]))
    after = line.render(sheet.voice)
    why = f"{'Right' if step.foot == 'L' else 'Left'} is written where only the other foot is free."
    return Planted(line, after, before, why, True, sheet) if after != before else None


def _evidence(sheet: Sheet, line: Line, delta: int, use: Use, mark: str) -> bool:
    """Whether a changed turn contradicts something else that the sheet says."""
    dance = sheet.dance
    sections = all_sections(dance)
    part = sections[line.section][0]
    after = sheet.lines[sheet.lines.index(line) :]
    if delta % 8:
        if any(
            other.kind == "steps"
            and other.facing is not None
            and other.section >= 0
            and sections[other.section][0] is part
            for other in after
        ):
            return True
        if (
            any(
                other.kind in ("restart", "tag", "ending") and re.search("fac", other.text, re.IGNORECASE)
                for other in sheet.lines
            )
            and not dance.phrased
        ):
            return True
        net = dance_part(dance.parts[0], dance.start_foot)[-1].facing
        if sheet.said.walls is not None and not dance.phrased and walls_of(net + delta) != sheet.said.walls:
            return True
    headed = any(
        other.kind == "heading" and "names" in other.tags and other.section == line.section
        for other in sheet.lines
    )
    template = (
        use.form.heading[(len(sheet.style.name) * 7 + len(use.form.key)) % len(use.form.heading)]
        if use.form.heading
        else ""
    )
    return headed and "{" + mark + "}" in template


def _turn_error(
    sheet: Sheet, rng: Random, change: Callable[[int], int], mark: str, why: str
) -> Planted | None:
    lines = [
        line
        for line in _step_lines(sheet)
        if any(item.steps[p].turn in (2, 4, -2, -4) for item, p in _said_steps(line, TURNED))
    ]
    if not lines:
        return None
    line = rng.choice(lines)
    before = line.render(sheet.voice)
    item, place = rng.choice(
        [(item, p) for item, p in _said_steps(line, TURNED) if item.steps[p].turn in (2, 4, -2, -4)]
    )
    step = item.steps[place]
    said = change(step.turn)
    use = item.use
    _change_step(item, place, replace(step, turn=said))
    after = line.render(sheet.voice)
    if after == before:
        return None
    return Planted(line, after, before, why, _evidence(sheet, line, said - step.turn, use, mark), sheet)


def wrong_turn_amount(sheet: Sheet, rng: Random) -> Planted | None:
    """A quarter for a half or a half for a quarter."""
    return _turn_error(
        sheet,
        rng,
        lambda turn: {2: 4, -2: -4, 4: 2, -4: -2}[turn],
        "A",
        "The amount of this turn does not lead to the facings and walls.",
    )


def wrong_turn_side(sheet: Sheet, rng: Random) -> Planted | None:
    """Left for right."""
    return _turn_error(
        sheet, rng, lambda turn: -turn, "D", "The side of this turn does not lead to the facings and walls."
    )


def heading_contradicts_body(sheet: Sheet, rng: Random) -> Planted | None:
    """A heading that names another amount or side than the steps below it."""
    sections = all_sections(sheet.dance)
    choices = []
    for line in sheet.lines:
        if line.kind == "heading" and "names" in line.tags:
            _, section, _ = sections[line.section]
            modes = {
                item.use: item.mode
                for other in sheet.lines
                if other.kind == "steps" and other.section == line.section
                for item in other.items
            }
            for place, use in enumerate(section.uses):
                if modes.get(use, "spell") != "spell":
                    continue
                for said in ({"said_turn": (place, _other_amount(use))}, {"lead": (place, OTHER[use.lead])}):
                    if "lead" in said and use.form.key.split("_")[0] not in (
                        "vine",
                        "chasse",
                        "rolling",
                        "lindy",
                        "drag",
                    ):
                        continue
                    false = heading_names(sheet, section, **said)
                    if (use.form.turn and "said_turn" in said) or "lead" in said:
                        choices.append((line, section, false))
    choices = [
        (line, section, false) for line, section, false in choices if false != heading_names(sheet, section)
    ]
    if not choices:
        return None
    line, section, false = rng.choice(choices)
    before = line.text
    number = next(int(tag.split()[1]) for tag in line.tags if tag.startswith("number"))
    passed = next(int(tag.split()[1]) for tag in line.tags if tag.startswith("passed"))
    line.text = heading_text(sheet, section, number, passed, false)[0]
    return (
        Planted(
            line,
            line.text,
            before,
            "The heading says another turn or side than the steps below it.",
            True,
            sheet,
        )
        if before != line.text
        else None
    )


def _other_amount(use: Use) -> int:
    turn = use.form.turn if use.lead == "R" else -use.form.turn
    return {2: 4, -2: -4, 4: 2, -4: -2}.get(turn, turn)


def wrong_label(sheet: Sheet, rng: Random) -> Planted | None:
    """A count label that overlaps another line."""
    lines = [
        line
        for line in _step_lines(sheet, plain=False)
        if not line.label and not any(time % 1 for time in line.times)
    ]
    lines = [
        line
        for line in lines
        if sum(o.section == line.section and o.kind == "steps" for o in sheet.lines) > 1
        and not sheet.style.inline
    ]
    if not lines:
        return None
    line = rng.choice(lines)
    before = line.render(sheet.voice)
    shift = int(line.times[-1] - line.times[0]) + 1
    down = line.times[0] - shift >= 0
    line.label = label(
        [time - shift if down else time + shift for time in line.times], sheet.style, line.offset
    )
    return Planted(
        line, line.render(sheet.voice), before, "These counts are already taken by another line.", True, sheet
    )


def missing_action(sheet: Sheet, rng: Random) -> Planted | None:
    """A recover without its rock, or one step too few for the counts.

    A missing recover is not planted: "1-2 rock step R back" is how some authors write both.
    """
    if sheet.style.group == "each" or sheet.style.inline:
        return None
    lines = [
        line
        for line in _step_lines(sheet)
        if len(line.items) == 1 and line.items[0].mode == "spell" and len(line.items[0].steps) >= 2
    ]
    rocks = [line for line in lines if any(step.act.startswith("rock") for step in line.items[0].steps)]
    wanted = rocks if rocks and rng.random() < 0.7 else lines
    if not wanted:
        return None
    line = rng.choice(wanted)
    item = line.items[0]
    before = line.render(sheet.voice)
    places = [
        p
        for p, step in enumerate(item.steps)
        if step.weight
        and step.foot
        and step.act != "rec"
        and (wanted is lines or step.act.startswith("rock"))
    ]
    if not places:
        return None
    place = rng.choice(places)
    item.steps = [*item.steps[:place], *item.steps[place + 1 :]]
    return Planted(
        line,
        line.render(sheet.voice),
        before,
        "One action is missing: too few for the counts, and the next foot is not free.",
        True,
        sheet,
    )


_SIDE_EN = re.compile(
    r"((?:[¼½¾⅛]|\d/\d|1⁄\d|\d+°|quarter|half|eighth)(?:[ -](?:turn|pivot))?)(?: to)?"
    r" (?:right|left|Rt|Lt|R|L)\b",
    re.IGNORECASE,
)
_SIDE_FR = re.compile(r"((?:[¼½¾⅛]|\d/\d) (?:de )?tour)(?: à)? (?:droite|gauche|D|G)\b", re.IGNORECASE)


def turn_without_side(sheet: Sheet, rng: Random) -> Planted | None:
    """A turn whose side is not written."""
    pattern = _SIDE_FR if sheet.style.language == "fr" else _SIDE_EN
    lines = []
    for line in _step_lines(sheet):
        said = say_items(line.items, sheet.voice, Random(line.seed), line.offset)
        if len(pattern.findall(said)) == 1:
            lines.append((line, pattern.sub(r"\1", said)))
    if not lines:
        return None
    line, text = rng.choice(lines)
    before = line.render(sheet.voice)
    line.prose = text
    return Planted(line, line.render(sheet.voice), before, "The turn has no side.", True, sheet)


def restart_contradiction(sheet: Sheet, rng: Random) -> Planted | None:
    """The header and the body name different walls for the restart."""
    dance = sheet.dance
    written = [line for line in sheet.lines if line.kind == "restart"]
    if not dance.restarts or not written:
        return None
    last = dance.restarts[-1]
    false = [*dance.restarts[:-1], Restart(last.wall + rng.choice((1, 2)), last.after_count)]
    text = prose.restart_note(sheet.voice, false, [], rng, dance.parts[0].sections[0].counts, False)
    header = [line for line in written if "restart header" in line.tags]
    if header and len(written) > 1:
        line = header[0]
        before = line.text
        line.text = text
    else:
        keep = [line for line in written if "restart header" not in line.tags]
        if not keep:
            return None
        line = Line("restart", text, {"restart", "restart header"})
        before = keep[0].text
        first_blank = next((place for place, other in enumerate(sheet.lines) if other.kind == "blank"), 1)
        sheet.lines.insert(first_blank, line)
    return Planted(
        line,
        line.text,
        before,
        f"The restart is on wall {last.wall}; two places of the sheet disagree.",
        True,
        sheet,
    )


def _falsified(sheet: Sheet, fact: str, value: int, why: str) -> Planted | None:
    false = lay_out(sheet.dance, sheet.style, sheet.seed, {fact: value})
    tag = {"total": "total", "walls": "walls"}[fact]
    for place, line in enumerate(false.lines):
        if tag in line.tags and place < len(sheet.lines) and line.text != sheet.lines[place].text:
            return Planted(line, line.text, sheet.lines[place].text, why, True, false)
    return None


def wrong_total(sheet: Sheet, rng: Random) -> Planted | None:
    """The header's count is not the sum of the sections."""
    if sheet.said.total is None:
        return None
    size = sheet.dance.parts[0].sections[0].counts
    value = sheet.said.total + rng.choice((size, 2 * size, -size))
    return (
        _falsified(sheet, "total", value, f"The sections add up to {sheet.dance.counts} counts.")
        if value > 0
        else None
    )


def wrong_walls(sheet: Sheet, rng: Random) -> Planted | None:
    """The header's walls are not what the turns make."""
    if sheet.said.walls is None:
        return None
    value = rng.choice([walls for walls in (1, 2, 4) if walls != sheet.said.walls])
    return _falsified(
        sheet, "walls", value, f"The turns of one wall make it a {sheet.said.walls}-wall dance."
    )


PLANTERS: dict[str, Callable[[Sheet, Random], Planted | None]] = {
    function.__name__: function
    for function in (
        wrong_facing,
        dropped_count,
        impossible_foot,
        wrong_turn_amount,
        wrong_turn_side,
        heading_contradicts_body,
        wrong_label,
        missing_action,
        turn_without_side,
        restart_contradiction,
        wrong_total,
        wrong_walls,
    )
}
KINDS: tuple[str, ...] = tuple(PLANTERS)


def plant(sheet: Sheet, kind: str, rng: Random) -> Planted | None:
    """Plant an error of `kind` in the sheet, or return None where the sheet gives no occasion."""
    planted = PLANTERS[kind](sheet, rng)
    if planted is not None:
        planted.line_number = next(
            place for place, line in enumerate(planted.sheet.lines, 1) if line is planted.line
        )
    return planted


def record(planted: Planted, kind: str) -> dict[str, Any]:
    """The planted error as the truth file has it."""
    return {
        "line": planted.line_number,
        "kind": kind,
        "text_says": planted.text_says.strip(),
        "truth": planted.truth.strip(),
        "why": planted.why,
        "detectable": planted.detectable,
    }
