"""Says steps, figures, turns and facings in French (France and Québec), in the manner of one style."""

from __future__ import annotations

import re
from random import Random

from .english import GLYPHS, SLASHED, letters_together, lower_words
from .model import OTHER, Form, Step, Use
from .styles import Style

GERUND = {
    "poser": "en posant",
    "avancer": "en avançant",
    "reculer": "en reculant",
    "croiser": "en croisant",
    "assembler": "en assemblant",
    "ramener": "en ramenant",
    "rassembler": "en rassemblant",
}
FIGURE_HEADS = {
    "coaster": "coaster step",
    "sailor": "sailor step",
    "vine": "vine",
    "shuffle": "pas chassé",
    "chasse": "chassé",
    "jazz": "jazz box",
}


class French:
    """One author's French."""

    language = "fr"

    def __init__(self, style: Style) -> None:
        self.style = style

    # -- small words ------------------------------------------------------------

    def foot(self, foot: str) -> str:
        """The foot as this author writes it."""
        return {
            "PD": "PD" if foot == "R" else "PG",
            "D": "D" if foot == "R" else "G",
            "pied": "pied droit" if foot == "R" else "pied gauche",
        }[self.style.feet]

    def letter(self, foot: str) -> str:
        """The foot as a modifier: talon D, talon droit."""
        if self.style.feet == "pied":
            return "droit" if foot == "R" else "gauche"
        return "D" if foot == "R" else "G"

    def side(self, foot: str) -> str:
        """A direction after "à"."""
        if self.style.feet == "pied" or self.style.side_words == "word":
            return "droite" if foot == "R" else "gauche"
        return "D" if foot == "R" else "G"

    def heading_side(self, foot: str) -> str:
        """A direction inside a heading."""
        form = self.style.heading_side
        if form == "DROITE":
            return "DROITE" if foot == "R" else "GAUCHE"
        if form == "R":
            return foot
        return "D" if foot == "R" else "G"

    def amount(self, eighths: int) -> str:
        """An amount of turn without its side."""
        size = abs(eighths)
        if size == 8:
            return "tour complet"
        return (GLYPHS if self.style.fraction == "glyph" else SLASHED).get(size, f"{size}/8")

    def turn_side(self, turn: int) -> str:
        """The side of a turn."""
        return self.side("R" if turn > 0 else "L")

    def turn(self, turn: int, rng: Random) -> str:
        """A noun for a turn: "¼ de tour à D"."""
        amount, side = self.amount(turn), self.turn_side(turn)
        if abs(turn) == 8:
            return f"tour complet à {side}"
        of = "tour" if abs(turn) == 4 else rng.choices(("de tour", "tour"), (3, 1))[0]
        return rng.choices((f"{amount} {of} à {side}", f"{amount} {of} {side}"), (4, 1))[0]

    def feet_list(self, feet: list[str]) -> str:
        """The feet of a triple or a walk."""
        letters = ["D" if foot == "R" else "G" for foot in feet]
        return {"R, L, R": ", ", "RLR": "", "R-L-R": "-", "R L R": " ", "R,L,R": ","}[
            self.style.feet_list
        ].join(letters)

    def forward(self) -> str:
        """The word for forward."""
        return self.style.forward

    def back(self) -> str:
        """The word for backward, matching the word for forward."""
        return "derrière" if self.style.forward == "devant" else "arrière"

    def weight_note(self, foot: str, rng: Random) -> str:
        """A note that says where the weight is."""
        name = self.foot(foot)
        return rng.choice((f"(PdC sur {name})", f"(finir PdC sur {name})", f"(poids sur {name})"))

    def _of(self, foot: str) -> str:
        """The other foot after "à côté"."""
        name = self.foot(foot)
        return {
            "à côté du": f"à côté du {name}",
            "à côté": f"à côté {name}" if self.style.feet == "PD" else f"à côté du {name}",
            "près du": f"près du {name}",
            "bare": f"à côté du {name}",
        }[self.style.beside]

    # -- steps ------------------------------------------------------------

    def _plain(self, step: Step, rng: Random) -> tuple[str, str] | None:
        """Verb and complement of a weighted step."""
        foot, other, side = self.foot(step.foot), self.foot(OTHER[step.foot]), self.side(step.foot)
        together = (
            rng.choice(("assembler", "ramener", "rassembler")) if self.style.beside != "bare" else "assembler"
        )
        table = {
            "fwd": ("avancer", foot),
            "back": ("reculer", foot),
            "side": ("poser", f"{foot} à {side}"),
            "dfwd": ("avancer", f"{foot} en diagonale à {side}"),
            "dback": ("reculer", f"{foot} en diagonale à {side}"),
            "beside": (
                together,
                f"{foot} {self._of(OTHER[step.foot])}" if self.style.beside != "bare" else foot,
            ),
            "place": ("poser", f"{foot} sur place"),
            "ball": ("poser", f"{foot} {self._of(OTHER[step.foot])}"),
            "over": ("croiser", f"{foot} devant {other}"),
            "behind": ("croiser", f"{foot} derrière {other}"),
            "lockb": ("bloquer", f"{foot} derrière {other}"),
            "lockf": ("bloquer", f"{foot} devant {other}"),
            "out": ("poser", f"{foot} à {side} (out)"),
            "in": ("ramener", f"{foot} au centre"),
            "walk": ("avancer", foot),
            "walkb": ("reculer", foot),
            "run": ("avancer", foot),
            "arc": ("avancer", foot),
            "bigside": ("faire un grand pas", f"{foot} à {side}"),
            "bigback": ("faire un grand pas", f"{foot} {self.back()}"),
        }
        if step.act == "over" and self.style.over == "bare":
            return "croiser", f"{foot} devant"
        return table.get(step.act)

    def _noun(self, step: Step, rng: Random) -> str | None:
        """The same in noun style: "PD devant", "PG croisé derrière PD"."""
        foot, other, side = self.foot(step.foot), self.foot(OTHER[step.foot]), self.side(step.foot)
        pas = "pas " if self.style.order == "pas" and self.style.locale != "fr-CA" else ""
        table = {
            "fwd": f"{pas}{foot} {self.forward()}",
            "back": f"{pas}{foot} {self.back()}",
            "side": f"{pas}{foot} à {side}",
            "dfwd": f"{foot} avant en diagonale à {side}",
            "dback": f"{foot} arrière en diagonale à {side}",
            "beside": f"{foot} au {other}"
            if self.style.locale == "fr-CA" and self.style.feet != "D"
            else f"{foot} {self._of(OTHER[step.foot])}",
            "place": f"{foot} sur place",
            "ball": f"{foot} {self._of(OTHER[step.foot])}",
            "over": f"{foot} croisé devant {other}",
            "behind": f"{foot} croisé derrière {other}",
            "lockb": f"{foot} lock derrière {other}",
            "lockf": f"{foot} lock devant {other}",
            "out": f"{foot} à {side} (out)",
            "in": f"{foot} au centre",
            "walk": f"{pas}{foot} {self.forward()}",
            "walkb": f"{pas}{foot} {self.back()}",
            "run": f"{foot} {self.forward()}",
            "arc": f"{foot} {self.forward()}",
            "bigside": f"grand pas {foot} à {side}",
            "bigback": f"grand pas {foot} {self.back()}",
        }
        return table.get(step.act)

    def _special(self, step: Step, lead: str, rng: Random) -> str | None:
        foot, other, letter = (
            self.foot(step.foot or lead),
            self.foot(OTHER[step.foot or lead]),
            self.letter(step.foot or lead),
        )
        side, fwd, back, note = self.side(step.foot or lead), self.forward(), self.back(), self.weight_note
        turn = self.turn(step.turn, rng) if step.turn else ""
        hold = "retenue" if self.style.locale == "fr-CA" else rng.choice(("pause", "hold", "temps de pause"))
        france = self.style.locale != "fr-CA"
        step_forward = f"avancer {foot}" if self.style.order == "verb" else f"{foot} {fwd}"
        near = f"{self._of(OTHER[step.foot or lead])}"
        touch_near = f"au {other}" if self.style.locale == "fr-CA" and self.style.feet != "D" else near
        shin = f"devant la jambe {'gauche' if (step.foot or lead) == 'R' else 'droite'}"
        table: dict[str, list[str]] = {
            "hold": [hold],
            "clap": ["clap", "frapper dans les mains"]
            if self.style.locale != "fr-CA"
            else ["clap", "taper des mains"],
            "rockf": [f"rock {foot} {fwd}", f"rock step {foot} {fwd}"],
            "rockb": [f"rock {foot} {back}", f"rock step {foot} {back}"],
            "rocks": [f"rock {foot} à {side}", f"rock step {foot} à {side}"],
            "rockx": [f"cross rock {foot} devant {other}", f"rock {foot} croisé devant {other}"],
            "touch": [
                f"{rng.choice(('touch', 'toucher', 'touch') if france else ('pointer',))} {foot} {touch_near}"
            ],
            "touchf": [
                f"touch {foot} {fwd}",
                f"touch pointe {letter} {fwd}" if self.style.feet != "pied" else f"touch {foot} {fwd}",
            ],
            "touchb": [f"touch {foot} {back}"],
            "point": [
                f"pointer {foot} à {side}",
                f"pointe {letter if self.style.feet != 'pied' else side} à {side}",
            ],
            "heel": [f"talon {letter} {fwd}", f"touch talon {letter} {fwd}"],
            "heelx": [f"talon {letter} {fwd} en diagonale à {side}"],
            "kick": [f"kick {foot} {fwd}"],
            "kickd": [f"kick {foot} à {side}"],
            "hitch": [f"hitch {foot}", f"lever le genou {letter}"],
            "hook": [f"hook {foot} {shin}"],
            "flick": [f"flick {foot} {back}"],
            "scuff": [f"scuff {foot}", f"scuff {foot} {fwd}"],
            "brush": [f"brush {foot} {fwd}"],
            "stomp": [f"stomp {foot} {near} (avec PdC)", f"stomp {foot} {near}"],
            "stompup": [f"stomp up {foot} {near}", f"stomp up {foot} {near} (sans PdC)"],
            "toef": [f"pointe {self._point(letter)} {fwd}"],
            "toeb": [f"pointe {self._point(letter)} {back}"],
            "toex": [f"pointe {self._point(letter)} croisée devant {other}"],
            "toes": [f"pointe {self._point(letter)} à {side}"],
            "drop": [f"abaisser talon {letter}", f"abaisser le talon {letter}", f"poser talon {letter}"],
            "heelf": [f"talon {letter} {fwd}"],
            "dropt": [f"abaisser pointe {self._point(letter)}", f"abaisser la pointe {self._point(letter)}"],
            "splits": ["écarter les talons"],
            "splitsin": [f"ramener les talons {note(OTHER[lead], rng)}"],
            "fan": [f"pivoter pointe {self._point(letter)} à {side} (éventail)"],
            "fanin": [f"ramener pointe {self._point(letter)} au centre (sans PdC)"],
            "swivelh": [f"swivel des talons à {self.side(lead)}"],
            "swivelt": [f"swivel des pointes à {self.side(lead)}"],
            "bumpside": [f"poser {foot} à {side} avec coup de hanche à {side}"],
            "bumpover": [f"coup de hanche à {side} {note(step.foot, rng)}" if step.foot else ""],
            "bump": [f"coup de hanche à {self.side(lead)}"],
            "bumpaway": [f"coup de hanche à {self.side(OTHER[lead])}"],
            "toein": [f"pointe {self._point(letter)} contre {other} (genou vers l'intérieur)"],
            "heelin": [f"talon {letter} contre {other}"],
            "swayside": [f"poser {foot} à {side} avec sway à {side}"],
            "sway": [f"sway à {side} {note(step.foot, rng)}" if step.foot else ""],
            "grind": [
                f"heel grind talon {letter} {fwd} {note(step.foot, rng)}"
                if not step.turn
                else f"heel grind talon {letter} {fwd} en {turn} {note(step.foot, rng)}"
            ],
            "unwind": [f"unwind {turn} {note(step.foot, rng)}", f"dérouler {turn} {note(step.foot, rng)}"]
            if step.foot
            else [""],
            "spiral": [
                f"spiral tour complet à {self.turn_side(step.turn)} sur {foot} (PdC reste sur {foot})"
            ],
            "fwdsweep": [
                f"{step_forward} avec sweep {other} d'arrière en avant",
            ],
            "behindsweep": [f"croiser {foot} derrière {other} avec sweep {other} d'avant en arrière"],
            "sweep": [f"sweep {foot} d'arrière en avant sur 2 {self.counts_word()} (sans PdC)"],
            "slowrockf": [f"rock {foot} {fwd} sur 2 {self.counts_word()}"],
            "slowrec": [f"{self.recover(step.foot or lead)} sur 2 {self.counts_word()}"],
            "bouncew": [f"rebond des talons en {turn} {note(step.foot, rng)}"] if step.foot else [""],
            "skate": [f"skate {foot}", f"patiner {foot}"],
            "lunge": [f"fente {foot} à {side}"],
        }
        if step.act == "drag":
            length = f" sur 2 {self.counts_word()}" if step.span > 1 else ""
            return f"{rng.choice(('drag', 'glisser'))} {foot} vers {other}{length}" + (
                " (sans PdC)" if rng.random() < 0.5 else ""
            )
        return rng.choice(table[step.act]) if step.act in table else None

    def _point(self, letter: str) -> str:
        """ "pointe" is feminine: pointe droite, pointe D."""
        return {"droit": "droite"}.get(letter, letter)

    def counts_word(self) -> str:
        """Counts are "temps" in Québec."""
        return "temps" if self.style.locale == "fr-CA" else "comptes"

    def recover(self, foot: str) -> str:
        """The recover of a rock."""
        return f"{self.style.recover} {self.foot(foot)}"

    def pivot(self, step: Step, rng: Random) -> str:
        """The second half of a pivot turn."""
        turn = self.turn(step.turn, rng)
        forms = (f"pivoter {turn}", f"pivot {turn}", turn, f"pivoter {turn}", f"faire {turn}")
        text = forms[sum(self.style.turn_forms) % 5]
        if rng.random() < max(0.3, self.style.weight_notes):
            text += f" {self.weight_note(step.foot, rng)}"
        return text

    def step(self, step: Step, lead: str, rng: Random) -> str:
        """One action as a phrase without capital or stop."""
        if step.act == "pivot":
            return self.pivot(step, rng)
        if step.act == "rec":
            text = self.recover(step.foot)
            return text if not step.turn else f"{text} en {self.turn(step.turn, rng)}"
        special = self._special(step, lead, rng)
        if special is not None:
            return special
        plain = self._plain(step, rng)
        noun = self._noun(step, rng)
        assert plain is not None and noun is not None, step.act
        said = " ".join(plain) if self.style.order == "verb" else noun
        if self.style.order == "verb" and plain[0] == "faire un grand pas":
            said = noun
        return self._turned(step, plain, noun, said, rng) if step.turn else said

    def _turned(self, step: Step, plain: tuple[str, str], noun: str, said: str, rng: Random) -> str:
        turn = self.turn(step.turn, rng)
        verb, rest = plain
        gerund = f"{GERUND.get(verb, 'en posant')} {rest}"
        forms = (
            f"{turn} {gerund}",
            f"{turn} et {said}",
            f"faire {turn} {gerund}",
            f"{said} en {turn}",
            f"{said} avec {turn}",
            f"pivoter {turn} et {said}",
            f"{said} en faisant {turn}",
            f"{turn} {gerund}",
        )
        return forms[rng.choice(self.style.turn_forms)]

    def run(self, steps: list[Step], lead: str, rng: Random) -> str | None:
        """Several like steps said at once: "marche avant D, G, D"."""
        act, feet = steps[0].act, self.feet_list([step.foot for step in steps if step.foot])
        turn = sum(step.turn for step in steps)
        if act == "bounce":
            note = self.weight_note(steps[-1].foot, rng)
            return f"{len(steps)} rebonds des talons en {self.turn(turn, rng)} {note}"
        if act == "arc":
            return f"marcher en cercle {feet} en {self.turn(turn, rng)}"
        verb = {
            "walk": rng.choice(("marche avant", "marcher devant")),
            "walkb": rng.choice(("marche arrière", "marcher en arrière")),
            "run": "courir devant",
            "skate": "skate",
        }.get(act)
        return f"{verb} {feet}" if verb else None

    # -- figures ------------------------------------------------------------

    def _marks(self, use: Use, rng: Random) -> dict[str, str]:
        turn = use.form.turn if use.lead == "R" else -use.form.turn
        feet = [step.foot for step in use.steps if step.foot and step.weight]
        return {
            "F": self.foot(use.lead),
            "O": self.foot(OTHER[use.lead]),
            "S": self.side(use.lead),
            "T": self.side(OTHER[use.lead]),
            "L": self.feet_list(feet),
            "A": self.amount(turn),
            "D": self.turn_side(turn),
            "Q": self.amount(2),
        }

    def name(self, use: Use, rng: Random) -> str | None:
        """The figure by its name, or None when it has to be spelled out."""
        names = use.form.french
        if not names:
            return None
        text = names[(len(self.style.name) + len(use.form.key)) % len(names)].format(**self._marks(use, rng))
        if self.style.feet == "pied":
            text = text.replace("à côté pied", "à côté du pied")
        return text

    def short_name(self, form: Form) -> str:
        """What comes before the colon in "coaster step : reculer PD, ..."."""
        return form.heading[0].split("{")[0].strip(" ,").lower() if form.heading else ""

    def heading_name(self, use: Use, said: int | None = None, lower: bool = False) -> str:
        """The figure as a heading writes it, mostly in English even in France; `said` replaces the turn."""
        form = use.form
        turn = form.turn if use.lead == "R" else -form.turn
        turn = said if said is not None else turn
        letters = "RL" if self.style.heading_side == "R" else "DG"
        text = letters_together(form.heading, use.lead, len(self.style.name) * 7 + len(form.key), letters)
        if text.startswith("{S} ") and self.style.heading_side != "R":
            text = f"{text[4:]} {{S}}"
        text = text.replace("WEAVE TO ", "WEAVE À ")
        text = (
            re.sub(r"\{A\} TURN\b", "{A} DE TOUR" if abs(turn) != 4 else "{A} TOUR", text)
            if self.style.heading_names == "french"
            else text
        )
        text = lower_words(text) if lower else text
        return text.format(
            S=self.heading_side(use.lead),
            T=self.heading_side(OTHER[use.lead]),
            A=(self.amount(turn) if abs(turn) != 8 else "FULL"),
            Q=self.amount(2),
            D=self.heading_side("R" if turn > 0 else "L"),
        )

    # -- facings ------------------------------------------------------------

    def facing(self, eighths: int, rng: Random) -> str:
        """A facing note."""
        hour = (eighths % 8) * 1.5 or 12
        whole, minutes = int(hour), "30" if hour % 1 else "00"
        bare = f"{whole}h" if minutes == "00" else f"{whole}h{minutes}"
        form = self.style.facing
        if form == "15h00":
            return f"{whole + 12 if whole != 12 else 12}h{minutes}"
        if form == "midi":
            return "face à midi" if whole == 12 and minutes == "00" else f"face à {bare}"
        if "3h" in form:
            return form.replace("3h", bare)
        return form.replace("3:00", f"{whole}:{minutes}")

    def facing_words(self, eighths: int) -> str:
        """A facing inside a sentence."""
        hour = (eighths % 8) * 1.5 or 12
        whole, minutes = int(hour), "30" if hour % 1 else "00"
        if "h" in self.style.facing or self.style.facing == "midi":
            return f"{whole}h" if minutes == "00" else f"{whole}h{minutes}"
        return f"{whole}:{minutes}"
