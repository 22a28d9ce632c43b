"""What every part of the clause reader shares."""

from __future__ import annotations

from noonwall.text.draft import Draft, Line
from noonwall.text.draft_tokens import runs_of_feet, without_dots
from noonwall.text.lexicon import Lexicon
from noonwall.text.tokens import Token, tokenise


class DrafterBase:
    """The draft under way, and the tokens of its line."""

    def __init__(self, text: str, lexicon: Lexicon) -> None:
        self.text = text
        self.tokens = runs_of_feet(without_dots(tokenise(text, lexicon), text))
        self.line = Line()
        self.draft = Draft(0)
        self.to = ""
        self.ref = False
        self.with_ = False
        self.boundary = ""

    def close(self, boundary: str) -> None:
        """End the current draft; the next one stands after ``boundary``."""
        if not self.draft.is_empty and not (self.draft.is_bare and self.draft.stands_on):
            self.line.drafts.append(self.draft)
        elif self.draft.weight_on or self.draft.facing is not None or self.draft.weight:
            self.on_last(self.draft)
        if boundary or not self.draft.is_empty:
            self.boundary = boundary
        self.draft = Draft(0, after=self.boundary)
        self.to, self.ref, self.with_ = "", False, False

    def on_last(self, loose: Draft) -> None:
        """A weight note alone in its clause belongs to the clause before it, or to the line."""
        if self.line.drafts:
            last = self.line.drafts[-1]
            last.weight_on = loose.weight_on or last.weight_on
            last.weight = loose.weight or last.weight
        else:
            self.line.weight_on = loose.weight_on or self.line.weight_on

    def mark(self, token: Token) -> None:
        """Stretch the current draft over ``token``."""
        if self.draft.is_empty:
            self.draft.start = token.start
        self.draft.end = max(self.draft.end, token.end)

    def peek(self, i: int, step: int = 1) -> Token | None:
        """Return the next (or previous) token that is not glue, or None."""
        j = i + step
        while 0 <= j < len(self.tokens):
            if self.tokens[j].kind not in ("glue",):
                return self.tokens[j]
            j += step
        return None

    def mark_loose(self, token: Token) -> None:
        """Keep the end of a note without making the draft say something to dance."""
        if not self.draft.is_empty:
            self.draft.end = max(self.draft.end, token.end)

    def peek_move(self, i: int) -> bool:
        """True if an action word follows."""
        after = self.peek(i)
        return bool(after and after.kind in ("move", "turning", "figure"))

    def in_list(self) -> bool:
        """True within a list of feet ("R, L, R, L in a full turn"): a turn there is the list's own."""
        drafts = self.line.drafts
        return bool(
            self.draft.is_bare
            and self.draft.after == "sep"
            and drafts
            and (drafts[-1].is_bare or drafts[-1].feet)
        )

    def is_turning_figure(self, figure: str) -> bool:
        """True for figures that are turns in themselves: a side after the name is the side of the turn."""
        return any(word in figure for word in ("pivot", "paddle", "unwind", "turn", "chug"))

    def list_of_feet(self, i: int) -> tuple[str, int]:
        """Return the feet listed from token ``i`` on ("R, L, R") and where the list ends."""
        run, end, j = "", i, i
        while j < len(self.tokens):
            token = self.tokens[j]
            if token.kind in ("side", "foot", "feet") and token.value != "B":
                run, end = run + token.value, j + 1
            elif token.kind not in ("sep", "and", "dash", "glue") or token.value in (".", ";"):
                break
            j += 1
        follows = self.tokens[end] if end < len(self.tokens) else None
        if follows and follows.kind in ("place", "move"):
            return "", i
        return run, end

    def feet_listed(self, i: int) -> bool:
        """True if only a list of feet follows ("full turn stepping R, L")."""
        kinds = []
        for token in self.tokens[i + 1 :]:
            if token.kind in ("side", "foot", "feet"):
                kinds.append(token.kind)
            elif token.kind not in ("sep", "and", "dash", "glue"):
                return token.kind in ("open", "clock", "close") and len(kinds) > 1
        return len(kinds) > 1 or kinds == ["feet"]

    # -- what the other parts of the reader supply ------------------------------------------------

    def take(self, i: int) -> int:
        """Read the token at ``i`` and return the index of the next one to read."""
        raise NotImplementedError

    def take_glue(self, i: int, token: Token) -> None:
        """Take a small word."""
        raise NotImplementedError

    def take_times(self, i: int, token: Token) -> None:
        """Take "x2"."""
        raise NotImplementedError

    def take_repeat(self, i: int, token: Token) -> None:
        """Take "twice" or "repeat"."""
        raise NotImplementedError
