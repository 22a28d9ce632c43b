"""Places, moves and figures."""

from __future__ import annotations

from noonwall.text.draft import BESIDE, COLOURING, ENDED_OTHERWISE, ENDINGS, REFERRING, Draft
from noonwall.text.draft_base import DrafterBase
from noonwall.text.tokens import Token


class DraftMoves(DrafterBase):
    """Takes the words that say what is done."""

    def take_place(self, i: int, token: Token) -> None:
        """A place or direction; alone it is a step ("cross R over L", "R back")."""
        draft = self.draft
        if token.running and draft.is_turn_only:
            pass
        elif (
            token.running is False and draft.verb and draft.is_figure is False and self.splits_here(i, token)
        ) or self.splits_here(i, token):
            self.close("")
        self.mark(token)
        self.draft.places.append(token.value)
        self.ref = token.value in REFERRING
        self.to = ""

    def splits_here(self, i: int, token: Token) -> bool:
        """True if a place word is the verb of a new clause: "rock R fwd cross L over"."""
        draft = self.draft
        word = self.text[token.start : token.end].lower()
        verbs = ("cross", "crois", "lock", "bloqu")
        after = self.peek(i)
        return (
            bool(draft.foot and draft.places)
            and word.startswith(verbs)
            and bool(after and after.kind in ("side", "foot") and after.value != draft.foot)
        )

    def take_move(self, i: int, token: Token) -> int | None:
        """An action word."""
        draft = self.draft
        verb, place = token.value, ""
        if verb.startswith("step-") and verb != "step-slide":
            verb, place = "step", verb[5:]
        if (
            draft.verb
            and not draft.is_figure
            and verb == "step"
            and draft.verb in ("stomp", "press", "lunge")
        ):
            return None
        if token.running and verb == "step" and not place:
            figure = (
                draft
                if draft.is_figure
                else (self.line.drafts[-1] if draft.is_empty and self.line.drafts else None)
            )
            run, after = self.list_of_feet(i + 1)
            if figure and figure.is_figure and len(run) > 1:
                figure.feet = run
                figure.end = max(figure.end, self.tokens[after - 1].end)
                return after
            if draft.is_figure:
                return None
        if draft.is_turn_only and token.running and verb == "step" and self.feet_listed(i):
            return None
        if draft.is_figure and verb == "heel" and draft.verb.startswith("heel"):
            return None
        follows = self.peek(i)
        if (
            verb in ("bump", "sway")
            and (draft.verb or draft.places)
            and follows
            and follows.kind in ("side", "foot", "feet")
        ):
            self.close("")
            draft = self.draft
        stepped = draft.verb or (draft.foot and draft.places)
        if self.with_ and verb in ENDINGS and self.has_room_for_an_ending(draft):
            self.close("sep")
            draft = self.draft
            stepped = ""
        if stepped and (self.with_ or token.running) and verb in COLOURING:
            draft.joined.append(verb)
            draft.coloured = not draft.is_figure
            return None
        if draft.verb and not (token.running and draft.is_turn_only):
            before = self.peek(i, -1)
            told = self.text[before.start : before.end].lower() if before else ""
            twice = told == self.text[token.start : token.end].lower() and verb != "step"
            if not draft.is_figure and verb == draft.verb and before and before.kind == "move" and not twice:
                return None
            if (
                verb == draft.verb == "step"
                and draft.foot
                and not (draft.places or draft.side or token.running)
            ):
                return None
            lone = draft.foot if not draft.places and before and before.kind in ("side", "foot") else ""
            if lone and not draft.is_figure and self.foot_before_verb(draft, before):
                draft.foot, kept = "", draft.foot
                self.close("")
                self.draft.foot = kept
                self.draft.start = before.start if before else token.start
            else:
                self.close("")
        elif draft.places and not draft.verb and self.place_was_verb(draft, token):
            self.close("")
        self.mark(token)
        self.draft.verb = verb
        self.draft.alternatives = tuple(e.value for e in token.others if e.kind == "figure")
        if place:
            self.draft.places.append(place)
        self.ref = place in BESIDE and bool(self.draft.foot)
        self.to = ""
        return None

    def has_room_for_an_ending(self, draft: Draft) -> bool:
        """True if "with a kick" is a count of its own: "vine right with a kick", "walk R-L-R with a kick"."""
        if draft.is_figure:
            return draft.verb in ENDED_OTHERWISE
        before = self.line.drafts[-1] if self.line.drafts else None
        listed = bool(draft.is_bare and before and before.is_bare and before.foot != draft.foot)
        return listed or len(draft.feet) > 2

    def foot_before_verb(self, draft: Draft, before: Token | None) -> bool:
        """ "hold, L kick": a foot right before a verb belongs to that verb, if the last needs none."""
        return draft.verb in ("hold", "clap", "snap", "turn")

    def place_was_verb(self, draft: Draft, token: Token) -> bool:
        """ "cross R over L touch R": the place already told a step."""
        return bool(draft.foot and draft.places) and not token.running and draft.referred

    def take_body(self, i: int, token: Token) -> None:
        """Heel, toe, knee, hip."""
        if token.value == "arm" and self.draft.is_empty:
            self.mark(token)
            self.draft.verb = "arms"
            return
        if self.draft.verb and self.draft.places and self.boundary_before(i):
            return
        self.draft.body = self.draft.body or token.value
        self.mark(token)

    def boundary_before(self, i: int) -> bool:
        """True if a join stands right before: "touch R to L heel" names a place, not a part of the step."""
        before = self.peek(i, -1)
        return bool(before and before.kind in ("join", "side", "foot") and self.draft.referred)

    def take_figure(self, i: int, token: Token) -> None:
        """A figure's name."""
        if self.with_ and self.draft.foot and (self.draft.places or self.draft.verb):
            self.close("")
        draft = self.draft
        moves = [e for e in token.others if e.kind == "move"]
        if draft.verb or (draft.places and draft.foot and not draft.is_bare and self.ends_place(draft)):
            if draft.verb and draft.is_figure and draft.verb == token.value:
                return
            if draft.verb == "step" and not draft.foot and not draft.places:
                draft.verb = ""
            else:
                self.close("")
        self.mark(token)
        self.draft.verb = token.value
        self.draft.is_figure = True
        self.draft.alternatives = tuple(
            [e.value for e in token.others if e.kind == "figure"] + ["move:" + e.value for e in moves]
        )
        self.ref, self.to = False, ""

    def ends_place(self, draft: Draft) -> bool:
        """True if the clause before a figure's name is a step of its own."""
        return draft.referred or len(draft.places) > 1
