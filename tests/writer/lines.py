"""The lines of a sheet before they are text, so that an error can be planted and the line said again."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from random import Random

from .english import RUNS, English
from .french import French
from .labels import count_name, label
from .model import Section, Step, Use
from .styles import Style

Voice = English | French
#: Figures whose turn is spread over several counts and is said once.
SPREAD = ("bounce", "walk_around")


@dataclass(slots=True)
class Item:
    """A figure, or the part of one that this line holds."""

    use: Use
    steps: list[Step]
    mode: str
    times_said: str = ""


@dataclass(slots=True)
class Line:
    """One line of the sheet: `text` when it is prose, otherwise made from `items` when it is rendered."""

    kind: str
    text: str = ""
    tags: set[str] = field(default_factory=set)
    section: int = -1
    items: list[Item] = field(default_factory=list)
    times: list[Fraction] = field(default_factory=list)
    offset: int = 0
    facing: int | None = None
    prose: str = ""
    seed: str = ""
    label: str = ""
    suffix: str = ""

    def render(self, voice: Voice) -> str:
        """The line as text."""
        if self.kind != "steps":
            return self.text
        style = voice.style
        rng = Random(self.seed)
        said = self.prose or say_items(self.items, voice, rng, self.offset)
        shown = self.label or label(self.times, style, self.offset)
        note = ""
        if self.facing is not None:
            note = ("  " if rng.random() < 0.5 else " ") + voice.facing(
                self.facing, Random(self.seed + "facing")
            )
        if style.case == "upper":
            said, note = said.upper(), note.upper()
        after = style.after_label if not style.table else " | "
        return f"{shown}{after}{said}{note}{self.suffix}"


def capital(text: str) -> str:
    """Upper-case the first letter."""
    return text[:1].upper() + text[1:]


def say_items(items: list[Item], voice: Voice, rng: Random, offset: int) -> str:
    """All figures of a line in words."""
    style = voice.style
    said: list[str] = []
    for item in items:
        if item.mode == "silent":
            continue
        phrases = [
            capital(p) if style.case == "each" or style.separator == ". " else p
            for p in item_phrases(item, voice, rng, offset)
        ]
        text = style.separator.join(phrases)
        if item.mode == "both" and (name := both_name(item, voice, rng)):
            colon = " : " if style.language == "fr" else ": "
            text = f"{capital(name) if style.case != 'lower' else name}{colon}{text}"
        said.append(text + (f" {item.times_said}" if item.times_said else ""))
    joined = style.separator.join(said)
    return joined if style.case == "lower" else capital(joined)


def both_name(item: Item, voice: Voice, rng: Random) -> str:
    """The name that stands before the steps when an author gives both."""
    name = voice.name(item.use, rng)
    return name if name and "," not in name and "(" not in name else voice.short_name(item.use.form)


def item_phrases(item: Item, voice: Voice, rng: Random, offset: int) -> list[str]:
    """The phrases of one figure: its name, or its steps with like steps run together."""
    if item.mode == "name":
        name = voice.name(item.use, rng)
        if name:
            return [name]
    phrases: list[str] = []
    steps = item.steps
    place = 0
    while place < len(steps):
        end = place + 1
        same = {steps[place].act, "bouncew"} if steps[place].act == "bounce" else {steps[place].act}
        while end < len(steps) and steps[end].act in same:
            end += 1
        run = (
            voice.run(steps[place:end], item.use.lead, rng)
            if steps[place].act in RUNS and end - place > 1
            else None
        )
        spread = steps[place].act in ("bounce", "arc")
        if run is not None and (spread or not voice.style.inline):
            covered = f" ({count_name(steps[place].at, offset)}-{count_name(steps[end - 1].at, offset)})"
            phrases.append(run + (covered if voice.style.inline else ""))
            place = end
            continue
        phrase = voice.step(steps[place], item.use.lead, rng)
        if voice.style.inline:
            said = steps[place]
            last = f"-{count_name(said.at + said.span - 1, offset)}" if said.span > 1 else ""
            phrase += f" ({count_name(said.at, offset)}{last})"
        phrases.append(phrase)
        place += 1
    return phrases


def mode_of(use: Use, style: Style, voice: Voice, sheet_seed: str) -> str:
    """Whether this author names this figure, spells it, or does both; the same through one sheet."""
    named = voice.name(use, Random(0)) is not None
    if not named or style.detail == "spelled":
        return "spell"
    if style.detail == "named":
        return "name"
    if style.detail == "both":
        return (
            "both"
            if len(use.form.steps) >= 3 and not use.form.key.startswith(("walk", "back", "run"))
            else "spell"
        )
    return (
        "name"
        if Random(sheet_seed + use.form.key).random() < (0.7 if use.form.syncopated else 0.25)
        else "spell"
    )


def chunk_section(
    section: Section, style: Style, voice: Voice, sheet_seed: str, unit: int
) -> list[list[Item]]:
    """Cut a section into lines; `unit` is 2 counts in 4/4 and 3 in 3/4."""
    chunks: list[tuple[int, list[Item]]] = []
    width = 2 * unit if style.group == "fours" else unit
    for use in section.uses:
        mode = mode_of(use, style, voice, sheet_seed)
        steps = list(use.steps)
        if style.group == "each":
            chunks += _singles(use, steps)
        elif (
            mode != "spell"
            or use.form.key.startswith(SPREAD)
            or (style.group == "figure" and use.form.counts <= 4)
            or use.form.counts <= unit
        ):
            fits = style.group == "fours" and use.start // width == (use.start + use.form.counts - 1) // width
            chunks.append((use.start // width if fits else -1, [Item(use, steps, mode)]))
        else:
            cut = 4 if style.group in ("figure", "fours") and unit == 2 else unit
            for index in range(-(-use.form.counts // cut)):
                low, high = use.start + index * cut, use.start + (index + 1) * cut
                inside = [step for step in steps if (step.at < high and (step.at >= low or index == 0))]
                if inside:
                    fits = style.group == "fours" and low // width == (high - 1) // width
                    chunks.append((low // width if fits else -1, [Item(use, inside, "spell")]))
    merged: list[tuple[int, list[Item]]] = []
    for key, items in chunks:
        if merged and key >= 0 and merged[-1][0] == key:
            merged[-1][1].extend(items)
        else:
            merged.append((key, list(items)))
    return [items for _, items in merged]


def _singles(use: Use, steps: list[Step]) -> list[tuple[int, list[Item]]]:
    """One line per moment, except turns spread over several counts, which only make sense as one line."""
    if use.form.key.startswith(SPREAD):
        return [(-1, [Item(use, steps, "spell")])]
    return [(-1, [Item(use, [step], "spell")]) for step in steps]


def times_of(steps: list[Step]) -> list[Fraction]:
    """All moments that a line covers, those of long actions included."""
    times = {step.at for step in steps}
    for step in steps:
        times |= {step.at + extra for extra in range(step.span)}
    return sorted(times)
