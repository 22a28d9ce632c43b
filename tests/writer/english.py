"""Says steps, figures, turns and facings in English, in the manner of one style."""

from __future__ import annotations

import re
from random import Random

from .model import OTHER, Form, Step, Use
from .styles import Style

GLYPHS = {1: "⅛", 2: "¼", 3: "⅜", 4: "½", 6: "¾"}
SLASHED = {1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2", 6: "3/4"}
WORDS = {1: "eighth", 2: "quarter", 3: "three eighths", 4: "half", 6: "three quarter"}
RUNS = frozenset({"walk", "walkb", "run", "arc", "skate", "bounce"})
PLACED = {"over", "behind", "lockb", "lockf", "beside", "touch", "rockx"}
GERUND = {
    "step": "stepping",
    "cross": "crossing",
    "rock": "rocking",
    "touch": "touching",
    "tap": "tapping",
    "walk": "walking",
    "lock": "locking",
    "take": "taking",
    "big step": "stepping",
    "scuff": "scuffing",
    "hitch": "hitching",
    "stomp": "stomping",
}


def lower_words(template: str) -> str:
    """Lower-case a heading template but not its marks in braces."""
    return re.sub(
        r"\{[A-Z]\}|[^{}]+", lambda found: found[0] if found[0][0] == "{" else found[0].lower(), template
    )


def letters_together(headings: tuple[str, ...], lead: str, choice: int, letters: str = "RL") -> str:
    """Pick a heading; sides written side by side ("RRLL", "R-L-R") are always single letters."""
    text = headings[choice % len(headings)]
    first, other = (letters[0], letters[1]) if lead == "R" else (letters[1], letters[0])
    return re.sub(
        r"\{[ST]\}(?:[-]?\{[ST]\})+", lambda found: found[0].replace("{S}", first).replace("{T}", other), text
    )


class English:
    """One author's English."""

    language = "en"

    def __init__(self, style: Style) -> None:
        self.style = style

    # -- small words ------------------------------------------------------------

    def foot(self, foot: str) -> str:
        """The foot as this author writes it."""
        word = "right" if foot == "R" else "left"
        return {
            "word": word,
            "RL": foot,
            "RF": f"{foot}F",
            "Rf": f"{foot}f",
            "Rfoot": f"{foot} foot",
            "wordfoot": f"{word} foot",
            "RT": "RT" if foot == "R" else "LF",
        }[self.style.feet]

    def letter(self, foot: str) -> str:
        """The foot or side as a modifier: R heel, right heel."""
        return ("right" if foot == "R" else "left") if self.style.feet in ("word", "wordfoot") else foot

    def side(self, foot: str) -> str:
        """A direction."""
        if self.style.feet == "RT":
            return "Rt" if foot == "R" else "Lt"
        if self.style.feet in ("word", "wordfoot") or self.style.side_words == "word":
            return "right" if foot == "R" else "left"
        return foot

    def heading_side(self, foot: str) -> str:
        """A direction inside a heading."""
        if self.style.heading_side == "RIGHT":
            return "RIGHT" if foot == "R" else "LEFT"
        return foot

    def amount(self, eighths: int) -> str:
        """An amount of turn without its side."""
        size = abs(eighths)
        if size == 8:
            return "full"
        if size > 8 or size not in GLYPHS:
            return f"{size}/8" if size % 2 else f"{size // 8} {SLASHED.get(size % 8, '')}".strip()
        kind = self.style.fraction
        if kind == "degree":
            return f"{size * 45}°"
        return {
            "glyph": GLYPHS,
            "slash": SLASHED,
            "word": WORDS,
            "fraction slash": {k: v.replace("/", "⁄") for k, v in SLASHED.items()},
        }[kind][size]

    def turn_side(self, turn: int) -> str:
        """The side of a turn."""
        return self.side("R" if turn > 0 else "L")

    def turn(self, turn: int, rng: Random) -> str:
        """A noun for a turn: "¼ turn R", "¼ R"."""
        forms = (
            f"{self.amount(turn)} turn {self.turn_side(turn)}",
            f"{self.amount(turn)} turn to {self.turn_side(turn)}",
            f"{self.amount(turn)} {self.turn_side(turn)}",
        )
        return rng.choices(forms, (6, 1, 2))[0]

    def feet_list(self, feet: list[str]) -> str:
        """The feet of a triple or a walk."""
        form = self.style.feet_list
        if self.style.feet in ("word", "wordfoot"):
            return ", ".join("right" if foot == "R" else "left" for foot in feet)
        return {"R, L, R": ", ", "RLR": "", "R-L-R": "-", "R L R": " ", "R,L,R": ","}[form].join(feet)

    def forward(self) -> str:
        """The word for forward."""
        return {"fw": "FW"}.get(self.style.forward, self.style.forward)

    def counts_word(self) -> str:
        """The word for counts."""
        return "counts"

    def weight_note(self, foot: str, rng: Random) -> str:
        """A note that says where the weight is."""
        options = [f"(weight on {self.letter(foot)})", f"(weight ends on {self.letter(foot)})"]
        if self.style.feet == "RL":
            options.append(f"(WO{foot})")
        return rng.choice(options)

    # -- steps ------------------------------------------------------------

    def _complement(self, step: Step, rng: Random) -> tuple[str, str]:
        """Verb and complement of a weighted step in plain verb style."""
        other, side = self.foot(OTHER[step.foot]), self.side(step.foot)
        sides = {
            "to X side": f"to {side} side",
            "to X": f"to {side}",
            "to side": "to side",
            "X": f"to {side}",
            "side": "to the side",
        }
        beside = {
            "beside": f"beside {other}",
            "next to": f"next to {other}",
            "together": "together",
            "tog": "tog",
            "home": f"beside {other}",
        }
        over = {
            "over": f"over {other}",
            "across": f"across {other}",
            "in front of": f"in front of {other}",
            "bare": f"over {other}",
        }
        table = {
            "fwd": ("step", self.forward()),
            "back": ("step", "back"),
            "side": ("step", sides[self.style.side_form]),
            "dfwd": (
                "step",
                rng.choice((f"{self.forward()} to {side} diagonal", f"diagonally {self.forward()} {side}")),
            ),
            "dback": ("step", rng.choice((f"back to {side} diagonal", f"diagonally back {side}"))),
            "beside": ("step", beside[self.style.beside]),
            "place": ("step", "in place"),
            "ball": ("step", f"beside {other}"),
            "over": ("cross", over[self.style.over]),
            "behind": ("cross" if rng.random() < 0.6 else "step", f"behind {other}"),
            "lockb": ("lock", f"behind {other}"),
            "lockf": ("lock", rng.choice((f"in front of {other}", f"across {other}"))),
            "out": ("step", f"out to {side}"),
            "in": ("step", rng.choice(("in to centre", "back to centre"))),
            "rockf": ("rock", self.forward()),
            "rockb": ("rock", "back"),
            "rocks": ("rock", sides[self.style.side_form]),
            "rockx": ("cross rock", f"over {other}"),
            "walk": ("walk", self.forward()),
            "walkb": ("walk", "back"),
            "run": ("run", self.forward()),
            "skate": ("skate", self.forward()),
            "arc": ("walk", self.forward()),
            "bigside": ("take a big step", f"to {side} side"),
            "bigback": ("take a big step", "back"),
            "lunge": ("lunge", f"to {side} side"),
            "stomp": ("stomp", f"beside {other}"),
            "touch": (
                rng.choices(("touch", "tap"), (4, 1))[0],
                {"next to": f"next to {other}", "home": "home"}.get(self.style.beside, f"beside {other}"),
            ),
            "touchf": ("touch", self.forward()),
            "touchb": ("touch", "back"),
            "point": (
                rng.choices(("point", "touch"), (4, 1))[0],
                f"to {side} side" if self.style.side_form != "to X" else f"to {side}",
            ),
            "kick": ("kick", self.forward()),
            "kickd": ("kick", f"to {side} side"),
            "flick": ("flick", "back"),
            "scuff": ("scuff", self.forward()),
            "brush": ("brush", self.forward()),
        }
        return table[step.act]

    def _ordered(self, verb: str, foot: str, comp: str, act: str) -> str:
        """Verb, foot and complement in the author's order."""
        order = self.style.order
        if verb == "take a big step":
            return f"big step {foot} {comp}" if order != "with" else f"take a big step {comp} with {foot}"
        if order == "VCF" and act in ("fwd", "back", "rockf", "rockb", "walk", "walkb"):
            return f"{verb} {comp} on {foot}"
        if order == "with" and act in ("fwd", "back", "side", "kick"):
            return f"{verb} {comp} with {foot}"
        if order == "FV" and verb != "cross rock":
            return f"{foot} {verb} {comp}"
        if order == "F":
            return f"{foot} {comp}" if verb == "step" else f"{foot} {verb} {comp}"
        return f"{verb} {foot} {comp}"

    def _special(self, step: Step, lead: str, rng: Random) -> str | None:
        """Actions that have wordings of their own."""
        foot, other, letter, side = (
            self.foot(step.foot or lead),
            self.foot(OTHER[step.foot or lead]),
            self.letter(step.foot or lead),
            self.side(step.foot or lead),
        )
        away, fwd, note = self.side(OTHER[lead]), self.forward(), self.weight_note
        turn = self.turn(step.turn, rng) if step.turn else ""
        table: dict[str, list[str]] = {
            "hold": ["hold"],
            "clap": ["clap"],
            "heel": [f"touch {letter} heel {fwd}", f"{letter} heel {fwd}", f"tap {letter} heel {fwd}"],
            "heelx": [
                f"touch {letter} heel diagonally {fwd} {side}",
                f"{letter} heel {fwd} to {side} diagonal",
            ],
            "hitch": [f"hitch {letter} knee", f"hitch {foot}"],
            "hook": [f"hook {foot} across {self.letter(OTHER[step.foot or lead])} shin"],
            "stompup": [f"stomp {foot} beside {other} (no weight)", f"stomp up {foot} beside {other}"],
            "toef": [f"touch {letter} toe {fwd}", f"{letter} toe {fwd}"],
            "toeb": [f"touch {letter} toe back"],
            "toex": [f"cross {letter} toe over {other}", f"touch {letter} toe across {other}"],
            "toes": [f"touch {letter} toe to {side} side"],
            "drop": [f"drop {letter} heel", f"lower {letter} heel", f"drop {letter} heel taking weight"],
            "heelf": [f"touch {letter} heel {fwd}", f"{letter} heel {fwd}"],
            "dropt": [f"drop {letter} toe", f"lower {letter} toes", f"drop {letter} toe taking weight"],
            "splits": ["split heels apart", "heels apart"],
            "splitsin": [f"bring heels together {note(OTHER[lead], rng)}"],
            "fan": [f"fan {letter} toes out to {side}", f"fan {letter} toe to {side}"],
            "fanin": [f"fan {letter} toes back to centre (no weight)", f"bring {letter} toe back"],
            "swivelh": [f"swivel both heels {self.side(lead)}"],
            "swivelt": [f"swivel both toes {self.side(lead)}"],
            "bumpside": [
                f"step {foot} to {side} side bumping hips {side}",
                f"step {foot} to {side} and bump hips {side}",
            ],
            "bumpover": [f"bump hips {side} {note(step.foot, rng)}" if step.foot else ""],
            "toein": [f"touch {letter} toe to {self.letter(OTHER[step.foot or lead])} instep"],
            "heelin": [f"touch {letter} heel to {self.letter(OTHER[step.foot or lead])} instep"],
            "swayside": [
                f"step {foot} to {side} side swaying {side}",
                f"step {foot} to {side} and sway {side}",
            ],
            "sway": [f"sway {side} {note(step.foot, rng)}" if step.foot else "", f"sway onto {foot}"],
            "grind": [
                f"step {fwd} on {letter} heel and grind {note(step.foot, rng)}"
                if not step.turn
                else f"grind {letter} heel {fwd} making {turn} {note(step.foot, rng)}"
            ],
            "unwind": [f"unwind {turn} {note(step.foot, rng)}"],
            "spiral": [f"spiral full turn {self.turn_side(step.turn)} on {foot} (weight stays on {letter})"],
            "fwdsweep": [f"step {foot} {fwd} sweeping {other} from back to front"],
            "behindsweep": [f"step {foot} behind {other} sweeping {other} from front to back"]
            if step.foot
            else [""],
            "sweep": [
                f"sweep {foot} from back to front for 2 counts (no weight)",
                f"sweep {foot} slowly round to the front for 2 counts",
            ],
            "slowrockf": [f"rock {fwd} onto {foot} for two counts (slow)"],
            "slowrec": [f"rock back onto {foot} for two counts (slow)"],
            "bouncew": [f"bounce heels turning {self.turn(step.turn, rng)} {note(step.foot, rng)}"]
            if step.foot
            else [""],
        }
        if step.act in ("bump", "bumpaway"):
            return f"bump hips {self.side(lead) if step.act == 'bump' else away}"
        if step.act == "drag":
            length = " for 2 counts" if step.span > 1 else ""
            return f"drag {foot} {rng.choice(('towards', 'up to'))} {other}{length}" + (
                " (no weight)" if rng.random() < 0.5 else ""
            )
        return rng.choice(table[step.act]) if step.act in table else None

    def recover(self, foot: str) -> str:
        """The recover of a rock."""
        return {"rec": f"rec {self.foot(foot)}"}.get(
            self.style.recover, f"{self.style.recover} {self.foot(foot)}"
        )

    def pivot(self, step: Step, rng: Random) -> str:
        """The second half of a pivot turn."""
        amount, side, foot = self.amount(step.turn), self.turn_side(step.turn), self.foot(step.foot)
        forms = [
            f"pivot {amount} turn {side}",
            f"pivot {amount} {side}",
            f"turn {amount} {side}",
            f"{amount} pivot {side}",
            f"{amount} turn {side}",
        ]
        if abs(step.turn) >= 4 and rng.random() < 0.12:
            forms = [f"pivot {amount} turn over {self.letter('R' if step.turn > 0 else 'L')} shoulder"]
        text = forms[sum(self.style.turn_forms) % len(forms)] if rng.random() < 0.75 else rng.choice(forms)
        if rng.random() < max(0.25, self.style.weight_notes):
            text += rng.choice(
                (
                    f" {self.weight_note(step.foot, rng)}",
                    f" (weight to {self.letter(step.foot)})",
                    f" taking weight on {foot}",
                )
            )
        return text

    def step(self, step: Step, lead: str, rng: Random) -> str:
        """One action as a phrase without capital or stop."""
        if step.act == "pivot":
            return self.pivot(step, rng)
        if step.act == "rec":
            text = self.recover(step.foot)
            return (
                text
                if not step.turn
                else f"{text} {rng.choice(('making', 'turning'))} {self.turn(step.turn, rng)}"
            )
        special = self._special(step, lead, rng)
        if special is not None:
            return special
        verb, comp = self._complement(step, rng)
        foot = self.foot(step.foot)
        plain = self._ordered(verb, foot, comp, step.act)
        if step.act == "touch" and rng.random() < 0.06:
            plain += rng.choice((" and clap", " & clap"))
        if not step.turn:
            return plain
        return self._turned(step, verb, foot, comp, plain, rng)

    def _turned(self, step: Step, verb: str, foot: str, comp: str, plain: str, rng: Random) -> str:
        amount, side = self.amount(step.turn), self.turn_side(step.turn)
        article = (
            "a "
            if step.turn not in (8, -8)
            and rng.random() < 0.5
            and self.style.fraction in ("glyph", "slash", "word")
            else ""
        )
        gerund = f"{GERUND.get(verb, verb)} {foot} {comp}"
        base = f"{verb} {foot} {comp}"
        forms = (
            f"turn {amount} {side} {gerund}",
            f"{amount} turn {side} {gerund}",
            f"{plain} making {article}{amount} turn {side}",
            f"{plain} turning {amount} {side}",
            f"{amount} {side} {base}" if self.style.feet != "RL" else f"{amount} {side} {gerund}",
            f"turn {amount} {side} and {base}",
            f"making {article}{amount} turn {side} {base}",
            f"{plain} with {amount} turn {side}",
        )
        chosen = rng.choice(self.style.turn_forms)
        if self.style.fraction == "degree" and chosen in (4, 1):
            chosen = 0
        return forms[chosen]

    def run(self, steps: list[Step], lead: str, rng: Random) -> str | None:
        """Several like steps said at once: "walk forward R, L, R"."""
        act, feet = steps[0].act, self.feet_list([step.foot for step in steps if step.foot])
        turn = sum(step.turn for step in steps)
        if act == "bounce":
            note = self.weight_note(steps[-1].foot, rng)
            return f"bounce heels {len(steps)} times making {self.turn(turn, rng)} {note}"
        if act == "arc":
            noun = "full turn " + self.turn_side(turn) if abs(turn) == 8 else self.turn(turn, rng)
            return f"walk around {noun} stepping {feet}"
        verb = {
            "walk": f"walk {self.forward()}",
            "walkb": "walk back",
            "run": f"run {self.forward()}",
            "skate": "skate",
        }.get(act)
        return f"{verb} {feet}" if verb else None

    # -- figures ------------------------------------------------------------

    def _marks(self, use: Use, rng: Random) -> dict[str, str]:
        turn = use.form.turn if use.lead == "R" else -use.form.turn
        letter_feet = self.style.feet in ("Rfoot", "wordfoot")
        name = self.letter if letter_feet else self.foot
        feet = [step.foot for step in use.steps if step.foot and step.weight]
        return {
            "F": name(use.lead),
            "O": name(OTHER[use.lead]),
            "S": self.side(use.lead),
            "T": self.side(OTHER[use.lead]),
            "L": self.feet_list(feet),
            "A": self.amount(turn),
            "D": self.turn_side(turn),
            "Q": self.amount(2),
        }

    def name(self, use: Use, rng: Random) -> str | None:
        """The figure by its name, or None when it has to be spelled out."""
        names = use.form.english
        if not names:
            return None
        # One author keeps to one name for one figure through a sheet.
        chosen = names[(len(self.style.name) + len(use.form.key)) % len(names)]
        text = chosen.format(**self._marks(use, rng))
        return text.replace("fwd", self.forward()).replace("forward", self.forward())

    def short_name(self, form: Form) -> str:
        """What comes before the colon in "coaster step: step R back, ..."."""
        return form.heading[0].split("{")[0].strip(" ,").lower() if form.heading else ""

    def heading_name(self, use: Use, said: int | None = None, lower: bool = False) -> str:
        """The figure as a heading writes it; `said` replaces the amount of turn."""
        form = use.form
        turn = form.turn if use.lead == "R" else -form.turn
        turn = said if said is not None else turn
        text = letters_together(form.heading, use.lead, len(self.style.name) * 7 + len(form.key))
        text = lower_words(text) if lower else text
        return text.format(
            S=self.heading_side(use.lead),
            T=self.heading_side(OTHER[use.lead]),
            A=self.amount(turn).upper() if not lower else self.amount(turn),
            Q=self.amount(2),
            D=self.heading_side("R" if turn > 0 else "L"),
        )

    # -- facings ------------------------------------------------------------

    def facing(self, eighths: int, rng: Random) -> str:
        """A facing note."""
        hour = (eighths % 8) * 1.5 or 12
        digits = f"{int(hour)}:{'30' if hour % 1 else '00'}"
        form = self.style.facing
        if form == "wall":
            named = {
                12: ("facing front wall", "(front wall)", "face the front"),
                6: ("facing back wall", "(back wall)", "now facing back wall"),
                3: ("(facing 3:00)", "(3 o'clock wall)"),
                9: ("(facing 9:00)", "(9 o'clock wall)"),
            }
            return rng.choice(named[int(hour)]) if hour in named else f"(facing {digits})"
        if "o'clock" in form and not hour % 1:
            return form.replace("3", str(int(hour)))
        if "." in form:
            return form.replace("3.00", digits.replace(":", "."))
        return form.replace("3:00", digits) if "3:00" in form else f"({digits})"

    def facing_words(self, eighths: int) -> str:
        """A facing inside a sentence."""
        hour = (eighths % 8) * 1.5 or 12
        digits = f"{int(hour)}:{'30' if hour % 1 else '00'}"
        if "o'clock" in self.style.facing and not hour % 1:
            return f"{int(hour)} o'clock"
        return digits.replace(":", ".") if "." in self.style.facing else digits
