"""`noonwall listen`: hear a song and say what a teacher needs of it."""

from __future__ import annotations

import argparse
from pathlib import Path

from rich.console import Console
from rich.table import Table
from rich.text import Text

from noonwall.cli.language import usual_language
from noonwall.cli.status import CLEAN, DOUBTFUL
from noonwall.pipeline import say
from noonwall.pipeline.song_pages import write_song_page
from noonwall.pipeline.songs import (
    MusicMap,
    beat_file,
    hear,
    markers,
    midi_click,
    remark_words,
)

SURE = 0.5
"""Below this certainty of the beats the song is called doubtful, and the exit status says so."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("song", metavar="SONG", help="a sound file: wav, flac, mp3, ogg, m4a")
    parser.add_argument("--json", action="store_true", help="print the music map as JSON")
    parser.add_argument(
        "--beats", type=Path, metavar="OUT.txt", help="write seconds and place in the bar, a beat a line"
    )
    parser.add_argument("--click", type=Path, metavar="OUT.mid", help="write a MIDI click")
    parser.add_argument(
        "--markers", type=Path, metavar="OUT.vtt", help="write WebVTT markers of phrases and eights"
    )
    parser.add_argument("--page", type=Path, metavar="OUT.html", help="write a page that plays and shows it")
    parser.add_argument("--embed", action="store_true", help="put the song into the page")
    parser.add_argument(
        "--corrections", type=Path, metavar="FILE", help="corrections saved from the page of the song"
    )
    parser.add_argument("--as", dest="language", choices=("en", "fr"), help="speak English or French")


def run(given: argparse.Namespace) -> int:
    """Run the command; the status is doubtful where the beats are."""
    heard = hear(given.song, given.corrections)
    if given.page:
        language = given.language or usual_language()
        write_song_page(given.page, Path(given.song), heard, language, embed=given.embed)
    if given.beats:
        given.beats.write_text(beat_file(heard), encoding="utf-8")
    if given.click:
        given.click.write_bytes(midi_click(heard))
    if given.markers:
        given.markers.write_text(markers(heard), encoding="utf-8")
    if given.json:
        print(heard.to_json(), end="")
    else:
        show_song(heard, Path(given.song).name, given.language or usual_language())
    return CLEAN if heard.certainty.get("beats", 0.0) >= SURE else DOUBTFUL


def show_song(heard: MusicMap, name: str, language: str) -> None:
    """Print what was heard of a song."""
    out = Console(highlight=False)
    out.print(Text(name, style="bold"))
    swing = say(language, "song", "swung" if heard.swing >= 0.58 else "straight")
    rows = [
        ("tempo", f"{heard.bpm:.1f} {say(language, 'song', 'bpm')}", "bpm"),
        ("bar", f"{heard.time_signature or f'{heard.beats_per_bar}/4'} · {swing}", "beats_per_bar"),
        ("first_one", clock_time(heard.bar_starts[0]) if heard.bar_starts else "–", "bar_starts"),
        ("intro", f"{heard.intro_counts} {say(language, 'cli', 'counts')}", "intro_counts"),
        ("phrases", str(len(heard.phrase_starts)), "phrase_starts"),
        ("odd", ", ".join(f"{clock_time(at)} ({n})" for at, n in heard.odd_phrases) or "–", "odd_phrases"),
        ("end", clock_time(heard.audio_end), "audio_end"),
    ]
    table = Table(box=None, pad_edge=False, show_header=False)
    for label, value, key in rows:
        sure = heard.certainty.get(key)
        shown = (
            Text(f"{sure:.0%} {say(language, 'song', 'sure')}", style="dim") if sure is not None else Text()
        )
        table.add_row(Text(say(language, "song", label), style="dim"), value, shown)
    out.print(table)
    for other in heard.alternatives:
        kind = say(language, "reading", other.kind)
        out.print(
            Text(
                f"{say(language, 'song', 'perhaps')} {kind}: {other.bpm:.1f} {say(language, 'song', 'bpm')}",
                "dim",
            )
        )
    for remark in remark_words(heard, language):
        out.print(Text(f"? {remark}", style="yellow"))


def clock_time(seconds: float) -> str:
    """Return seconds as minutes and seconds: 83.4 is "1:23.4"."""
    minutes, rest = divmod(max(0.0, seconds), 60)
    return f"{int(minutes)}:{rest:04.1f}"
