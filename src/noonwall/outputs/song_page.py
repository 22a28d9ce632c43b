"""The page of a song: one HTML file that plays it, shows phrases and walls, dances, and is corrected."""

from __future__ import annotations

from noonwall.fit import Run
from noonwall.music.map import MusicMap
from noonwall.outputs.markup import data_script, fill, symbols, text
from noonwall.outputs.page_data import Film
from noonwall.outputs.page_parts import asset, joined, policy, shared_values
from noonwall.outputs.page_words import PageWords
from noonwall.outputs.song_audio import AudioForPage
from noonwall.outputs.song_data import as_counted, script_data
from noonwall.outputs.song_facts import doubt, facts, finish, walls_table
from noonwall.outputs.song_words import song_words

SCRIPTS = (
    "timeline.js",
    "floor.js",
    "song_grid.js",
    "song_view.js",
    "song_correct.js",
    "song_player.js",
    "song_controls.js",
)
"""Parts of the page's one script, in order; the first two are shared with the page of a proved dance."""


def song_page(music: MusicMap, audio: AudioForPage, run: Run | None, film: Film | None, language: str) -> str:
    """Return the page as one HTML document; write it as UTF-8 into the folder ``audio`` was made ready for.

    A content security policy allows the document's own style and script by their SHA-256, sound from the page
    itself (or from the file beside it, if the song is not embedded), and nothing else.

    Args:
        music: the song as heard, with the corrections it holds.
        audio: its sound, see :func:`noonwall.outputs.song_audio.audio_for_page`.
        run: a dance laid on it by :func:`noonwall.fit.fit` with this very map, or None.
        film: that run danced, made by ``film_of_run`` from ``as_danced``; None shows walls without a floor.
        language: BCP 47 tag of the page's words; English and French are spoken.

    Raises:
        NoonwallError: the language is not spoken.
    """
    style = joined(("style.css", "song.css"))
    script = joined(SCRIPTS)
    # A page opened from a folder has no origin of its own, so "self" alone would shut out the file beside it.
    media = "data:" if audio.is_embedded else "'self' file:"
    values = song_parts(music, audio, run, film, language)
    values |= {"policy": policy(style, script, media), "style": style, "script": script}
    return fill(asset("song.html"), values)


def song_parts(
    music: MusicMap, audio: AudioForPage, run: Run | None, film: Film | None, language: str
) -> dict[str, str]:
    """Return the parts of the page as HTML by name: stage, cards, facts, symbols, the script's data and more.

    Args and errors are those of :func:`song_page`.
    """
    words = song_words(language)
    music = as_counted(music, run)
    if run is None or not music.beats or (film is not None and not film.steps):
        film = None
    values = {
        "language": words.language,
        "title": text(audio.title),
        "subtitle": _subtitle(run, words),
        "symbols": symbols(words),
        "page_kind": " floorless" if film is None else "",
        "has_beats": "" if music.beats else " hidden",
        "facts": facts(music, run, words),
        "doubt": text(doubt(music, words)),
        "walls_table": walls_table(run, words),
        "source": text(audio.source),
        "finish": finish(run, words),
        "data": data_script(script_data(music, audio, run, film, words)),
    }
    values |= shared_values(words, ("song", "correct", "chart", "page", "controls", "feet", "legend"))
    if music.beats_per_bar % 3 == 0:
        values["song_eight_back"], values["song_eight_on"] = values["song_six_back"], values["song_six_on"]
    return values | {
        "stage": fill(asset("song_stage.html").rstrip("\n"), values),
        "cards": fill(asset("song_cards.html").rstrip("\n"), values),
    }


def _subtitle(run: Run | None, words: PageWords) -> str:
    if run is None:
        return ""
    said = words.say("song", "subtitle", dance=run.title)
    return f'<p class="subtitle" dir="auto">{text(said)}</p>'
