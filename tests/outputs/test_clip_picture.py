"""Single pictures: what is said when, letters that are missing, places that keep apart, colours."""

from __future__ import annotations

import string
import tomllib
from dataclasses import replace
from importlib import resources
from itertools import combinations, pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from noonwall.errors import NoonwallError
from noonwall.outputs.clip_data import SHAPES, ClipData, ClipOrder
from noonwall.outputs.clip_frame import FramePainter
from noonwall.outputs.clip_look import Palette, is_empty, layout_of
from noonwall.outputs.clip_soles import outline, sole_picture
from noonwall.outputs.clip_type import LINE_HEIGHT, fitted, font, not_shown, shown
from noonwall.outputs.clip_words import clip_word
from noonwall.outputs.soles import PIECES
from tests.outputs.clip_kit import SMALL, danced, titled

STRANGE = "نور ☂ 😀 <b>Lampe</b> & Hafen\u200d\ud800"


def painter(order: ClipOrder = SMALL, data: ClipData | None = None) -> FramePainter:
    return FramePainter(data or danced(), order)


def frame_of(count: float, made: FramePainter) -> int:
    return round(made.beats.time(count) * made.order.fps)


# --- what is said ------------------------------------------------------------------------------------------


def test_every_beat_says_what_the_cue_sheet_says() -> None:
    made = painter()
    for beat in danced().cues.beats:
        said = made.moment(round(beat.seconds * 30)).said
        if beat.said:
            assert (said.count, said.is_lead) == (beat.said, False)


def test_facing_shown_after_each_beat_is_that_of_the_cue_sheet() -> None:
    made = painter()
    for beat in danced().cues.beats:
        if beat.said:
            # just before the next beat all that is danced on this one is done
            said = made.moment(frame_of(beat.count + 0.9, made)).said
            assert said.facing == beat.facing, beat


def test_a_half_count_is_shown_beside_its_number_while_it_lasts() -> None:
    made = painter()
    # "3&4": the second half of the third count
    shown_there = [made.moment(frame_of(count, made)).said.between for count in (2.2, 2.6, 3.2)]
    assert shown_there == ["", "&", ""]


def test_waiting_counting_in_dancing_and_the_end_are_told_apart() -> None:
    made = painter()
    wait, lead, dance = (made.moment(frame_of(count, made)).said for count in (-7, -2, 0))
    assert (wait.waits, wait.count, wait.wall) == (7, 0, ())
    assert (lead.waits, lead.count, lead.is_lead) == (2, 7, True)
    assert (dance.waits, dance.count, dance.wall) == (0, 1, ("Wall 1",))
    longer = painter(data=replace(danced(), stretches=danced().stretches[:1]))
    assert longer.moment(frame_of(17, longer)).said.wall == ()


def test_calls_are_shown_before_and_while_they_are_danced() -> None:
    made = painter()
    calls = made.script.calls
    assert len(calls) > 4
    for call, following in pairwise(calls):
        said = made.moment(frame_of(float(call.on) + 0.1, made)).said
        assert said.now[0].casefold() == call.words[0].casefold()
        assert said.then[0].casefold() == following.words[0].casefold()


def test_a_new_wall_is_announced_before_it_comes_and_its_first_call_is_not_lost() -> None:
    made = painter(data=danced(counts=48))
    before, after = (made.moment(frame_of(count, made)).said for count in (14, 16.1))
    assert before.wall == ("Wall 1",) and any("wall 2" in text.casefold() for text in before.notice)
    assert after.wall == ("Wall 2",) and after.facing == 2
    first, again = (made.moment(frame_of(count, made)).said.now for count in (0.1, 16.1))
    assert first == again and first


def test_languages_stand_in_the_order_asked_for() -> None:
    data = danced(languages=("en", "fr"))
    english, french = (
        painter(replace(SMALL, languages=tags), data).moment(200).said.now for tags in (("en",), ("fr",))
    )
    both = painter(replace(SMALL, languages=("fr", "en")), data).moment(200).said.now
    assert both == (*french, *english) and english != french


# --- letters -----------------------------------------------------------------------------------------------


def test_what_the_face_lacks_is_a_box_and_is_named() -> None:
    assert shown(STRANGE) == "□□□ □ □ <b>Lampe</b> & Hafen"
    assert "😀" in not_shown([STRANGE]) and "ن" in not_shown([STRANGE])
    assert not_shown(["Où est passé l'œuf ? ½ ¼ “Été” – ça"]) == ()


def test_a_strange_title_makes_a_picture_and_is_reported() -> None:
    made = painter(data=titled(danced(), STRANGE))
    made.picture(0)
    assert "😀" in not_shown(made.script.texts())


def test_markup_in_a_title_stays_text() -> None:
    plain, marked = (painter(data=titled(danced(), title)).picture(0) for title in ("Lamp", "<b>Lamp</b>"))
    assert np.asarray(plain).tobytes() != np.asarray(marked).tobytes()


@given(
    st.text(st.characters(codec="latin-1", categories=["L", "N", "P", "Zs"]), max_size=120),
    st.integers(60, 600),
    st.integers(30, 200),
)
def test_a_fitted_text_never_leaves_its_box(text: str, width: int, height: int) -> None:
    made = fitted(text, "Bold", width, height, 48, 12)
    assert len(made.lines) * made.size * LINE_HEIGHT <= max(height, made.size * LINE_HEIGHT) + 1
    for line in made.lines:
        assert font("Bold", made.size).getlength(line) <= width or len(line) == 1
    if not made.is_cut:
        assert "".join(" ".join(made.lines).split()) == "".join(shown(text).split())


# --- the look ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("overlay", ["", "green"])
@pytest.mark.parametrize("captions", ["burned", "none"])
@pytest.mark.parametrize("is_marked", [False, True])
def test_places_lie_in_the_picture_and_never_on_each_other(
    shape: str, overlay: str, captions: str, is_marked: bool
) -> None:
    order = ClipOrder(shape=shape, overlay=overlay, captions=captions)
    layout = layout_of(order, is_marked)
    names = "floor wall section count between dial clock now then bar".split() + ["mark"] * is_marked
    boxes = {name: getattr(layout, name) for name in names}
    width, height = order.size
    for name, (left, top, right, bottom) in boxes.items():
        assert (left, top, right, bottom) == (0, 0, 0, 0) or 0 <= left < right <= width, name
        assert bottom <= height, name
    for (one, first), (other, second) in combinations(boxes.items(), 2):
        if is_empty(first) or is_empty(second):
            continue
        apart = (
            first[2] <= second[0] or second[2] <= first[0] or first[3] <= second[1] or second[3] <= first[1]
        )
        assert apart, f"{one} lies on {other}"


def luminance(colour: str) -> float:
    """Relative luminance by its definition in WCAG 2.2."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize(
    ("front", "back", "least"),
    [
        # WCAG 2.2, 1.4.3 asks 4.5 of text, 3 of large text; 1.4.11 asks 3 of what is drawn
        ("ink", "paper", 7.0),
        ("ink", "card", 7.0),
        ("soft", "paper", 4.5),
        ("card", "ink", 7.0),
        ("card", "wrong", 4.5),
        ("act", "paper", 4.5),
        ("ink", "noon", 4.5),
        ("left", "ground", 4.5),
        ("right", "ground", 4.5),
        ("trodden", "ground", 3.0),
    ],
)
def test_colours_contrast(front: str, back: str, least: float) -> None:
    light, dark = sorted((luminance(getattr(Palette(), name)) for name in (front, back)), reverse=True)
    assert (light + 0.05) / (dark + 0.05) >= least


def test_gold_is_twelve_and_nothing_else() -> None:
    """Gold pixels lie on the rim at the top of the floor and of the clock, wherever the dancer faces."""
    made = painter(ClipOrder(short_side=360, languages=("en",)))
    for count in (0, 6, 14):
        pixels = np.asarray(made.picture(frame_of(count, made))).astype(int)
        gold = (abs(pixels - (244, 180, 0)).max(axis=2) < 12).nonzero()
        assert gold[0].size > 300
        floor, dial = made.layout.floor, made.layout.dial
        for y, x in zip(*gold, strict=True):
            on_floor = floor[0] < x < floor[2] and y < floor[1] + 0.1 * (floor[3] - floor[1])
            on_dial = dial[0] < x < dial[2] and dial[1] <= y < dial[1] + 0.2 * (dial[3] - dial[1])
            assert on_floor or on_dial, (x, y)


def test_feet_differ_in_shape_and_shade_and_weight_is_filled() -> None:
    ink, ground = "#000000", "#ffffff"

    def cover(foot: str, has_weight: bool) -> np.ndarray:
        sole = sole_picture(foot, "flat", has_weight, 0, 4, (ink, ground))
        sheet = Image.new("L", sole.size, 255)
        sheet.paste(sole.convert("L"), (0, 0), sole)
        return np.asarray(sheet) < 128

    left, right = cover("L", True), cover("R", True)
    assert (left[:, ::-1] != right).mean() > 0.01
    for foot in "LR":
        assert cover(foot, True).sum() > 1.8 * cover(foot, False).sum()
    assert luminance(Palette().left) < 0.5 * luminance(Palette().right)


def test_outline_is_that_of_the_soles() -> None:
    """The extremes of the flattened paths, read off the path data by hand."""
    points = outline(PIECES["R"]["heel"])
    assert max(y for _, y in points) == pytest.approx(17.6) and min(y for _, y in points) == 6
    assert max(x for x, _ in points) == pytest.approx(5.5) and min(x for x, _ in points) == pytest.approx(
        -5.5
    )


def test_equal_moments_give_equal_pictures_in_any_order() -> None:
    forwards, backwards = painter(), painter()
    numbers = [40, 41, 120, 121, 122, 300, 431]
    ahead = {number: forwards.picture(number).tobytes() for number in numbers}
    for number in reversed(numbers):
        assert backwards.picture(number).tobytes() == ahead[number], number


def test_what_changed_is_told_exactly() -> None:
    """Outside the boxes that a painter names nothing differs from the picture before."""
    made = painter(replace(SMALL, view="follow"))
    before = np.asarray(made.picture(100)).copy()
    for number in range(101, 180):
        painted = made.paint(number)
        after = np.asarray(painted.image).copy()
        differs = (before != after).any(axis=2)
        for left, top, right, bottom in painted.changed:
            differs[max(0, top) : bottom, max(0, left) : right] = False
        assert not differs.any(), number
        before = after


# --- words -------------------------------------------------------------------------------------------------


def table(language: str) -> dict[str, dict[str, str]]:
    text = resources.files("noonwall").joinpath("words", language, "clip.toml").read_text("utf-8")
    found: dict[str, Any] = tomllib.loads(text)
    return found


def test_languages_hold_the_same_words_with_the_same_blanks() -> None:
    english, french = table("en"), table("fr")

    def blanks(text: str) -> set[str]:
        return {name for _, name, _, _ in string.Formatter().parse(text) if name}

    assert english.keys() == french.keys()
    for section, words in english.items():
        assert words.keys() == french[section].keys()
        for name, text in words.items():
            assert text.strip() and blanks(text) == blanks(french[section][name]), name


def test_an_unknown_language_is_refused_in_one_sentence() -> None:
    with pytest.raises(NoonwallError, match=r'^No clip can be made in "de": choose en or fr\.$'):
        clip_word("de", "picture", "next")
