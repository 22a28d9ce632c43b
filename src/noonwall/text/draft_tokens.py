"""Join or drop tokens before they are read: runs of feet, full stops of abbreviations, shoulders."""

from __future__ import annotations

from noonwall.text.draft import ABBREVIATIONS
from noonwall.text.lexicon import fold
from noonwall.text.tokens import Token


def without_dots(tokens: list[Token], text: str) -> list[Token]:
    """Drop the full stops of shortened words ("fwd.", "diag."): they end no clause."""
    out = []
    for i, token in enumerate(tokens):
        if token.value == "." and token.kind == "sep" and _shortened(text, token.start):
            after = tokens[i + 1] if i + 1 < len(tokens) else None
            word = text[after.start : after.end] if after else ""
            later = tokens[i + 2] if i + 2 < len(tokens) else None
            clause = after and after.kind in ("side", "foot") and later and later.kind in ("place", "move")
            sentence = clause or (len(word) > 1 and word[0].isupper() and word[1].islower())
            if not (sentence or (after and after.kind in ("move", "figure"))):
                continue
        out.append(token)
    return out


def _shortened(text: str, dot: int) -> bool:
    k = dot
    while k and text[k - 1].isalpha():
        k -= 1
    return fold(text[k:dot]) in ABBREVIATIONS


def runs_of_feet(tokens: list[Token]) -> list[Token]:
    """Join "R L R" into one run of feet: three or more alternating sides, or two not followed by a place."""
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        shoulder = _over_shoulder(tokens, i)
        if shoulder:
            out.append(shoulder)
            i += 3
            continue
        j = i
        while (
            j + 1 < len(tokens)
            and tokens[j].kind in ("side", "foot")
            and tokens[j + 1].kind in ("side", "foot")
            and tokens[j + 1].value != tokens[j].value
            and tokens[j + 1].value in "RL"
        ):
            j += 1
        follows = tokens[j + 1] if j + 1 < len(tokens) else None
        loose = follows is None or follows.kind in ("sep", "and", "close", "clock", "open", "dash", "times")
        before = tokens[i - 1].kind if i else ""
        if j - i >= 2 or (
            j - i == 1 and loose and before in ("move", "place", "figure", "open", "times", "glue")
        ):
            value = "".join(t.value for t in tokens[i : j + 1])
            out.append(Token("feet", value, tokens[i].start, tokens[j].end))
            i = j + 1
        else:
            out.append(tokens[i])
            i += 1
    return out


def _over_shoulder(tokens: list[Token], i: int) -> Token | None:
    """ "over the left shoulder" is the side of a turn."""
    if i + 2 >= len(tokens) or tokens[i].value not in ("cross", "turn") or tokens[i + 1].kind != "side":
        return None
    if tokens[i + 2].kind == "body" and tokens[i + 2].value == "arm":
        value = "cw" if tokens[i + 1].value == "R" else "ccw"
        return Token("turning", value, tokens[i].start, tokens[i + 2].end)
    return None
