"""What the reader hands over and what the checks understand are the same codes."""

from __future__ import annotations

import re
from pathlib import Path

import noonwall
from noonwall.checks.counts import LABEL_CODES, LINE_CODES
from noonwall.checks.weight import CODES

TEXT = Path(noonwall.__file__).parent / "text"
HANDLED = {*LABEL_CODES, *LINE_CODES, *CODES, "facing.turn-side", "facing.turn-amount", "turn.no-side"}


def test_every_trouble_of_the_reader_is_known_to_a_check() -> None:
    told: set[str] = set()
    for path in TEXT.glob("*.py"):
        told |= set(re.findall(r'"((?:counts|weight|facing|turn)\.[a-z-]+)"', path.read_text("utf-8")))
    assert told, "the reader says nothing, so this test sees nothing"
    assert told <= HANDLED
