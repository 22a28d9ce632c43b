"""The sheet's restarts and tags against songs that have, lack or move their odd phrases."""

from __future__ import annotations

from fractions import Fraction

from noonwall.dance import Dance, Restart, Tag
from noonwall.findings import Finding, Place
from noonwall.fit import Song, StatedChange, check_stated, count_grid, outline_of
from tests.fit.builders import dance, part, song, walk

TAG = part("Tag", "RLRL", kind="tag")


def judged(danced: Dance, music: Song) -> tuple[list[StatedChange], list[Finding]]:
    return check_stated(danced, outline_of(danced), count_grid(music))


def codes(found: list[Finding]) -> list[str]:
    return [finding.code for finding in found]


def test_a_tag_on_its_odd_phrase_says_nothing() -> None:
    danced = dance(walk(32), TAG, tags=(Tag(2, Fraction(32), "Tag"),))
    changes, found = judged(danced, song([16, 32, 36, 32, 32]))
    assert found == []
    [change] = changes
    assert (change.kind, change.extra_counts, change.odd_phrase, change.distance) == ("tag", 4, (48, 36), 0)
    assert change.at_seconds == 80 / 2
    assert change.next_on_phrase and not change.would_anyway and change.serves


def test_a_restart_on_a_short_phrase_says_nothing() -> None:
    danced = dance(walk(32), restarts=(Restart(3, Fraction(20)),))
    changes, found = judged(danced, song([16, 32, 32, 20, 32, 32]))
    assert found == []
    assert (changes[0].extra_counts, changes[0].odd_phrase) == (-12, (80, 20))


def test_a_song_without_odd_phrases_is_told_once_and_each_change_in_its_place() -> None:
    place = Place(12, 1)
    danced = dance(
        walk(32), TAG, restarts=(Restart(2, Fraction(16), place=place),), tags=(Tag(4, Fraction(32), "Tag"),)
    )
    changes, found = judged(danced, song([16, 32, 32, 32, 32, 32, 32, 32]))
    assert codes(found) == [
        "fit.no-odd-phrases",
        "fit.restart-without-odd-phrase",
        "fit.tag-without-odd-phrase",
    ]
    assert found[0].facts == {"walls": [2, 4]}
    assert found[1].place == place
    assert found[1].facts["wall"] == 2
    assert found[1].facts["distance"] is None
    # wall 2 begins 16 + 32 counts into the song at 120 a minute; the restart comes 16 counts later
    assert found[1].facts["seconds"] == (48 + 16) / 2
    assert all(not change.serves for change in changes)


def test_a_restart_beside_the_odd_phrase_says_how_far() -> None:
    danced = dance(walk(32), restarts=(Restart(1, Fraction(16)),))
    _, found = judged(danced, song([16, 32, 32, 32, 20, 32, 32]))
    assert "fit.restart-without-odd-phrase" in codes(found)
    first = found[codes(found).index("fit.restart-without-odd-phrase")]
    # the odd phrase starts on count 112, the cut wall ends after count 31
    assert first.facts["distance"] == 112 - 31


def test_an_odd_phrase_that_the_sheet_passes_over_is_named() -> None:
    danced = dance(walk(32))
    changes, found = judged(danced, song([16, 32, 36, 32, 32]))
    assert changes == []
    assert codes(found) == ["fit.odd-phrase-unanswered"]
    assert found[0].facts == {"seconds": 24.0, "odd_counts": 36, "usual_counts": 32, "wall": 4}


def test_a_change_that_leaves_the_next_wall_inside_a_phrase_is_named() -> None:
    danced = dance(walk(32), TAG, tags=(Tag(2, Fraction(32), "Tag", times=2),))
    _, found = judged(danced, song([16, 32, 36, 32, 32]))
    assert codes(found)[0] == "fit.change-leaves-phrase"
    assert found[0].facts["odd_counts"] == 36


def test_a_restart_that_meets_a_phrase_without_an_odd_one_serves() -> None:
    # 48 counts against phrases of 32: cut after 32, each such wall ends with a phrase
    danced = dance(walk(40), restarts=(Restart(1, Fraction(32)),))
    changes, found = judged(danced, song([16, 32, 32, 32, 32]))
    assert [change.wall for change in changes] == [1]
    assert changes[0].next_on_phrase
    assert "fit.change-leaves-phrase" not in codes(found)


def test_a_change_after_the_song_is_advice() -> None:
    danced = dance(walk(32), restarts=(Restart(9, Fraction(16)),))
    _, found = judged(danced, song([16, 32, 32]))
    assert codes(found) == ["fit.change-beyond-song"]
    assert found[0].facts == {"wall": 9, "last_wall": 2}


def test_a_change_that_cannot_be_danced_is_wrong() -> None:
    danced = dance(walk(32), restarts=(Restart(2, Fraction(48)),))
    _, found = judged(danced, song([16, 32, 32, 32]))
    assert codes(found) == ["fit.change-undanceable"]
    assert found[0].severity == "wrong"
