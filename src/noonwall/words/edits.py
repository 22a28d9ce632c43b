"""The smallest edits that could mend a finding, as text of the sheet's own language.

An edit replaces what the finding quotes and nothing else, so it can be applied by a program. Several may
be possible; whoever holds the whole text tries them in order and keeps the first that mends.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from noonwall.findings import Finding
from noonwall.words.messages import messages

_CLOCK = re.compile(r"(?P<hour>\d{1,2})(?P<between>\s?[:.hH]\s?)(?P<minutes>\d[\dOo])?|(?P<alone>\d{1,2})")
_FRACTION = re.compile(r"[¼½¾⅛⅜⅝⅞]|\d\s?[/⁄]\s?\d|\b\d{2,3}\s?(?=[°º])")
_GLYPH = {1: "⅛", 2: "¼", 3: "⅜", 4: "½", 6: "¾"}
_RATIO = {1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2", 6: "3/4", 8: "full"}


def edits(finding: Finding, language: str) -> tuple[str, ...]:
    """Return texts that could stand in place of ``finding.says``, the likeliest first; () if none is known.

    Args:
        finding: the finding; its ``says`` is what would be replaced.
        language: language of the sheet, "en" or "fr".
    """
    make = _EDITS.get(finding.code)
    if make is None or not finding.says:
        return ()
    out = [text for text in make(finding, _swaps(language)) if text != finding.says]
    return tuple(dict.fromkeys(out))


class _Swaps:
    """The pairs of words that name left and right, in the sheet's language and in the trade's English."""

    def __init__(self, pairs: dict[str, str]) -> None:
        self.table = {**pairs, **{right: left for left, right in pairs.items()}}
        words = sorted(self.table, key=len, reverse=True)
        self.pattern = re.compile(rf"(?<![^\W\d_])(?:{'|'.join(map(re.escape, words))})(?![^\W\d_])", re.I)
        self.pairs = pairs

    def swapped(self, word: str) -> str:
        """Return the opposite word in the same letter case; "RLR" becomes "LRL"."""
        other = self.table[word] if word in self.table else self.table.get(word.lower(), word)
        if word.isupper() and len(word) > 1:
            return other.upper()
        if word.isupper():
            return other.upper() if len(other) == 1 else other.capitalize()
        return other.capitalize() if word[:1].isupper() and other.islower() else other

    def all(self, text: str) -> str:
        """Return the text with every side word swapped."""
        return self.pattern.sub(lambda match: self.swapped(match.group()), text)

    def each(self, text: str) -> Iterator[str]:
        """Return the text with one side word swapped, for each of them in turn."""
        for match in self.pattern.finditer(text):
            yield text[: match.start()] + self.swapped(match.group()) + text[match.end() :]


def _swaps(language: str) -> _Swaps:
    return _Swaps(messages(language)["sides_in_text"])


def _feet(finding: Finding, swaps: _Swaps) -> Iterator[str]:
    yield from swaps.each(finding.says)
    yield swaps.all(finding.says)


def _mirror(finding: Finding, swaps: _Swaps) -> Iterator[str]:
    yield swaps.all(finding.says)


def _sides(finding: Finding, swaps: _Swaps) -> Iterator[str]:
    """The side of a turn stands after its amount, as a rule: try the words from the last backwards."""
    yield from reversed(list(swaps.each(finding.says)))


def _clock(finding: Finding, swaps: _Swaps) -> Iterator[str]:
    """Put the true facing in the place and the form of the stated one, wherever that stands in the quote."""
    stated, shown = int(str(finding.facts["stated"])) % 8, int(str(finding.facts["shown"])) % 8
    hour, minutes = (shown * 3 // 2) or 12, "30" if shown % 2 else "00"
    is_note = len(finding.says) <= 12
    for match in _CLOCK.finditer(finding.says):
        said = int(match["hour"] or match["alone"]) % 12 * 60 + int(
            (match["minutes"] or "0").upper().replace("O", "0")
        )
        if said != stated * 90 or (
            match["alone"] and not is_note and "clock" not in finding.says[match.end() :][:9]
        ):
            continue
        new = (
            f"{hour}{match['between'] or ':'}{minutes}" if match["minutes"] or minutes == "30" else str(hour)
        )
        if match["hour"] and not match["minutes"] and minutes == "00":
            new += match["between"]
        yield finding.says[: match.start()] + new + finding.says[match.end() :]


def _amount(finding: Finding, swaps: _Swaps) -> Iterator[str]:
    size = abs(int(str(finding.facts.get("meant", finding.facts.get("shown", 0)))))
    yield from _with_amount(finding.says, size)


def _with_amount(text: str, size: int) -> Iterator[str]:
    for match in _FRACTION.finditer(text):
        held = match.group()
        new = (
            str(size * 45) if held.strip().isdigit() else (_GLYPH if len(held) == 1 else _RATIO).get(size, "")
        )
        if new:
            yield text[: match.start()] + new + text[match.end() :]


def _turn(finding: Finding, swaps: _Swaps) -> Iterator[str]:
    said, meant = int(str(finding.facts["said"])), int(str(finding.facts["meant"]))
    if said == -meant:
        yield from _sides(finding, swaps)
    else:
        yield from _with_amount(finding.says, abs(meant))


def _add_side(finding: Finding, swaps: _Swaps) -> Iterator[str]:
    """Write the missing side after the turn, in the form that the sheets of the language use."""
    left, right = next(iter(swaps.pairs.items()))
    lead = " à " if "gauche" in swaps.pairs else " "
    side = right if int(str(finding.facts["meant"])) > 0 else left
    for pattern in (r"(?:[¼½¾⅛⅜]|\d\s?[/⁄]\s?\d)\s*(?:de\s)?(?:turn|pivot|tour|t\.)", _FRACTION.pattern):
        for match in re.finditer(pattern, finding.says, re.I):
            yield finding.says[: match.end()] + lead + side + finding.says[match.end() :]
    yield finding.says + lead + side


def _number(finding: Finding, swaps: _Swaps) -> Iterator[str]:
    """Put the true number where the header has the false one, in digits or as a word."""
    stated, shown = str(finding.facts["stated"]), str(finding.facts["shown"])
    for match in re.finditer(rf"(?<!\d){stated}(?!\d)", finding.says):
        yield finding.says[: match.start()] + shown + finding.says[match.end() :]


def _label(finding: Finding, swaps: _Swaps) -> Iterator[str]:
    """Move the numbers of a label to where the line before leads."""
    shift = int(str(finding.facts["expected"])) - int(str(finding.facts["stated"]))
    yield re.sub(r"\d+", lambda match: str(int(match.group()) + shift), finding.says)


def _walls(finding: Finding, swaps: _Swaps) -> Iterator[str]:
    """Put the walls that the other line names in the place of the false ones."""
    stated, shown = finding.facts["stated"], finding.facts["shown"]
    assert isinstance(stated, list) and isinstance(shown, list)
    text = finding.says
    for false, true in zip(stated, shown, strict=False):
        if false != true:
            text = re.sub(rf"(?<![\d:.]){false}(?![\d:]|h\b)", str(true), text, count=1)
    yield text


def _heading_side(finding: Finding, swaps: _Swaps) -> Iterator[str]:
    yield from _sides(finding, swaps)


_EDITS: dict[str, Callable[[Finding, _Swaps], Iterator[str]]] = {
    "weight.same-foot": _feet,
    "weight.other-foot": _feet,
    "weight.gesture-on-weight": _feet,
    "weight.line-mirrored": _mirror,
    "facing.note": _clock,
    "facing.turn": _turn,
    "facing.turn-usual": _turn,
    "facing.turn-side": _sides,
    "facing.turn-amount": _amount,
    "restart.facing": _clock,
    "restart.facing-or-wall": _clock,
    "tag.facing-or-wall": _clock,
    "tag.facing": _clock,
    "turn.no-side": _add_side,
    "counts.total": _number,
    "walls.header": _number,
    "counts.order": _label,
    "counts.gap": _label,
    "counts.overlap": _label,
    "restart.walls": _walls,
    "heading.turn-side": _heading_side,
    "heading.turn-amount": _amount,
}
