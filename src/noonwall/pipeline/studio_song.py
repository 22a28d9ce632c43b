"""What the studio's music pages ask for: a song heard apart, a dance laid on it, the plans to choose from."""

from __future__ import annotations

import base64
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from noonwall.dance.model import Dance
from noonwall.dance.turns import clock
from noonwall.errors import BrokenFile, NoonwallError
from noonwall.fit import Run, as_danced, count_grid, fit, run_json
from noonwall.fit.finish import find_finish
from noonwall.floor import dance_run
from noonwall.music import Correction, MusicMap, reapply
from noonwall.outputs.film import Wording, film_of_run
from noonwall.outputs.page_data import Film
from noonwall.outputs.song_audio import AudioForPage
from noonwall.outputs.song_page import song_parts
from noonwall.outputs.whole_file import write_whole
from noonwall.pipeline.paging import StepWords
from noonwall.pipeline.studio_child import in_own_process
from noonwall.pipeline.studio_dance import proved_text
from noonwall.pipeline.studio_words import studio_words
from noonwall.words.messages import fault_words

MOST_CORRECTIONS = 500


@dataclass(frozen=True, slots=True)
class Sound:
    """What a page needs of a sound file besides what is heard in it: peaks to draw, length, media type."""

    peaks: bytes
    seconds: float
    mime: str


@dataclass(frozen=True, slots=True)
class Plan:
    """One way to lay the dance on the song, in words; number 0 is the best."""

    number: int
    words: str
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class SongShown:
    """The parts of a song's page as HTML, the plans to choose from, and why there is no dance on it if so."""

    parts: Mapping[str, str]
    plans: tuple[Plan, ...] = ()
    trouble: str = ""


def hear_song(file: Path, beside: Path) -> dict[str, Any]:
    """Hear a song in a process of its own; what only the page needs is kept in the file ``beside``.

    Returns:
        its music map as plain data.

    Raises:
        BrokenFile: it cannot be decoded, or takes too long or too much memory.
    """
    found = in_own_process("hear", file)
    heard: dict[str, Any] = found.pop("map")
    write_whole(beside, json.dumps(found).encode())
    return heard


def sound_of(beside: Path) -> Sound | None:
    """Return what :func:`hear_song` kept beside a song, None if it is gone."""
    try:
        held = json.loads(beside.read_text("utf-8"))
        return Sound(base64.b64decode(held["peaks"]), float(held["seconds"]), str(held["mime"]))
    except (OSError, ValueError, KeyError):
        return None


@dataclass(frozen=True, slots=True)
class SongHeard:
    """A song as the shelf keeps it: its music map and the teacher's corrections, as JSON."""

    heard: str
    corrections: str

    @property
    def map(self) -> MusicMap:
        """The song with its corrections.

        Raises:
            BrokenFile: a correction is none, or cannot be made in this song.
        """
        return _map(self)


def song_heard(heard: Mapping[str, Any], corrections: Sequence[Mapping[str, Any]]) -> SongHeard:
    """Return a song of the shelf as the other functions here take it."""
    return SongHeard(json.dumps(dict(heard)), json.dumps([dict(each) for each in corrections]))


@lru_cache(maxsize=16)
def _map(song: SongHeard) -> MusicMap:
    try:
        made = [Correction(**each) for each in json.loads(song.corrections)]
        return reapply(made, MusicMap.from_json(song.heard))
    except (TypeError, ValueError) as error:
        raise BrokenFile(f"This cannot be corrected so: {error}") from error


@lru_cache(maxsize=16)
def fitted(text: str, song: SongHeard, plan: int = 0) -> Run:
    """Lay the dance of a text on a song.

    Args:
        text: the sheet.
        song: the song.
        plan: 0 for the best plan, else the number of a runner-up; one that is not there is the best.

    Raises:
        NoonwallError: the text holds no dance, or the song cannot be counted.
    """
    dance = proved_text(text).dance
    if dance is None:
        raise BrokenFile("There are no steps in this text, so nothing can be laid on the song.")
    return _planned(_best(text, song), dance, song, plan)


@lru_cache(maxsize=16)
def _best(text: str, song: SongHeard) -> Run:
    dance = proved_text(text).dance
    assert dance is not None
    return fit(dance, song.map)


def _planned(best: Run, dance: Dance, song: SongHeard, plan: int) -> Run:
    if not 1 <= plan <= len(best.alternatives) or not best.alternatives[plan - 1].walls:
        return best
    other = best.alternatives[plan - 1]
    facing = next((item.facts["facing"] for item in other.items if item.code == "finish-not-front"), 0)
    return replace(
        best,
        walls=other.walls,
        wait_counts=other.wait_counts,
        start_count=other.start_count,
        cost=other.cost,
        items=other.items,
        finish=find_finish(dance, other.walls[-1], int(str(facing)), count_grid(song.map)),
    )


def song_shown(
    song: SongHeard, sound: Sound, title: str, source: str, language: str, text: str = "", plan: int = 0
) -> SongShown:
    """Return the page of a song, with the dance of a text laid on it if there is one.

    Args:
        song: the song with its corrections.
        sound: what was kept beside it.
        title: what it is called.
        source: where the page fetches the sound.
        language: of the page.
        text: a sheet, "" for the song alone.
        plan: which plan, see :func:`fitted`.
    """
    audio = AudioForPage(title, sound.mime, source, False, sound.seconds, sound.peaks)
    run: Run | None = None
    film: Film | None = None
    trouble = ""
    plans: tuple[Plan, ...] = ()
    if text:
        try:
            run = fitted(text, song, plan)
            film = _film(text, run, language)
            plans = _plans(text, song, plan, language)
        except NoonwallError as error:
            trouble = fault_words(error, language)
    return SongShown(song_parts(song.map, audio, run, film, language), plans, trouble)


def _film(text: str, run: Run, language: str) -> Film:
    dance = proved_text(text).dance
    assert dance is not None
    danced, words = as_danced(dance, run), StepWords(language)
    return film_of_run(danced, dance_run(danced, len(run.walls)), Wording(words.step, words.figure, language))


def _plans(text: str, song: SongHeard, chosen: int, language: str) -> tuple[Plan, ...]:
    best = _best(text, song)
    numbers = [0, *(n for n, other in enumerate(best.alternatives, 1) if other.walls)]
    seen: dict[str, Plan] = {}
    for number in numbers:
        words = _plan_words(fitted(text, song, number), language)
        if words not in seen or number == chosen:
            seen[words] = Plan(number, words, number == chosen)
    plans = tuple(seen.values())
    return plans if any(plan.is_chosen for plan in plans) else (replace(plans[0], is_chosen=True), *plans[1:])


def _plan_words(run: Run, language: str) -> str:
    words = studio_words(language)
    changes = []
    for wall in run.walls:
        if wall.cut_after is not None:
            changes.append(words.say("plan", "restart", wall=wall.wall, count=wall.cut_after))
        elif wall.tag_counts:
            changes.append(words.say("plan", "tag", wall=wall.wall, n=wall.tag_counts))
    told = [
        words.number("plan", "wait", run.wait_counts),
        words.number("shelf", "walls", len(run.walls)),
        *(changes or [words.say("plan", "straight")]),
        words.say("plan", "ends", clock=clock(run.finish.facing)),
    ]
    return " · ".join(told)


def run_kept(run: Run, plan: int) -> dict[str, Any]:
    """Return a run as plain data for the shelf, with the number of its plan."""
    return {**run_json(run), "plan": plan}
