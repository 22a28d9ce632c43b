"""Every way the words of a step sheet are written, as one table of phrases for a language."""

from __future__ import annotations

import tomllib
import unicodedata
from dataclasses import dataclass, field
from functools import lru_cache
from importlib import resources
from typing import Any, NamedTuple

LANGUAGES = ("en", "fr")


class Entry(NamedTuple):
    """One meaning of a phrase.

    ``kind`` is move, place, foot, side, turning, amount, repeat, weight, facing, join, body, glue or
    figure; ``value`` its canonical id; ``running`` marks a participle ("stepping", "en reculant").
    """

    kind: str
    value: str
    running: bool = False


@dataclass(slots=True)
class Branch:
    """A word within phrases: the words that may follow it, and the meanings if a phrase ends here."""

    follow: dict[str, Branch] = field(default_factory=dict)
    entries: tuple[Entry, ...] = ()


@dataclass(slots=True)
class Lexicon:
    """Phrases as a tree of words; and single words for mending a misspelling.

    ``tree`` maps a word to a branch (what may follow, and the meanings if the phrase may end there).
    """

    language: str
    tree: dict[str, Branch] = field(default_factory=dict)
    words: set[str] = field(default_factory=set)
    near: dict[str, tuple[str, ...]] | None = None
    plain: frozenset[str] = frozenset()
    misspelt: frozenset[str] = frozenset()

    def nearest(self, word: str) -> str | None:
        """Return the one known word that ``word`` misspells by one letter, or None if none or several.

        One letter missing, added, changed or swapped with its neighbour, in words of five letters and
        more: short words have too many neighbours to be certain.
        """
        if len(word) < 4 or word in self.plain:
            return None
        if self.near is None:
            self.near = {}
            for known in self.words - self.misspelt:
                if len(known) >= 5:
                    for cut in _cuts(known):
                        self.near[cut] = (*self.near.get(cut, ()), known)
        found = {w for cut in _cuts(word) for w in self.near.get(cut, ()) if _one_edit(word, w)}
        if len(word) == 4:  # so short, only a letter left out is certain ("cros")
            found = {w for w in found if len(w) == 5}
        stems = {w.rstrip("s") for w in found}
        return min(found) if len(stems) == 1 else None


def fold(text: str) -> str:
    """Return ``text`` in lower case without accents, so that "Côté" and "cote" are one word."""
    text = text.lower()
    return text if text.isascii() else _without_accents(text)


@lru_cache(maxsize=1024)
def _without_accents(text: str) -> str:
    """A line is folded several times while it is sorted."""
    text = text.replace("œ", "oe").replace("æ", "ae")
    combining = unicodedata.combining
    return "".join([c for c in unicodedata.normalize("NFD", text) if c < "\u0300" or not combining(c)])


def _cuts(word: str) -> set[str]:
    return {word, *(word[:i] + word[i + 1 :] for i in range(len(word)))}


def _one_edit(a: str, b: str) -> bool:
    if abs(len(a) - len(b)) > 1 or a[0] != b[0]:
        return False
    if len(a) == len(b):
        wrong = [i for i in range(len(a)) if a[i] != b[i]]
        if len(wrong) == 1:
            return True
        return len(wrong) == 2 and wrong[1] == wrong[0] + 1 and a[wrong[0]] == b[wrong[1]]
    short, long = sorted((a, b), key=len)
    return any(long[:i] + long[i + 1 :] == short for i in range(len(long)))


_TABLES = {
    "moves": "move",
    "places": "place",
    "feet": "foot",
    "sides": "side",
    "turning": "turning",
    "amounts": "amount",
    "repeat": "repeat",
    "weight": "weight",
    "facing": "facing",
    "joins": "join",
    "body": "body",
    "glue": "glue",
}
# Where one phrase has several meanings the earlier kind is tried first.
_RANK = {
    kind: rank
    for rank, kind in enumerate(
        "foot side amount turning figure move place repeat weight facing join body glue".split()
    )
}


def _load(language: str, name: str) -> dict[str, Any]:
    file = resources.files("noonwall.words").joinpath(language, f"{name}.toml")
    return tomllib.loads(file.read_text("utf-8"))


def _english_forms(verb: str) -> list[tuple[str, bool]]:
    first, *rest = verb.split()
    tail = "".join(" " + word for word in rest)
    stems = [(first, False), (first + ("es" if first[-1] in "sxh" else "s"), False)]
    stem = first[:-1] if first.endswith("e") and len(first) > 2 else first
    if len(stem) > 2 and stem[-1] in "ptgnb" and stem[-2] in "aeiou" and stem[-3] not in "aeiou":
        stems += [(stem + stem[-1] + "ing", True), (stem + stem[-1] + "ed", False)]
    stems += [(stem + "ing", True), (stem + "ed", False)]
    return [(form + tail, running) for form, running in stems]


def _french_forms(verb: str) -> list[tuple[str, bool]]:
    first, *rest = verb.split()
    tail = "".join(" " + word for word in rest)
    forms = [(first, first.endswith("ant"))]
    if first.endswith("er") and len(first) > 4:
        stem = first[:-2]
        soft = stem + "e" if stem.endswith("g") else stem
        endings = (("e", False), ("ez", False), ("ee", False), ("es", False), ("ons", False))
        forms += [(stem + end, run) for end, run in endings]
        forms.append((soft + "ant", True))
    elif first.endswith("ir"):
        stem = first[:-2]
        forms += [(first[:-1], False), (stem + "s", False), (stem + "t", False), (stem + "ez", False)]
        forms += [(stem + "issez", False), (stem + "ant", True)]
        if first == "revenir":
            forms += [("revient", False), ("reviens", False)]
    if "faisant" in rest or "tournant" in rest or "pivotant" in rest:
        forms = [(form, True) for form, _ in forms]
    return [(form + tail, running) for form, running in forms]


def _phrases(lexicon: Lexicon, table: dict[tuple[str, ...], dict[Entry, None]]) -> None:
    for words, entries in table.items():
        ordered = tuple(entries)
        if len(ordered) > 1:
            ordered = tuple(sorted(ordered, key=lambda e: _RANK[e.kind]))
        lexicon.words.update(words)
        branches = lexicon.tree
        for word in words:
            if word not in branches:
                branches[word] = Branch()
            branch = branches[word]
            branches = branch.follow
        branch.entries = ordered
    _share_leaves(lexicon.tree, {})


def _share_leaves(branches: dict[str, Branch], leaves: dict[tuple[Entry, ...], Branch]) -> None:
    """Make one object of all ends of phrases that mean the same: most branches are such ends.

    Tens of thousands of objects that live for ever cost every full garbage collection dear.
    """
    for word, branch in branches.items():
        if branch.follow:
            _share_leaves(branch.follow, leaves)
        else:
            branches[word] = leaves.setdefault(branch.entries, branch)


def _add(table: dict[tuple[str, ...], dict[Entry, None]], phrase: str, entry: Entry) -> None:
    words = tuple(fold(phrase).replace("-", " ").replace("'", " ").replace("’", " ").split())
    if words:
        table.setdefault(words, {}).setdefault(entry)


_SHORT = {
    "forward": ("fwd", "forwards"),
    "back": ("bk",),
    "avant": ("av",),
    "arrière": ("arr",),
    "together": ("tog",),
}


def _shortened(name: str) -> list[str]:
    """A figure's name as it stands and with its directions shortened ("waltz fwd")."""
    out = [name]
    for long, shorts in _SHORT.items():
        if long in name.split():
            out += [name.replace(long, short) for short in shorts]
    return out


def _fill(table: dict[tuple[str, ...], dict[Entry, None]], language: str, also_french: bool = False) -> None:
    forms = _english_forms if language == "en" else _french_forms
    reading = _load(language, "reading")
    for name, kind in _TABLES.items():
        for value, phrases in reading[name].items():
            for phrase in phrases:
                spellings = [(phrase, False)]
                if also_french and kind == "move" and " " not in phrase:
                    for end in ("er", "ez", "e"):
                        _add(table, phrase + end, Entry(kind, value))
                if kind in ("move", "turning") or (kind == "place" and language == "fr"):
                    spellings = forms(phrase)
                for spelling, running in spellings:
                    _add(table, spelling, Entry(kind, value, running))
                    if kind in ("move", "body", "place", "amount", "glue", "figure"):
                        _add(table, spelling + "s", Entry(kind, value, running))
    figures = _load(language, "figures")
    for figure_id, names in figures.get("names", {}).items():
        for name in names:
            for spelling in _shortened(name):
                for phrase in (spelling, spelling + "s", spelling + "es"):
                    _add(table, phrase, Entry("figure", figure_id))
    for name, figure_id in figures.get("misspelt", {}).items():
        _add(table, name, Entry("figure", figure_id))
    for name, ids in figures.get("unclear", {}).items():
        for figure_id in ids:
            _add(table, name, Entry("figure", figure_id))
            _add(table, name + "s", Entry("figure", figure_id))


@lru_cache(maxsize=4)
def lexicon_of(language: str) -> Lexicon:
    """Return the phrases of a language. A French sheet may use every English word; its own go first."""
    own: dict[tuple[str, ...], dict[Entry, None]] = {}
    _fill(own, language)
    if language != "en":
        english: dict[tuple[str, ...], dict[Entry, None]] = {}
        _fill(english, "en", also_french=True)
        for words, entries in english.items():
            if words not in own:
                own[words] = entries
            else:
                for entry in entries:
                    if entry.kind == "figure":
                        own[words].setdefault(entry)
    plain = frozenset(w for lang in {language, "en"} for w in _load(lang, "reading")["plain"]["words"])
    wrong = {lang: _load(lang, "figures").get("misspelt", {}) for lang in {language, "en"}}
    right = {word for lang in {language, "en"} for names in _load(lang, "figures")["names"].values()
             for name in names for word in fold(name).replace("-", " ").split()}  # fmt: skip
    misspelt = frozenset(w for table in wrong.values() for phrase in table for w in phrase.split()) - right
    lexicon = Lexicon(language, plain=plain, misspelt=misspelt)
    _phrases(lexicon, own)
    return lexicon


@lru_cache(maxsize=1)
def _telling() -> dict[str, frozenset[str]]:
    return {lang: frozenset(_load(lang, "reading")["language"]["tell"]) for lang in LANGUAGES}


def language_of(words: list[str]) -> str:
    """Return "en" or "fr" by telling words; single letters tell by the sides they name (R L, D G)."""
    telling = _telling()
    folded = fold(" ".join(words)).split(" ")
    counts = {lang: sum(map(tell.__contains__, folded)) for lang, tell in telling.items()}
    french, english = (sum(words.count(side) for side in (*sides, sides)) for sides in ("DG", "RL"))
    return "fr" if counts["fr"] + french > counts["en"] + english else "en"
