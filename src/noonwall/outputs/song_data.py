"""What the script of a song's page plays: the song's grid, the walls laid on it, the film of the run."""

from __future__ import annotations

import base64
from dataclasses import dataclass
from typing import Any

from noonwall.dance.model import Foot
from noonwall.fit import Run, RunWall
from noonwall.music.map import MusicMap
from noonwall.outputs.page import rows_of_film
from noonwall.outputs.page_data import Film
from noonwall.outputs.page_words import PageWords
from noonwall.outputs.song_audio import PEAKS_PER_SECOND, AudioForPage


@dataclass(frozen=True, slots=True)
class Piece:
    """A wall, a part of one, or a tag, as a stretch of the ribbon.

    ``start`` and ``counts`` are in counts of the run; ``facing`` is the start facing in eighths, None if the
    piece does not begin a wall. ``is_cut`` marks an end that a restart makes.
    """

    wall: int
    start: float
    counts: float
    label: str
    short: str
    facing: int | None
    note: str = ""
    is_tag: bool = False
    is_cut: bool = False


def as_counted(music: MusicMap, run: Run | None) -> MusicMap:
    """Return the song counted at the pace of the run: halved or doubled where the dancers count so."""
    if run is None or not run.walls or not music.beats:
        return music
    first, last = run.walls[0], run.walls[-1]
    beats = music.nearest_beat(last.start_seconds) - music.nearest_beat(first.start_seconds)
    counts = last.start_count - first.start_count
    if len(run.walls) == 1:
        # The only wall ends with the song, one beat after the last.
        beats, counts = len(music.beats) - music.nearest_beat(first.start_seconds), first.length
    pace = counts / max(1, beats)
    return music.halved() if pace < 0.7 else music.doubled() if pace > 1.4 else music


def pieces_of(run: Run, film: Film | None, words: PageWords) -> tuple[Piece, ...]:
    """Return the ribbon of a run; tags inside a wall lie where the film has them, else at its end."""
    is_phrased = len({wall.part for wall in run.walls}) > 1
    pieces: list[Piece] = []
    for wall in run.walls:
        base = wall.start_count - run.start_count
        label = wall.part if is_phrased else words.say("run", "wall", n=wall.wall)
        short = wall.part if is_phrased else str(wall.wall)
        stretches = _stretches(wall, base, film, words)
        for number, (start, counts, is_tag) in enumerate(stretches):
            pieces.append(
                Piece(
                    wall.wall,
                    start,
                    counts,
                    words.say("run", "tag", n=wall.wall) if is_tag else label,
                    f"+{counts:g}" if is_tag else short,
                    wall.facing_start if number == 0 else None,
                    "" if number else _note(wall, words),
                    is_tag,
                    wall.cut_after is not None and number == len(stretches) - 1,
                )
            )
    return tuple(pieces)


def _stretches(
    wall: RunWall, base: int, film: Film | None, words: PageWords
) -> list[tuple[float, float, bool]]:
    """Return (start, counts, is a tag) of every stretch of a wall, cut at its end."""
    end = base + wall.length
    tags = {words.say("run", name, n=wall.wall) for name in ("tag", "tag_inside")}
    found = []
    if film is not None and wall.tag_counts:
        for section in film.sections:
            start = float(section.start)
            if base <= start < end:
                found.append((start, min(float(section.counts), end - start), section.label in tags))
    if found and found[0][0] == base and sum(counts for _, counts, _ in found) == wall.length:
        return found
    whole: list[tuple[float, float, bool]] = [(base, wall.counts, False)] if wall.counts else []
    return [*whole, (base + wall.counts, wall.tag_counts, True)] if wall.tag_counts else whole


def _note(wall: RunWall, words: PageWords) -> str:
    said = []
    if wall.cut_after is not None:
        said.append(words.say("change", "restart", n=wall.cut_after))
    if wall.change:
        said.append(words.say("change", wall.change))
    if wall.last_weight:
        said.append(words.say("change", "last_weight"))
    if wall.mirrored:
        said.append(words.say("change", "mirrored"))
    return ", ".join(said)


def script_data(
    music: MusicMap, audio: AudioForPage, run: Run | None, film: Film | None, words: PageWords
) -> dict[str, Any]:
    """Return the page's data as plain values: see ``song_player.js`` for what is read where."""
    strings: dict[str, int] = {}
    film_rows = rows_of_film(film, strings, words) if film is not None and run is not None else None
    pieces = pieces_of(run, film, words) if run is not None else ()
    # Laid anew as every correction does, so that script and Python start from the same phrases.
    layout = music.layout() if music.beats else None
    corrections = [{"kind": c.kind, "seconds": c.seconds, "counts": c.counts} for c in music.corrections]
    return {
        "seconds": max(audio.seconds, 0.02),
        "isEmbedded": audio.is_embedded,
        "peaks": base64.b64encode(audio.peaks).decode("ascii"),
        "peaksPerSecond": PEAKS_PER_SECOND,
        "map": {
            "beats": list(music.beats),
            "beatsPerBar": music.beats_per_bar,
            "starts": list(layout.starts) if layout else [],
            "intro": layout.intro_phrases if layout else 0,
            "end": music.audio_end,
            "swing": music.swing,
        },
        "kept": corrections,
        "walls": _walls(music, run),
        "pieces": [_piece_row(piece) for piece in pieces],
        "film": film_rows,
        "strings": list(strings),
        "weight": {foot.value: words.say("weight", foot.value) for foot in Foot},
        "say": dict(words.table["song_script"]),
    }


def _walls(music: MusicMap, run: Run | None) -> dict[str, int] | None:
    if run is None or not run.walls or not music.beats:
        return None
    counts = sum(wall.length for wall in run.walls)
    return {"startBeat": music.nearest_beat(run.walls[0].start_seconds), "counts": counts}


def _piece_row(piece: Piece) -> dict[str, Any]:
    return {
        "wall": piece.wall,
        "start": piece.start,
        "counts": piece.counts,
        "label": piece.label,
        "short": piece.short,
        "facing": piece.facing,
        "note": piece.note,
        "isTag": piece.is_tag,
        "isCut": piece.is_cut,
        "isStart": piece.facing is not None,
    }
