"""The map: corrections are pure, kept and re-applied; JSON round-trips and obeys the published schema."""

from __future__ import annotations

import dataclasses
import itertools
import json
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from noonwall.errors import BrokenFile
from noonwall.music.faults import CannotCorrect, Remark
from noonwall.music.layout import Correction, lay
from noonwall.music.map import Alternative, MusicMap, laid_out, reapply

SCHEMA = json.loads(
    (Path(__file__).parents[2] / "docs/schema/music-map.schema.json").read_text(encoding="utf-8")
)
SURE = dict.fromkeys(SCHEMA["properties"]["certainty"]["required"], 0.9)


def song(
    lengths: tuple[int, ...] = (16, 32, 32, 36, 32),
    *,
    intro: int = 1,
    pickup: int = 0,
    bar: int = 4,
    bpm: float = 120.0,
) -> MusicMap:
    """A map with phrases of these lengths after a pickup; the first `intro` of them are the intro."""
    count = pickup + sum(lengths)
    beats = tuple(0.5 + 60.0 / bpm * beat for beat in range(count))
    bare = MusicMap(
        bpm,
        bar,
        beats,
        (),
        (),
        (),
        0,
        (),
        beats[-1] + 2.0,
        SURE,
        alternatives=(Alternative("half", bpm / 2, 0.5, 0.1),),
    )
    starts = [pickup + sum(lengths[:number]) for number in range(len(lengths))]
    return laid_out(bare, lay(beats, bar, starts, starts[intro], bare.audio_end))


def counts_between(heard: MusicMap) -> list[int]:
    indices = [heard.nearest_beat(time) for time in heard.phrase_starts]
    return [after - before for before, after in itertools.pairwise(indices)]


def test_layout_by_hand() -> None:
    heard = song()
    assert heard.intro_counts == 16
    assert counts_between(heard) == [32, 32, 36]
    assert heard.odd_phrases == ((heard.beats[80], 36),)
    assert len(heard.bar_starts) == 148 // 4
    # 36 counts are four eights and a half: the eights begin anew at the next phrase.
    eights = [heard.nearest_beat(time) for time in heard.eight_starts]
    assert eights[:4] == [0, 8, 16, 24] and 112 in eights and 116 in eights and 120 not in eights


def test_waltz_counts_in_sixes() -> None:
    heard = song((12, 24, 24, 24), bar=3)
    assert [heard.nearest_beat(time) for time in heard.eight_starts][:4] == [0, 6, 12, 18]
    assert heard.odd_phrases == ()


def test_tap_moves_the_one_by_the_least() -> None:
    heard = song()
    moved = heard.with_one_at(heard.beats[18] + 0.03)
    assert heard.beats[18] in moved.eight_starts and heard.beats[18] in moved.phrase_starts
    back = song().with_one_at(heard.beats[15])
    assert heard.beats[15] in back.phrase_starts and back.intro_counts == 12 and back.first_one == 3


def test_tap_between_beats_moves_the_beats() -> None:
    heard = song()
    middle = heard.beats[16] + 0.25
    moved = heard.with_one_at(middle)
    assert moved.beats[moved.nearest_beat(middle)] == pytest.approx(middle)
    assert min(abs(time - middle) for time in moved.eight_starts) < 1e-9


def test_halved_and_doubled() -> None:
    heard = song((16, 32, 32, 32, 32))
    slow = heard.halved()
    assert slow.bpm == 60.0 and slow.beats == heard.beats[::2]
    assert counts_between(slow) == [32] and slow.intro_counts == 8
    fast = heard.doubled()
    assert fast.bpm == 240.0 and fast.intro_counts == 32 and set(counts_between(fast)) == {32}
    assert fast.halved().beats == heard.beats
    assert counts_between(fast.halved()) == counts_between(heard)


def test_shift_by_a_count_and_by_half() -> None:
    heard = song()
    assert heard.shifted(1).phrase_starts[0] == heard.beats[17]
    assert heard.shifted(-1).phrase_starts[0] == heard.beats[15]
    assert heard.shifted(0.5).phrase_starts[0] == pytest.approx(heard.beats[16] + 0.25)


def test_mark_and_odd_phrase() -> None:
    heard = song((16, 32, 32, 32, 32))
    nearby = heard.with_phrase_at(heard.beats[50])
    assert counts_between(nearby) == [34, 30, 32]
    cut = heard.with_phrase_at(heard.beats[64])
    assert counts_between(cut) == [32, 16, 16, 32]
    odd = heard.with_odd_phrase(heard.beats[48], 36)
    assert odd.odd_phrases == ((heard.beats[48], 36),)
    assert odd.phrase_starts[2] == heard.beats[84]


def test_corrections_are_kept_and_applied_again() -> None:
    heard = song()
    mended = heard.with_one_at(heard.beats[17]).with_odd_phrase(heard.beats[49], 28).halved()
    assert [correction.kind for correction in mended.corrections] == ["tap_one", "odd_phrase", "halve"]
    assert reapply(mended.corrections, heard) == mended
    assert heard.corrections == ()


@pytest.mark.parametrize(
    "wrong", [Correction("sing"), Correction("tap_one"), Correction("odd_phrase", 3.0, 0.0)]
)
def test_impossible_corrections_are_named(wrong: Correction) -> None:
    with pytest.raises(ValueError, match=r"correction|phrase"):
        song().corrected(wrong)


def test_nothing_to_correct_without_beats() -> None:
    empty = dataclasses.replace(song(), beats=(), bpm=0.0)
    with pytest.raises(ValueError, match="No beat"):
        empty.halved()


def test_json_obeys_the_schema_and_returns() -> None:
    heard = song(pickup=2).with_one_at(9.0)
    jsonschema.validate(json.loads(heard.to_json()), SCHEMA)
    assert MusicMap.from_json(heard.to_json()) == heard
    assert set(SCHEMA["properties"]) == set(json.loads(heard.to_json()))


@pytest.mark.parametrize("text", ["", "[]", "{", '{"format": 9}', '{"format": 1}'])
def test_broken_json_is_one_sentence(text: str) -> None:
    with pytest.raises(BrokenFile) as error:
        MusicMap.from_json(text)
    assert str(error.value).endswith("listen to the song again.")


corrections = st.one_of(
    st.builds(Correction, st.sampled_from(["tap_one", "mark_phrase"]), st.floats(0.0, 90.0), st.none()),
    st.builds(Correction, st.just("shift"), st.none(), st.integers(-40, 40).map(lambda half: half / 2)),
    st.builds(Correction, st.sampled_from(["halve", "double"])),
    st.builds(Correction, st.just("odd_phrase"), st.floats(0.0, 90.0), st.integers(1, 64).map(float)),
)


@settings(max_examples=300, deadline=None)
@given(
    st.lists(st.sampled_from([16, 28, 32, 36]), min_size=1, max_size=6),
    st.integers(0, 2),
    st.integers(0, 3),
    st.lists(corrections, max_size=4),
)
def test_any_corrections_leave_a_sound_map(
    lengths: list[int], intro: int, pickup: int, wishes: list[Correction]
) -> None:
    heard = song(tuple(lengths), intro=min(intro, len(lengths) - 1), pickup=pickup)
    for wish in wishes:
        try:
            heard = heard.corrected(wish)
        except ValueError as error:
            assert str(error) == "There are too few beats to count at half the tempo."
    jsonschema.validate(json.loads(heard.to_json()), SCHEMA)
    assert MusicMap.from_json(heard.to_json()) == heard
    beats = set(heard.beats)
    assert list(heard.beats) == sorted(beats)
    for times in (heard.bar_starts, heard.eight_starts, heard.phrase_starts):
        assert list(times) == sorted(set(times)) and set(times) <= beats
    # Phrases follow each other without a gap to the last beat.
    ends = [start + length for start, length in heard.phrases]
    assert ends[:-1] == [start for start, _ in heard.phrases[1:]] and ends[-1] == len(heard.beats)
    assert heard.intro_counts == heard.phrases[heard.intro_phrases][0] - heard.first_one


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 147))
def test_the_tapped_beat_starts_an_eight(beat: int) -> None:
    heard = song((16, 32, 32, 36, 32))
    assert heard.beats[beat] in heard.with_one_at(heard.beats[beat]).eight_starts


def test_remarks_are_codes_with_facts_and_survive_the_disk() -> None:
    doubt = Remark("song.beat-doubtful", {"bpm": "120.0", "others": "60.0 (half)"})
    heard = song().remarked((doubt, Remark("song.drifts")))
    again = MusicMap.from_json(heard.to_json())
    assert again.remark_codes == (doubt, Remark("song.drifts"))
    assert again.remarks == (doubt.sentence, Remark("song.drifts").sentence)
    assert "120.0 beats a minute" in again.remarks[0] and "60.0 (half)" in again.remarks[0]


def test_a_map_of_an_older_edition_is_read_without_codes() -> None:
    plain = json.loads(song().to_json())
    del plain["remark_codes"]
    plain["remarks"] = ["The tempo drifts."]
    jsonschema.validate(plain, SCHEMA)
    assert MusicMap.from_json(json.dumps(plain)).remarks == ("The tempo drifts.",)


def test_what_cannot_be_corrected_has_a_code() -> None:
    with pytest.raises(CannotCorrect) as error:
        song().corrected(Correction("sing"))
    assert error.value.code == "map.unknown-correction" and error.value.facts["kind"] == "sing"
