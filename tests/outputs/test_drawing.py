"""Still drawings: foot prints in SVG and in characters."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonwall.dance.model import Foot, Step
from noonwall.figures import vocabulary_moves
from noonwall.floor.place import OFFSETS
from noonwall.outputs.drawing import figure_drawing, figure_text_drawing
from noonwall.outputs.soles import CONTACTS, PLAIN_INK, sole

SVG = "{http://www.w3.org/2000/svg}"
STYLE = Path(__file__).parents[2] / "src/noonwall/outputs/page_assets/style.css"


def _steps(*texts: str) -> list[Step]:
    steps = []
    for text in texts:
        at, foot, move, to, turn = text.split()
        steps.append(Step(Fraction(at), move.lstrip("+"), Foot(foot), move.startswith("+"), to, int(turn)))
    return steps


COASTER = _steps("0 R +ball back 0", "1/2 L +ball together 0", "1 R +step fwd 0")
VINE = _steps("0 R +step side 0", "1 L +step behind 0", "2 R +step side 0", "3 L touch together 0")
PIVOT = _steps("0 R +step fwd 0", "1 L +recover place -4")

STEPS = st.builds(
    Step,
    st.fractions(min_value=0, max_value=8, max_denominator=4),
    st.sampled_from(sorted(vocabulary_moves())),
    st.sampled_from([*Foot, None]),
    st.booleans(),
    st.sampled_from([*sorted(OFFSETS), "place", ""]),
    st.integers(-8, 8),
)


def test_svg_numbers_every_count_and_shows_the_start() -> None:
    root = ET.fromstring(figure_drawing(COASTER, description='Coaster "step"'))
    assert [text.text for text in root.iter(f"{SVG}text")] == ["1", "&", "2"]
    assert root.get("aria-label") == 'Coaster "step"' and root.get("role") == "img"
    # Two starting feet off the floor, then three prints.
    assert len(root.findall(f"{SVG}g")) == 2 + 3
    assert [title.text for title in root.iter(f"{SVG}title")] == ["12:00"]


def test_weight_is_filled_and_no_weight_is_outlined() -> None:
    filled, outlined = sole("L", "flat", True, PLAIN_INK), sole("L", "flat", False, PLAIN_INK)
    assert set(re.findall(r'fill="([^"]+)"', filled)) == {PLAIN_INK.left}
    assert set(re.findall(r'fill="([^"]+)"', outlined)) == {PLAIN_INK.ground}


@pytest.mark.parametrize("foot", "LR")
def test_every_contact_looks_different(foot: str) -> None:
    shapes = {sole(foot, contact, has_weight) for contact in CONTACTS for has_weight in (True, False)}
    # A foot in the air looks the same whether or not it is said to carry weight: nothing of it is filled.
    assert len(shapes) == 2 * len(CONTACTS) - 1


def test_left_and_right_differ_in_shape_and_not_as_mirror_images() -> None:
    left, right = (re.findall(r' d="([^"]+)"', sole(foot, "flat", True)) for foot in "LR")
    mirrored = [re.sub(r"-?\d+\.?\d*", lambda m: m[0].lstrip("-"), path) for path in left]
    assert mirrored != [re.sub(r"-?\d+\.?\d*", lambda m: m[0].lstrip("-"), path) for path in right]


@given(st.lists(STEPS, max_size=10))
def test_any_steps_draw_well_formed_and_inside_the_box(steps: list[Step]) -> None:
    root = ET.fromstring(figure_drawing(steps))
    left, top, width, height = (float(n) for n in root.get("viewBox", "").split())
    for group in root.findall(f"{SVG}g"):
        x, y = (float(n) for n in re.findall(r"-?[\d.]+", group.get("transform", ""))[:2])
        assert left <= x <= left + width and top <= y <= top + height
    assert figure_text_drawing(steps).strip()


@pytest.mark.parametrize(
    ("steps", "language", "drawing"),
    [
        # Back on 1, beside it on &, forward on 2 to where the starting feet stood: those give way by a row.
        (COASTER, "en", ["  R2", "L.  R.", "", "L& R1"]),
        (VINE, "en", ["L.  R.   R1", "            L2  (L4) R3"]),
        (PIVOT, "fr", ["   D1", "", "", "G2↓ D.", "G."]),
    ],
)
def test_text_drawing(steps: list[Step], language: str, drawing: list[str]) -> None:
    drawn = figure_text_drawing(steps, language)
    assert drawn.split("\n") == drawing
    tokens = drawn.replace("\n", " ").split()
    letters = {"en": "LR", "fr": "GD"}[language]
    assert all(re.fullmatch(rf"\(?[{letters}][.\d&,]+[↑↗→↘↓↙←↖]?\)?", token) for token in tokens)


def test_text_drawing_sets_free_feet_in_brackets_and_turned_feet_with_an_arrow() -> None:
    assert "(L4)" in figure_text_drawing(VINE)
    assert "G2↓" in figure_text_drawing(PIVOT, "fr")


def _luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one: str, other: str) -> float:
    """Contrast ratio. Source: WCAG 2.2, definitions of relative luminance and contrast ratio."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_formula_against_known_values() -> None:
    # WCAG 2.2: black on white is 21:1; #767676 on white is the well-known lightest grey that passes 4.5:1.
    assert _contrast("#000000", "#ffffff") == pytest.approx(21)
    assert _contrast("#767676", "#ffffff") > 4.5 > _contrast("#777777", "#ffffff")


def _palettes() -> dict[str, dict[str, str]]:
    css = STYLE.read_text("utf-8")
    light, dark = re.findall(r":root \{([^}]*)\}", css)[:2]
    found = {
        name: dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", block))
        for name, block in [("light", light), ("dark", dark)]
    }
    return {"light": found["light"], "dark": found["light"] | found["dark"]}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_page_colours_meet_wcag_aa(scheme: str) -> None:
    colours = _palettes()[scheme]
    texts = ["ink", "soft", "wrong", "doubtful", "advice", "gap", "act"]
    for ground in ("paper", "card"):
        for name in texts:
            assert _contrast(colours[name], colours[ground]) >= 4.5, (name, ground)
    for name in ("left", "right", "act"):
        assert _contrast(colours[f"{name}-on"], colours[name]) >= 4.5, name
    for name in ("ink", "soft"):
        assert _contrast(colours[name], colours["now"]) >= 4.5, name
    # WCAG 1.4.11: parts of a drawing and borders of controls need 3:1.
    for name in ("left", "right", "edge"):
        assert _contrast(colours[name], colours["ground"]) >= 3, name
        assert _contrast(colours[name], colours["card"]) >= 3, name
    assert _contrast(colours["edge"], colours["card"]) >= 3


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_left_and_right_differ_in_shade_without_colour(scheme: str) -> None:
    colours = _palettes()[scheme]
    assert _contrast(colours["left"], colours["right"]) >= 2


def test_plain_ink_on_white_paper() -> None:
    measured = [
        round(_contrast(c, PLAIN_INK.ground), 1) for c in (PLAIN_INK.left, PLAIN_INK.right, PLAIN_INK.line)
    ]
    assert measured == [12.3, 5.0, 16.4]
    assert _contrast(PLAIN_INK.left, PLAIN_INK.right) > 2.4
