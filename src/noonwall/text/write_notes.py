"""Write what stands around the steps: the sequence, restarts, tags, the ending, options."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from noonwall.dance.model import Dance, Option, Part, Restart, Step, Tag
from noonwall.dance.turns import clock
from noonwall.text.write_lines import clause, first_foot, write_lines
from noonwall.text.write_words import Wording


def sequence_line(dance: Dance, wording: Wording) -> str:
    """Return the order of the parts of a phrased dance, "" for another."""
    if not dance.is_phrased or not dance.sequence:
        return ""
    entries = ", ".join(_entry(entry, dance, wording) for entry in dance.sequence)
    return wording.one("header", "sequence").format(entries=entries)


def _entry(entry: str, dance: Dance, wording: Wording) -> str:
    label, _, counts = entry.partition(":")
    kind = next((part.kind for part in dance.parts if part.label == label), "")
    if kind in ("tag", "bridge"):
        return wording.one("notes", "entry_tag").format(number=_tag_number(label, dance))
    if label == "ending":
        return wording.one("notes", "entry_ending")
    key = "entry_cut" if counts else "entry"
    return wording.one("notes", key).format(label=label, counts=counts)


def _tag_number(label: str, dance: Dance) -> str:
    """Return the number a tag is called by: that of its label, else its place among the tags."""
    own = label.removeprefix("tag")
    if own != label and own:
        return own
    tags = [part.label for part in dance.parts if part.kind in ("tag", "bridge")]
    return str(tags.index(label) + 1)


def listed(words: list[str], wording: Wording) -> str:
    """Return "2", "2 and 4", "2, 4 and 6"."""
    if len(words) < 2:
        return "".join(words)
    return ", ".join(words[:-1]) + wording.one("notes", "list_and") + words[-1]


def restart_groups(restarts: tuple[Restart, ...]) -> list[list[Restart]]:
    """Return the restarts that one line may tell: after the same count, with the same change or none."""
    groups: list[list[Restart]] = []
    for restart in restarts:
        for group in groups:
            first = group[0]
            states = (first.stated_facing is None) == (restart.stated_facing is None)
            if states and (first.after_count, first.change) == (restart.after_count, restart.change):
                group.append(restart)
                break
        else:
            groups.append([restart])
    return groups


def restart_line(group: list[Restart], dance: Dance, wording: Wording) -> str:
    """Return restarts with their walls and count, and the step change before them if they have one."""
    count, change = group[0].after_count, group[0].change
    walls = listed([str(restart.wall) for restart in group], wording)
    key = "in_walls" if len(group) > 1 else "in_wall"
    where = wording.one("notes", key).format(walls=walls, counts=int(count))
    where = _faced(where, [restart.stated_facing for restart in group], wording)
    note = wording.one("notes", "restart").format(where=where)
    if change is None:
        return note
    first, last = int(count) - int(change.counts) + 1, int(count)
    steps = clause(change.steps, first_foot(change.steps) or dance.start_free_foot, first - 1, wording)
    key = "change" if last > first else "change_one"
    return wording.one("notes", key).format(note=note, first=first, last=last, steps=steps)


def _faced(where: str, stated: list[int | None], wording: Wording) -> str:
    """Return ``where`` with the facings a sheet states: one for all walls, or one for each."""
    facings = [clock(facing) for facing in stated if facing is not None]
    if not facings or len(facings) < len(stated):
        return where
    told = facings[:1] if len(set(facings)) == 1 else facings
    return wording.one("notes", "facing").format(where=where, clock=listed(told, wording))


def tag_headings(part: Part, number: int, dance: Dance, wording: Wording) -> tuple[str, list[str]]:
    """Return a tag's heading, and lines for further places where it is danced."""
    name = _tag_number(part.label, dance)
    groups: dict[tuple[Fraction, int, bool], list[Tag]] = {}
    for tag in dance.tags:
        if tag.part == part.label:
            groups.setdefault((tag.after_count, tag.times, tag.then_restart), []).append(tag)
    # "(4 counts), twice" would say that the four counts are two twos: a repeated tag states no length
    key = "tag_again" if any(tag.times > 1 for tag in dance.tags if tag.part == part.label) else "tag"
    heading = wording.one("notes", key).format(number=name or number, counts=int(part.counts))
    places = [_tag_place(tags, dance, wording) for tags in groups.values()]
    if not places:
        return heading, []
    first = wording.one("notes", "tag_where").format(heading=heading, where=places[0])
    more = wording.one("notes", "tag_more")
    return first, [more.format(number=name or number, where=place) for place in places[1:]]


def _tag_place(tags: list[Tag], dance: Dance, wording: Wording) -> str:
    """Return where some tags of one kind are danced: "at the end of walls 2 and 4 (facing 6:00)"."""
    one = tags[0]
    between = one.after_count >= dance.main.counts
    key = ("after_wall" if between else "in_wall") + ("s" if len(tags) > 1 else "")
    walls = listed([str(tag.after_wall) for tag in tags], wording)
    where = wording.one("notes", key).format(walls=walls, counts=int(one.after_count))
    if one.times == 2:
        where = wording.one("notes", "twice").format(where=where)
    elif one.times > 2:
        where = wording.one("notes", "times").format(where=where, times=one.times)
    if one.then_restart:
        where = wording.one("notes", "then_restart").format(where=where)
    return _faced(where, [tag.stated_facing for tag in tags], wording)


def ending_heading(dance: Dance, wording: Wording) -> str:
    """Return the heading of the finish with its wall, count and facing."""
    heading = wording.one("notes", "ending")
    ending = dance.ending
    if ending is None:
        return heading
    told = []
    if ending.wall is not None:
        told.append(wording.one("notes", "ending_wall").format(walls=ending.wall))
    if ending.after_count is not None:
        told.append(wording.one("notes", "ending_count").format(counts=int(ending.after_count)))
    where = " ".join(told)
    turn = turned_finish(dance)
    if turn is not None:
        side = wording.one("sides", "R" if turn.turn > 0 else "L")
        amount = wording.one("amounts", str(abs(turn.turn))).format(turn=side)
        where = wording.one("notes", "ending_turn").format(where=where, amount=amount)
    if ending.stated_facing is not None:
        where = wording.one("notes", "facing").format(where=where, clock=clock(ending.stated_facing))
    where = where.strip()
    return wording.one("notes", "ending_where").format(heading=heading, where=where).rstrip()


def turned_finish(dance: Dance) -> Step | None:
    """Return the one turn that the dance finishes with, told in the heading; None for another finish.

    A line that holds nothing but a turn cannot say from which foot it starts; "after 24 counts, turn" can.
    """
    steps = [step for part in dance.parts if part.kind == "ending" for step in part.steps]
    placed = dance.ending is not None and dance.ending.after_count is not None
    if placed and len(steps) == 1 and steps[0].move in ("pivot", "turn") and steps[0].turn:
        return steps[0]
    return None


def option_line(option: Option, dance: Dance, wording: Wording) -> str:
    """Return an option: the counts it replaces, and its steps; one not understood keeps its words."""
    steps = tuple(step for figure in option.figures for step in figure.steps)
    if not steps:
        return option.text
    section_text, first = "", int(option.at)
    for part in dance.parts:
        for number, section in enumerate(part.sections if part.label == option.part else (), 1):
            if section.at <= option.at < section.at + section.counts:
                section_text = wording.one("notes", "option_section").format(number=number)
                first = int(option.at - section.at)
    moved = tuple(replace(step, at=step.at - option.at) for step in steps)
    free = first_foot(steps) or dance.start_free_foot
    lines = write_lines(moved, int(option.counts), dance.beats_per_bar, free, None, wording.tag, first)
    counts, told = ",".join(line.label for line in lines), ", ".join(line.text for line in lines)
    key = "option_one" if counts.isdigit() else "option"
    return wording.one("notes", key).format(counts=counts, section=section_text, steps=told)
