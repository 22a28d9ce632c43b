"""The opening words, what changes, the finish with its styling, and the closing words: all from facts."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from noonwall.dance.model import Dance, Foot
from noonwall.dance.turns import walls_of
from noonwall.fit import Finish, Run
from noonwall.fit.finish import wall_moments
from noonwall.floor import Stance, dance_run
from noonwall.teach.spelling import Spelling
from noonwall.teach.telling import Told, told
from noonwall.teach.values import Piece, Tempo


def opening_words(
    dance: Dance, spelling: Spelling, tempo: Tempo, song_name: str, run: Run | None, known: Sequence[str]
) -> tuple[Told, ...]:
    """Return what is said before the first step.

    Args:
        dance: the dance.
        spelling: words of its header.
        tempo: counts a minute.
        song_name: what the song is called, "" without one.
        run: the dance on the song, or None.
        known: ids of its figures that the class knows.
    """
    languages = spelling.languages

    def say(id: str, **facts: object) -> Told:
        return told(languages, f"opening.{id}", **facts)

    found = [say("title", title=dance.title) if dance.title else say("untitled")]
    if dance.choreographer:
        found.append(say("writer", writer=_writer(dance)))
    found += _shape(dance, say)
    level = spelling.level()
    if all(level):
        found.append(Told("opening.level", (), tuple(_level(languages, level))))
    music = song_name or " ".join(dance.music.split())
    if music:
        found.append(say("music", music=music))
    bpm = f"{tempo.bpm:.0f}"
    found.append(say("bpm_assumed" if tempo.source == "assumed" else "bpm", bpm=bpm))
    wait = run.wait_counts if run else dance.intro_counts
    if wait is not None:
        found.append(say("intro", n=wait))
    foot = dance.start_free_foot
    found.append(say("start_any") if foot is Foot.BOTH else say("start", foot=foot.value, facing=0))
    if not (dance.restarts or dance.tags):
        found.append(say("no_changes"))
    if known:
        found.append(say("known", figures=list(known)))
    return tuple(found)


def _writer(dance: Dance) -> str:
    """Return who wrote it, without the date that sheets put behind the name."""
    name = " ".join(dance.choreographer.split())
    return _DATE.sub("", name) or name


_DATE = re.compile(r"[\s,;–-]*\(?(?:\b[^\W\d]{3,10}\.?\s+|\b\d{1,2}[/.-])?\b(?:19|20)\d\d\)?\s*$")


def _level(languages: tuple[str, ...], level: Sequence[str]) -> Iterator[str]:
    for number, language in enumerate(languages):
        yield told((language,), "opening.level", level=level[number]).texts[0]


def _shape(dance: Dance, say: object) -> list[Told]:
    """Return the counts and walls, or the parts of a phrased dance."""
    assert callable(say)
    if dance.is_phrased:
        parts = [part for part in dance.parts if part.kind == "part"]
        return [say("part", part=part.label, n=int(part.counts)) for part in parts]
    counts = say("counts", n=int(dance.main.counts))
    return [counts, say("walls", n=walls_of(dance.main.turn))]


def change_words(dance: Dance, spelling: Spelling, run: Run | None) -> tuple[Told, ...]:
    """Return the restarts, tags and order of parts as the sheet has them, then what the song asks for."""
    found = [Told("changes.sheet", (), texts) for texts in spelling.changes()]
    for wall in run.walls if run else ():
        if wall.change in ("", "stated"):
            continue
        if wall.cut_after is not None:
            found.append(told(spelling.languages, "changes.cut", wall=wall.wall, n=wall.cut_after))
        elif wall.tag_counts:
            found.append(told(spelling.languages, "changes.tag", wall=wall.wall, n=wall.tag_counts))
    return tuple(found)


def finish_words(dance: Dance, languages: tuple[str, ...], run: Run | None) -> tuple[Told, ...]:
    """Return where the dance ends, how to end it at the front, and what arms and eyes do."""
    if run is not None:
        found = _song_finish(run.finish, languages)
        return (*found, *styling(languages, _song_stance(dance, run)))
    found = []
    ending = dance.ending
    if ending is not None and ending.wall is not None and ending.after_count is not None:
        key = "sheet" if ending.part else "sheet_pose"
        found.append(told(languages, f"finish.{key}", wall=ending.wall, n=int(ending.after_count)))
    elif ending is not None:
        found.append(told(languages, "finish.sheet_anywhere"))
    else:
        found.append(told(languages, "finish.no_song", facing=0))
    return (*found, *styling(languages, _last_stance(dance)))


def _song_stance(dance: Dance, run: Run) -> Stance | None:
    """Return the stance on the last beat of a song as the dance is written there."""
    last = run.walls[-1]
    moments = [one for one in wall_moments(dance, last) if one.count <= last.length - 1] if last.part else []
    return moments[-1].stance if moments else None


def _last_stance(dance: Dance) -> Stance | None:
    walls = dance_run(dance, 1).walls
    return walls[0].stance_end if walls else None


def _song_finish(finish: Finish, languages: tuple[str, ...]) -> list[Told]:
    facts: dict[str, object] = {"wall": finish.wall, "count": finish.count, "facing": finish.facing}
    found = [told(languages, "finish.place", **facts)]
    for change in finish.changes[:1]:
        if change.kind == "pose":
            found.append(told(languages, "finish.pose", count=change.count, n=change.hold_counts))
        for turn in change.turns:
            side = "R" if turn.total > 0 else "L"
            amount = {"turn": abs(turn.total), "side": side} if turn.total else {}
            key = "turn" if turn.total else "no_turn"
            found.append(told(languages, f"finish.{key}", count=turn.count, foot=turn.foot.value, **amount))
    return found


def styling(languages: tuple[str, ...], stance: Stance | None) -> tuple[Told, ...]:
    """Return what arms, weight and eyes do in the last pose (our own choice, no source).

    Args:
        languages: of the texts.
        stance: where the last step leaves the feet, None if it is not known.
    """
    if stance is None or stance.weight is Foot.BOTH:
        return (told(languages, "finish.arms_open"), told(languages, "finish.eyes", facing=0))
    weight = stance.weight
    return (
        told(languages, "finish.arm_up", foot=weight.value, side=weight.other.value),
        told(languages, "finish.eyes", facing=0),
    )


def closing_words(
    dance: Dance,
    languages: tuple[str, ...],
    learned: Sequence[Piece],
    left: Sequence[Piece],
    cools_down: bool,
) -> tuple[Told, ...]:
    """Return what is said at the end: what was danced, what is left, the writer, and calming down."""
    found = []
    counts = sum(piece.counts for piece in learned if piece.kind == "part")
    if learned and not left:
        found.append(told(languages, "closing.whole", n=counts))
    elif learned:
        found.append(told(languages, "closing.some", n=counts))
    if left:
        found.append(
            told(languages, "closing.next", n=len(left), pieces=[str(piece.number) for piece in left])
        )
    new = list(dict.fromkeys(name for piece in learned for name in piece.new))
    if new:
        found.append(told(languages, "closing.remember", figures=new[:4]))
    if dance.choreographer:
        found.append(told(languages, "closing.writer", writer=_writer(dance)))
    if cools_down:
        found.append(told(languages, "closing.calm"))
    return tuple(found)
