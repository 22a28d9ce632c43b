"""Nothing in a clip flashes: WCAG 2.2, 2.3.1, measured on its pictures with a fast dance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from PIL import Image

from noonwall.outputs.clip_data import ClipOrder
from noonwall.outputs.clip_frame import FramePainter
from tests.outputs.clip_kit import SMALL, danced
from tests.outputs.flashes import QUARTER_OF_A_FIELD, flashing_pixels, worst_area


def strobe(hertz: float, share: float) -> Iterator[Image.Image]:
    """Two seconds of a black picture whose left part blinks white."""
    for number in range(60):
        picture = Image.new("RGB", (160, 90))
        if number * hertz / 30 % 1 < 0.5:
            picture.paste("#ffffff", (0, 0, round(160 * share), 90))
        yield picture


def test_the_meter_sees_a_strobe_and_passes_a_slow_one() -> None:
    assert worst_area(strobe(5, 0.5), 30) == pytest.approx(0.5)
    assert worst_area(strobe(2, 1.0), 30) == 0.0
    assert worst_area([Image.new("RGB", (8, 8), "#808080")] * 40, 30) == 0.0


@pytest.mark.parametrize(
    "order",
    [SMALL, replace(SMALL, view="follow"), replace(SMALL, shape="portrait", overlay="green", view="follow")],
    ids=["above", "follow", "overlay"],
)
def test_a_fast_dance_does_not_flash(order: ClipOrder) -> None:
    # 200 a minute is faster than the dances of the quick classes, and "&" is danced between
    painter = FramePainter(danced(bpm=200.0, counts=24), order)
    left, top, right, bottom = painter.layout.floor
    shown = (painter.picture(number) for number in range(90, painter.frames))
    for flashing in flashing_pixels(shown, order.fps):
        assert flashing.mean() < QUARTER_OF_A_FIELD
        # soles come and go; nothing else does: neither number nor calls blink at all
        flashing[top:bottom, left:right] = False
        assert not flashing.any()


def test_at_a_usual_pace_a_quarter_of_what_is_allowed_is_not_reached() -> None:
    painter = FramePainter(danced(), SMALL)
    pictures = (painter.picture(number) for number in range(100, 280))
    assert worst_area(pictures, 30) < QUARTER_OF_A_FIELD / 4


def test_only_the_number_and_the_feet_change_from_beat_to_beat() -> None:
    """Between two beats of one call a small part of the picture changes, so the whole never blinks."""
    painter = FramePainter(danced(), SMALL)
    for number in range(150, 300):
        changed = painter.paint(number).changed
        if number > 150:
            area = sum((right - left) * (bottom - top) for left, top, right, bottom in changed)
            assert area < 0.75 * 320 * 180
