"""Author styles: named presets over traits whose shares follow a count of how real authors write.

The shares come from the project's survey of 118 sheets (label styles, headings, feet, turns, facings);
where the survey gives no figure, common practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random


@dataclass(frozen=True, slots=True)
class Style:
    """Everything that one author does in one sheet."""

    name: str
    language: str
    locale: str
    pair: str
    amp: str
    long: str
    range_join: str
    group: str
    running: bool
    after_label: str
    inline: bool
    table: bool
    heading: str
    heading_names: str
    heading_side: str
    feet: str
    side_words: str
    order: str
    forward: str
    beside: str
    over: str
    recover: str
    side_form: str
    feet_list: str
    detail: str
    fraction: str
    turn_forms: tuple[int, ...]
    facing: str
    facing_policy: str
    weight_notes: float
    separator: str
    case: str
    header: str
    repeat: bool
    twice: str
    restart_place: str
    legend: bool
    comments: bool
    closing: str
    asterisk: bool
    spacing: bool


_COMMON: dict[str, list[tuple[object, float]]] = {
    "pair": [("-", 40), (",", 12), (", ", 5), (" ", 4), (" – ", 3), ("–", 3), (" - ", 3), ("--", 1)],
    "amp": [("&", 60), (" & ", 8)],
    "long": [("range", 70), ("chain", 15)],
    "range_join": [("-", 80), ("–", 5), (" - ", 5)],
    "group": [("pairs", 45), ("figure", 22), ("fours", 16), ("each", 9)],
    "running": [(False, 74), (True, 26)],
    "after_label": [
        ("\t", 20),
        (" ", 30),
        ("  ", 10),
        ("   ", 10),
        (": ", 12),
        (". ", 6),
        (") ", 2),
        (" - ", 4),
        ("", 2),
    ],
    "inline": [(False, 95), (True, 4)],
    "table": [(False, 97), (True, 3)],
    "case": [("each", 35), ("first", 35), ("lower", 18), ("upper", 3)],
    "separator": [(", ", 92), ("; ", 3), (" / ", 2), (". ", 3)],
    "repeat": [(True, 50), (False, 50)],
    "weight_notes": [(0.0, 50), (0.3, 25), (0.9, 25)],
    "legend": [(False, 85), (True, 15)],
    "comments": [(True, 40), (False, 60)],
    "restart_place": [("body", 40), ("header", 15), ("foot", 20), ("both", 25)],
    "header": [
        ("fields", 30),
        ("fields_one_line", 22),
        ("short", 14),
        ("dash", 14),
        ("prose", 8),
        ("lower_fields", 12),
    ],
    "asterisk": [(False, 75), (True, 25)],
    "spacing": [(True, 80), (False, 20)],
    "facing_policy": [
        ("turn_lines", 32),
        ("section", 20),
        ("section_turn", 18),
        ("every_line", 4),
        ("none", 26),
    ],
}

_ENGLISH: dict[str, list[tuple[object, float]]] = {
    "heading": [
        ("caps", 42),
        ("[1-8]", 10),
        ("[1-8]same", 3),
        ("S1", 5),
        ("S1:", 5),
        ("Section 1:", 4),
        ("SEC 1 :", 3),
        ("SECT 1.", 1),
        ("S.1", 1),
        ("SECTION II", 1),
        ("roman", 4),
        ("lower", 9),
        ("range", 1),
        ("1)", 1),
        ("none", 4),
    ],
    "heading_names": [("yes", 80), ("no", 20)],
    "heading_side": [("RL", 70), ("RIGHT", 30)],
    "feet": [("word", 51), ("RL", 26), ("RF", 11), ("Rf", 3), ("Rfoot", 4), ("wordfoot", 8), ("RT", 1)],
    "side_words": [("same", 70), ("word", 30)],
    "order": [("VF", 55), ("VCF", 15), ("FV", 12), ("F", 10), ("with", 3)],
    "forward": [("forward", 55), ("fwd", 40), ("fw", 2), ("forw", 1)],
    "beside": [("beside", 50), ("next to", 20), ("together", 15), ("tog", 5), ("home", 3)],
    "over": [("over", 50), ("across", 20), ("in front of", 15), ("bare", 15)],
    "recover": [
        ("recover on", 30),
        ("recover", 20),
        ("recover weight on", 15),
        ("replace", 8),
        ("recover onto", 15),
        ("rec", 3),
        ("return weight to", 6),
    ],
    "side_form": [("to X side", 45), ("to X", 20), ("to side", 15), ("X", 5), ("side", 15)],
    "feet_list": [("R, L, R", 40), ("RLR", 25), ("R-L-R", 15), ("R L R", 10), ("R,L,R", 8)],
    "detail": [("spelled", 42), ("named", 12), ("both", 14), ("mixed", 32)],
    "fraction": [("glyph", 66), ("slash", 26), ("word", 3), ("fraction slash", 2), ("degree", 2)],
    "facing": [
        ("(3:00)", 34),
        ("3:00", 12),
        ("(3.00)", 8),
        ("3 o'clock", 8),
        ("(3 o'clock)", 6),
        ("[3:00]", 4),
        ("wall", 6),
        ("facing 3:00", 8),
        ("3.00", 2),
    ],
    "twice": [("x2", 30), ("(x2)", 20), ("X2", 15), ("twice", 25), ("x 2", 10)],
    "closing": [
        ("REPEAT", 25),
        ("Repeat", 5),
        ("Start again", 10),
        ("Begin again", 8),
        ("Repeat and enjoy!", 6),
        ("Start over on the next wall", 4),
        ("", 40),
    ],
}

_FRENCH: dict[str, list[tuple[object, float]]] = {
    "heading": [
        ("caps", 10),
        ("[1-8]", 30),
        ("[1-8]same", 8),
        ("S1:", 6),
        ("Section 1:", 16),
        ("SEC 1 :", 10),
        ("SECT 1.", 3),
        ("lower", 10),
        ("range", 8),
        ("none", 2),
    ],
    "heading_names": [("english", 75), ("french", 10), ("no", 15)],
    "heading_side": [("D", 55), ("R", 30), ("DROITE", 15)],
    "feet": [("PD", 78), ("D", 8), ("pied", 14)],
    "side_words": [("same", 70), ("word", 30)],
    "order": [("verb", 65), ("noun", 25), ("pas", 10)],
    "forward": [("devant", 55), ("avant", 45)],
    "beside": [("à côté du", 45), ("à côté", 15), ("près du", 12), ("bare", 28)],
    "over": [("devant", 85), ("par-dessus", 5), ("bare", 10)],
    "recover": [
        ("revenir sur", 35),
        ("retour sur", 20),
        ("revenir PdC sur", 15),
        ("remettre le PdC sur", 8),
        ("retour PdC sur", 12),
        ("retour", 10),
    ],
    "side_form": [("à D", 90), ("côté D", 10)],
    "feet_list": [("R, L, R", 45), ("RLR", 30), ("R-L-R", 15), ("R,L,R", 10)],
    "detail": [("spelled", 45), ("named", 10), ("both", 15), ("mixed", 30)],
    "fraction": [("glyph", 61), ("slash", 39)],
    "facing": [
        ("3:00", 20),
        ("(3:00)", 25),
        ("3h", 20),
        ("(3h)", 20),
        ("15h00", 6),
        ("face à 3h", 9),
        ("midi", 6),
    ],
    "twice": [("x2", 40), ("(x2)", 25), ("X2", 10), ("deux fois", 15), ("2 fois", 10)],
    "closing": [
        ("RECOMMENCEZ", 12),
        ("Recommencez au début", 15),
        ("Reprendre au début", 12),
        ("Recommencer au début et garder le sourire", 8),
        ("REPRENDRE LA DANSE", 6),
        ("Bonne danse !", 8),
        ("", 39),
    ],
}

#: Presets fix the loudest habits of an author; all other traits are drawn from the shares above.
ENGLISH_PRESETS: dict[str, dict[str, object]] = {
    "caps headings": {"heading": "caps", "amp": "&", "pair": "-", "group": "pairs"},
    "caps headings, words": {"heading": "caps", "feet": "word", "group": "figure", "detail": "spelled"},
    "per count, 1990s": {
        "group": "each",
        "running": True,
        "heading": "caps",
        "feet": "word",
        "after_label": ".\t",
        "facing_policy": "none",
        "order": "with",
    },
    "per count, table": {
        "group": "each",
        "running": True,
        "table": True,
        "feet": "RF",
        "after_label": "\t",
        "order": "with",
        "detail": "spelled",
    },
    "per count, plain": {
        "group": "each",
        "running": False,
        "feet": "word",
        "heading": "lower",
        "facing_policy": "section_turn",
    },
    "brackets": {"heading": "[1-8]", "feet": "RL", "forward": "fwd", "facing": "(3:00)"},
    "brackets, figure names only": {
        "heading": "[1-8]",
        "heading_names": "no",
        "detail": "named",
        "feet": "RL",
        "group": "figure",
    },
    "brackets repeated": {"heading": "[1-8]same", "running": False, "detail": "both"},
    "S1 colon": {"heading": "S1:", "feet": "RL", "detail": "mixed", "facing_policy": "section"},
    "S1 bare": {"heading": "S1", "group": "fours", "long": "range", "feet": "RL"},
    "Section words": {"heading": "Section 1:", "feet": "wordfoot", "detail": "spelled"},
    "SEC French-like spacing": {"heading": "SEC 1 :", "amp": " & ", "pair": " - ", "feet": "RF"},
    "Roman": {"heading": "roman", "feet": "RF", "pair": ",", "facing": "(3 o'clock)"},
    "Roman S": {"heading": "SI roman", "feet": "word", "pair": "-"},
    "running pairs": {"running": True, "heading": "caps", "pair": "-", "group": "pairs"},
    "running fours": {"running": True, "heading": "caps", "group": "fours", "feet": "word", "case": "first"},
    "running under range heads": {"running": True, "heading": "[1-8]", "feet": "word"},
    "commas": {"pair": ",", "amp": "&", "feet": "word", "heading": "caps"},
    "comma spaces": {"pair": ", ", "feet": "RL", "after_label": "   "},
    "spaces": {"pair": " ", "amp": " & ", "long": "chain", "after_label": "\t", "feet": "RL"},
    "chains": {"long": "chain", "pair": "-", "group": "fours", "feet": "word"},
    "en dashes": {"pair": " – ", "range_join": " – ", "heading": "S1:", "feet": "wordfoot"},
    "double hyphens": {"pair": "--", "range_join": "--", "heading": "caps", "feet": "Rfoot"},
    "glued labels": {"after_label": "", "pair": "-", "feet": "RL", "case": "each"},
    "inline numbers": {
        "inline": True,
        "group": "figure",
        "feet": "RL",
        "detail": "spelled",
        "heading": "Section 1:",
    },
    "inline numbers, words": {
        "inline": True,
        "group": "fours",
        "feet": "word",
        "detail": "spelled",
        "heading": "caps",
    },
    "RF LF": {"feet": "RF", "order": "VF", "forward": "forward", "heading": "S1:"},
    "foot first": {"feet": "RF", "order": "F", "heading": "[1-8]"},
    "foot first, letters": {"feet": "RL", "order": "FV", "forward": "fwd", "heading": "caps"},
    "Rf": {"feet": "Rf", "order": "VF", "heading": "lower"},
    "R foot": {"feet": "Rfoot", "order": "FV", "heading": "lower"},
    "RT and Rt": {"feet": "RT", "order": "VF", "heading": "caps", "forward": "fwd"},
    "on the foot": {"order": "VCF", "feet": "word", "forward": "forward", "recover": "recover onto"},
    "degrees": {"fraction": "degree", "feet": "word", "group": "pairs", "heading": "caps"},
    "word fractions": {"fraction": "word", "feet": "word", "heading": "lower", "facing": "wall"},
    "fraction slash": {"fraction": "fraction slash", "heading": "Section 1:"},
    "headless": {"heading": "none", "running": True, "feet": "RL"},
    "one) two)": {"heading": "1)", "feet": "word"},
    "bare range": {"heading": "range", "heading_names": "no", "feet": "RL", "running": False},
    "name then steps": {"detail": "both", "group": "figure", "feet": "RL", "heading": "[1-8]"},
    "names only, caps heads": {
        "detail": "named",
        "heading": "caps",
        "feet": "word",
        "group": "figure",
        "facing": "(3:00)",
    },
    "all capitals": {"case": "upper", "heading": "caps", "feet": "RL"},
    "slashes": {"separator": " / ", "feet": "RL", "forward": "fwd", "group": "fours"},
    "weight careful": {"weight_notes": 0.9, "feet": "word", "recover": "recover weight on"},
    "waltz tight": {"long": "tight", "feet": "RL", "heading": "caps"},
    "chatty": {
        "comments": True,
        "feet": "word",
        "facing": "wall",
        "header": "prose",
        "closing": "Repeat and enjoy!",
    },
}

FRENCH_PRESETS: dict[str, dict[str, object]] = {
    "crochets": {"heading": "[1-8]", "feet": "PD", "group": "pairs", "amp": "&"},
    "crochets, noms anglais": {
        "heading": "[1-8]",
        "heading_names": "english",
        "detail": "mixed",
        "heading_side": "D",
    },
    "crochets répétés": {"heading": "[1-8]same", "running": False, "order": "noun"},
    "sections": {"heading": "Section 1:", "order": "verb", "facing": "(3:00)"},
    "SEC": {"heading": "SEC 1 :", "pair": " - ", "amp": " & "},
    "S1": {"heading": "S1:", "order": "noun", "feet": "PD"},
    "plage nue": {"heading": "range", "heading_names": "no", "running": False},
    "capitales": {"heading": "caps", "heading_side": "R", "pair": "-"},
    "par temps": {"group": "each", "order": "verb", "feet": "PD", "running": False},
    "quatre par ligne": {"group": "fours", "long": "range"},
    "noms seuls": {"detail": "named", "group": "figure", "heading": "[1-8]", "heading_names": "no"},
    "nom et pas": {"detail": "both", "group": "figure"},
    "pied droit": {"feet": "pied", "order": "verb"},
    "D et G": {"feet": "D", "order": "verb", "heading": "[1-8]"},
    "heures": {"facing": "15h00", "facing_policy": "turn_lines"},
    "face à": {"facing": "face à 3h", "facing_policy": "section_turn"},
    "midi": {"facing": "midi", "facing_policy": "turn_lines"},
    "espaces": {"pair": " ", "amp": " & ", "long": "chain"},
    "tirets": {"pair": " – ", "range_join": " – "},
    "poids du corps": {"weight_notes": 0.9, "recover": "revenir PdC sur"},
    "Québec plus": {
        "locale": "fr-CA",
        "separator": " + ",
        "feet": "pied",
        "order": "pas",
        "range_join": " à ",
        "heading": "Section 1:",
    },
    "Québec et": {
        "locale": "fr-CA",
        "pair": " et ",
        "range_join": " à ",
        "long": "range",
        "feet": "PD",
        "order": "pas",
        "detail": "spelled",
    },
    "Québec": {"locale": "fr-CA", "feet": "PD", "order": "pas", "heading": "[1-8]"},
    "Québec, pied": {"locale": "fr-CA", "feet": "pied", "order": "noun", "heading": "lower"},
}


def _draw(rng: Random, table: dict[str, list[tuple[object, float]]]) -> dict[str, object]:
    return {name: rng.choices([v for v, _ in rows], [w for _, w in rows])[0] for name, rows in table.items()}


def presets(language: str) -> list[str]:
    """Names of the presets of a language, in their order."""
    return list(FRENCH_PRESETS if language == "fr" else ENGLISH_PRESETS)


def draw_style(rng: Random, language: str, preset: int | None = None) -> Style:
    """Draw a style: a preset (random unless numbered) and every other trait from its share."""
    table = FRENCH_PRESETS if language == "fr" else ENGLISH_PRESETS
    name = list(table)[preset % len(table)] if preset is not None else rng.choice(list(table))
    traits = _draw(rng, _COMMON) | _draw(rng, _FRENCH if language == "fr" else _ENGLISH)
    traits |= {"locale": rng.choice(("fr-FR", "fr-FR", "fr")) if language == "fr" else "en"}
    traits["turn_forms"] = tuple(rng.sample(range(8), rng.choice((1, 2, 2, 3))))
    traits |= table[name]
    # A sheet with one line per count spells every count out; inline numbers need spelled steps too.
    if traits["group"] == "each" or traits["inline"]:
        traits["detail"] = "spelled"
    if traits["heading"] == "[1-8]same":
        traits["running"] = False
    if traits["heading"] == "range":
        traits["heading_names"] = "no"
    if traits["heading"] in ("caps", "lower") and traits["heading_names"] == "no":
        traits["heading_names"] = "english" if language == "fr" else "yes"
    if traits["heading"] == "none":
        traits["running"] = True
    if traits["after_label"] == "" and traits["case"] == "lower":
        traits["case"] = "each"
    if traits["after_label"] == "" and traits["group"] == "fours":
        traits["group"] = "pairs"
    if traits["table"]:
        traits |= {"after_label": "\t", "inline": False}
    return Style(name=name, language=language, **traits)  # type: ignore[arg-type]
