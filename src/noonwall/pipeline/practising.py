"""Practice tracks of a proved dance: a song, a demo piece or a click, slower, with spoken counts and calls.

Not imported by the rest of the pipeline: it needs heavy libraries.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from types import MappingProxyType

from noonwall.demo import PIECES, render
from noonwall.demo.band import write_audio
from noonwall.errors import CannotDance
from noonwall.fit import Run, fit
from noonwall.music import MusicMap, listen
from noonwall.outputs.click import Click
from noonwall.outputs.practice_words import PRACTICE_LANGUAGES, practice_fault, practice_word
from noonwall.outputs.sound_file import TRACK_RATE_HZ, Samples
from noonwall.outputs.spoken import RATE_STEPS, Speaker
from noonwall.outputs.spoken_track import (
    Laid,
    LeadIn,
    beat_clicks,
    lay_voice,
    lead_clicks,
    lead_in,
    song_offset,
)
from noonwall.outputs.stretch import FASTEST, SLOWEST, stretch_piece
from noonwall.outputs.track import TARGETS_LUFS, SongAtHand, TrackJob, TrackMade, song_at_hand
from noonwall.outputs.track_files import FORMATS
from noonwall.outputs.track_work import cache_fault, make_tracks, tidy_cache
from noonwall.outputs.voice import CALLER, CommandVoice, Voice, offline_voice
from noonwall.pipeline.cueing import cue_sheet
from noonwall.pipeline.printed_sheet import unproved_words
from noonwall.pipeline.proving import Proved, prove_file
from noonwall.pipeline.song_pages import corrected
from noonwall.pipeline.songs import cache_folder
from noonwall.teach.cue import CueSheet
from noonwall.words.messages import say

SAYS: Mapping[str, frozenset[str] | None] = MappingProxyType(
    {
        "all": None,
        "counts": frozenset({"count-in", "count"}),
        "calls": frozenset({"count-in", "call", "wall", "tag", "restart", "finish"}),
    }
)
"""What is spoken: kinds of cues, None for all of them. The count-in is always there."""

BRISK_RATE = RATE_STEPS[1]
"""Words a minute at which it is judged whether a call can be said in the time there is."""

BPM_RANGE, MOST_WALLS = (30, 300), 100
"""Tempos of a click and how many walls are danced to it; beyond both lie slips of the finger (own choice)."""

Progress = Callable[[str, float, float], None]
"""Told the stage ("hearing", "speaking", "making"), how much of it is done, and how much there is."""


@dataclass(frozen=True, slots=True)
class PracticeOrder:
    """What is to be made.

    Attributes:
        folder: where; it is made if it is not there.
        name: what the files' names begin with.
        languages: a track in each: "en", "fr" or a region of them.
        percents: a track at each of these speeds.
        form: "m4a", "mp3", "flac" or "wav".
        level: "music" or "broadcast", see ``outputs/track.py``.
        says: a name of :data:`SAYS`.
        bpm: tempo of a click, by default the sheet's.
        walls: how many walls to dance to a click.
        voice: a command that speaks, "" for the offline voice.
        workers: processes; by default one for each core.
    """

    folder: Path
    name: str
    languages: tuple[str, ...]
    percents: tuple[int, ...] = (100,)
    form: str = "m4a"
    level: str = "music"
    says: str = "all"
    bpm: float | None = None
    walls: int | None = None
    voice: str = ""
    workers: int | None = None


@dataclass(frozen=True, slots=True)
class PracticeTrack:
    """One track that was made.

    Attributes:
        language: of the voice.
        percent: its speed.
        made: the file.
        laid: what is said where.
        cues: what was to be said.
    """

    language: str
    percent: int
    made: TrackMade
    laid: Laid
    cues: CueSheet


@dataclass(frozen=True, slots=True)
class Practice:
    """All tracks that were made, whether they are marked as not proved, and the beats put before the song."""

    tracks: tuple[PracticeTrack, ...]
    is_unproved: bool
    lead_beats: int
    click_bpm: float | None


@dataclass(frozen=True, slots=True)
class _Danced:
    """What is danced to: the song with its run, or nothing but a click."""

    song: Path | None = None
    heard: MusicMap | None = None
    run: Run | None = None


def practise(
    proved: Proved,
    order: PracticeOrder,
    song: Path | None = None,
    *,
    corrections: Path | None = None,
    voice: Voice | None = None,
    progress: Progress | None = None,
) -> Practice:
    """Make practice tracks.

    Whoever is stopped (Ctrl-C, an exception out of ``progress``, a power cut) gives the same order again and
    goes on from there: songs, stretched pieces, spoken texts and finished files are kept.

    Args:
        proved: the sheet.
        order: what is to be made.
        song: a sound file; a click without it.
        corrections: of the song, from its page.
        voice: what speaks, in place of what the order names.
        progress: told how far it is.

    Raises:
        CannotDance: the sheet holds no steps.
        BrokenFile: the song cannot be heard.
        NoonwallError: the order cannot be met, the voice failed, or a file could not be written.
    """
    check_order(order)
    danced = _heard(proved, song, corrections, progress)
    cache = practice_cache()
    voices = _voices(order, voice)
    try:
        return _made(proved, order, danced, [Speaker(each, cache / "voices") for each in voices], progress)
    finally:
        for each in voices:
            each.close()


def _voices(order: PracticeOrder, voice: Voice | None) -> list[Voice]:
    """Return who calls and who counts: two voices of the offline engine, or one that was named for both."""
    if voice is not None:
        return [voice, voice]
    if order.voice:
        return [CommandVoice(order.voice)] * 2
    return [offline_voice(CALLER), offline_voice()]


def practise_file(
    sheet: Path | str, order: PracticeOrder, song: Path | None = None, corrections: Path | None = None
) -> Practice:
    """Read a sheet and make its practice tracks; see :func:`practise`."""
    return practise(prove_file(sheet), order, song, corrections=corrections)


def check_order(order: PracticeOrder) -> None:
    """Refuse what cannot be made, before anything is heard.

    Raises:
        NoonwallError: a speed, a language, a tempo, a number of walls or a folder that cannot be.
    """
    speaking = order.languages[0]
    slowest, fastest = round(100 * SLOWEST), round(100 * FASTEST)
    for percent in order.percents:
        if not slowest <= percent <= fastest:
            raise practice_fault(speaking, "speed", percent=percent, slowest=slowest, fastest=fastest)
    for language in order.languages:
        if language.split("-")[0].lower() not in PRACTICE_LANGUAGES:
            raise practice_fault(speaking, "language", language=language)
    least, most = BPM_RANGE
    if order.bpm is not None and not least <= order.bpm <= most:
        raise practice_fault(speaking, "bpm", bpm=f"{order.bpm:g}", least=least, most=most)
    if order.walls is not None and not 1 <= order.walls <= MOST_WALLS:
        raise practice_fault(speaking, "walls", walls=order.walls, most=MOST_WALLS)
    try:
        order.folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise practice_fault(speaking, "folder", folder=order.folder, reason=reason) from error


def practice_cache() -> Path:
    """Return the folder where songs, stretched pieces and spoken texts are kept."""
    return cache_folder() / "practice"


def demo_song(name: str, language: str) -> Path:
    """Return a piece of the demo band as a file, played once.

    Raises:
        NoonwallError: there is no piece of that name, or the cache cannot be written.
    """
    if name not in PIECES:
        raise practice_fault(language, "piece", name=name, names=", ".join(PIECES))
    folder = practice_cache() / "pieces"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path in folder.glob(f"{name}.*"):
            return path
        played = render(PIECES[name])
        whole = write_audio(folder / f".{name}", played.samples, played.sample_rate)
        return whole.rename(folder / whole.name.removeprefix("."))
    except OSError as error:
        raise cache_fault(error) from error


def speaks(voice: Voice | None = None) -> tuple[Callable[[str, str], float], Callable[[], None]]:
    """Return how many seconds a voice takes for a text in a language, and how to let go of the voice.

    Args:
        voice: what speaks; by default the offline voice.
    """
    speaking = voice or offline_voice()
    return Speaker(speaking).seconds, speaking.close


def slowed_blocks(song: Path, speed: float) -> Iterator[Samples]:
    """Give a song at another speed and its own pitch, in blocks of shape (samples, 2) at 44.1 kHz.

    Raises:
        BrokenFile: the song cannot be decoded.
        NoonwallError: the cache cannot be written.
    """
    try:
        held = song_at_hand(song, practice_cache())
        if speed != 1.0:
            for piece, made in zip(held.pieces, held.stretched(speed), strict=True):
                stretch_piece(held.raw, piece, speed, made)
    except OSError as error:
        raise cache_fault(error) from error
    music = held.music(speed)
    step = 10 * TRACK_RATE_HZ
    for start in range(0, music.size, step):
        yield music.read(start, min(music.size, start + step))


def _heard(proved: Proved, song: Path | None, corrections: Path | None, progress: Progress | None) -> _Danced:
    if proved.dance is None:
        raise CannotDance(say(proved.reading.language, "cli", "no_steps"))
    if song is None:
        return _Danced()
    if progress:
        progress("hearing", 0, 1)
    heard = corrected(listen(song), corrections)
    return _Danced(song, heard, fit(proved.dance, heard))


def _made(
    proved: Proved,
    order: PracticeOrder,
    danced: _Danced,
    speakers: Sequence[Speaker],
    progress: Progress | None,
) -> Practice:
    caller, counter = speakers
    cache = practice_cache()
    unproved = bool(unproved_words(proved, ("en",)))
    try:
        tidy_cache(cache)
        held = song_at_hand(danced.song, cache) if danced.song else None
    except OSError as error:
        raise cache_fault(error) from error
    wanted = list(product(order.percents, order.languages))
    jobs: list[TrackJob] = []
    said: list[tuple[CueSheet, Laid]] = []
    lead = LeadIn(0.0, (), ())
    # the tracks of one speed come from one plan, so that they say the same in every language
    planned = {percent: _cues(proved, order, danced, speakers, percent) for percent in order.percents}
    for number, (percent, language) in enumerate(wanted):
        cues = planned[percent]
        lead = lead_in(cues)
        laid = lay_voice(
            cues,
            language,
            percent / 100,
            caller,
            lead,
            counter=counter,
            kinds=SAYS[order.says],
            progress=_part(progress, number, len(wanted)),
        )
        said.append((cues, laid))
        jobs.append(_job(order, cues, lead, laid, held, (percent, language), unproved))
    # what is made from here on needs no voice, and processes are started: none of them shall inherit it
    for speaker in speakers:
        speaker.voice.close()
    told = None if progress is None else (lambda done, total: progress("making", done, total))
    made = make_tracks(jobs, cache, workers=order.workers, progress=told)
    tracks = tuple(
        PracticeTrack(language, percent, one, laid, cues)
        for (percent, language), one, (cues, laid) in zip(wanted, made, said, strict=True)
    )
    return Practice(tracks, unproved, len(lead.beats), _bpm_of(said[0][0]) if held is None else None)


def _part(progress: Progress | None, number: int, count: int) -> Callable[[int, int], None] | None:
    """Return a report on the texts of one of several tracks as a part of all of them."""
    if progress is None:
        return None
    return lambda done, total: progress("speaking", number + done / max(1, total), count)


def _cues(
    proved: Proved,
    order: PracticeOrder,
    danced: _Danced,
    speakers: Sequence[Speaker],
    percent: int,
) -> CueSheet:
    """Return what is said at one speed: at a slower one more can be said, so each has its own."""
    caller, counter = speakers
    speed = percent / 100
    known: dict[tuple[str, str], float] = {}

    def seconds_at_full_speed(tongue: str, text: str) -> float:
        if (tongue, text) not in known:
            who = caller if " " in text else counter
            known[tongue, text] = who.speak(text, tongue, BRISK_RATE).seconds
        return known[tongue, text] * speed

    return cue_sheet(
        proved,
        order.languages,
        run=danced.run,
        music=danced.heard,
        bpm=order.bpm,
        walls=order.walls,
        speaks=seconds_at_full_speed,
    )


def _job(
    order: PracticeOrder,
    cues: CueSheet,
    lead: LeadIn,
    laid: Laid,
    held: SongAtHand | None,
    which: tuple[int, str],
    unproved: bool,
) -> TrackJob:
    percent, language = which
    speed = percent / 100
    out = order.folder / f"{file_name(order.name)}-{percent}-{language}.{order.form}"
    offset = song_offset(speed, lead)
    clicks: tuple[Click, ...]
    if held is None:
        clicks = beat_clicks(cues, speed)
        size = round(cues.ends_seconds / speed * TRACK_RATE_HZ)
    else:
        clicks = lead_clicks(speed, lead)
        size = offset + round(held.size / speed)
    bpm = None if held else _bpm_of(cues) * speed
    tags = track_tags(order, cues.title, language, percent, bpm, unproved)
    return TrackJob(
        out, order.form, tags, speed, laid.placed, held, offset, clicks, size, TARGETS_LUFS[order.level]
    )


def _bpm_of(cues: CueSheet) -> float:
    beats = [beat.seconds for beat in cues.beats]
    return 60.0 * (len(beats) - 1) / (beats[-1] - beats[0]) if len(beats) > 1 else 0.0


def file_name(title: str) -> str:
    """Return a name that every system takes for a file: letters and digits of any script, -, _ and dots."""
    kept = re.sub(r"[^\w.-]+", "-", title).strip("-. ")
    return kept[:80] or "practice"


def track_tags(
    order: PracticeOrder, title: str, language: str, percent: int, bpm: float | None, unproved: bool
) -> dict[str, str]:
    """Return the tags of a track; a dance that is not proved says so in its title and its comment.

    Args:
        order: what is made.
        title: of the dance.
        language: of the voice.
        percent: the speed.
        bpm: of a click at that speed, None for a song.
        unproved: whether findings are open.
    """
    lufs = f"{TARGETS_LUFS[order.level]:g}".replace("-", "−")
    standard = practice_word(language, "tag", order.level)
    name = practice_word(
        language, "tag", "title_unproved" if unproved else "title", title=title, percent=percent
    )
    comment = (
        practice_word(language, "tag", "comment", percent=percent, lufs=lufs, standard=standard)
        if bpm is None
        else practice_word(language, "tag", "comment_click", bpm=f"{bpm:.0f}", lufs=lufs, standard=standard)
    )
    if unproved:
        comment = f"{practice_word(language, 'tag', 'unproved')} {comment}"
    # three letters, ISO 639-2, as ID3 and the MP4 format want them
    spoken = {"en": "eng", "fr": "fra"}[language.split("-")[0].lower()]
    by = practice_word(language, "tag", "by")
    return {"title": name, "artist": by, "album": title, "comment": comment, "language": spoken}


__all__ = [
    "FORMATS",
    "SAYS",
    "TARGETS_LUFS",
    "Practice",
    "PracticeOrder",
    "PracticeTrack",
    "check_order",
    "demo_song",
    "practice_fault",
    "practice_word",
    "practise",
    "practise_file",
    "prove_file",
    "slowed_blocks",
    "speaks",
]
