"""The block above the steps: title, author, counts, walls, level, music, introduction."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from . import names
from .lines import Line, Voice
from .model import Dance

CREDITS = (
    "Choreographer: ",
    "Choreographed by: ",
    "Choreographed by ",
    "Choreo: ",
    "By ",
    "Choreographer : ",
)
CREDITS_FR = ("Chorégraphe : ", "Chorégraphie : ", "Chorégraphie de ")
MUSIC = ("Music: ", "Music : ", "Song: ", "MUSIC: ")
LEVELS_EN = {
    1: ("Absolute Beginner", "Beginner", "Beginner", "Ultra Beginner"),
    2: ("Beginner", "High Beginner", "Improver", "Improver"),
    3: ("Improver", "Intermediate", "Intermediate", "Easy Intermediate"),
    4: ("Intermediate", "Advanced", "High Intermediate"),
}
LEVELS_FR = {
    1: ("Débutant", "Débutant", "Débutant+"),
    2: ("Débutant", "Débutant+", "Novice"),
    3: ("Novice", "Intermédiaire"),
    4: ("Intermédiaire", "Avancé"),
}


@dataclass(slots=True)
class Said:
    """What the header claims; a planted error changes it."""

    total: int | None
    walls: int | None
    level: str
    intro: int | None
    bpm: int | None
    restart_note: str = ""


def choose_said(dance: Dance, walls: int, voice: Voice, rng: Random) -> Said:
    """Choose which facts the author states."""
    levels = (LEVELS_FR if voice.language == "fr" else LEVELS_EN)[dance.level]
    total = dance.counts if rng.random() < 0.93 else None
    return Said(
        total,
        walls if rng.random() < 0.9 and not dance.phrased else None,
        rng.choice(levels),
        dance.intro_counts,
        dance.bpm,
    )


def header_lines(dance: Dance, said: Said, voice: Voice, rng: Random) -> list[Line]:
    """The header in the author's form; lines carry tags for the facts that they state."""
    title = dance.title.upper() if rng.random() < 0.5 else dance.title
    lines = [Line("header", title, {"title"})]
    facts = (
        _facts_fr(said, dance, voice, rng) if voice.language == "fr" else _facts_en(said, dance, voice, rng)
    )
    people = _people(voice, rng)
    music = _music(dance, voice, rng, said)
    intro = _intro(dance, voice, rng, said)
    blocks = [facts, people, music]
    if rng.random() < 0.35:
        blocks = [people, facts, music]
    elif rng.random() < 0.2:
        blocks = [people, music, facts]
    for block in blocks:
        lines += block
    if intro:
        lines.append(intro)
    return lines


def _facts_en(said: Said, dance: Dance, voice: Voice, rng: Random) -> list[Line]:
    form = voice.style.header
    total, walls, level = said.total, said.walls, said.level
    phrased = dance.phrased
    tags = {"total"} if total is not None else set()
    tags |= {"walls"} if walls is not None else set()
    if form == "fields":
        rows = []
        if total is not None:
            rows.append(
                Line(
                    "header",
                    rng.choice((f"Count: {total}", f"Counts: {total}", f"COUNT: {total}")),
                    {"total"},
                )
            )
        if walls is not None or phrased:
            rows.append(
                Line(
                    "header",
                    f"Wall: {walls}" if not phrased else "Wall: Phrased",
                    {"walls"} if not phrased else set(),
                )
            )
        rows.append(Line("header", f"Level: {level}"))
        return rows
    if form in ("fields_one_line", "lower_fields"):
        pieces = [f"Count: {total}"] if total is not None else []
        pieces += [f"Wall{'s' if rng.random() < 0.4 else ''}: {walls}"] if walls is not None else []
        pieces.append(f"Level: {level}" + (" (phrased)" if phrased else ""))
        gap = rng.choice(("   ", " ", "  -  ", "\t"))
        text = gap.join(pieces)
        return [Line("header", text.lower() if form == "lower_fields" else text, tags)]
    if form == "short":
        pieces = [f"{total}c"] if total is not None else []
        pieces += [f"{walls}w"] if walls is not None else []
        return [Line("header", " / ".join([*pieces, level, *(["phrased"] if phrased else [])]), tags)]
    waltz = " waltz" if dance.meter == "3/4" else ""
    if form == "dash":
        pieces = [f"{total} count"] if total is not None else []
        pieces += [f"{walls} wall"] if walls is not None else []
        return [
            Line(
                "header",
                rng.choice((" - ", ", ")).join(
                    [*pieces, (level + waltz).strip(), *(["phrased"] if phrased else [])]
                ),
                tags,
            )
        ]
    said_total = f"A {total} count" if total is not None else "A"
    said_walls = (
        f", {walls} wall"
        if walls is not None and total is not None
        else (f" {walls} wall" if walls is not None else "")
    )
    kind = "phrased " if phrased else ""
    kind += waltz.strip() or "line dance"
    sentence = f"{said_total}{said_walls} {kind} for {level.lower()} dancers"
    return [Line("header", sentence, tags)]


def _facts_fr(said: Said, dance: Dance, voice: Voice, rng: Random) -> list[Line]:
    form = voice.style.header
    total, walls, level = said.total, said.walls, said.level
    counts = voice.counts_word()
    tags = {"total"} if total is not None else set()
    tags |= {"walls"} if walls is not None else set()
    phrased = ["Phrasée"] if dance.phrased else []
    if form == "fields":
        rows = [Line("header", f"{counts.capitalize()} : {total}", {"total"})] if total is not None else []
        rows += (
            [Line("header", f"Mur{'s' if walls > 1 else ''} : {walls}", {"walls"})]
            if walls is not None
            else []
        )
        return [*rows, Line("header", f"Niveau : {level}" + (" (danse phrasée)" if phrased else ""))]
    pieces = [f"{total} {counts}"] if total is not None else []
    pieces += [f"{walls} mur{'s' if walls > 1 else ''}"] if walls is not None else []
    joiner = {"short": " / ", "dash": " - "}.get(form, ", ")
    if form == "prose":
        kind = "Valse" if dance.meter == "3/4" else "Danse en ligne"
        return [Line("header", f"{kind}, {', '.join([*pieces, *phrased])}, niveau {level.lower()}", tags)]
    if form in ("fields_one_line", "lower_fields"):
        pieces = [f"{counts.capitalize()} : {total}"] if total is not None else []
        pieces += [f"Murs : {walls}"] if walls is not None else []
        text = rng.choice(("   ", " - ", "  ")).join([*pieces, f"Niveau : {level}", *phrased])
        return [Line("header", text.lower() if form == "lower_fields" else text, tags)]
    return [Line("header", joiner.join([*pieces, *phrased, level]), tags)]


def _people(voice: Voice, rng: Random) -> list[Line]:
    if rng.random() < 0.06:
        return []
    who = " & ".join(rng.sample(names.PEOPLE, 2 if rng.random() < 0.2 else 1))
    year = rng.randrange(1996, 2026)
    if voice.language == "fr":
        where = f" ({rng.choice(names.COUNTRIES_FR)})" if rng.random() < 0.5 else ""
        when = f" - {rng.choice(names.MONTHS_FR)} {year}" if rng.random() < 0.5 else ""
        return [Line("header", f"{rng.choice(CREDITS_FR)}{who}{where}{when}")]
    where = rng.choice((f" ({rng.choice(names.COUNTRIES)})", f", {rng.choice(names.COUNTRIES)}", ""))
    when = rng.choice(
        (f" {rng.choice(names.MONTHS)} {year}", f" - {rng.choice(names.MONTHS)[:3]} {year}", f" ({year})", "")
    )
    return [Line("header", f"{rng.choice(CREDITS)}{who}{where}{when}")]


def _music(dance: Dance, voice: Voice, rng: Random, said: Said) -> list[Line]:
    if rng.random() < 0.1 and said.bpm is None:
        return []
    song = f"{rng.choice(names.SONG_FIRST)} {rng.choice(names.SONG_SECOND)}"
    quoted = rng.choice((f"“{song}”", f'"{song}"', song))
    artist = rng.choice(names.ARTISTS)
    bpm = (
        ""
        if said.bpm is None
        else rng.choice((f" ({said.bpm} bpm)", f", {said.bpm} BPM", f" [{said.bpm} bpm]"))
    )
    tags = {"bpm"} if said.bpm is not None else set()
    if voice.language == "fr":
        return [Line("header", f"Musique : {quoted} {rng.choice(('de', 'par', '-'))} {artist}{bpm}", tags)]
    return [
        Line(
            "header",
            f"{rng.choice(MUSIC)}{quoted} {rng.choice(('by', '-', 'by'))} {artist}{bpm}",
            tags,
        )
    ]


def _intro(dance: Dance, voice: Voice, rng: Random, said: Said) -> Line | None:
    if said.intro is None:
        return None
    if voice.language == "fr":
        return Line(
            "header",
            rng.choice(
                (
                    f"Intro : {said.intro} {voice.counts_word()}",
                    f"Départ après {said.intro} {voice.counts_word()}",
                    f"Introduction : {said.intro} {voice.counts_word()}",
                )
            ),
            {"intro"},
        )
    return Line(
        "header",
        rng.choice(
            (
                f"Intro: {said.intro} counts",
                f"Start after {said.intro} counts",
                f"{said.intro} count intro",
                f"Intro : {said.intro} counts, start on vocals",
                f"Wait {said.intro} beats",
            )
        ),
        {"intro"},
    )
