"""How long it takes to say a text, where no voice is at hand to measure it: counted in syllables."""

from __future__ import annotations

import re
import unicodedata

from noonwall.teach.call_words import primary_of

SYLLABLES_PER_SECOND = {"en": 6.19, "fr": 7.18}
"""Syllables a second of texts read aloud, pauses left out: F. Pellegrino, C. Coupé, E. Marsico, A
Cross-Language Perspective on Speech Information Rate, Language 87 (2011); figures from memory."""

CLEARLY = 0.8
"""Part of that rate at which calls are spoken across a hall; own choice, no source. Of 90 calls eSpeak NG
takes, at 200 words a minute, 1.2 times as long in English and 1.1 times in French (medians, silence at both
ends included)."""

COMMA_SECONDS = 0.1
"""A breath between two calls; own choice, no source."""

_WORDS = re.compile(r"[^\W\d_]+|\d+")
_EN_VOWELS = re.compile(r"[aeiouy]+")
_FR_VOWELS = re.compile(r"[aeiouy]+")
_DIGITS = 2
"""Syllables of a number written in digits, at most: "twenty", "sixteen", "trente-deux"."""


def syllables(text: str, language: str) -> int:
    """Count the syllables of a text by its groups of vowels, silent endings left out.

    An estimate: a test holds it to lists counted aloud, where it is never too low and rarely too high.
    """
    primary = primary_of(language)
    count = 0
    for word in _WORDS.findall(_plain(text.lower())):
        count += _of_word(word, primary)
    return count


def _plain(text: str) -> str:
    """Return a text without accents, but with é, è, ê kept apart from a silent e (as "i")."""
    kept = re.sub("[éèêë]", "i", text).replace("œ", "e").replace("æ", "e")
    return "".join(c for c in unicodedata.normalize("NFD", kept) if not unicodedata.combining(c))


def _of_word(word: str, primary: str) -> int:
    if word.isdigit():
        return _DIGITS * len(word)
    if primary == "fr":
        # the e of "marche" is silent, that of "shuffle" is not quite
        stem = re.sub(r"(?<![^aeiouy]l)(e|es)$", "", word) if len(word) > 2 else word
        return max(1, len(_FR_VOWELS.findall(re.sub(r"qu|gu(?=[ei])", "k", stem))))
    stem = re.sub(r"(?<=[^aeiouyl])(e|es|ed)$", "", word) if len(word) > 2 else word
    stem = re.sub(r"(?<=[aeiouy])(le)$", "l", stem)
    return max(1, len(_EN_VOWELS.findall(stem)))


def estimate_seconds(language: str, text: str) -> float:
    """Return how long a clear voice takes to say a text, in seconds."""
    rate = SYLLABLES_PER_SECOND[primary_of(language)] * CLEARLY
    pauses = sum(text.count(mark) for mark in ",:;")
    return syllables(text, language) / rate + pauses * COMMA_SECONDS
