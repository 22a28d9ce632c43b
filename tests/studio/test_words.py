"""Every word that a page asks for is there in both languages, and no word is left over."""

from __future__ import annotations

import re
import tomllib

import pytest

from noonwall.pipeline.studio_making import MAKES
from noonwall.pipeline.studio_words import studio_words
from noonwall.shelf import LEVELS
from tests.house.tree import PACKAGE

PAGES = PACKAGE / "studio"
ASKED = re.compile(r"""\b[tn]\(\s*["'](\w+)["'],\s*["'](\w+)["'](?! ~)""")
ASKED_IN_CODE = re.compile(r"""\.(?:say|number)\(\s*"(\w+)",\s*"(\w+)\"""")
# Asked for by a name that is put together: every id of the section is one of these.
BY_NAME = {
    "levels": set(LEVELS),
    "lengths": {"short", "32", "long", "64"},
    "wall_choices": {"1", "2", "4"},
    "tempos": {"slow", "middle", "fast"},
    "taught_choices": {"yes", "no"},
    "orders": {"title", "added", "changed", "level", "tempo", "taught"},
    "places": {"sheet", "music", "lesson", "floor", "make", "versions"},
    "makes": set(MAKES),
    "makes_why": set(MAKES),
}


def table(language: str) -> dict[str, dict[str, str]]:
    return tomllib.loads((PACKAGE / "words" / language / "studio.toml").read_text("utf-8"))


def asked() -> set[tuple[str, str]]:
    pages = [path.read_text("utf-8") for path in (PAGES / "templates").glob("*.html")]
    code = [
        path.read_text("utf-8") for path in [*PAGES.glob("*.py"), *(PACKAGE / "pipeline").glob("studio_*.py")]
    ]
    found = {met for page in pages for met in ASKED.findall(page)}
    return found | {met for source in code for met in ASKED_IN_CODE.findall(source)}


def test_both_languages_have_the_same_ids_and_fields() -> None:
    english, french = table("en"), table("fr")
    fields = re.compile(r"\{\w+\}")
    for section in english.keys() | french.keys():
        assert english[section].keys() == french[section].keys(), section
        for name, said in english[section].items():
            assert set(fields.findall(said)) == set(fields.findall(french[section][name])), (section, name)


@pytest.mark.parametrize("section", sorted(BY_NAME))
def test_sections_asked_for_by_name_are_whole(section: str) -> None:
    assert set(table("en")[section]) == BY_NAME[section]


def test_every_word_asked_for_is_there() -> None:
    words = studio_words("en").table
    lost = {
        (section, name)
        for section, name in asked()
        if name not in words[section] and f"{name}_one" not in words[section]
    }
    assert lost == set()


def test_no_word_is_left_over() -> None:
    told = {(section, name.removesuffix("_one")) for section, name in asked()}
    unused = {
        (section, name)
        for section, words in table("en").items()
        if section not in BY_NAME
        for name in words
        if (section, re.sub("_(one|many)$", "", name)) not in told and (section, name) not in told
    }
    # asked for by the name of what is filtered, of a language, of a shape
    by_value = {("shelf", name) for name in ("level", "length", "walls", "tempo", "taught", "order")}
    by_value |= {("shelf", "in_en"), ("shelf", "in_fr"), ("making", "en"), ("making", "fr")}
    assert unused - by_value == set()


def test_french_signs_do_not_begin_a_line() -> None:
    """CLDR: French puts a no-break space before : ; ? ! and inside its quotation marks."""
    for words in studio_words("fr").table.values():
        for said in words.values():
            assert not re.search(r" [:;?!»]|« ", said), said
