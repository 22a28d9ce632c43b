"""An invented dance written by hand with model objects, and the page data made from it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from noonwall.dance.model import Dance, Figure, Foot, Part, Restart, Section, Step, Tag
from noonwall.dance.turns import clock
from noonwall.figures import ticks_of
from noonwall.findings import Place, Severity
from noonwall.floor import dance_part, dance_run, opening_stance
from noonwall.outputs.film import Wording, film_of_part, film_of_run
from noonwall.outputs.page_data import Fact, NotUnderstood, PageData, PageFinding

SHEET = """\
HARBOUR LIGHTS SHUFFLE
Written for the Tuesday class of Harbour Hall
32 count, 4 wall, beginner
Music: Lamps on the Water, 112 bpm. Start after 16 counts

Section 1: Side, together, shuffle forward, side, together, shuffle back
1-2 Step right to right side, step left next to right
3&4 Shuffle forward right, left, right
5-6 Step left to left side, step right next to left
7&8 Shuffle back left, right, left

Section 2: Rock back, kick ball change, step, pivot 1/2, heel, hook
1-2 Rock back on right, recover on left
3&4 Right kick ball change
5-6 Step forward right, pivot 1/2 turn left (6:00)
7-8 Right heel forward, hook right over left, grin at the lighthouse

Section 3: Vine right with touch, vine left with 1/4 turn left
1-4 Side right, left behind, side right, touch left
5-8 Side left, right behind, 1/4 left stepping left (9:00), touch right

Section 4: Jazz box, out out, in in, heel bounces
1-4 Cross right over left, step back left, side right, step left together
&5&6 Out right, out left, in right, in left
7-8 Bounce both heels twice

Restart: on wall 3 after 16 counts, facing 12:00
Tag: after wall 4, sway right, left, right, left"""

# label, heading, [(figure id, line, count of its first step from 0, tick pattern, steps)]
# A step is FOOT MOVE PLACE TURN, "+" before the move where it takes weight.
SECTIONS = [
    (
        "1",
        "Side, together, shuffle forward and back",
        [
            ("side-together", 7, 0, "12", ["R +step side 0", "L +step together 0"]),
            ("shuffle", 8, 2, "1&2", ["R +step fwd 0", "L +ball lock-behind 0", "R +step fwd 0"]),
            ("side-together", 9, 4, "12", ["L +step side 0", "R +step together 0"]),
            ("shuffle", 10, 6, "1&2", ["L +step back 0", "R +ball lock-front 0", "L +step back 0"]),
        ],
    ),
    (
        "2",
        "Rock, kick ball change, pivot, heel and hook",
        [
            ("rock", 13, 0, "12", ["R +rock back 0", "L +recover place 0"]),
            ("kick-ball-change", 14, 2, "1&2", ["R kick fwd 0", "R +ball together 0", "L +step place 0"]),
            ("pivot-half", 15, 4, "12", ["R +step fwd 0", "L +pivot place -4"]),
            ("heel-hook", 16, 6, "12", ["R heel fwd 0", "R hook cross 0"]),
        ],
    ),
    (
        "3",
        "Vine right, vine left with a quarter",
        [
            (
                "vine",
                19,
                0,
                "1234",
                ["R +step side 0", "L +step behind 0", "R +step side 0", "L touch together 0"],
            ),
            (
                "vine",
                20,
                4,
                "1234",
                ["L +step side 0", "R +step behind 0", "L +step fwd -2", "R touch together 0"],
            ),
        ],
    ),
    (
        "4",
        "Jazz box, out out, in in, heels",
        [
            (
                "jazz-box",
                23,
                0,
                "1234",
                ["R +step cross 0", "L +step back 0", "R +step side 0", "L +step together 0"],
            ),
            ("out-in", 24, 4, "&1&2", ["R +step out 0", "L +step out 0", "R +step in 0", "L +step in 0"]),
            ("bounce", 25, 6, "12", ["B bounce place 0", "B bounce place 0"]),
        ],
    ),
]
TAG = [
    (
        "Tag",
        "Tag",
        [
            (
                "sway",
                28,
                0,
                "1234",
                ["R +sway side 0", "L +sway place 0", "R +sway place 0", "L +sway place 0"],
            )
        ],
    )
]

SAID = {
    "en": {
        "feet": {"L": "left", "R": "right", "B": "both"},
        "moves": {},
        "to": {"fwd": "forward", "lock-behind": "locking behind", "lock-front": "locking in front"},
    },
    "fr": {
        "feet": {"L": "gauche", "R": "droit", "B": "deux pieds"},
        "moves": {"step": "pas", "touch": "touche", "heel": "talon", "rock": "rock", "recover": "retour"},
        "to": {
            "fwd": "devant", "side": "côté", "back": "arrière", "together": "assemblé", "behind": "derrière",
            "cross": "croisé", "place": "sur place", "out": "écarté", "in": "resserré",
            "lock-behind": "bloqué derrière", "lock-front": "bloqué devant",
        },
    },
}  # fmt: skip


def _step(text: str, at: Fraction) -> Step:
    foot, move, to, turn = text.split()
    return Step(at, move.lstrip("+"), Foot(foot), move.startswith("+"), to, int(turn))


def _section(number: int, entry: tuple, counts: int) -> Section:  # type: ignore[type-arg]
    label, heading, figures = entry
    start = Fraction(8 * number)
    made = []
    for name, line, at, pattern, steps in figures:
        first = start + at
        danced = tuple(_step(s, first + tick) for s, tick in zip(steps, ticks_of(pattern), strict=True))
        made.append(Figure(name, first, Fraction(len(steps)), danced, danced[0].foot, Place(line)))
    return Section(label, start, Fraction(counts), tuple(made), heading)


def harbour_lights() -> Dance:
    """The dance: 32 counts, 4 walls, a restart on wall 3 and a tag after wall 4."""
    sections = tuple(_section(number, entry, 8) for number, entry in enumerate(SECTIONS))
    main = Part("Main", "main", Fraction(32), sections)
    tag = Part("Tag", "tag", Fraction(4), (_section(0, TAG[0], 4),))
    return Dance(
        "Harbour Lights Shuffle",
        (main, tag),
        ("Main",),
        bpm=112,
        restarts=(Restart(3, Fraction(16)),),
        tags=(Tag(4, Fraction(32), "Tag"),),
    )


@dataclass(frozen=True)
class Speaker:
    """Stands in for the pipeline's wording: plain words, enough for a page."""

    language: str

    def step(self, step: Step) -> str:
        said = SAID[self.language]
        foot = said["feet"].get(step.foot.value, "") if step.foot else ""
        words = [foot, said["moves"].get(step.move, step.move), said["to"].get(step.to, step.to)]
        sentence = " ".join(word for word in words if word)
        return sentence[:1].upper() + sentence[1:]

    def figure(self, figure: Figure) -> str:
        return figure.id.replace("-", " ").capitalize()


def page_data(language: str = "en", title: str = "Harbour Lights Shuffle") -> PageData:
    """The page data of the dance, with one remark of every kind."""
    dance = harbour_lights()
    wording = Wording(Speaker(language).step, Speaker(language).figure, language)
    film = film_of_part(dance.main, dance_part(dance.main, opening_stance(Foot.RIGHT)), wording)
    run = film_of_run(dance, dance_run(dance, 5), wording)
    lines = tuple(SHEET.splitlines())
    return PageData(
        title,
        FACTS[language],
        lines,
        (film, run),
        _findings(lines, language),
        (NotUnderstood(16, _column(lines, 16, "grin"), len(lines[15]) + 1, HINT[language]),),
        112.0,
        subtitle=SUBTITLE[language],
    )


def _column(lines: tuple[str, ...], line: int, words: str) -> int:
    return lines[line - 1].index(words) + 1


def _findings(lines: tuple[str, ...], language: str) -> tuple[PageFinding, ...]:
    wrong, doubtful, advice = MESSAGES[language]
    at = _column(lines, 20, "(9:00)")
    return (
        PageFinding(Severity.WRONG, wrong.format(facing=clock(2)), "(3:00)", 20, at, at + 6, step=26),
        PageFinding(Severity.DOUBTFUL, doubtful, "", 24, 1, 5, step=32),
        PageFinding(Severity.ADVICE, advice, "", 0),
    )


SUBTITLE = {"en": "For the Tuesday class of Harbour Hall", "fr": "Pour la classe du mardi de Harbour Hall"}
HINT = {"en": "Nearest known: grind, heel grind", "fr": "Au plus proche : grind, heel grind"}
MESSAGES = {
    "en": (
        "The sheet says 9:00 here, but the floor shows {facing}: ½ and ¼ to the left make ¾.",
        "Four steps stand on two counts; the sheet may mean 5&6& instead.",
        "The section headings leave out the counts; a class reads 1-8 faster.",
    ),
    "fr": (
        "La fiche dit 9:00 ici, mais la piste montre {facing} : ½ et ¼ à gauche font ¾.",
        "Quatre pas tiennent sur deux comptes ; la fiche veut peut-être dire 5&6&.",
        "Les titres des sections omettent les comptes ; une classe lit plus vite 1-8.",
    ),
}
FACTS = {
    "en": (
        Fact("Counts", "32"),
        Fact("Walls", "4", "turns ¾ left on each wall"),
        Fact("Level", "Beginner"),
        Fact("Starts on", "Right foot"),
        Fact("Ends ready for", "Right foot"),
        Fact("Tempo", "112 bpm"),
        Fact("Intro", "16 counts"),
        Fact("Restart", "Wall 3, after 16"),
        Fact("Tag", "After wall 4, 4 counts"),
    ),
    "fr": (
        Fact("Comptes", "32"),
        Fact("Murs", "4", "tourne de ¾ à gauche à chaque mur"),
        Fact("Niveau", "Débutant"),
        Fact("Commence du", "Pied droit"),
        Fact("Finit prêt pour le", "Pied droit"),
        Fact("Tempo", "112 bpm"),
        Fact("Introduction", "16 comptes"),
        Fact("Restart", "Mur 3, après 16"),
        Fact("Tag", "Après le mur 4, 4 comptes"),
    ),
}
