"""Turns."""

from __future__ import annotations

from noonwall.text.draft_base import DrafterBase
from noonwall.text.tokens import Token


class DraftTurns(DrafterBase):
    """Takes amounts and turning words."""

    def take_amount(self, i: int, token: Token) -> None:
        """A fraction of a turn; but a "half rumba" is half a box."""
        after = self.peek(i)
        word = self.text[token.start : token.end].isalpha()
        if word and after and after.kind == "figure" and not self.is_turning_figure(after.value):
            return
        self.add_amount(int(token.value), token)

    def take_degrees(self, i: int, token: Token) -> None:
        """An angle; 45 degrees without a turning word is a diagonal, not a turn."""
        near = [self.peek(i), self.peek(i, -1)]
        if token.value == "1" and not any(t and t.kind == "turning" for t in near):
            self.draft.places.append("diag")
            self.mark(token)
        else:
            self.add_amount(int(token.value), token)

    def add_amount(self, eighths: int, token: Token) -> None:
        """Give the turn to the current draft, or begin a new one if it already has a turn."""
        if self.in_list():
            self.close("")
        if self.draft.stands_on and not self.draft.verb:
            self.draft.foot, self.draft.foot_certain, self.draft.stands_on = "", False, False
        if self.draft.amount and not self.draft.is_empty and self.draft.verb:
            self.close("")
        self.mark(token)
        if self.draft.amount and self.draft.is_turn_only:
            eighths += self.draft.amount
        self.draft.amount = eighths

    def take_turning(self, i: int, token: Token) -> None:
        """ "turn", "pivot", "clockwise"."""
        draft = self.draft
        if token.value in ("cw", "ccw"):
            draft.turn_side = "R" if token.value == "cw" else "L"
            draft.turn_word = draft.turn_word or "turn"
            self.mark(token)
            return
        if self.in_list():
            self.close("")
            draft = self.draft
        if draft.stands_on and not draft.verb:
            draft.foot, draft.foot_certain, draft.stands_on = "", False, False
        complete = bool(draft.verb and not draft.is_figure and (draft.foot or draft.places))
        pivot = token.value == "pivot" or self.text[token.start : token.end].lower().startswith("pivot")
        if draft.verb == "step" and not draft.is_figure and (pivot or not (draft.foot or draft.places)):
            complete = True  # "step 1/2 pivot L", "step 1/2 turn L": a step, then the turn
        noun_step = bool(not draft.verb and draft.places and draft.foot)
        own_clause = not token.running and not self.with_ and self.turn_follows(i)
        if (complete or noun_step) and own_clause and not draft.turn_word:
            amount, draft.amount = draft.amount, 0
            side, draft.turn_side = draft.turn_side, ""
            self.close("")
            self.draft.amount, self.draft.turn_side = amount, side
            if amount:
                self.draft.start = token.start
        self.mark(token)
        if pivot and not self.draft.verb:
            self.draft.turn_word = "pivot"
        else:
            self.draft.turn_word = self.draft.turn_word or "turn"
        self.draft.alternatives += tuple(e.value for e in token.others if e.kind == "figure")

    def turn_follows(self, i: int) -> bool:
        """True if a turning word opens its own clause: an amount follows it or stands before it."""
        after, before = self.peek(i), self.peek(i, -1)
        if self.draft.verb == "step" and not self.draft.places and before and before.kind == "amount":
            return True
        if after and after.kind in ("amount", "degrees"):
            return True
        if self.tokens[i].value == "pivot":
            return True
        if after and after.kind == "side":
            j = self.tokens.index(after)
            later = self.peek(j)
            return bool(later and later.kind in ("amount", "degrees"))
        return False
