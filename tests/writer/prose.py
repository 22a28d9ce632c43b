"""Sentences around the steps, in both languages: restarts, tags, endings, options, greetings, legends."""

from __future__ import annotations

from random import Random

from .lines import Voice
from .model import Ending, Restart


def ordinal(number: int) -> str:
    """1st, 2nd, 3rd ..."""
    return f"{number}{({1: 'st', 2: 'nd', 3: 'rd'}).get(number, 'th')}"


def ordinal_fr(number: int) -> str:
    """1er, 2e, 3ème ..."""
    return "1er" if number == 1 else f"{number}e"


def listed(walls: list[int], word: str) -> str:
    """3 · 3 and 6."""
    return f" {word} ".join(map(str, walls))


def faces(voice: Voice, facings: list[int]) -> str:
    """The facings of several walls, once where they are the same."""
    said = [voice.facing_words(facing) for facing in facings]
    said = said[:1] if len(set(said)) == 1 else said
    return (" puis " if voice.language == "fr" else " and ").join(said)


def step_change(voice: Voice, restart: Restart) -> str:
    """How the last touch before a restart becomes a step."""
    if not restart.changed_foot:
        return ""
    foot = voice.foot(restart.changed_foot)
    other = voice.foot("L" if restart.changed_foot == "R" else "R")
    if voice.language == "fr":
        return f" (poser {foot} à côté du {other} au lieu du touch)"
    return f" (step {foot} beside {other} instead of the touch)"


def restart_here(voice: Voice, walls: list[int], facings: list[int], rng: Random, star: str) -> str:
    """A restart written at its place in the body."""
    face = rng.random() < 0.6
    if voice.language == "fr":
        wall = voice.style.locale == "fr-CA" and rng.random() < 0.4
        which = listed([*walls], "et") if len(walls) > 1 else ordinal_fr(walls[0])
        noun = "répétition" if wall else "mur"
        place = f"murs {which}" if len(walls) > 1 else f"{which} {noun}"
        to = f" (face à {faces(voice, facings)})" if face else ""
        le = {"mur": "au ", "répétition": "à la "}[noun] if len(walls) == 1 else "aux "
        return star + rng.choice(
            (f"RESTART ici {le}{place}{to}", f"Restart ici {le}{place}{to}", f"Ici : restart {le}{place}{to}")
        )
    to = f" (facing {faces(voice, facings)})" if face else ""
    if len(walls) > 1:
        where = f"walls {listed(walls, 'and')}"
    else:
        where = rng.choice((f"wall {walls[0]}", f"{ordinal(walls[0])} wall"))
    the = "the " if where[0].isdigit() else ""
    return star + rng.choice(
        (
            f"Restart here on {the}{where}{to}",
            f"RESTART HERE DURING {the.upper()}{where.upper()}{to}",
            f"Restart here {the}{where}{to}",
            f"{where[0].upper()}{where[1:]}: restart here{to}",
        )
    )


def restart_note(
    voice: Voice, restarts: list[Restart], facings: list[int], rng: Random, unit: int, face: bool
) -> str:
    """A restart written in the header or at the foot."""
    walls = [restart.wall for restart in restarts]
    after = restarts[0].after_count
    section = rng.random() < 0.2 and after % unit == 0
    if voice.language == "fr":
        to = f" (face à {faces(voice, facings)})" if face else ""
        place = f"après {after} {voice.counts_word()}" if not section else f"après la section {after // unit}"
        which = f"sur le {ordinal_fr(walls[0])} mur" if len(walls) == 1 else f"aux murs {listed(walls, 'et')}"
        return rng.choice(
            (
                f"Restart : {which}, {place}{to}",
                f"{len(walls)} restart{'s' if len(walls) > 1 else ''} {which} {place}{to}",
                f"RESTART {which} {place}{to}",
            )
        )
    to = f" (facing {faces(voice, facings)})" if face else ""
    place = (
        rng.choice((f"after {after} counts", f"after count {after}"))
        if not section
        else f"after section {after // unit}"
    )
    which = f"wall {walls[0]}" if len(walls) == 1 else f"walls {listed(walls, 'and')}"
    count = f"{len(walls)} restart{'s' if len(walls) > 1 else ''}"
    return rng.choice(
        (
            f"Restart: on {which} {place}{to}",
            f"{count}: {which}, {place}{to}",
            f"Restart on {which}, {place}{to}",
            f"Restart during {which} {place}{to}",
        )
    )


def tag_heading(voice: Voice, walls: list[int], counts: int, facings: list[int], rng: Random) -> str:
    """The line above the steps of a tag."""
    face = rng.random() < 0.6
    if voice.language == "fr":
        name = (
            rng.choice(("TAG", "Tag", "PONT"))
            if voice.style.locale != "fr-CA"
            else rng.choice(("TAG", "TRANSITION"))
        )
        where = (
            f"à la fin du mur {walls[0]}" if len(walls) == 1 else f"à la fin des murs {listed(walls, 'et')}"
        )
        to = f" (face à {faces(voice, facings)})" if face else ""
        return rng.choice(
            (
                f"{name} de {counts} {voice.counts_word()} {where}{to}",
                f"{name} ({counts} {voice.counts_word()}) : {where}{to}",
                f"{name} : {where}{to}",
            )
        )
    to = f" (facing {faces(voice, facings)})" if face else ""
    plural = "s" if len(walls) > 1 else ""
    which = listed(walls, "and")
    if len(walls) == 1 and rng.random() < 0.15:
        return f"TAG ({counts} counts): after the {ordinal(walls[0])} wall{to}"
    where = rng.choice(
        (f"after wall{plural} {which}", f"at the end of wall{plural} {which}", f"end of wall{plural} {which}")
    )
    return rng.choice(
        (
            f"TAG ({counts} counts) {where}{to}",
            f"Tag: {counts} counts {where}{to}",
            f"TAG: {where}{to}",
            f"{counts} count tag {where}{to}",
        )
    )


def ending_note(voice: Voice, ending: Ending, start: int, rng: Random) -> str:
    """How the dance finishes at the front."""
    turn = voice.turn(ending.turn, rng) if ending.turn else ""
    if voice.language == "fr":
        name = rng.choice(("FINAL", "FIN", "Final"))
        first = f"les {ending.after_count} premiers {voice.counts_word()}"
        begin = (
            f"le {ordinal_fr(ending.wall)} mur commence face à {voice.facing_words(start)}, "
            if rng.random() < 0.5
            else f"au {ordinal_fr(ending.wall)} mur, "
        )
        if ending.turn:
            return (
                f"{name} : {begin}danser {first} puis faire {turn} pour finir face à {voice.facing_words(0)}"
            )
        return f"{name} : {begin}danser {first} et prendre la pose face à {voice.facing_words(0)}"
    name = rng.choice(("Ending", "ENDING", "Finish", "To finish"))
    begin = (
        f"wall {ending.wall} starts facing {voice.facing_words(start)}; "
        if rng.random() < 0.5
        else f"on wall {ending.wall}, "
    )
    first, front = f"dance the first {ending.after_count} counts", voice.facing_words(0)
    if ending.turn:
        return f"{name}: {begin}{first}, then turn {turn.replace(' turn', '')} to face {front}"
    return f"{name}: {begin}{first} and strike a pose facing {front}"


def repeat_line(voice: Voice, first: int, last: int, flip: bool, lead: str, rng: Random) -> str:
    """ "Repeat 1-4", on the same or on the other foot."""
    span = f"{first}-{last}"
    side = voice.side(lead)
    if voice.language == "fr":
        if flip:
            return rng.choice(
                (
                    f"Répéter {span} à {side}",
                    f"Répéter {span} en commençant {voice.foot(lead)}",
                    f"Répéter {span} en miroir ({voice.foot(lead)})",
                    f"Idem {span} de l'autre pied ({voice.foot(lead)})",
                )
            )
        return rng.choice(
            (
                f"Répéter {span}",
                f"Reprendre {span}",
                f"Idem {span}",
                f"Répéter les {voice.counts_word()} {span}",
            )
        )
    if flip:
        return rng.choice(
            (
                f"Repeat {span} on the {'right' if lead == 'R' else 'left'}",
                f"Repeat {span} starting with {voice.foot(lead)}",
                f"Repeat {span} leading {side}",
                f"Mirror {span} (starting {voice.foot(lead)})",
                f"Repeat {span} on opposite foot",
            )
        )
    return rng.choice((f"Repeat {span}", f"Repeat steps {span}", f"Repeat counts {span}"))


def section_again(voice: Voice, number: int, first: int, last: int, numbered: bool, rng: Random) -> str:
    """ "Repeat section 1", or its counts where sections have no numbers."""
    if voice.language == "fr":
        return (
            rng.choice((f"Répéter la section {number}", f"Reprendre la section {number}"))
            if numbered
            else f"Répéter {first}-{last}"
        )
    if numbered:
        return rng.choice(
            (f"Repeat section {number}", f"Repeat Section {number}", f"Repeat all of section {number}")
        )
    return rng.choice((f"Repeat steps {first}-{last}", f"Repeat counts {first}-{last}"))


COMMENTS_EN = (
    "Have fun!",
    "Enjoy the dance!",
    "Smile and keep dancing",
    "Big thanks to the Tuesday class at Harbour Hall for trying it out",
    "Written for the Harbour Hall spring social",
    "Last update: {year}",
    "Hope you like it....",
    "Dance with attitude!",
)
COMMENTS_FR = (
    "Bonne danse à tous !",
    "Souriez, vous dansez",
    "Merci à la classe du mardi de Harbour Hall",
    "Dernière mise à jour : {year}",
    "Chorégraphie écrite pour le bal de printemps",
    "Amusez-vous bien",
)
OPTIONS_EN = {
    "full_turn_travel": "Easier option: walk forward twice instead of the full turn",
    "rolling_vine": "Option: an ordinary vine with a touch in place of the rolling vine",
    "spiral": "(Option: leave the spiral out and hold)",
    "walk_around_full": "Easy option: walk on the spot instead of the full turn",
}
OPTIONS_FR = {
    "full_turn_travel": "Option plus facile : 2 pas en avant à la place du tour complet",
    "rolling_vine": "Option : vine simple et touch à la place du tour",
    "spiral": "(Option : remplacer le spiral par une pause)",
    "walk_around_full": "Option : marcher sur place à la place du tour",
}


def legend(voice: Voice) -> str:
    """A line that explains the abbreviations used."""
    feet = voice.style.feet
    if voice.language == "fr":
        return {
            "PD": "PD = pied droit, PG = pied gauche, PdC = poids du corps",
            "D": "D = droite, G = gauche",
            "pied": "PdC = poids du corps",
        }[feet]
    return {
        "RL": "R = right, L = left",
        "RF": "RF = right foot, LF = left foot",
        "Rf": "Rf = right foot, Lf = left foot",
        "RT": "RT/LF = right/left foot, Rt/Lt = right/left side",
    }.get(feet, "")
