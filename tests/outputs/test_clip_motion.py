"""Where the feet are at any second, and what the camera sees: held against the floor's own stances."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonwall.outputs.clip_camera import Camera
from noonwall.outputs.clip_data import VIEWS
from noonwall.outputs.clip_motion import Beats, Motion
from tests.outputs.clip_kit import SHEET, danced

FRAME_SECONDS = 1 / 60


def beats(swing: float = 0.5, speed: float = 1.0) -> Beats:
    return Beats(danced().cues.beats, swing, speed)


def motion() -> Motion:
    data = danced()
    return Motion.of(data.stretches, data.opening)


@given(st.floats(-7.9, 30.0), st.sampled_from([0.5, 0.6, 0.667]), st.sampled_from([1.0, 0.75]))
def test_counts_and_seconds_are_each_others_inverse(count: float, swing: float, speed: float) -> None:
    laid = beats(swing, speed)
    assert laid.count(laid.time(count)) == pytest.approx(count, abs=1e-6)


def test_swung_half_sounds_late_and_whole_counts_stay() -> None:
    # two thirds of a beat of 0.5 s: the swing of triplets, as MusicMap.swing defines it
    straight, swung = beats(0.5), beats(2 / 3)
    assert straight.time(3.5) - straight.time(3) == pytest.approx(0.25)
    assert swung.time(3.5) - swung.time(3) == pytest.approx(0.5 * 2 / 3)
    assert swung.time(4) == straight.time(4)


def test_slower_clip_stretches_every_beat() -> None:
    assert beats(speed=0.75).time(4) == pytest.approx(beats().time(4) / 0.75)


def test_each_foot_has_landed_on_its_count_as_the_floor_says() -> None:
    moving, checked = motion(), 0
    for stretch in danced().stretches:
        for moment in stretch.moments:
            seen = moving.seen(float(moment.count))
            for here, told in ((seen.left, moment.stance.left), (seen.right, moment.stance.right)):
                assert (here.x, here.y) == pytest.approx(told[:2])
                assert here.degrees == told.points * 45
                assert here.contact == told.contact
            assert seen.weight is moment.stance.weight
            checked += 1
    assert checked > 20


def test_feet_glide_and_never_jump() -> None:
    moving, laid = motion(), beats()
    spots = [
        moving.seen(laid.count(n * FRAME_SECONDS)) for n in range(round(danced().seconds / FRAME_SECONDS))
    ]
    for before, after in pairwise(spots):
        for one, other in ((before.left, after.left), (before.right, after.right)):
            # the fastest step here is 0.7 m in a quarter of a second; eased, its top speed is 1.5 times that
            assert hypot(other.x - one.x, other.y - one.y) < 0.09


def test_nothing_moves_before_the_first_count_is_near_and_after_the_song() -> None:
    moving = motion()
    assert moving.seen(-1.0) == moving.seen(-5.0)
    assert moving.seen(40.0) == moving.seen(60.0)


def test_a_foot_on_its_way_is_off_the_floor_and_carries_nothing() -> None:
    # count 1 of the sheet: the right foot steps to the side; it is under way just before
    assert SHEET.splitlines()[5].startswith("1-2 Step right to right side")
    seen = motion().seen(-0.35)
    assert seen.right.contact == "air" and seen.right.lift > 0.9
    assert seen.left.contact == "flat" and seen.left.lift == 0


@pytest.mark.parametrize("view", VIEWS)
def test_both_feet_are_in_view_at_all_times(view: str) -> None:
    data, moving, laid = danced(), motion(), beats()
    camera = Camera.of(moving, data.stretches, laid, view)
    for number in range(round(data.seconds * 10)):
        seconds = number / 10
        seen, shown = moving.seen(laid.count(seconds)), camera.view(seconds)
        for foot in (seen.left, seen.right):
            assert hypot(foot.x - shown.x, foot.y - shown.y) < shown.radius - 0.15


@pytest.mark.parametrize("view", VIEWS)
def test_camera_moves_smoothly(view: str) -> None:
    data = danced()
    camera = Camera.of(motion(), data.stretches, beats(), view)
    views = [camera.view(n * FRAME_SECONDS) for n in range(round(data.seconds / FRAME_SECONDS))]
    for before, after in pairwise(views):
        assert hypot(after.x - before.x, after.y - before.y) < 0.06
        # a quarter turn in 0.7 s, eased
        assert abs(after.degrees - before.degrees) < 1.5 * 90 / 0.7 * FRAME_SECONDS + 0.1


def test_noon_stays_on_top_unless_asked_otherwise() -> None:
    data = danced()
    assert [stretch.facing for stretch in data.stretches] == [0, 2]
    middle = beats().time(18)
    for view, top in (("above", 0), ("follow", 0), ("turned-to-front", 90)):
        camera = Camera.of(motion(), data.stretches, beats(), view)
        assert camera.view(middle).degrees % 360 == top, view
