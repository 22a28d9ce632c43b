"""Remarks in brackets."""

from __future__ import annotations

from noonwall.text.draft import Draft
from noonwall.text.draft_base import DrafterBase
from noonwall.text.tokens import Token


class DraftRemarks(DrafterBase):
    """Takes what stands in brackets as one remark."""

    def take_open(self, i: int, token: Token) -> int:
        """Read what stands in brackets as one remark."""
        depth, j = 1, i + 1
        while j < len(self.tokens) and depth:
            depth += {"open": 1, "close": -1}.get(self.tokens[j].kind, 0)
            j += 1
        end = j - 1 if depth == 0 else j
        self.remark(self.tokens[i + 1 : end])
        return j

    def take_close(self, i: int, token: Token) -> None:
        """A closing bracket without an opening one."""

    def remark(self, inner: list[Token]) -> None:
        """Take a bracketed remark: a facing, a weight note, feet, an inline count, an option, or words."""
        if any(self.text[t.start : t.end].lower() in ("if", "si") for t in inner):
            inner = [t for t in inner if t.kind != "clock"]  # "(6.00 if you began at 12.00)" is no plain fact
        kinds = [t.kind for t in inner if t.kind not in ("glue", "sep", "dash", "and", "mark")]
        sides = [t for t in inner if t.kind in ("side", "foot", "feet")]
        target = self.draft if not self.draft.is_empty else (self.line.drafts[-1:] or [self.draft])[0]
        if not kinds:
            if any(t.kind == "and" for t in inner) and not target.is_empty:
                target.inline = "&"
            self.mark_slow(inner, target)
            return
        if kinds == ["number"] or all(k == "number" for k in kinds):
            if len(kinds) == 1:
                target.inline = next(t.value for t in inner if t.kind == "number")
        elif kinds[0] == "join" and self.is_or(inner):
            self.line.option = (inner[0].start, inner[-1].end)
        elif all(k in ("side", "foot", "feet") for k in kinds):
            run = "".join(t.value for t in sides)
            if len(run) == 1 and not target.foot:
                target.foot = run
            elif len(run) > 1:
                target.feet = run
        elif all(k == "times" for k in kinds) or (
            kinds[0] == "repeat" and inner[0].value.startswith("times")
        ):
            self.take_repeat(0, inner[0]) if kinds[0] == "repeat" else self.take_times(0, inner[0])
        elif kinds[0] == "weight" and "clock" not in kinds:
            self.inline_part(inner, ("weight", "side", "foot", "join"))
        elif kinds[0] in ("clock", "facing", "weight", "amount", "degrees", "turning") or (
            kinds[0] in ("side", "join") and any(k in ("clock", "weight", "facing") for k in kinds)
        ):
            self.inline_remark(inner)
        elif "weight" in kinds or "clock" in kinds or "facing" in kinds:
            self.inline_part(inner, ("weight", "clock", "facing", "side", "foot"))
        elif "amount" in kinds and not any(k in ("foot", "feet", "figure") for k in kinds):
            self.close("")
            self.inline_part(inner, ("amount", "degrees", "turning", "side", "join", "clock", "facing"))
            self.close("")
        elif self.describes(inner):
            self.described(inner)
        else:
            self.mark_slow(inner, target)
            self.keep_unknown(inner)

    def describes(self, inner: list[Token]) -> bool:
        """True if a remark tells steps: feet or figures, not only a word of style ("hips twice")."""
        told = sum(t.kind in ("move", "place") for t in inner)
        named = any(t.kind in ("side", "foot", "feet", "figure") for t in inner)
        return (told > 0 and named) or any(t.kind == "figure" for t in inner) or told > 2

    def mark_slow(self, inner: list[Token], target: Draft) -> None:
        """Take a remark of small words only."""
        for token in inner:
            if token.kind == "glue":
                self.take_glue(0, token)

    def is_or(self, inner: list[Token]) -> bool:
        """True if the remark begins an option."""
        first = next((t for t in inner if t.kind not in ("glue", "mark")), None)
        return bool(first and first.kind == "join" and first.value == "or")

    def inline_remark(self, inner: list[Token]) -> None:
        """Read a remark as if it stood without its brackets."""
        outer, self.tokens = self.tokens, inner
        if self.draft.is_empty and self.line.drafts and not self.starts_turn(inner):
            self.draft = self.line.drafts.pop()
        k = 0
        while k < len(inner):
            k = self.take(k)
        self.tokens = outer

    def inline_part(self, inner: list[Token], kinds: tuple[str, ...]) -> None:
        """Read only some kinds of words of a remark; those nobody knows are kept to be shown."""
        self.keep_unknown(inner)
        self.inline_remark([t for t in inner if t.kind in kinds])

    def keep_unknown(self, inner: list[Token]) -> None:
        """Keep the words of a remark that nobody knows."""
        self.line.unknown += [(t.start, t.end) for t in inner if t.kind == "unknown"]

    def starts_turn(self, inner: list[Token]) -> bool:
        """True if the remark tells of a turn with its own verb."""
        return any(t.kind in ("move", "figure") for t in inner)

    def described(self, inner: list[Token]) -> None:
        """Steps in brackets: another telling of what stands before them."""
        self.close("")
        before = len(self.line.drafts)
        outer, self.tokens = self.tokens, inner
        k = 0
        while k < len(inner):
            k = self.take(k)
        self.close("")
        self.tokens = outer
        for draft in self.line.drafts[before:]:
            draft.in_brackets = True
        self.boundary = ""
