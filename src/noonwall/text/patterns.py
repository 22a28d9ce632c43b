"""What headings, notes and facts look like: patterns of whole lines, in English and French."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise

from noonwall.text.labels import Label, read_label
from noonwall.text.lexicon import fold, lexicon_of
from noonwall.text.tokens import tokenise

ROMAN = r"(?:X{0,2}(?:IX|IV|V?I{1,3}|V)|X{1,2})"
MARKED = re.compile(
    rf"""^\W{{0,4}}(?:
      (?P<word>section|sections|sect|sec|set|block|bloc|step\sset|s)\s?[.\-:]?\s?\#?(?P<num>\d{{1,2}}|{ROMAN}|[A-H](?=\W|$))(?=[\s:.)\]\-–—,(·•|]|$)
    | (?P<roman>{ROMAN})\s?[.):\-–—]\s*(?=\S)
    | (?P<paren>\d{{1,2}})\)\s+(?=[A-Za-zÀ-ÿ])
    | \#\s?(?P<hash>\d{{1,2}})(?=[\s:.)\-–])
    | (?:part|partie)\s(?P<part>\d{{1,2}})(?=[\s:.)\-–]|$)
    | (?P<ordinal>first|second|third|fourth|fifth|sixth|seventh|eighth|premier|deuxième|troisième|quatrième)\s(?:eight|set|section|block|8|huit|bloc|partie)\b
    | (?P<letter>[A-H])[.)]\s+(?=[A-ZÀ-Ý0-9½¼])
    | (?P<ranged>\d{{1,2}})\s*[.):\-–]?\s*(?=[\[(]\d{{1,2}}\s?[-–]\s?\d{{1,2}}[\])])
    | (?P<eight>\d{{1,2}})\s?(?:er|ère|e|eme|ème|st|nd|rd|th)\s+(?:huit|8|eight|section|set|wall\ssection|bloc|partie|série|phrase)\b
    )""",
    re.VERBOSE | re.IGNORECASE,
)
PART = re.compile(
    r"^\W{0,4}(?:(?:part|partie|section|phrase|pattern)\s+(?P<a>[A-H])(?P<an>\d?)|(?P<b>[A-H])(?P<bn>\d?)\s*[:=]|(?P<w>verse|chorus|couplet|refrain)|(?P<c>[A-H])(?P<cn>\d?)(?=\s*(?:[\[(]\d|\W*$)))(?=[\s:.,)\]=\-–—(]|$)",
    re.IGNORECASE,
)
TAG = re.compile(
    r"^\W*(?:(?:(?:1st|2nd|3rd|first|second|easy|short|long|le|la|un|une|petit|the|\d[a-z]*|\d+\s?[- ]\s?(?:counts?|comptes?|temps|beats?|cts?))\s){0,2}(tag|bridge|pont|transition)s?)\b",
    re.I,
)
# a tag that does not say its name: "At the end of wall 4 add the following 4 counts:"
ADDED = re.compile(
    r"^\W*(?:at|à)\s(?:the\s|la\s)?(?:end|fin)\s(?:of|du|des)\b(?=[^:]*\b(?:walls?|murs?)\b)[^:]*\b(?:add|dance|do|ajout\w+|dans\w+|faire|fais)\b[^:]*\b(?:counts?|comptes?|temps|steps|pas|following|suivants?)\b",
    re.I,
)
ENDING = re.compile(
    r"^\W*(?:optional\s|big\s|pour\s|to\s|le\s)?(ending|finale|finish|final|fin|outro|end of (?:the )?dance|fin de (?:la )?danse)\b(?!\s?(?:of (?:the )?wall|du mur|facing|with weight|weight|pdc|appui|poids))",
    re.I,
)
# A pattern that begins with one set of characters is searched for several times faster than one that does not.
RESTART = re.compile(r"[rR](?<!\w.)(?i:e-?start(?:s|ing)?\b|edémarr|eprise\b)")
OPTION = re.compile(
    r"^\W*(?:(?:easy|easier|non.?turning|no.?turn|low.?impact|alternative|alternate|optional?|beginner)\s*(?:option|alternative|version|step|ending)?s?|options?(?:\s[^\W\d]+){0,3}(?=\s*:)|options?|variante?s?|alternatives?|or|ou|pour les débutants|plus facile)\b\s*(?:[:,(]|for\b|counts?\b|\d|pour\b|sans\b|facile\b|-|–|of\b|to\b|instead|on\b|sur\b|aux\b|au\b|is\b|non|easy|option)",
    re.I,
)
SEQUENCE = re.compile(
    r"^\W*(?:dance\s|danced\s|order of\s|ordre\s(?:de\s)?)?(?:sequence|séquence|sequencing|phrasing|order|ordre|structure|phrased|enchaînement|déroulement|routine order|pattern)\b[^:]{0,30}[:=\-–]",
    re.I,
)
REPEAT_ALL = re.compile(
    r"^\W*(?:repeat(?:\W|$)(?!.*\d)|repeat (?:the )?(?:dance|pattern|from)|(?:and )?(?:start|begin)s?(?: the)?(?: dance)?(?: over| again| from)|start again|begin again|begin dance|start dance|again\b|do it (?:all )?again|from the top|recommenc|reprendre (?:la danse|au début|du début|depuis|tout)|reprenez|on recommence|on reprend|et on recommence|répéter (?:la danse|du début|au début)|repeat$|repeat\W*$|bonne danse|amusez|enjoy|have fun|happy danc|smile|gardez|souri|au début|da capo|begin the dance)",
    re.I,
)
BEGIN_AGAIN = re.compile(
    r"\b(?:repren\w+|recommenc\w+|repart\w*|(?:start|begin) (?:again|over)|from the (?:beginning|top|start))\b",
    re.I,
)
WALL_NUMBER = re.compile(
    r"\b(?:walls?|murs?|répétition|repetition)\s*(?:n[°o]\s*)?\d|\d\s?(?:st|nd|rd|th|e|er|ème|eme|ère)\s(?:wall|mur|répétition|repetition|time)",
    re.I,
)
REPEATS = re.compile(
    r"\s*(?=[risma])(?:repeat|rpt|répét|repet|reprendre|reprise|refaire|idem|same|mirror|again|recommencer)",
    re.I,
)
COLUMNS = re.compile(
    r"^\W*(?:counts?|beats?|comptes?|temps|cts?)\s*[|/\t:;-]*\s*(?:steps?|description|pas|footwork|movements?|action|figures?)\W*(?:facing|face|mur)?\W*$",
    re.I,
)
FACT = re.compile(
    r"\b(?:choreograph\w*|choreo|chor[ée]g\w*|chor[ée]\b|music|musique|track|song|chanson|artist\w*|bpm|level|niveau|intro\w*|walls?\b\s*[:=]|counts?\s*[:=]|comptes?\s*[:=]|murs?\s*[:=]|description|start(?:s|ing)?\s(?:on|after|with|position)|départ|position|feet together|weight on|pieds (?:joints|ensemble)|poids du|contact|email|e-mail|www|http|lead in|wait|attendre|prepared by|written by|last update|copyright|source|tempo|traduc\w*|traduit|type|dance type|format|rythme|rhythm|suggested)\b",
    re.I,
)
LEGEND = re.compile(r"^\W*(?:(?:PD|PG|RF|LF|PdC|PDC|D|G|R|L|fwd|tog|WOL|WOR)\s*[=:]\s*\w+)", re.I)
WALL_FACT = re.compile(
    r"(?:\b(?:one|two|four|1|2|4|8)[\s-]*walls?\b|\b[1248]\s*murs?\b|\b(?:un|deux|quatre) murs?\b|\bwalls?\s*[:=]\s*\d)",
    re.I,
)
COUNT_FACT = re.compile(r"\b\d{2,3}\s*[-–]?\s*(?:counts?|comptes?|temps|cts|c)\b", re.I)
MARKER = re.compile(r"(\*\**|††*|‡‡*|##?#?(?!\d)|§§*|\^\^*)")
BORDER = re.compile(r"[;|.,\s](?:(?<=[;|])|(?<=\s)/\s|(?<=\s)\s+|(?<=[.,])\s)\s*(?=&?\d)")
# "1 - R heel 2 - R together": a count with a dash of its own begins the next step
DASHED = re.compile(r"\s+(?=\d{1,2}\s?[-–—:]\s+[^\W\d])")
ORDINALS = [
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "premier",
    "deuxieme",
    "troisieme",
    "quatrieme",
]
RUNNING_ON = frozenset(
    [
        "and",
        "then",
        "with",
        "while",
        "making",
        "turning",
        "stepping",
        "taking",
        "ending",
        "facing",
        "weight",
        "to",
        "as",
        "et",
        "puis",
        "en",
        "avec",
        "face",
        "pour",
        "finir",
        "poids",
        "pdc",
        "tout",
        "over",
        "for",
        "onto",
    ]
)
STEP_STARTS = frozenset(
    [
        "step",
        "rock",
        "walk",
        "cross",
        "touch",
        "side",
        "kick",
        "stomp",
        "heel",
        "toe",
        "shuffle",
        "coaster",
        "sailor",
        "jazz",
        "vine",
        "pivot",
        "turn",
        "point",
        "hold",
        "forward",
        "back",
        "behind",
        "sway",
        "poser",
        "croiser",
        "avancer",
        "reculer",
        "pas",
        "rock",
        "pointer",
        "talon",
        "assembler",
        "marcher",
        "pivoter",
        "stomp",
        "scuff",
        "pd",
        "pg",
        "pied",
        "tour",
        "triple",
        "chasse",
        "right",
        "left",
        "r",
        "l",
        "rf",
        "lf",
    ]
)


def starts_with_steps(rest: str) -> bool:
    """True if text behind a label reads like a step, whatever notes follow it."""
    words = fold(rest).split()[:3]
    return bool(words) and any(w.strip(",.:;()") in STEP_STARTS for w in words[:2])


def plausible(line: str, label: Label) -> bool:
    """Counts of a line go forward and are not too many."""
    ticks = label.ticks
    rising = all(b >= a for a, b in pairwise(ticks))
    return (rising and label.last - label.first <= 16) or label.is_range


@lru_cache(maxsize=16384)
def dance_words(text: str, language: str, sides: bool = False) -> tuple[int, int]:
    """Return how many words of a text belong to dancing, and how many nobody knows."""
    tokens = tokenise(text, lexicon_of(language))
    dance = sum(t.kind in ("move", "figure", "place", "turning", "foot", "feet", "repeat") for t in tokens)
    dance += sum(t.kind in ("side", "amount") for t in tokens) if sides else 0
    return dance, sum(t.kind == "unknown" for t in tokens)


_DIGIT = re.compile(r"\d")


def groups(label: Label, body: str) -> list[tuple[Label, int, str]]:
    """Cut "1-2 walk R, L; 3&4 shuffle" at the counts that carry on within the line."""
    if not _DIGIT.search(body):
        return [(label, 0, body)]
    pieces: list[tuple[Label, int, str]] = []
    start, held = 0, label
    dashed = {match.start(): match for match in DASHED.finditer(body)}
    borders = {match.start(): match for match in BORDER.finditer(body)}
    for at, match in sorted((dashed | borders).items()):
        inner = read_label(body[match.end() :])
        if inner is None or inner.first != held.last + 1 or match.end() <= start:
            continue
        rest = body[match.end() + inner.end :]
        strong = match.group().strip()[:1] in tuple(";|/") or len(inner.ticks) > 1 or at in dashed
        if not strong or not re.match(r"\s*[A-Za-zÀ-ÿ¼½¾(]|\s*1/", rest):
            continue
        pieces.append((held, start, body[start : match.start()]))
        held, start = inner, match.end() + inner.end
    pieces.append((held, start, body[start:]))
    return pieces


def section_name(marked: re.Match[str]) -> str:
    """Return the name a marked heading gives its section: "S1", "II", "3"."""
    if marked["roman"]:
        return marked["roman"].upper()
    if marked["ordinal"]:
        return str(ORDINALS.index(fold(marked["ordinal"])) % 8 + 1)
    for kind in ("paren", "ranged", "eight", "letter", "hash", "part"):
        if marked[kind]:
            return marked[kind]
    number = marked["num"].upper()
    if marked["word"].lower() == "s":
        return "S" + number
    return number
