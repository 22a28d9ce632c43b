"""Restarts, tags and endings in the words of many authors, each at the end of the same sheet of 32 counts."""

from __future__ import annotations

import pytest

from noonwall.text.sheet import read_sheet

SHEET = """PEBBLE BEACH
32 count, 4 wall, Improver
Choreographer: Ivy Marchbank
Music: Any at 120 bpm

Section 1: Side, touch, side, touch, vine right
1-4 Step R to side, touch L beside R, step L to side, touch R beside L
5-8 Step R to side, step L behind R, step R to side, touch L beside R
Section 2: Vine left, rock, coaster
1-4 Step L to side, step R behind L, step L to side, touch R beside L
5-6 Rock R forward, recover L
7&8 R coaster step
Section 3: Pivot 1/2 twice, shuffles
1-4 Step L fwd, pivot 1/2 R, step L fwd, pivot 1/2 R
5&6 Shuffle L fwd
7&8 Shuffle R fwd
Section 4: Rock, 1/4 side, touch
1-4 Rock L fwd, recover R, 1/4 L stepping L to side, touch R beside L
5-8 Step R to side, touch L beside R, step L to side, touch R beside L
"""
RESTARTS = [
    ("Restart: On wall 3 after 16 counts", [(3, 16)]),
    ("Restart after count 16 on walls 2 & 5", [(2, 16), (5, 16)]),
    (
        "RESTARTS: Wall 3 (facing 6:00) after 16 counts, and wall 6 (facing 12:00) after 8 counts.",
        [(3, 16), (6, 8)],
    ),
    (
        "There is one restart, during wall 4, dance the first 16 counts then start again facing 3:00",
        [(4, 16)],
    ),
    ("**R** Wall 5 - restart after section 2", [(5, 16)]),
    ("Restart wall 2 at the end of section 2", [(2, 16)]),
    ("During the 6th wall, dance up to count 16 and restart", [(6, 16)]),
    ("2 restarts: both after 16 counts, walls 3 and 7", [(3, 16), (7, 16)]),
    ("Restart on Wall 3: replace counts 15-16 with rock R back recover L, then restart", [(3, 16)]),
    ("Restart wall 3 after 16 counts - change counts 15&16 to rock R back, recover L", [(3, 16)]),
    ("No tags or restarts.", []),
]
TAGS = [
    ("Tag: at the end of walls 2 and 4 (4 counts)\n1-4 Sway R, L, R, L", [(2, 32, 4), (4, 32, 4)]),
    ("TAG - end of wall 3 only\n1-2 Rock R back, recover L\n3-4 Stomp R, stomp L", [(3, 32, 4)]),
    ("4 count tag danced after wall 1 & 3: Rocking chair R", [(1, 32, 4), (3, 32, 4)]),
    ("Tag after wall 2: Rocking chair x2", [(2, 32, 8)]),
    ("Tag 1 (end of wall 2): 1-4 Rocking chair", [(2, 32, 4)]),
    (
        "Tag 1 (end of wall 2): 1-4 Rocking chair\nTag 2 (end of wall 5): 1-8 Rocking chair x2",
        [(2, 32, 4), (5, 32, 8)],
    ),
    ("TAG x2 (end of wall 3)\n1-4 Rocking chair", [(3, 32, 8)]),
    (
        "At the end of wall 4 (facing 12 o'clock) add the following 4 counts:\n1-4 Jazz box",
        [(4, 32, 4)],
    ),
    ("À la fin du mur 4 (face à 12h), ajouter les 4 comptes suivants :\n1-4 Jazz box", [(4, 32, 4)]),
    ("Bridge: During wall 3 after 16 counts\n1-4 Hip sways R L R L", [(3, 16, 4)]),
]


@pytest.mark.parametrize(("words", "restarts"), RESTARTS, ids=[words for words, _ in RESTARTS])
def test_restarts(words: str, restarts: list[tuple[int, int]]) -> None:
    reading = read_sheet(SHEET + words + "\n", "en")
    assert reading.dance is not None
    assert not reading.claims.not_understood
    assert [(one.wall, one.after_count) for one in reading.dance.restarts] == restarts


@pytest.mark.parametrize(("words", "tags"), TAGS, ids=[words.split("\n")[0] for words, _ in TAGS])
def test_tags(words: str, tags: list[tuple[int, int, int]]) -> None:
    dance = read_sheet(SHEET + words + "\n", "en").dance
    assert dance is not None
    assert dance.main.counts == 32
    told = [(one.after_wall, one.after_count, dance.part(one.part).counts * one.times) for one in dance.tags]
    assert told == tags
