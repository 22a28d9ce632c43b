"""What a class knows, what is hard for it, and what to watch for."""

from __future__ import annotations

import json
from fractions import Fraction
from types import MappingProxyType

import jsonschema
import pytest

from noonwall.errors import BrokenFile
from noonwall.teach.difficulty import pace_percent, work_of
from noonwall.teach.knowing import KNOWN, TAUGHT, ClassKnows, class_from
from noonwall.teach.spans import danced, spans_of
from noonwall.teach.watch import cautions_of, count_name, watched

from .lesson_kit import ROOT, example

SCHEMA = json.loads((ROOT / "docs/schema/class.schema.json").read_text("utf-8"))
NOTHING = ClassKnows()


def test_a_class_is_read_and_written_by_its_schema() -> None:
    plain = {"name": "Tuesday", "figures": {"vine": 1.0, "shuffle": 0.5}, "dances": ["Lantern Walk"]}
    jsonschema.Draft202012Validator(SCHEMA).validate(plain)
    knows = class_from(plain)
    assert (knows.of("vine"), knows.of("coaster-step")) == (1.0, 0.0)
    assert knows.plain() == plain
    assert class_from({"name": "New"}).plain() == {"name": "New", "figures": {}, "dances": []}


@pytest.mark.parametrize(
    ("plain", "code"),
    [
        ([], "class.object"),
        ({"figures": {}}, "class.object"),
        ({"name": "A", "figures": []}, "class.lists"),
        ({"name": "A", "dances": "Lantern Walk"}, "class.lists"),
        ({"name": "A", "dances": [1]}, "class.lists"),
        ({"name": "A", "figures": {"wibble": 1}}, "class.figure"),
        ({"name": "A", "figures": {"vine": 2}}, "class.share"),
        ({"name": "A", "figures": {"vine": True}}, "class.share"),
        ({"name": "A", "figures": {"vine": "well"}}, "class.share"),
    ],
)
def test_what_is_no_class_is_told(plain: object, code: str) -> None:
    with pytest.raises(BrokenFile) as told:
        class_from(plain)
    assert told.value.code == code


def test_dances_that_were_taught_are_known_to_some_degree() -> None:
    knows = ClassKnows("Tuesday", MappingProxyType({"vine": 1.0, "shuffle": 0.2}), ("Old One",))
    now = knows.with_taught([("New One", ["vine", "shuffle", "rock"]), ("Old One", [])])
    assert dict(now.figures) == {"vine": 1.0, "shuffle": TAUGHT, "rock": TAUGHT}
    assert now.dances == ("Old One", "New One")
    assert TAUGHT >= KNOWN


def test_knowledge_makes_a_figure_easier_and_a_repeat_is_not_new_again() -> None:
    spans = spans_of(example("lantern-walk").main)[:2]  # a vine to each side
    fresh = work_of(spans, NOTHING, 110)
    half = work_of(spans, ClassKnows("", MappingProxyType({"vine": 0.5})), 110)
    assert (fresh.figures, fresh.new) == (40, 20)
    assert (half.figures, half.new) == (40, 10)
    assert work_of(spans[:1], NOTHING, 110).new == fresh.new


def test_turns_off_beat_steps_and_pace_add_up() -> None:
    spans = spans_of(example("tide-table").main)
    pivot = next(span for span in spans if span.figure == "pivot-turn")
    shuffle = next(span for span in spans if span.figure == "shuffle")
    assert work_of([pivot], NOTHING, 110).turns == 10  # a half turn is two quarters
    assert work_of([shuffle], NOTHING, 110).off_beat == 5  # the "&" of 3&4
    assert work_of([shuffle], NOTHING, 180).points == round(1.5 * work_of([shuffle], NOTHING, 110).points)
    assert (pace_percent(90), pace_percent(145), pace_percent(300)) == (0, 25, 50)


def test_weight_traps_turns_and_rhythm_are_watched_for() -> None:
    dance = example("tide-table")
    track, spans = danced(dance.main, dance.start_free_foot), spans_of(dance.main)
    second = {one.id: dict(one.facts) for one in watched(track, spans, 8, 16, 0)}
    assert second["turn"] == {"count": "10", "turn": "4", "side": "L", "facing": "0", "facing_end": "4"}
    fourth = {one.id: dict(one.facts) for one in watched(track, spans, 24, 32, 0)}
    assert fourth["touch-then-step"]["foot"] == "R"  # heel right forward, then the right foot steps
    assert fourth["step-not-touch"] == {"count": "32", "foot": "L", "next_foot": "R"}
    assert fourth["off-beat"]["count"] == "29&30&"
    assert len(watched(track, spans, 0, 32, 0)) == 3


def test_two_counts_in_a_row_are_not_read_as_one_number() -> None:
    dance = example("paper-boats")  # its first figures are danced on 1-2& and 3-4&
    track, spans = danced(dance.main, dance.start_free_foot), spans_of(dance.main)
    assert dict(watched(track, spans, 0, 4, 0)[0].facts)["count"] == "1-2&"


def test_cautions_name_their_counts() -> None:
    found = cautions_of(spans_of(example("tide-table").main))
    assert found["stomp"] == ("31", "32") and found["knee-twist"] == ("10",)


@pytest.mark.parametrize(
    ("at", "name"), [("0", "1"), ("5/2", "3&"), ("-1/2", "&1"), ("1/4", "1e"), ("7/4", "2a")]
)
def test_counts_are_named_as_they_are_said(at: str, name: str) -> None:
    assert count_name(Fraction(at)) == name
