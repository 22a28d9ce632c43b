"""Group the tokens of a counted line into drafts: one draft for each thing the author names.

A draft is what one clause says, word by word, before anyone asks which foot is free or which count it
falls on. The rules are those of wording.md: "R" is a foot or a side by its place in the phrase.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from noonwall.text.lexicon import Entry, Lexicon, fold
from noonwall.text.tokens import Token, tokenise

# "step R *over L*": after these places a second foot is only named for reference
REFERRING = frozenset({"cross", "behind", "together", "lock-behind", "lock-front", "fwd", "back"})
BESIDE = frozenset({"cross", "behind", "together", "lock-behind", "lock-front"})
DIRECTIONS = frozenset({"side", "diag", "diag-fwd", "diag-back"})
ON_WORDS = frozenset({"on ball of", "on balls of", "on the ball of", "on the balls of", "on", "onto", "sur", "on the", "sur la", "sur le"})
# running gestures that colour a step ("stepping R, sweeping L") and take no count of their own
COLOURING = frozenset(
    "sweep hitch drag kick flick hook swivel bump sway clap snap slap body-roll hip-roll shimmy bounce lift "
    "knee-pop drop split brush swing point touch twist fan grind".split()
)


ABBREVIATIONS = frozenset(
    "fwd fw bwd bk diag av avt arr ar dev derr der tog rec recov t ft opt pos wt crois cr ass tch pt bal stp "
    "sd beh ct cts pdc rt lt trn".split()
)


@dataclass(slots=True)
class Draft:
    """One clause. ``foot`` and ``turn_side`` are "R", "L" or ""; ``amount`` in eighths, 0 if none."""

    start: int
    end: int = 0
    verb: str = ""
    is_figure: bool = False
    alternatives: tuple[str, ...] = ()
    foot: str = ""
    foot_certain: bool = False
    places: list[str] = field(default_factory=list)
    side: str = ""
    amount: int = 0
    turn_side: str = ""
    turn_word: str = ""
    times: int = 1
    feet: str = ""
    body: str = ""
    weight_on: str = ""
    weight: str = ""
    inline: str = ""
    facing: int | None = None
    joined: list[str] = field(default_factory=list)
    after: str = ""  # what stood before it: sep, and, with, colon, ""
    slow: int = 0
    referred: bool = False
    in_brackets: bool = False
    stands_on: bool = False  # "on L, ...": names the foot that carries the turn, not a step
    coloured: bool = False  # after "with a sweep of ..." the rest of the clause is colour

    @property
    def is_empty(self) -> bool:
        """True while the draft says nothing to dance."""
        return not (
            self.verb or self.foot or self.places or self.amount or self.turn_word or self.feet or self.body
        )

    @property
    def is_bare(self) -> bool:
        """True if only a foot or a side is named ("..., L, R"): it repeats what came before."""
        return bool(self.foot or self.feet) and not (
            self.verb or self.places or self.amount or self.turn_word or self.body
        )

    @property
    def is_turn_only(self) -> bool:
        """True if only a turn is named."""
        return bool(self.amount or self.turn_word) and not (self.verb or self.places)


@dataclass(slots=True)
class Line:
    """What a counted line says: drafts in order, and what is not a step."""

    drafts: list[Draft] = field(default_factory=list)
    facings: list[tuple[int, int, int]] = field(default_factory=list)  # eighths, start, end
    unknown: list[tuple[int, int]] = field(default_factory=list)
    mended: list[tuple[str, int, int]] = field(default_factory=list)
    option: tuple[int, int] | None = None
    repeat: list[str] = field(default_factory=list)
    is_repeat: bool = False
    mirrored: bool = False
    repeat_lead: str = ""
    weight_on: str = ""
    weight_each: str = ""
    named_until: int = 0  # drafts before this index stand before a colon: a name for what follows


def _without_dots(tokens: list[Token], text: str) -> list[Token]:
    """Drop the full stops of shortened words ("fwd.", "diag."): they end no clause."""
    out = []
    for i, token in enumerate(tokens):
        if token.value == "." and token.kind == "sep" and _shortened(text, token.start):
            after = tokens[i + 1] if i + 1 < len(tokens) else None
            word = text[after.start : after.end] if after else ""
            sentence = len(word) > 1 and word[0].isupper() and word[1].islower()
            if not (sentence or after and after.kind in ("move", "figure")):
                continue
        out.append(token)
    return out


def _shortened(text: str, dot: int) -> bool:
    k = dot
    while k and text[k - 1].isalpha():
        k -= 1
    return fold(text[k:dot]) in ABBREVIATIONS


def _runs_of_feet(tokens: list[Token]) -> list[Token]:
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
        if j - i >= 2 or (j - i == 1 and loose and before in ("move", "place", "figure", "open", "times", "glue")):
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


class Drafter:
    """Reads the tokens of one line from left to right."""

    def __init__(self, text: str, lexicon: Lexicon) -> None:
        self.text = text
        self.tokens = _runs_of_feet(_without_dots(tokenise(text, lexicon), text))
        self.line = Line()
        self.draft = Draft(0)
        self.to = ""
        self.ref = False
        self.with_ = False
        self.boundary = ""

    def read(self) -> Line:
        """Return the line."""
        i = 0
        while i < len(self.tokens):
            i = self.take(i)
        self.close("")
        told = self.line.drafts[self.line.named_until :]
        if self.line.named_until and told and all(draft.is_bare for draft in told):
            self.line.named_until = 0  # "triple step: R, L, R" lists the feet of what stands before the colon
            told[0].after = "sep"
        return self.line

    # -- drafts ---------------------------------------------------------------------------------

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

    # -- one token ------------------------------------------------------------------------------

    def take(self, i: int) -> int:
        """Read the token at ``i`` and return the index of the next one to read."""
        token = self.tokens[i]
        if token.mended:
            self.line.mended.append((token.mended, token.start, token.end))
        if self.draft.coloured and token.kind in ("side", "foot", "place", "body", "join", "glue"):
            if not (token.kind == "join" and token.value in ("and", "or")):
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
        elif (ahead := self.peek(i)) and ahead.kind in ("move", "figure") and 1 < int(token.value) <= 8:
            if self.draft.verb:
                self.close("")
            self.draft.times = int(token.value)
        elif self.draft.verb in ("hold", "clap", "snap", "bounce", "bump", "swivel"):
            self.draft.times = max(1, min(8, int(token.value)))
        elif not (after := self.peek(i)) or after.kind != "glue":
            self.draft.slow = self.draft.slow or 1

    def take_sep(self, i: int, token: Token) -> None:
        """A comma, full stop or slash ends a clause, but "fwd." is an abbreviation."""
        if self.line.is_repeat:
            return
        self.close("sep")

    def take_and(self, i: int, token: Token) -> None:
        """ "and" and "&" end a clause."""
        if not self.line.is_repeat:
            self.close("and")

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
        if self.line.drafts:
            self.line.named_until = len(self.line.drafts)

    def take_close(self, i: int, token: Token) -> None:
        """A closing bracket without an opening one."""

    def take_open(self, i: int, token: Token) -> int:
        """Read what stands in brackets as one remark."""
        depth, j = 1, i + 1
        while j < len(self.tokens) and depth:
            depth += {"open": 1, "close": -1}.get(self.tokens[j].kind, 0)
            j += 1
        end = j - 1 if depth == 0 else j
        self.remark(self.tokens[i + 1 : end])
        return j

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
        elif all(k == "times" for k in kinds) or (kinds[0] == "repeat" and inner[0].value.startswith("times")):
            self.take_repeat(0, inner[0]) if kinds[0] == "repeat" else self.take_times(0, inner[0])
        elif kinds[0] == "weight" and "clock" not in kinds:
            self.inline_remark([t for t in inner if t.kind in ("weight", "side", "foot", "join")])
        elif kinds[0] in ("clock", "facing", "weight", "amount", "degrees", "turning") or (
            kinds[0] in ("side", "join") and any(k in ("clock", "weight", "facing") for k in kinds)
        ):
            self.inline_remark(inner)
        elif "weight" in kinds or "clock" in kinds or "facing" in kinds:
            self.inline_remark([t for t in inner if t.kind in ("weight", "clock", "facing", "side", "foot")])
        elif "amount" in kinds and not any(k in ("foot", "feet", "figure") for k in kinds):
            self.close("")
            keep = ("amount", "degrees", "turning", "side", "join", "clock", "facing")
            self.inline_remark([t for t in inner if t.kind in keep])
            self.close("")
        elif self.describes(inner):
            self.described(inner)
        else:
            self.mark_slow(inner, target)
            self.line.unknown += [(t.start, t.end) for t in inner if t.kind == "unknown"]

    def describes(self, inner: list[Token]) -> bool:
        """True if a remark tells steps: feet or figures, not only a word of style ("hips twice")."""
        told = sum(t.kind in ("move", "place") for t in inner)
        named = any(t.kind in ("side", "foot", "feet", "figure") for t in inner)
        return told > 0 and named or any(t.kind == "figure" for t in inner) or told > 2

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

    # -- words ----------------------------------------------------------------------------------

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

    def mark_loose(self, token: Token) -> None:
        """Keep the end of a note without making the draft say something to dance."""
        if not self.draft.is_empty:
            self.draft.end = max(self.draft.end, token.end)

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

    def peek_move(self, i: int) -> bool:
        """True if an action word follows."""
        after = self.peek(i)
        return bool(after and after.kind in ("move", "turning", "figure"))

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
        elif self.ref and (draft.foot or draft.verb and draft.places[-1] in BESIDE and self.foot_follows(i)):
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
        said = bool(draft.places or draft.verb and draft.is_figure is False)
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

    def is_turning_figure(self, figure: str) -> bool:
        """True for figures that are turns in themselves: a side after the name is the side of the turn."""
        return any(word in figure for word in ("pivot", "paddle", "unwind", "turn", "chug"))

    def side_after_turn(self, i: int) -> bool:
        """True if the turn that follows names its own side."""
        for token in self.tokens[i + 1 :]:
            if token.kind in ("amount", "turning", "degrees", "glue"):
                continue
            if token.kind == "join" and token.value == "to":
                continue
            return token.kind == "side"
        return False

    def take_place(self, i: int, token: Token) -> None:
        """A place or direction; alone it is a step ("cross R over L", "R back")."""
        draft = self.draft
        if token.running and draft.is_turn_only:
            pass
        elif token.running is False and draft.verb and draft.is_figure is False and self.splits_here(i, token):
            self.close("")
        elif self.splits_here(i, token):
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

    def take_move(self, i: int, token: Token) -> int | None:
        """An action word."""
        draft = self.draft
        verb, place = token.value, ""
        if verb.startswith("step-") and verb != "step-slide":
            verb, place = "step", verb[5:]
        if draft.verb and not draft.is_figure and verb == "step" and draft.verb in ("stomp", "press", "lunge"):
            return None
        if token.running and verb == "step" and not place:
            figure = draft if draft.is_figure else (self.line.drafts[-1] if draft.is_empty and self.line.drafts else None)
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
        if verb in ("bump", "sway") and (draft.verb or draft.places) and follows and follows.kind in ("side", "foot", "feet"):
            self.close("")
            draft = self.draft
        stepped = draft.verb or (draft.foot and draft.places)
        if stepped and (self.with_ or token.running) and verb in COLOURING:
            draft.joined.append(verb)
            draft.coloured = not draft.is_figure
            return None
        if draft.verb and not (token.running and draft.is_turn_only):
            before = self.peek(i, -1)
            if not draft.is_figure and verb == draft.verb and before and before.kind == "move":
                return None
            if verb == draft.verb == "step" and draft.foot and not (draft.places or draft.side or token.running):
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

    def feet_listed(self, i: int) -> bool:
        """True if only a list of feet follows ("full turn stepping R, L")."""
        kinds = []
        for token in self.tokens[i + 1 :]:
            if token.kind in ("side", "foot", "feet"):
                kinds.append(token.kind)
            elif token.kind not in ("sep", "and", "dash", "glue"):
                return token.kind in ("open", "clock", "close") and len(kinds) > 1
        return len(kinds) > 1 or kinds == ["feet"]

    def foot_before_verb(self, draft: Draft, before: Token | None) -> bool:
        """ "touch R heel, L kick": a foot right before a verb belongs to that verb, if the last has its own."""
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

    def in_list(self) -> bool:
        """True within a list of feet ("R, L, R, L in a full turn"): a turn there is the list's own."""
        drafts = self.line.drafts
        return bool(
            self.draft.is_bare and self.draft.after == "sep" and drafts and (drafts[-1].is_bare or drafts[-1].feet)
        )

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
        pivot = token.value == "pivot" or self.text[token.start : token.end].lower().startswith("pivot")
        if pivot and not self.draft.verb:
            self.draft.turn_word = "pivot"
        else:
            self.draft.turn_word = self.draft.turn_word or "turn"
        self.draft.alternatives += tuple(e.value for e in token.others if e.kind == "figure")

    def turn_follows(self, i: int) -> bool:
        """True if a turning word opens its own clause: an amount follows it or stands before it."""
        after, before = self.peek(i), self.peek(i, -1)
        if after and after.kind in ("amount", "degrees"):
            return True
        if self.tokens[i].value == "pivot":
            return True
        if after and after.kind == "side":
            j = self.tokens.index(after)
            later = self.peek(j)
            return bool(later and later.kind in ("amount", "degrees"))
        return bool(before and before.kind == "amount" and False)


def read_drafts(text: str, lexicon: Lexicon) -> Line:
    """Return the drafts of one counted line's step text."""
    return Drafter(text, lexicon).read()


__all__ = ["Draft", "Entry", "Line", "read_drafts"]
