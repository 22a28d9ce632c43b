"""Encodings found, and wrong decodings undone only where certain."""

from __future__ import annotations

import codecs

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonwall.text.source_encoding import MISREADINGS, decode_text, mend_misreading
from tests.text.source_files import DATA, SHEET

FRENCH = (
    "Pas chassé à droite, pied gauche derrière : ½ tour, l’autre côté. Pointe « à côté », arrêt, où ça ?\n"
)


def rows(name: str) -> list[str]:
    lines = (DATA / name).read_text("utf-8").split("\n")
    return [line for line in lines if line and not line.startswith("#")]


@pytest.mark.parametrize("row", rows("misreadings.txt"))
def test_known_misreadings_are_mended(row: str) -> None:
    meant, seen, _ = row.split(" | ")
    assert mend_misreading(seen)[0] == meant


@pytest.mark.parametrize("row", rows("misreadings.txt"))
def test_the_misreadings_are_what_the_encodings_make(row: str) -> None:
    """The table itself against the codecs of Unicode's mapping files, which Python carries."""
    meant, seen, how = row.split(" | ")
    encoding, *twice = how.split()
    for _ in range(1 + len(twice)):
        meant = meant.encode("utf-8").decode(encoding)
    assert meant == seen


@pytest.mark.parametrize("line", rows("untouched.txt"))
def test_right_text_is_left_alone(line: str) -> None:
    assert mend_misreading(line) == (line, 0, "")


# Words, not letters: a heap of accents and signs in any order may spell a misread character by chance.
PHRASE = "chassé à côté où ça « » ½ ¼ ¾ tour l’autre – … 90° É ÎLE À DROITE cœur derrière “ok” forêt, 1&2"
WORDS = st.sampled_from([*PHRASE.split(), "\n"])


@given(st.lists(WORDS, max_size=20).map(" ".join), st.sampled_from(MISREADINGS))
def test_a_misread_text_is_mended_and_a_right_one_kept(text: str, encoding: str) -> None:
    assert mend_misreading(text)[0] == text
    try:
        seen = text.encode("utf-8").decode(encoding)
    except UnicodeDecodeError:
        return  # programs differ in what they show for bytes without a letter
    if "\xa0" not in seen:  # à ends in a no-break space, which belongs to its own test
        assert mend_misreading(seen)[0] == text


def test_a_grave_whose_no_break_space_was_made_plain() -> None:
    assert mend_misreading("chassÃ© Ã droite, Ã  gauche")[0] == "chassé à droite, à gauche"


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252"]
)
@pytest.mark.parametrize("text", [FRENCH, SHEET], ids=["french", "english"])
def test_encodings(text: str, encoding: str) -> None:
    decoded = decode_text(text.encode(encoding))
    assert decoded and decoded.text == text


@pytest.mark.parametrize("encoding", ["mac_roman", "cp850"])
def test_older_encodings_are_found_and_told(encoding: str) -> None:
    text = FRENCH.replace("½", "1/2").replace("’", "'").replace("œ", "oe")
    decoded = decode_text(text.encode(encoding))
    assert decoded and decoded.text == text
    assert [found.code for found in decoded.notes] == ["source.encoding"]


def test_a_single_fraction_decides_for_dos() -> None:
    decoded = decode_text(b"3&4 Shuffle \xac turn right, \xab pivot left\n")  # ¼ and ½ in code page 850
    assert decoded and decoded.text == "3&4 Shuffle ¼ turn right, ½ pivot left\n"


def test_two_encodings_in_one_file() -> None:
    decoded = decode_text(FRENCH.encode("utf-8") + "d\u2019un c\u00f4t\u00e9\n".encode("cp1252"))
    assert decoded and decoded.text == FRENCH + "d’un côté\n"
    assert [(found.code, found.facts) for found in decoded.notes] == [("source.stray-bytes", {"count": 3})]


def test_bytes_that_windows_leaves_empty_are_no_reason_to_fail() -> None:
    decoded = decode_text("Step côté droit, ".encode("cp1252") * 9 + b"\x81\n")
    assert decoded and decoded.text == "Step côté droit, " * 9 + "\x81\n"


def test_a_declared_encoding_is_believed_unless_it_cannot_be() -> None:
    page = '<meta charset="windows-1250">½ pás'
    decoded = decode_text("<meta charset=windows-1250>pás ě\n".encode("cp1250"), declared=True)
    assert decoded and decoded.text.endswith("pás ě\n")
    decoded = decode_text(page.encode("utf-8"), declared=True)
    assert decoded and decoded.text == page
    for name in (b"utf-7", b"zip", b"utf-16", b"no-such"):
        assert decode_text(b"<meta charset=" + name + b">p\xe9", declared=True) is not None


def test_line_ends_of_every_system() -> None:
    decoded = decode_text(b"1\r\n2\r3\n" + "4\u20285\u0085".encode())
    assert decoded and decoded.text == "1\n2\n3\n4\n5\n"


def test_marks_are_in_the_standard() -> None:
    """Byte order marks against the codecs module, which has them from the Unicode Standard, 23.8."""
    for mark, name in ((codecs.BOM_UTF16_BE, "utf-16-be"), (codecs.BOM_UTF32_LE, "utf-32-le")):
        decoded = decode_text(mark + "1-2 Step ½".encode(name))
        assert decoded and decoded.text == "1-2 Step ½"
