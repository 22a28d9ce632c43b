"""Films hold what the floor danced, step for step."""

from __future__ import annotations

import itertools
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonwall.dance.model import Dance, Foot, Part, Restart, Section, Step, Tag
from noonwall.findings import Finding, Place, Severity
from noonwall.floor import RunDanced, dance_part, dance_run
from noonwall.outputs.film import (
    Wording,
    count_label,
    film_of_part,
    film_of_run,
    frames_of,
    page_finding,
)
from tests.outputs.harbour_lights import Speaker, harbour_lights

WORDING = Wording(Speaker("en").step, Speaker("en").figure, "en")


@pytest.mark.parametrize(
    ("at", "start", "label"),
    [
        # Labels by the convention of the trade: "&" halves a beat, "e" and "a" are its quarters.
        ("0", "0", "1"),
        ("1/2", "0", "&"),
        ("1/4", "0", "e"),
        ("7/4", "0", "a"),
        ("8", "8", "1"),
        ("15", "8", "8"),
        ("-1/2", "0", "&"),
        ("-1/4", "0", "a"),
        ("1/5", "0", "·"),
    ],
)
def test_count_labels(at: str, start: str, label: str) -> None:
    assert count_label(Fraction(at), Fraction(start)) == label


def test_part_film_follows_the_track() -> None:
    dance = harbour_lights()
    track = dance_part(dance.main)
    film = film_of_part(dance.main, track, WORDING)
    assert len(film.frames) == len(film.steps) + 1 == len(track.moments) + 1
    assert film.frames[0].stance == track.start and film.frames[0].count == -1
    for step, frame, moment in zip(film.steps, film.frames[1:], track.moments, strict=True):
        assert frame.stance == moment.stance
        assert (step.count, step.foot, step.weight) == (moment.count, moment.step.foot, moment.stance.weight)
        assert step.facing == moment.stance.facing
    labels = [step.label for step in film.steps[:10]]
    assert labels == ["1", "2", "3", "&", "4", "5", "6", "7", "&", "8"]
    assert [section.counts for section in film.sections] == [8, 8, 8, 8]
    assert [section.first for section in film.sections] == [0, 10, 19, 27]
    assert film.steps[0].line == 7 and film.steps[0].figure == "Side together"


def test_run_film_has_walls_restart_and_tag_in_order() -> None:
    dance = harbour_lights()
    film = film_of_run(dance, dance_run(dance, 5), WORDING)
    assert [(section.label, section.start, section.counts) for section in film.sections] == [
        ("Wall 1", 0, 32),
        ("Wall 2", 32, 32),
        ("Wall 3", 64, 16),
        ("Wall 4", 80, 32),
        ("Tag after wall 4", 112, 4),
        ("Wall 5", 116, 32),
    ]
    assert [section.note for section in film.sections] == ["", "", "restart after count 16", "", "", ""]
    assert film.counts == 148
    # 3/4 to the left on each whole wall, 1/2 to the left on the wall that is cut before the quarter.
    facings = [film.frames[section.first].stance.facing % 8 for section in film.sections]
    assert facings == [0, 2, 4, 0, 2, 2]
    tag = film.sections[4]
    assert [step.label for step in film.steps[tag.first : tag.first + tag.steps]] == ["1", "2", "3", "4"]
    assert {step.line for step in film.steps[tag.first : tag.first + tag.steps]} == {28}


def test_sections_of_a_run_own_every_step_once() -> None:
    dance = harbour_lights()
    film = film_of_run(dance, dance_run(dance, 5), WORDING)
    owned = [index for s in film.sections for index in range(s.first, s.first + s.steps)]
    assert owned == list(range(len(film.steps)))


def test_tag_inside_a_wall_splits_it() -> None:
    dance = replace(harbour_lights(), restarts=(), tags=(Tag(2, Fraction(16), "Tag", times=2),))
    film = film_of_run(dance, dance_run(dance, 2), WORDING)
    assert [(s.label, s.start, s.counts) for s in film.sections] == [
        ("Wall 1", 0, 32),
        ("Wall 2", 32, 16),
        ("Tag in wall 2", 48, 8),
        ("Wall 2, continued", 56, 16),
    ]
    tag = film.sections[2]
    # Each time of the tag is counted from one.
    assert [s.label for s in film.steps[tag.first : tag.first + tag.steps]] == list("1234") * 2
    assert film.steps[film.sections[3].first].label == "1"


def test_step_change_before_a_restart_keeps_its_own_names() -> None:
    dance = harbour_lights()
    hold = Step(Fraction(0), "hold", None, False)
    figure = replace(dance.main.figures[0], id="wait", steps=(hold,), place=Place(27))
    change = Part("change", "main", Fraction(1), (Section("", Fraction(0), Fraction(1), (figure,)),))
    dance = replace(dance, restarts=(Restart(3, Fraction(16), change),))
    film = film_of_run(dance, dance_run(dance, 4), WORDING)
    wall = film.sections[2]
    last = film.steps[wall.first + wall.steps - 1]
    assert (last.figure, last.line, last.label, last.foot) == ("Wait", 27, "8", None)


def test_a_run_without_walls_is_an_empty_film() -> None:
    film = film_of_run(harbour_lights(), RunDanced(()), WORDING)
    assert film.steps == film.frames == film.sections == ()


def test_finding_is_tied_to_its_step() -> None:
    dance = harbour_lights()
    film = film_of_part(dance.main, dance_part(dance.main), WORDING)
    finding = Finding("x", Severity.WRONG, Place(20, 5, 9), Fraction(22), mend="(3:00)")
    made = page_finding(finding, "message", film)
    assert (made.line, made.column, made.end, made.mend) == (20, 5, 9, "(3:00)")
    assert made.step is not None and film.steps[made.step].count == 22
    elsewhere = replace(finding, place=Place(7))
    assert page_finding(elsewhere, "message", film).step is None
    assert page_finding(replace(finding, place=None), "message").line == 0


@given(st.lists(st.fractions(min_value=0, max_value=8, max_denominator=4), min_size=1, max_size=12))
def test_frames_never_go_back_even_if_a_sheet_does(counts: list[Fraction]) -> None:
    steps = tuple(Step(at, "touch", Foot.RIGHT, False, "side") for at in counts)
    figure = replace(harbour_lights().main.figures[0], steps=steps)
    part = Part("Main", "main", Fraction(8), (Section("1", Fraction(0), Fraction(8), (figure,)),))
    frames = frames_of(dance_part(part))
    assert len(frames) == len(steps) + 1
    assert all(a.count <= b.count for a, b in itertools.pairwise(frames))


def test_phrased_dance_names_its_parts() -> None:
    dance = harbour_lights()
    a, b = (replace(dance.main, label=label, kind="part") for label in "AB")
    phrased = Dance("Tide", (a, b), ("A", "B", "A"))
    film = film_of_run(phrased, dance_run(phrased), WORDING)
    assert [section.label for section in film.sections] == ["A", "B", "A"]
    assert film_of_part(a, dance_part(a), WORDING).label == "A"
