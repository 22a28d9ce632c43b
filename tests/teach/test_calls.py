"""What is said: words for facts and facts for words, in both languages; how long it takes; what is chosen."""

from __future__ import annotations

import itertools
import tomllib
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from noonwall.errors import NoonwallError
from noonwall.figures import vocabulary, vocabulary_moves
from noonwall.teach.call_words import (
    CALL_LANGUAGES,
    LONGEST_ROW,
    Chunk,
    call_rules,
    call_table,
    primary_of,
    read_chunk,
    read_facts,
    same_facts,
    say_chunk,
)
from noonwall.teach.calls import chunk_of, together
from noonwall.teach.cue import Cue
from noonwall.teach.cue_plan import Candidate, choose
from noonwall.teach.speech import estimate_seconds, syllables
from tests.teach.calling import DATA, LANGUAGES

WORDS = tomllib.loads((DATA / "words.toml").read_text("utf-8"))["case"]
SYLLABLES = tomllib.loads((DATA / "syllables.toml").read_text("utf-8"))


def _chunk(facts: dict[str, str]) -> Chunk:
    return tuple(sorted(facts.items()))


@pytest.mark.parametrize("case", WORDS, ids=lambda case: case["en"])
@pytest.mark.parametrize("language", LANGUAGES)
def test_facts_are_said_as_a_teacher_says_them(case: dict[str, object], language: str) -> None:
    facts = case["facts"]
    assert isinstance(facts, dict)
    assert say_chunk(_chunk(facts), language) == case[language]
    assert read_chunk(str(case[language]), language) == {_chunk(facts)}


def _all_chunks(language: str) -> list[Chunk]:
    """Return everything that can be said of a figure or a step, and every announcement."""
    rules, figures, table = call_rules(), vocabulary().figures, call_table(language)
    out: list[Chunk] = []
    for name, figure in figures.items():
        if name in rules.unsure or name in rules.full_turn:
            continue
        is_open = any(step.open_place for form in figure.forms for step in form.steps)
        places = [place for place in table["places"] if is_open and f"{name}.{place}" not in rules.same_as]
        sides = ("",) if name in rules.no_side else ("", "R", "RL")
        for place, side, turn in itertools.product(["", *places], sides, ("", "L4")):
            out.append(chunk_of(("figure", name), ("side", side), ("place", place), ("turn", turn)))
    for step in table["steps"]:
        out += [chunk_of(("step", step), ("side", side)) for side in ("", "R", "L")]
        if step in rules.rows:
            rows = [("RL" * length)[:length] for length in range(2, LONGEST_ROW + 1)]
            out += [chunk_of(("step", step), ("side", row)) for row in rows]
    out += [chunk_of(("turn", side + amount)) for amount in table["turns"] for side in "RL"]
    out += [((key, value),) for key in ("facing", "clock") for value in table[key]]
    out += [
        (("wall", "12"),),
        (("restart_after", "16"),),
        (("times", "3"),),
        (("part", "C"),),
        (("last", ""),),
    ]
    return out


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_two_things_sound_alike(language: str) -> None:
    """Every chunk of words reads back as the one thing it was said for."""
    chunks = _all_chunks(language)
    assert len(chunks) > 3000
    doubtful = {
        say_chunk(chunk, language): chunk
        for chunk in chunks
        if read_chunk(say_chunk(chunk, language), language) != {chunk}
    }
    assert doubtful == {}


def test_both_tables_say_the_same_things() -> None:
    english, french = (call_table(language) for language in LANGUAGES)
    assert set(english) == set(french)
    for section in set(english) - {"figures", "figures_at", "sided"}:
        assert set(english[section]) == set(french[section]), section
    assert set(english["figures_at"]) == set(french["figures_at"])


def test_the_rules_name_only_figures_and_steps_that_exist() -> None:
    rules, figures = call_rules(), set(vocabulary().figures)
    named = rules.sideways | rules.unsure | rules.telling | rules.no_side | rules.full_turn
    assert named | set(rules.same_as.values()) | set(rules.turned_as.values()) <= figures
    words = set(rules.steps.values()) - {""}
    assert words | rules.rows <= set(call_table("en")["steps"])
    # every move of the vocabulary can be said, whatever its place
    assert {
        move
        for move in vocabulary_moves()
        if move not in rules.steps and not any(key.startswith(f"{move}-") for key in rules.steps)
    } == set()


def _cue(words: tuple[str, str], facts: Chunk) -> Cue:
    return Cue("call", Fraction(0), 0.0, 0.0, 1.0, words, facts)


def test_a_wrong_word_in_one_language_is_found() -> None:
    facts = (("side", "R"), ("step", "side"), ("step", "behind"))
    good = _cue(("side right, behind", "côté droit, derrière"), facts)
    assert same_facts(good, LANGUAGES)
    for words in (
        ("side left, behind", "côté droit, derrière"),
        ("side right, behind", "côté gauche, derrière"),
        ("side right, behind", "côté droit, devant"),
        ("side right", "côté droit, derrière"),
        ("behind, side right", "côté droit, derrière"),
        ("side right, behind, touch", "côté droit, derrière, touche"),
        ("side right, behind", "côté droit, derrière toi"),
    ):
        assert not same_facts(replace(good, words=words), LANGUAGES), words
    assert read_facts("sideways ahoy", "en") is None


def test_a_language_that_is_not_spoken_is_one_sentence() -> None:
    assert primary_of("fr-CA") == "fr"
    with pytest.raises(NoonwallError, match="choose en or fr"):
        primary_of("nl")


@pytest.mark.parametrize("language", CALL_LANGUAGES)
def test_syllables_are_as_counted_aloud(language: str) -> None:
    told: dict[str, int] = SYLLABLES[language]
    counted = {text: syllables(text, language) for text in told}
    assert [text for text in told if counted[text] < told[text]] == []
    assert sum(counted.values()) <= 1.05 * sum(told.values())


@pytest.mark.parametrize("language", CALL_LANGUAGES)
def test_more_words_take_longer(language: str) -> None:
    word = call_table(language)["steps"]["together"]
    assert 0 < estimate_seconds(language, word) < estimate_seconds(language, f"{word}, {word}")


def test_what_comes_twice_is_told_as_twice() -> None:
    kick = ((("figure", "kick-ball-change"), ("side", "R")),)
    side = ((("step", "side"),), (("step", "together"),))
    assert together([kick, kick]) == (*kick, (("twice", ""),))
    assert together([kick, kick, kick]) == (*kick, (("times", "3"),))
    assert together([side, side]) == (*side, *side), (
        "a row of steps is said again: twice would mean its last step"
    )
    assert together([kick, side, kick]) == (*kick, *side, *kick)


# --- the optimum -------------------------------------------------------------------------------------------


@st.composite
def _candidates(draw: st.DrawFn) -> list[Candidate]:
    out = []
    for key in range(draw(st.integers(1, 9))):
        first = draw(st.integers(0, 4))
        start = draw(st.integers(0, 12)) / 4
        length = draw(st.integers(1, 6)) / 4
        last = first + draw(st.integers(1, 2))
        out.append(Candidate(first, last, start, start + length, float(draw(st.integers(1, 9))), key))
    return out


def _is_row(rows: tuple[Candidate, ...]) -> bool:
    return all(a.to_seconds <= b.from_seconds and a.last <= b.first for a, b in itertools.pairwise(rows))


@settings(max_examples=150, deadline=None)
@given(_candidates())
def test_the_best_set_is_the_best_of_all(candidates: list[Candidate]) -> None:
    worth, chosen = choose(candidates)
    assert _is_row(chosen)
    assert worth == sum(one.worth for one in chosen)
    ordered = sorted(candidates, key=lambda one: one.from_seconds)
    best = max(
        sum(one.worth for one in rows)
        for size in range(len(ordered) + 1)
        for rows in itertools.combinations(ordered, size)
        if _is_row(rows)
    )
    assert worth == best
