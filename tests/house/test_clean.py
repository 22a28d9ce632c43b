"""What no tracked file may hold: paths of one machine, hosts of registries, words about how it was made.

The patterns are written so that this file does not match them: a letter in brackets matches itself only.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.house.tree import ROOT, tracked

FORBIDDEN = {
    "a path of one machine": (
        r"(?<![\w.<])/(?:[w]ork|[r]oot|[h]ome|[U]sers|[t]mp)/[\w.]|[A-Z]:\\[U]sers\\|\.[p]yenv"
    ),
    "the host of a package registry": (
        r"(?:[p]ypi|[p]ythonhosted|[n]pmjs|[c]rates|[d]ebian|[u]buntu)\.(?:org|com|io)"
    ),
    "an index option": r"--(?:extra-)?[i]ndex-url",
    "the making instead of the thing made": (
        r"\b(?:[a]ssistants?|[c]hat ?bots?|[s]ubagents?"
        r"|LL[M]s?|[l]anguage models?|[A]I models?)\b"
    ),
    "the number of an issue": r"\b[i]ssues? #?\d",
}
# A word with another meaning in a named file: path -> (pattern's name, why)
EXCEPTIONS: dict[str, tuple[str, str]] = {}


def stains(text: str) -> list[tuple[int, str, str]]:
    """Return (line, what, the words) for everything in a text that may not be there."""
    return [
        (text.count("\n", 0, match.start()) + 1, what, match.group())
        for what, pattern in FORBIDDEN.items()
        for match in re.finditer(pattern, text, re.IGNORECASE if what.startswith("the") else 0)
    ]


def readable(path: Path) -> str:
    """Return the text of a file, or nothing for one that is not text."""
    try:
        return path.read_bytes().decode("utf-8")
    except UnicodeDecodeError:
        return ""


def test_no_tracked_file_is_stained() -> None:
    assert len(tracked()) > 100, "the test sees too few files to mean anything"
    found = []
    for path in tracked():
        name = path.relative_to(ROOT).as_posix()
        exempt = EXCEPTIONS.get(name, ("", ""))[0]
        found += [(name, line, what, words) for line, what, words in stains(readable(path)) if what != exempt]
    assert found == []


def test_every_exception_is_needed() -> None:
    for name, (what, _why) in EXCEPTIONS.items():
        assert what in {one for _, one, _ in stains(readable(ROOT / name))}, f"{name} needs no exception"


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("open(@work/main/x)", "a path of one machine"),
        ("see @root/notes", "a path of one machine"),
        ("'@tmp/x.wav'", "a path of one machine"),
        ("@home/someone/dance.txt", "a path of one machine"),
        ("C:\\@Users\\someone", "a path of one machine"),
        ("https://p@ypi.org/simple", "the host of a package registry"),
        ("deb http://deb.d@ebian.org/", "the host of a package registry"),
        ("pip install --i@ndex-url x", "an index option"),
        ("asked of the A@ssistant", "the making instead of the thing made"),
        ("a large l@anguage model", "the making instead of the thing made"),
        ("as i@ssue 7 asks", "the number of an issue"),
    ],
)
def test_each_kind_of_stain_is_seen(text: str, what: str) -> None:
    # "@" keeps this very file clean; it stands for "/" before a name and for nothing inside a word
    planted = re.sub(r"(?<!\w)@(?=(?:work|root|tmp|home)\b)", "/", text).replace("@", "")
    assert [one for _, one, _ in stains("first line\n" + planted)] == [what]
    assert stains("first line\n" + planted)[0][0] == 2


@pytest.mark.parametrize(
    "text", ["steps/work and home", "https://a.example/home/x.html", "the model of a dance"]
)
def test_plain_words_are_no_stain(text: str) -> None:
    assert stains(text) == []
