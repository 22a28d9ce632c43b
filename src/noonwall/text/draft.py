"""A draft is what one clause of a step text says, word by word, before anyone asks which foot is free."""

from __future__ import annotations

from dataclasses import dataclass, field

# "step R *over L*": after these places a second foot is only named for reference
REFERRING = frozenset({"cross", "behind", "together", "lock-behind", "lock-front", "fwd", "back"})
BESIDE = frozenset({"cross", "behind", "together", "lock-behind", "lock-front"})
DIRECTIONS = frozenset({"side", "diag", "diag-fwd", "diag-back"})
ON_WORDS = frozenset(
    {
        "on ball of",
        "on balls of",
        "on the ball of",
        "on the balls of",
        "on",
        "onto",
        "sur",
        "on the",
        "sur la",
        "sur le",
    }
)
# gestures that colour a step ("stepping R, sweeping L") and take no count of their own
COLOURING = frozenset(
    [
        "sweep",
        "hitch",
        "drag",
        "kick",
        "flick",
        "hook",
        "swivel",
        "bump",
        "sway",
        "clap",
        "snap",
        "slap",
        "body-roll",
        "hip-roll",
        "shimmy",
        "bounce",
        "lift",
        "knee-pop",
        "drop",
        "split",
        "brush",
        "swing",
        "point",
        "touch",
        "twist",
        "fan",
        "grind",
    ]
)
# travelling figures of three steps and one more action: "vine right with a touch" tells the fourth
ENDED_OTHERWISE = frozenset(["vine", "weave", "rolling-vine", "jazz-box"])
ENDINGS = frozenset(
    ["touch", "scuff", "brush", "hitch", "kick", "hook", "flick", "point", "tap", "stomp", "stomp-up"]
)
ABBREVIATIONS = frozenset(
    [
        "fwd",
        "fw",
        "bwd",
        "bk",
        "diag",
        "av",
        "avt",
        "arr",
        "ar",
        "dev",
        "derr",
        "der",
        "tog",
        "rec",
        "recov",
        "t",
        "ft",
        "opt",
        "pos",
        "wt",
        "crois",
        "cr",
        "ass",
        "tch",
        "pt",
        "bal",
        "stp",
        "sd",
        "beh",
        "ct",
        "cts",
        "pdc",
        "rt",
        "lt",
        "trn",
    ]
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
    named: bool = False  # stands right before a colon: a name for what follows
    counted: bool = False  # "two walks R-L": the number counts the feet that are listed
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
    named_until: int = 0  # drafts before this index stand before a colon: a name for what follows
