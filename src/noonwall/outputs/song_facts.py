"""What the page of a song says in words: what was heard and how surely, the walls, the finish."""

from __future__ import annotations

from collections import Counter

from noonwall.dance.turns import clock
from noonwall.fit import FinishChange, Run
from noonwall.music.map import MusicMap
from noonwall.outputs.markup import text
from noonwall.outputs.page_words import PageWords
from noonwall.outputs.song_data import pieces_of
from noonwall.outputs.song_words import clock_text, number_text, sure_word

SWUNG_FROM = 0.56
"""A half count that sounds later in the beat than this is called swung; 0.5 is straight, 0.67 a triplet."""

_DOUBTED_IN_TURN = {
    "beats": "beats",
    "bar_starts": "bar_starts",
    "phrase_starts": "phrase_starts",
    "intro_counts": "begin",
    "odd_phrases": "begin",
}


def facts(music: MusicMap, run: Run | None, words: PageWords) -> str:
    """Return what was heard as a list of facts, each with how sure it is, in words."""
    rows: list[tuple[str, str, str]] = []
    if music.beats:
        rows = _heard(music, run, words)
    else:
        rows.append((words.say("fact", "tempo"), words.say("fact", "no_beat"), ""))
    rows.append((words.say("fact", "length"), clock_text(music.audio_end), ""))
    if run is not None and run.walls:
        rows.append((words.say("fact", "walls"), str(len(run.walls)), ""))
        end = run.finish
        said = words.say("fact", "finish_value", wall=end.wall, count=end.count, clock=clock(end.facing))
        rows.append((words.say("fact", "finish"), said, ""))
    return f"<dl>{''.join(_row(*row, words) for row in rows)}</dl>"


def _heard(music: MusicMap, run: Run | None, words: PageWords) -> list[tuple[str, str, str]]:
    def row(name: str, value: str, certainty: str) -> tuple[str, str, str]:
        return words.say("fact", name), value, sure_word(music.certainty.get(certainty, 0.0))

    danced = music.phrases[music.intro_phrases :]
    usual = Counter(length for _, length in danced).most_common(1)[0][0] if danced else 0
    wait = music.intro_counts if run is None else run.wait_counts
    odd = [
        words.say("fact", "odd_value", counts=counts, at=clock_text(at)) for at, counts in music.odd_phrases
    ]
    unit = "8" if music.beats_per_bar == 6 else "4"
    return [
        row("tempo", words.say("fact", "tempo_value", bpm=number_text(music.bpm, words)), "bpm"),
        row("bar", music.time_signature or f"{music.beats_per_bar}/{unit}", "beats_per_bar"),
        row("feel", words.say("fact", "swung" if music.swing >= SWUNG_FROM else "straight"), "swing"),
        row("wait", words.number("song_script", "counts", wait), "intro_counts"),
        row("phrases", words.say("fact", "phrases_value", n=len(danced), usual=usual), "phrase_starts"),
        row("odd", ", ".join(odd) or words.say("fact", "no_odd"), "odd_phrases"),
    ]


def _row(label: str, value: str, sure: str, words: PageWords) -> str:
    note = f' <small class="sure-{sure}">{text(words.say("sure", sure))}</small>' if sure else ""
    return f"<div><dt>{text(label)}</dt><dd>{text(value)}{note}</dd></div>"


def doubt(music: MusicMap, words: PageWords) -> str:
    """Return the sentence about what an ear should check first."""
    doubted = [
        said
        for name, said in _DOUBTED_IN_TURN.items()
        if sure_word(music.certainty.get(name, 0.0)) == "doubtful"
    ]
    return words.say("doubt", doubted[0] if doubted else "none")


def finish(run: Run | None, words: PageWords) -> str:
    """Return where the last count finds the dancers, and the smallest change that ends at 12:00."""
    if run is None or not run.walls:
        return ""
    end = run.finish
    said = words.say(
        "finish",
        "at_front" if end.at_front else "not_front",
        wall=end.wall,
        count=end.count,
        clock=clock(end.facing),
    )
    change = f"<p>{text(_change(end.changes[0], words))}</p>" if end.changes else ""
    kind = "finish at-front" if end.at_front else "finish"
    return f'<div class="{kind}" id="finish"><b>{text(said)}</b>{change}</div>'


def _change(change: FinishChange, words: PageWords) -> str:
    if change.kind == "pose":
        held = words.number("song_script", "counts", change.hold_counts)
        return words.say("finish", "pose", count=change.count, n=held)
    said = []
    for turned in change.turns:
        name = "turn" if turned.total else "no_turn"
        said.append(words.say("finish", name, count=turned.count, turn=words.turn(turned.total)))
    return " ".join(said)


def walls_table(run: Run | None, words: PageWords) -> str:
    """Return the walls as a plain table, for a reader without scripts."""
    if run is None:
        return ""
    starts = {wall.wall: wall.start_seconds for wall in run.walls}
    head = "".join(
        f'<th scope="col">{text(said)}</th>'
        for said in (
            words.say("fact", "walls"),
            words.say("chart", "starts"),
            words.say("chart", "facing"),
            words.say("chart", "counts"),
            words.say("chart", "remark"),
        )
    )
    rows = []
    for piece in pieces_of(run, None, words):
        facing = clock(piece.facing) if piece.facing is not None else ""
        when = clock_text(starts[piece.wall]) if facing else ""
        cells = (when, facing, f"{piece.counts:g}", piece.note)
        rows.append(
            f'<tr><th scope="row">{text(piece.label)}</th>'
            f"{''.join(f'<td>{text(cell)}</td>' for cell in cells)}</tr>"
        )
    body = f"<thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody>"
    return f'<table class="no-script-walls">{body}</table>'
