"""Markdown to plain lines: the marks go, the words and the lines stay."""

from __future__ import annotations

import html
import re

from noonwall.text.source_rows import fold_spaces, row_lines, tidy_lines

_HEADING = re.compile(r"^ {0,3}#{1,6}[ \t]+(.*?)(?:[ \t]+#+)?[ \t]*$")
_UNDERLINE = re.compile(r"^ {0,3}(?:={3,}|-{3,}|\*{3,}|_{3,}|(?:[-*_][ \t]+){2,}[-*_])[ \t]*$")
_FENCE = re.compile(r"^ {0,3}(?:```|~~~)")
_RULE_SIGNS = frozenset(" \t|:-")
_QUOTE = re.compile(r"^[ \t]*(?:>[ \t]?)+")
# A bullet is a mark only before a space: "*Restart" is a sheet's own asterisk.
_BULLET = re.compile(r"^[ \t]*[-*+][ \t]+(?:\[[ xX]\][ \t]+)?")
_MOST_CELLS = 20
_CELL_BAR = re.compile(r"(?<!\\)\|")
_ESCAPE = re.compile(r"\\([!-/:-@\[-`{-~])")
_BREAK = re.compile(r"<br\s*/?>", re.I)
_TAG = re.compile(r"</?[A-Za-z][A-Za-z0-9]{0,10}(?:\s[^<>]{0,200})?/?>")
_COMMENT = re.compile(r"<!--.*?(?:-->|\Z)", re.S)
_LINK = re.compile(r"!?\[([^\[\]\n]{0,300})\]\([^()\s]{0,500}(?:\s\"[^\"\n]{0,200}\")?\)")
_STRONG = re.compile(r"(\*\*|__)(?=[^\s*_])([^*_\n]{1,500}?)(?<=[^\s*_])\1")
_EMPHASIS = re.compile(r"(?<![\w*_])([*_])(?=[^\s*_])([^*_\n]{1,500}?)(?<=[^\s*_])\1(?![\w*_])")
_STRUCK = re.compile(r"~~([^~\n]{1,500})~~")
_MARKS = ((_LINK, r"\1"), (_STRONG, r"\2"), (_EMPHASIS, r"\2"), (_STRUCK, r"\1"))
_CODE = re.compile(r"`([^`\n]{1,500})`")
_ENTITY = re.compile(r"&(?:#\d{1,6}|#[xX][0-9a-fA-F]{1,5}|[A-Za-z]{2,10}\d?\d?);")


def markdown_text(source: str) -> str:
    """Return the words of a Markdown text line by line; the cells of a table row are joined by TAB."""
    lines: list[str] = []
    verbatim = False
    for line in _COMMENT.sub("", source).split("\n"):
        if _FENCE.match(line):
            verbatim = not verbatim
        elif verbatim:
            lines.append(line)
        else:
            lines.extend(_plain_lines(line))
    return tidy_lines(lines)


def _plain_lines(line: str) -> list[str]:
    line = _QUOTE.sub("", line)
    if _UNDERLINE.match(line) or _is_table_rule(line):
        return [""] if not line.strip().startswith("|") else []
    heading = _HEADING.match(line)
    if heading:
        return ["", *_unmarked(heading.group(1))]
    if line.lstrip().startswith("|") and len(_CELL_BAR.findall(line)) > 1:
        inner = line.strip().removeprefix("|")
        inner = inner[:-1] if inner.endswith("|") and not inner.endswith("\\|") else inner
        return row_lines([_unmarked(cell) for cell in _CELL_BAR.split(inner, _MOST_CELLS)])
    return _unmarked(_BULLET.sub("", line))


def _is_table_rule(line: str) -> bool:
    return "|" in line and "-" in line and _RULE_SIGNS.issuperset(line)


def _unmarked(words: str) -> list[str]:
    """Return the lines of a stretch of Markdown without its marks."""
    # Escaped signs are set aside as private-use letters, so that they are not taken for marks.
    words = _ESCAPE.sub(lambda found: chr(0xE000 + ord(found.group(1))), words)
    words = _TAG.sub("", _BREAK.sub("\n", words))
    for pattern, group in _MARKS:
        words = pattern.sub(group, words)
    words = _ENTITY.sub(lambda found: html.unescape(found.group()), _CODE.sub(r"\1", words))
    words = "".join(chr(ord(sign) - 0xE000) if "\ue021" <= sign <= "\ue07e" else sign for sign in words)
    return [fold_spaces(part) for part in words.split("\n")]
