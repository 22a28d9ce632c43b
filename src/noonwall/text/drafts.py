"""Group the tokens of a counted line into drafts: one draft for each thing the author names."""

from __future__ import annotations

from noonwall.text.draft import ON_WORDS, Draft, Line
from noonwall.text.draft_feet import DraftFeet
from noonwall.text.draft_moves import DraftMoves
from noonwall.text.draft_remarks import DraftRemarks
from noonwall.text.draft_turns import DraftTurns
from noonwall.text.lexicon import Lexicon
from noonwall.text.tokens import Token


class Drafter(DraftFeet, DraftMoves, DraftTurns, DraftRemarks):
    """Reads the tokens of one line from left to right."""

    def read(self) -> Line:
        """Return the line."""
        i = 0
        while i < len(self.tokens):
            i = self.take(i)
        self.close("")
        told = self.line.drafts[self.line.named_until :]
        if self.line.named_until and told and all(draft.is_bare for draft in told):
            # "triple step: R, L, R" lists the feet of what stands before the colon
            for draft in self.line.drafts[: self.line.named_until]:
                draft.named = False
            self.line.named_until = 0
            told[0].after = "sep"
        return self.line

    def take(self, i: int) -> int:
        """Read the token at ``i`` and return the index of the next one to read."""
        token = self.tokens[i]
        if token.mended:
            self.line.mended.append((token.mended, token.start, token.end))
        colour = self.draft.coloured and token.kind in ("side", "foot", "place", "body", "join", "glue")
        if colour and not (token.kind == "join" and token.value in ("and", "or")):
            return i + 1
        handler = getattr(self, "take_" + token.kind, None)
        if handler is None:
            self.line.unknown.append((token.start, token.end))
            return i + 1
        result = handler(i, token)
        return result if isinstance(result, int) else i + 1

    def take_glue(self, i: int, token: Token) -> None:
        """Small words change nothing but tell of slowness."""
        text = self.text[token.start : token.end].lower()
        if any(w in text for w in ("2 ", "two", "deux", "4 ", "slow", "lent", "3 ", "four", "quatre")):
            self.draft.slow = self.draft.slow or 1
            if self.draft.is_empty and self.line.drafts:
                self.line.drafts[-1].slow = 1

    def take_unknown(self, i: int, token: Token) -> None:
        """A word nobody knows is kept with its place."""
        self.line.unknown.append((token.start, token.end))

    def take_mark(self, i: int, token: Token) -> None:
        """Quotes, asterisks, emoji and other signs mean nothing here."""

    def take_number(self, i: int, token: Token) -> None:
        """A number alone: how often to hold, or which counts to repeat."""
        if self.line.is_repeat:
            self.line.repeat.append(token.value)
        elif self.counts_what_follows(i) and 1 < int(token.value) <= 8:
            if self.draft.verb:
                self.close("")
            self.draft.times, self.draft.counted = int(token.value), True
        elif self.draft.verb in ("hold", "clap", "snap", "bounce", "bump", "swivel"):
            self.draft.times = max(1, min(8, int(token.value)))
        elif not (after := self.peek(i)) or after.kind != "glue":
            self.draft.slow = self.draft.slow or 1

    def counts_what_follows(self, i: int) -> bool:
        """True if the number at ``i`` says how often: "two heel struts", "two ¼ pivots"."""
        ahead = self.peek(i)
        if ahead and ahead.kind == "amount":
            ahead = self.peek(i, 2)
            return bool(ahead and ahead.kind in ("figure", "turning"))
        return bool(ahead and ahead.kind in ("move", "figure"))

    def take_sep(self, i: int, token: Token) -> None:
        """A comma, full stop or slash ends a clause, but "fwd." is an abbreviation."""
        if self.line.is_repeat:
            return
        self.close("sep")

    def take_and(self, i: int, token: Token) -> None:
        """ "and" and "&" end a clause; an "&" after a heel that ends the line is the foot brought back."""
        if self.line.is_repeat:
            return
        self.close("and")
        if i == len(self.tokens) - 1 and self.text[token.start : token.end] == "&":
            self.bring_back(token)

    def bring_back(self, token: Token) -> None:
        """ "R heel & L heel &": each "&" is a step beside the other foot, on the count between."""
        drafts = self.line.drafts
        shown = ("heel", "toe", "touch", "point", "kick", "tap")
        if not drafts or not all((one.verb or one.body) in shown and one.foot for one in drafts):
            return
        told = []
        for one in drafts:
            told += [
                one,
                Draft(token.start, token.end, verb="step", foot=one.foot, places=["together"], after="and"),
            ]
        self.line.drafts = told

    def take_dash(self, i: int, token: Token) -> None:
        """A dash with spaces around it is a comma; between words it is nothing."""
        spaced = self.text[max(0, token.start - 1) : token.start].isspace()
        before, after = self.peek(i, -1), self.peek(i)
        if before and after and before.kind in ("side", "foot") and after.kind in ("side", "foot"):
            self.close("sep")
            return
        if self.line.is_repeat:
            self.line.repeat.append("-")
        elif spaced or self.draft.is_bare:
            self.close("sep")

    def take_colon(self, i: int, token: Token) -> None:
        """What stands before a colon names what follows."""
        self.close("colon")
        drafts = self.line.drafts
        for number, draft in enumerate(reversed(drafts[self.line.named_until :])):
            spelled = (draft.foot and (draft.places or draft.verb == "recover")) or draft.is_turn_only
            if number and spelled and not draft.is_figure:
                break  # "step L fwd, 1/4 turn R, kick ball change: ..." names only the last
            draft.named = True
        self.line.named_until = len(drafts)

    def take_join(self, i: int, token: Token) -> int | None:
        """ "with", "to", "on", "and", "or"."""
        text = " ".join(self.text[token.start : token.end].lower().split())
        if token.value == "or":
            if self.draft.is_empty and not self.line.drafts:
                return None
            self.line.option = (token.start, len(self.text))
            return len(self.tokens)
        if token.value == "and":
            if not self.line.is_repeat:
                self.close("and")
        elif token.value == "with":
            self.with_ = True
        elif token.value == "ref":
            self.ref = bool(self.draft.foot)
            if text in ("from", "depuis"):
                return self.after_from(i)
        elif token.value == "to":
            self.to = "on" if text in ON_WORDS else "to"
        return None

    def after_from(self, i: int) -> int | None:
        """ "from L to R" tells how a foot swings, not which foot moves. Return where to read on, or None."""
        j = i + 1
        sides = 0
        while j < len(self.tokens) and self.tokens[j].kind in ("side", "join", "glue", "place"):
            if self.tokens[j].kind == "join" and self.tokens[j].value not in ("to", "ref"):
                break
            sides += self.tokens[j].kind == "side"
            j += 1
        return j if sides > 1 else None

    def take_times(self, i: int, token: Token) -> None:
        """ "x2": how often."""
        times = max(1, min(16, int(token.value)))
        if self.draft.is_empty and self.line.drafts:
            self.line.drafts[-1].times = times
        else:
            self.draft.times = times

    def take_repeat(self, i: int, token: Token) -> None:
        """ "repeat", "twice", "on the other foot"."""
        if token.value.startswith("times"):
            if self.line.is_repeat:
                self.line.repeat.append("x" + token.value[5:])
                return
            self.take_times(i, Token("times", token.value[5:], token.start, token.end))
        elif token.value == "mirror":
            self.line.mirrored = True
            if self.draft.is_empty and not self.line.drafts and (n := self.peek(i)) and n.kind == "number":
                self.line.is_repeat = True
        else:
            if self.draft.is_empty and not self.line.drafts:
                self.line.is_repeat = True


def read_drafts(text: str, lexicon: Lexicon) -> Line:
    """Return the drafts of one counted line's step text."""
    return Drafter(text, lexicon).read()


__all__ = ["Draft", "Line", "read_drafts"]
