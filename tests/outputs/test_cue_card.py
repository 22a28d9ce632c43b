"""Cue cards: how large the letters are, measured on the finished PDF."""

from __future__ import annotations

import re
import struct

import pytest

from noonwall.outputs import cue_card
from noonwall.outputs.cue_card import capital_millimetres
from noonwall.outputs.typeset import CAP_HEIGHT, font_folder
from tests.outputs import printing_kit as kit

POINT_MILLIMETRES = 25.4 / 72


def test_capitals_follow_the_published_formula() -> None:
    """NUREG-0700 revision 2, 1.3.1-4: 6.283 · D · MA / 21600; ISO 9241-3: at least 16 minutes of arc."""
    assert capital_millimetres(2.0) == pytest.approx(9.308, abs=0.001)
    assert capital_millimetres(2.0, 20) == pytest.approx(11.635, abs=0.001)


def test_the_height_of_a_capital_is_that_of_the_font() -> None:
    """The OpenType specification: sCapHeight at byte 88 of the table OS/2, unitsPerEm at byte 18 of head."""
    data = (font_folder() / "SourceSansPro-Semibold.ttf").read_bytes()
    tables = {}
    for number in range(struct.unpack(">H", data[4:6])[0]):
        tag, _, offset, _ = struct.unpack(">4sIII", data[12 + 16 * number : 28 + 16 * number])
        tables[tag] = offset
    (height,) = struct.unpack(">h", data[tables[b"OS/2"] + 88 : tables[b"OS/2"] + 90])
    (units,) = struct.unpack(">H", data[tables[b"head"] + 18 : tables[b"head"] + 20])
    assert height / units == pytest.approx(CAP_HEIGHT, abs=0.001)


def stated(text: str) -> tuple[float, float]:
    """Return the height in millimetres and the distance in metres that a card states."""
    found = re.search(r"([\d.,]+) mm\D+([\d.,]+) m \(", text)
    assert found is not None, text
    height, distance = (float(number.replace(",", ".")) for number in found.groups())
    return height, distance


@pytest.mark.parametrize("name", kit.SHEETS)
@pytest.mark.parametrize("languages", [("en",), ("fr", "en")])
def test_the_card_says_how_large_it_is(name: str, languages: tuple[str, ...]) -> None:
    reader = kit.pdf_of(cue_card.make(kit.printed(name, languages)).content)
    assert len(reader.pages) == len(languages)
    for number, page in enumerate(reader.pages):
        height, distance = stated(kit.words_of(page.extract_text()))
        size = max(kit.sizes_of(reader, number).values())
        assert size * CAP_HEIGHT * POINT_MILLIMETRES == pytest.approx(height, abs=0.06)
        assert height / capital_millimetres(1.0) == pytest.approx(distance, abs=0.06)


@pytest.mark.parametrize("name", ["english/dev/01", "french/dev/03"])
def test_a_card_of_32_counts_is_read_from_two_metres(name: str) -> None:
    reader = kit.pdf_of(cue_card.make(kit.printed(name, ("en", "fr"))).content)
    assert all(stated(kit.words_of(page.extract_text()))[1] >= 2.0 for page in reader.pages)


@pytest.mark.parametrize("name", kit.SHEETS)
def test_every_eight_has_a_line_with_its_facing(name: str) -> None:
    data = kit.printed(name)
    text = kit.all_text(kit.pdf_of(cue_card.make(data).content))
    at = 0
    for block in data.blocks:
        if block.kind == "section":
            at = text.index(block.counts, at)
            for _, name_of_figure in block.cues[0]:
                at = text.index(kit.words_of(name_of_figure), at)
    for (words,) in data.told("short"):
        assert kit.words_of(words) in text
