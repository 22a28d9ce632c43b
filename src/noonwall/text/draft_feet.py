"""Feet, sides, weight notes and facings."""

from __future__ import annotations

from noonwall.text.draft import BESIDE, DIRECTIONS, Draft
from noonwall.text.draft_base import DrafterBase
from noonwall.text.tokens import Token


class DraftFeet(DrafterBase):
    """Decides by its place in the phrase whether "R" is a foot, a side or a turn."""

    def take_feet(self, i: int, token: Token) -> None:
        """A run of feet such as RLR."""
        if self.draft.is_empty and self.line.drafts and self.boundary != "sep":
            self.line.drafts[-1].feet = token.value
            return
        self.mark(token)
        self.draft.feet = token.value

    def take_foot(self, i: int, token: Token) -> int | None:
        """An explicit foot."""
        draft = self.draft
        if self.text[token.start : token.end] in ("Lf", "Rf"):
            self.take_side(i, token)
            return None
        if draft.is_figure and self.to == "on" and self.is_turning_figure(draft.verb):
            return None
        if token.value == "B":
            after = self.peek(i)
            if draft.verb or draft.body or self.peek_move(i):
                draft.foot = draft.foot or "B"
            elif self.line.drafts and draft.is_empty and after and after.kind == "place":
                return self.tokens.index(after) + 1  # "jump forward R, L, feet apart" says how it ends
            return None
        if draft.foot and self.ref:
            self.ref, draft.referred = False, True
            return None
        if self.to == "on" and draft.is_turn_only and not draft.foot:
            draft.weight_on, self.to = token.value, ""
            return None
        if draft.foot and self.to == "to" and draft.foot != token.value:
            if not draft.places:
                draft.places.append("together")
                self.mark(token)
            self.to, draft.referred = "", True
            return None
        if draft.foot and draft.foot_certain:
            if draft.foot != token.value and (draft.places or draft.verb) and not self.to:
                self.close("")
                self.mark(token)
                self.draft.foot, self.draft.foot_certain = token.value, True
            return None
        if draft.foot and not draft.foot_certain:
            draft.side = draft.side or draft.foot
        self.mark(token)
        draft.stands_on = self.to == "on" and not draft.verb
        draft.foot, draft.foot_certain = token.value, True
        self.to = ""
        return None

    def take_side(self, i: int, token: Token) -> None:
        """ "R" or "right": a foot, a direction, the side of a turn, or a foot named for reference."""
        draft = self.draft
        before, after = self.peek(i, -1), self.peek(i)
        if self.line.is_repeat:
            self.line.repeat_lead = token.value
            return
        turning = ("amount", "turning", "degrees")
        if draft.is_figure and self.to == "on" and self.is_turning_figure(draft.verb):
            return
        if self.is_turn_side(i, before, after, turning):
            self.mark(token)
            draft.turn_side = token.value
        elif self.ref and (
            draft.foot or (draft.verb and draft.places[-1] in BESIDE and self.foot_follows(i))
        ):
            self.ref, draft.referred = False, True
        elif self.to == "to" and draft.is_figure and draft.amount and not draft.turn_side:
            draft.turn_side = token.value
        elif self.to == "to" and not (draft.verb in ("recover", "drop") and not draft.foot):
            draft.side = draft.side or token.value
            self.mark(token)
            if not draft.places and not (after and after.kind == "place"):
                draft.places.append("side")
        elif after and after.kind == "place" and after.value in DIRECTIONS and draft.foot:
            draft.side = draft.side or token.value
        elif not draft.foot and self.to == "on" and draft.is_turn_only:
            draft.weight_on = token.value
        elif not draft.foot:
            self.mark(token)
            draft.foot = token.value
            draft.stands_on = self.to == "on" and not draft.verb
        elif self.starts_afresh(draft, after):
            self.close("")
            self.mark(token)
            self.draft.foot = token.value
        else:
            draft.side = draft.side or token.value
        self.to = ""

    def starts_afresh(self, draft: Draft, after: Token | None) -> bool:
        """True if a second "R" begins a new clause though no comma stands before it."""
        said = bool(draft.places or (draft.verb and draft.is_figure is False))
        return said and bool(after and after.kind in ("move", "place", "figure", "body"))

    def foot_follows(self, i: int) -> bool:
        """True if another foot is named later in this clause ("step behind left with right")."""
        for token in self.tokens[i + 1 :]:
            if token.kind in ("sep", "and", "open", "colon", "dash", "move", "figure"):
                return False
            if token.kind in ("foot", "side"):
                return True
        return False

    def is_turn_side(
        self, i: int, before: Token | None, after: Token | None, turning: tuple[str, ...]
    ) -> bool:
        """True if the side at ``i`` is the side of a turn: it touches the amount or the turning word."""
        draft = self.draft
        if draft.turn_side:
            return False
        if before and before.kind in turning and (draft.amount or draft.turn_word):
            return True
        if before and before.kind == "join" and before.value == "to" and (draft.amount or draft.turn_word):
            j = self.tokens.index(before)
            earlier = self.peek(j, -1)
            if earlier and earlier.kind in turning:
                return True
        if draft.is_figure and before and before.kind == "figure" and self.is_turning_figure(draft.verb):
            return True
        if after and after.kind in turning and not self.side_after_turn(i):
            return not draft.verb or bool(draft.foot)
        return False

    def side_after_turn(self, i: int) -> bool:
        """True if the turn that follows names its own side."""
        for token in self.tokens[i + 1 :]:
            if token.kind in ("amount", "turning", "degrees", "glue"):
                continue
            if token.kind == "join" and token.value == "to":
                continue
            return token.kind == "side"
        return False

    def take_weight(self, i: int, token: Token) -> int | None:
        """A weight note, with the foot that follows it."""
        if token.value == "on":
            short = self.text[token.start : token.end].lower()
            if short in ("wol", "wor"):
                self.draft.weight_on = short[-1].upper()
                return None
            j = i + 1
            while j < len(self.tokens) and self.tokens[j].kind in ("join", "glue"):
                if self.tokens[j].kind == "join" and self.tokens[j].value in ("and", "or", "with"):
                    return None
                j += 1
            if j < len(self.tokens) and self.tokens[j].kind in ("foot", "side"):
                self.draft.weight_on = self.tokens[j].value
                self.mark_loose(self.tokens[j])
                after = j + 1
                if after < len(self.tokens) and self.tokens[after].kind in ("foot",):
                    after += 1
                return after
            return None
        self.draft.weight = token.value
        self.mark_loose(token)
        return None

    def take_facing(self, i: int, token: Token) -> int | None:
        """ "facing", "back wall"."""
        if token.value.isdigit():
            self.line.facings.append((int(token.value), token.start, token.end))
        elif token.value == "face":
            j = i + 1
            while j < len(self.tokens) and self.tokens[j].kind in ("join", "glue", "dash"):
                j += 1
            if j < len(self.tokens) and self.tokens[j].kind == "number":
                hour = int(self.tokens[j].value)
                if 1 <= hour <= 12 and hour % 3 == 0:
                    self.line.facings.append((hour % 12 * 2 // 3, token.start, self.tokens[j].end))
                    return j + 1
        return None

    def take_clock(self, i: int, token: Token) -> None:
        """A clock reading says where the dancer faces."""
        self.line.facings.append((int(token.value), token.start, token.end))
