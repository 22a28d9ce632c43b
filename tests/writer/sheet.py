"""Lay a dance out as the lines of a step sheet in one author's style."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from random import Random

from . import names, prose
from .compose import wall_facings
from .english import English
from .floor import State, clock, dance_part, dance_steps, steps_until, walls_of
from .french import French
from .headers import Said, choose_said, header_lines
from .lines import Item, Line, Voice, capital, chunk_section, mode_of, times_of
from .model import OTHER, Dance, Part, Section, Step, Use
from .styles import Style

ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X")


@dataclass(slots=True)
class Sheet:
    """A laid-out sheet: the dance, how it is said, and its lines."""

    dance: Dance
    style: Style
    voice: Voice
    said: Said
    lines: list[Line]
    labels: list[str]
    seed: str

    def text(self) -> str:
        """The whole sheet."""
        return "\n".join(line.render(self.voice) for line in self.lines) + "\n"


def voice_for(style: Style) -> Voice:
    """The voice that speaks the language of the style."""
    return French(style) if style.language == "fr" else English(style)


def all_sections(dance: Dance) -> list[tuple[Part, Section, int]]:
    """Every section with its part and the counts before it in the part."""
    found = []
    for part in dance.parts:
        passed = 0
        for section in part.sections:
            found.append((part, section, passed))
            passed += section.counts
    return found


def lay_out(dance: Dance, style: Style, seed: str, falsify: dict[str, int] | None = None) -> Sheet:
    """Write the sheet as lines; the same seed gives the same sheet. `falsify` replaces header facts."""
    voice = voice_for(style)
    rng = Random(seed + "layout")
    net = dance_part(dance.parts[0], dance.start_foot)[-1].facing
    said = replace(choose_said(dance, walls_of(net), voice, rng), **(falsify or {}))  # type: ignore[arg-type]
    lines = header_lines(dance, said, voice, rng)
    lines += _front_matter(dance, voice, rng, said)
    sheet = Sheet(dance, style, voice, said, lines, [], seed)
    if style.table:
        lines.append(
            Line(
                "comment",
                "Counts | Steps" if style.language == "en" else f"{voice.counts_word().capitalize()} | Pas",
            )
        )
    _body(sheet, rng)
    _back_matter(sheet, rng)
    while lines and lines[-1].kind == "blank":
        lines.pop()
    return sheet


def _front_matter(dance: Dance, voice: Voice, rng: Random, said: Said) -> list[Line]:
    lines: list[Line] = []
    french = voice.language == "fr"
    foot = dance.start_foot
    if rng.random() < 0.12:
        other = OTHER[foot]
        text = (
            f"Départ : PdC sur {voice.foot(other)}"
            if french
            else f"Feet together, weight on {voice.letter(other)}"
        )
        lines.append(Line("comment", text))
    if dance.restarts and voice.style.restart_place in ("header", "both"):
        lines.append(
            Line(
                "restart",
                prose.restart_note(
                    voice,
                    list(dance.restarts),
                    _restart_facings(dance),
                    rng,
                    _unit(dance),
                    rng.random() < 0.4,
                )
                + prose.step_change(voice, dance.restarts[0]),
                {"restart", "restart header"},
            )
        )
    elif dance.restarts and style_body(voice) and rng.random() < 0.35:
        count = len(dance.restarts)
        lines.append(
            Line(
                "comment",
                f"{count} {'Restart' if rng.random() < 0.6 else 'restart'}{'s' if count > 1 else ''}",
            )
        )
    if dance.tag_places and not dance.restarts and rng.random() < 0.25:
        count = len(dance.tag_places)
        lines.append(
            Line(
                "comment",
                f"{count} tag{'s' if count > 1 else ''}"
                + (", no restarts" if not french and rng.random() < 0.5 else ""),
            )
        )
    if not dance.restarts and not dance.tag and not dance.phrased and rng.random() < 0.22:
        lines.append(
            Line(
                "comment",
                rng.choice(("Pas de tag, pas de restart", "Ni tag ni restart"))
                if french
                else rng.choice(("No tags, no restarts", "No Tags No Restarts", "NO TAGS OR RESTARTS!")),
            )
        )
    if dance.phrased:
        order = rng.choice((", ", " ", " - ")).join(dance.sequence)
        lines.append(Line("sequence", f"{'Séquence : ' if french else 'Sequence: '}{order}"))
    if lines or voice.style.spacing or rng.random() < 0.7:
        lines.append(Line("blank"))
    return lines


def style_body(voice: Voice) -> bool:
    """Whether restarts are written at their place in the body."""
    return voice.style.restart_place == "body"


def _unit(dance: Dance) -> int:
    return dance.parts[0].sections[0].counts


def _restart_facings(dance: Dance) -> list[int]:
    facings = []
    for restart in dance.restarts:
        start = wall_facings(dance, restart.wall)[-1]
        turned = dance_steps(
            State(dance.start_foot), steps_until(dance.parts[0].sections, restart.after_count)
        ).facing
        facings.append(start + turned)
    return facings


# -- body ------------------------------------------------------------


def _body(sheet: Sheet, rng: Random) -> None:
    facing = 0
    last_part = None
    number = 0
    seen: dict[Section, tuple[int, int, int]] = {}
    for index, (part, section, passed) in enumerate(all_sections(sheet.dance)):
        if part is not last_part:
            facing, number, seen = 0, 0, {}
            if sheet.dance.phrased:
                _part_heading(sheet, part, rng, first=last_part is None)
            last_part = part
        _section_heading(sheet, section, number, passed, rng)
        again = _section_again(sheet, section, index, passed, facing, seen)
        body = again or _section_lines(sheet, section, index, passed, facing)
        body = _with_restart(sheet, body, part, section, passed, rng)
        sheet.lines += body
        seen.setdefault(section, (number, passed, index))
        facing = dance_steps(State("", facing), [_free(step) for step in section.steps]).facing
        number += 1
        if sheet.style.spacing:
            sheet.lines.append(Line("blank"))


def _free(step: Step) -> Step:
    """A step without its foot, for summing turns alone."""
    return Step(step.at, "", step.act, step.turn)


def _part_heading(sheet: Sheet, part: Part, rng: Random, *, first: bool) -> None:
    kind = sum(sheet.style.turn_forms) % 3
    counts = sheet.voice.counts_word() if isinstance(sheet.voice, French) else "counts"
    word = ("PARTIE" if kind else "Partie") if sheet.voice.language == "fr" else ("PART" if kind else "Part")
    text = (
        f"{word} {part.label}: {part.counts} {counts}",
        f"{word} {part.label} ({part.counts} {counts})",
        f"{word} {part.label}",
    )[kind]
    if not first and sheet.lines[-1].kind != "blank":
        sheet.lines.append(Line("blank"))
    sheet.lines.append(Line("part", text, {"part"}))


def heading_names(
    sheet: Sheet,
    section: Section,
    said_turn: tuple[int, int] | None = None,
    lead: tuple[int, str] | None = None,
) -> str:
    """The names of the figures of a section; `said_turn` and `lead` falsify those of one figure."""
    lower = sheet.style.heading == "lower"
    texts: list[str] = []
    for place, use in enumerate(section.uses):
        if lead is not None and lead[0] == place:
            use = Use(use.form, lead[1], use.start)
        turn = said_turn[1] if said_turn is not None and said_turn[0] == place else None
        texts.append(sheet.voice.heading_name(use, turn, lower))
    joined: list[list[str | int]] = []
    for text in texts:
        if joined and joined[-1][0] == text and said_turn is None:
            joined[-1][1] = int(joined[-1][1]) + 1
        else:
            joined.append([text, 1])
    names_said = ", ".join(
        str(text) + (f" X{count}" if int(count) > 1 and not lower else f" x{count}" if int(count) > 1 else "")
        for text, count in joined
    )
    return capital(names_said) if lower else names_said


def heading_text(
    sheet: Sheet, section: Section, number: int, passed: int, said_names: str
) -> tuple[str, str]:
    """The heading line and the label that it gives the section."""
    kind = sheet.style.heading
    first, last = passed + 1, passed + section.counts
    span = f"{first}-{last}"
    with_names = f" {said_names}" if said_names else ""
    table = {
        "caps": (said_names, span),
        "lower": (said_names, span),
        "[1-8]": (f"[{span}]{with_names}", span),
        "[1-8]same": (f"[1-{section.counts}]{with_names}", f"1-{section.counts}"),
        "S1": (f"S{number + 1}{with_names}", f"S{number + 1}"),
        "S1:": (f"S{number + 1}:{with_names}", f"S{number + 1}"),
        "Section 1:": (f"Section {number + 1}:{with_names}", f"Section {number + 1}"),
        "SEC 1 :": (f"SEC {number + 1} :{with_names}", f"SEC {number + 1}"),
        "roman": (f"{ROMAN[number]}.{with_names}", ROMAN[number]),
        "S.1": (f"S.{number + 1}{with_names}", f"S.{number + 1}"),
        "SECT 1.": (f"SECT {number + 1}.{with_names}", f"SECT {number + 1}"),
        "SECTION II": (f"SECTION {ROMAN[number]}{with_names}", f"SECTION {ROMAN[number]}"),
        "SI roman": (f"S{ROMAN[number]}.{with_names}", f"S{ROMAN[number]}"),
        "range": (f"{first} {last}", span),
        "1)": (f"{number + 1}){with_names}", f"{number + 1}"),
        "none": ("", span),
    }
    return table[kind]


def _section_heading(sheet: Sheet, section: Section, number: int, passed: int, rng: Random) -> None:
    said = (
        heading_names(sheet, section)
        if sheet.style.heading_names != "no" or sheet.style.heading in ("caps", "lower")
        else ""
    )
    text, label = heading_text(sheet, section, number, passed, said)
    sheet.labels.append(label)
    if text:
        tags = {"heading", f"number {number}", f"passed {passed}"} | ({"names"} if said else set())
        sheet.lines.append(Line("heading", text, tags, section=len(sheet.labels) - 1))


def _section_lines(sheet: Sheet, section: Section, index: int, passed: int, facing: int) -> list[Line]:
    style, voice = sheet.style, sheet.voice
    offset = passed if style.running else 0
    rng = Random(f"{sheet.seed}repeat{index}")
    unit = 3 if sheet.dance.meter == "3/4" else 2
    busy = any(passed < restart.after_count < passed + section.counts for restart in sheet.dance.restarts)
    whole, second = _twice(section, sheet, rng) if style.repeat and not busy else (section, None)
    lines: list[Line] = []
    for place, items in enumerate(chunk_section(whole, style, voice, sheet.seed, unit)):
        steps = [step for item in items for step in item.steps]
        lines.append(
            Line(
                "steps",
                tags={"step"},
                section=index,
                items=items,
                times=times_of(steps),
                offset=offset,
                seed=f"{sheet.seed}line{index}.{place}",
            )
        )
    if style.repeat and second is None and not busy and style.group != "each":
        _fold_pairs(lines, voice)
    if second is not None:
        lines.append(_repeat(sheet, section, whole, second, index, offset, rng))
    _facings(lines, style, facing)
    _options(sheet, section, lines)
    return lines


def _section_again(
    sheet: Sheet,
    section: Section,
    index: int,
    passed: int,
    facing: int,
    seen: dict[Section, tuple[int, int, int]],
) -> list[Line]:
    """One line that repeats an earlier section, where the author repeats and can name that section."""
    style = sheet.style
    busy = any(passed < restart.after_count < passed + section.counts for restart in sheet.dance.restarts)
    numbered = style.heading in ("S1", "S1:", "S.1", "Section 1:", "SEC 1 :", "SECT 1.")
    if section not in seen or busy or not style.repeat or style.inline or not (numbered or style.running):
        return []
    number, before, source = seen[section]
    offset = passed if style.running else 0
    rng = Random(f"{sheet.seed}again{index}")
    text = prose.section_again(sheet.voice, number + 1, before + 1, before + section.counts, numbered, rng)
    line = Line(
        "steps",
        tags={"step", "repeat", f"source {source}"},
        section=index,
        prose=text,
        offset=offset,
        seed=f"{sheet.seed}again{index}",
        items=[Item(use, list(use.steps), "spell") for use in section.uses],
        times=[Fraction(count) for count in range(section.counts)],
        label=f"{offset + 1}{style.range_join}{offset + section.counts}",
    )
    _facings([line], style, facing)
    return [line]


def _twice(section: Section, sheet: Sheet, rng: Random) -> tuple[Section, str | None]:
    """Cut a section that is a half and its copy down to the half; also say whether the copy is mirrored."""
    half = section.counts // 2
    first = [use for use in section.uses if use.start < half]
    second = [use for use in section.uses if use.start >= half]
    if rng.random() < 0.4 or len(first) != len(second) or not second or sheet.style.inline:
        return section, None
    if sum(use.form.counts for use in first) != half or any(use.form.pickup for use in second):
        return section, None
    if any(a.form is not b.form for a, b in zip(first, second, strict=True)):
        return section, None
    leads = {a.lead == b.lead for a, b in zip(first, second, strict=True)}
    if len(leads) != 1:
        return section, None
    return Section(half, tuple(first)), "same" if leads.pop() else "flip"


def _repeat(
    sheet: Sheet, section: Section, half: Section, how: str, index: int, offset: int, rng: Random
) -> Line:
    uses = [use for use in section.uses if use.start >= half.counts]
    items = [Item(use, list(use.steps), "spell") for use in uses]
    text = prose.repeat_line(sheet.voice, offset + 1, offset + half.counts, how == "flip", uses[0].lead, rng)
    times = [Fraction(count) for count in range(half.counts, section.counts)]
    label = f"{offset + half.counts + 1}{sheet.style.range_join}{offset + section.counts}"
    return Line(
        "steps",
        tags={"step", "repeat"},
        section=index,
        items=items,
        times=times,
        offset=offset,
        prose=text,
        label=label,
        seed=f"{sheet.seed}rep{index}",
    )


def _fold_pairs(lines: list[Line], voice: Voice) -> None:
    """Write two lines that say the same as one line with "x2"."""
    place = 0
    while place + 1 < len(lines):
        one, two = lines[place], lines[place + 1]
        same = (
            len(one.items) == len(two.items) == 1
            and one.items[0].use.form is two.items[0].use.form
            and one.items[0].use.lead == two.items[0].use.lead
            and one.items[0].use.form.counts == 2
            and not one.items[0].use.form.syncopated
            and one.items[0].mode == "spell"
        )
        if same and Random(one.seed).random() < 0.6:
            one.items[0].times_said = voice.style.twice
            one.times = one.times + two.times
            one.tags |= {"folded"}
            one.items.append(Item(two.items[0].use, two.items[0].steps, "silent"))
            del lines[place + 1]
        place += 1


def _facings(lines: list[Line], style: Style, facing: int) -> None:
    start = facing
    for place, line in enumerate(lines):
        turn = sum(step.turn for item in line.items for step in item.steps)
        facing += turn
        last = place == len(lines) - 1
        policy = style.facing_policy
        wanted = {
            "turn_lines": turn != 0,
            "every_line": True,
            "section": last,
            "section_turn": last and facing != start,
            "none": False,
        }[policy]
        line.facing = facing if wanted else None


def _options(sheet: Sheet, section: Section, lines: list[Line]) -> None:
    table = prose.OPTIONS_FR if sheet.voice.language == "fr" else prose.OPTIONS_EN
    for place in range(len(lines) - 1, -1, -1):
        keys = {item.use.form.key for item in lines[place].items}
        found = keys & set(table)
        if (
            found
            and "repeat" not in lines[place].tags
            and Random(lines[place].seed + "option").random() < 0.4
            and sheet.style.group != "each"
        ):
            lines.insert(place + 1, Line("comment", table[sorted(found)[0]], {"option"}))


def _with_restart(
    sheet: Sheet, body: list[Line], part: Part, section: Section, passed: int, rng: Random
) -> list[Line]:
    dance, style = sheet.dance, sheet.style
    if not dance.restarts:
        return body
    after = dance.restarts[0].after_count
    if not passed < after <= passed + section.counts:
        return body
    if style.restart_place == "foot" and style.asterisk:
        ends = [line for line in body if line.kind == "steps" and max(line.times) < after - passed]
        if ends:
            ends[-1].suffix = " *"
        return body
    if style.restart_place not in ("body", "both"):
        return body
    star = "***" if style.asterisk and rng.random() < 0.5 else "*" if style.asterisk else ""
    text = prose.restart_here(
        sheet.voice, [restart.wall for restart in dance.restarts], _restart_facings(dance), rng, star
    )
    text += prose.step_change(sheet.voice, dance.restarts[0])
    line = Line("restart", text, {"restart", "restart body"})
    for place, step_line in enumerate(body):
        if step_line.kind == "steps" and max(step_line.times) >= after - passed:
            if min(step_line.times) < after - passed:
                # The place falls inside a line: write it at the foot instead.
                return body
            return [*body[:place], line, *body[place:]]
    return [*body, line]


# -- below the steps ------------------------------------------------------------


def _back_matter(sheet: Sheet, rng: Random) -> None:
    dance, voice, style, lines = sheet.dance, sheet.voice, sheet.style, sheet.lines
    french = voice.language == "fr"
    mirror = dance_part(dance.parts[0], dance.start_foot)[-1].free != dance.start_foot and not dance.phrased
    if dance.tag:
        _tag(sheet, rng)
    written = any(line.kind == "restart" for line in lines)
    if dance.restarts and (style.restart_place == "foot" or not written or rng.random() < 0.15):
        text = prose.restart_note(
            voice, list(dance.restarts), _restart_facings(dance), rng, _unit(dance), rng.random() < 0.6
        )
        star = "* " if any(line.suffix for line in lines) else ""
        text += prose.step_change(voice, dance.restarts[0])
        lines.append(Line("restart", star + text, {"restart", "restart foot"}))
    if mirror:
        lead = OTHER[dance.start_foot]
        text = (
            f"Recommencer la danse du {voice.foot(lead)} (en miroir), puis alterner à chaque mur"
            if french
            else f"Start again with the {'left' if lead == 'L' else 'right'} foot: "
            "every other wall is danced in mirror image"
        )
        lines.append(Line("closing", text))
    elif style.closing and not dance.phrased:
        lines.append(Line("closing", style.closing))
    if dance.ending:
        start = wall_facings(dance, dance.ending.wall)[-1]
        lines.append(Line("ending", prose.ending_note(voice, dance.ending, start, rng), {"ending"}))
    if style.comments:
        text = rng.choice(prose.COMMENTS_FR if french else prose.COMMENTS_EN).format(
            year=rng.choice(names.MONTHS_FR if french else names.MONTHS) + " 2024"
        )
        lines.append(Line("comment", text))
    if style.legend and prose.legend(voice):
        lines.append(Line("comment", prose.legend(voice), {"legend"}))


def _tag(sheet: Sheet, rng: Random) -> None:
    dance, voice, style = sheet.dance, sheet.voice, sheet.style
    assert dance.tag is not None
    if sheet.lines[-1].kind != "blank" and rng.random() < 0.7:
        sheet.lines.append(Line("blank"))
    if dance.phrased:
        counts = voice.counts_word() if isinstance(voice, French) else "counts"
        sheet.lines.append(Line("tag", f"TAG ({dance.tag.counts} {counts})", {"tag"}))
    else:
        walls = [place.wall for place in dance.tag_places]
        facings = [tag_facing(dance, wall) for wall in walls]
        sheet.lines.append(
            Line("tag", prose.tag_heading(voice, walls, dance.tag.counts, facings, rng), {"tag"})
        )
    section = dance.tag.sections[0]
    unit = 3 if dance.meter == "3/4" else 2
    for place, items in enumerate(chunk_section(section, style, voice, sheet.seed, unit)):
        steps = [step for item in items for step in item.steps]
        sheet.lines.append(
            Line(
                "steps", tags={"tag step"}, items=items, times=times_of(steps), seed=f"{sheet.seed}tag{place}"
            )
        )
    if style.spacing:
        sheet.lines.append(Line("blank"))


def tag_facing(dance: Dance, wall: int) -> int:
    """Facing in eighths when the tag after `wall` begins."""
    start = wall_facings(dance, wall)[-1]
    return start + dance_part(dance.parts[0], dance.start_foot)[-1].facing


__all__ = [
    "Sheet",
    "all_sections",
    "clock",
    "heading_names",
    "heading_text",
    "lay_out",
    "mode_of",
    "tag_facing",
    "voice_for",
]
