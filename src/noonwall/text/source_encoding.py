"""Bytes to text: find the encoding, and undo a wrong decoding that an earlier program has done.

Only what is certain is mended. Bytes are UTF-8 if they decode as such; failing that, the single-byte
encoding under which the accents and fractions stand where French and English put them. A text decoded
twice ("Â½" for ½) is mended where the letters spell the UTF-8 bytes of one character of such texts.
"""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass
from functools import cache

from noonwall.findings import Finding
from noonwall.text.source_faults import note

# Tried in this order when bytes are not UTF-8: the first wins a tie.
SINGLE_BYTE = ("cp1252", "mac_roman", "cp850")
# Encodings in which UTF-8 is known to have been misread.
MISREADINGS = ("cp1252", "latin-1", "mac_roman", "cp1253", "cp1250", "cp1251", "cp850", "cp437")

_LOWER = frozenset("éèêëàâçùûüîïôœæñáíóúöäåø")
_UPPER = frozenset("ÉÈÊËÀÂÇÙÛÜÎÏÔŒÆÑÁÍÓÚÖÄÅØ")
_FRACTIONS = frozenset("½¼¾⅛⅜⅝⅞⅓⅔⁄")
_SIGNS = frozenset("’‘“”«»–—…•·°º×€©®™\u00a0¡¿´±²³‐‑‒−→←↑↓↗↘↙↖★☆♪♫✓\u2009\u202f\u200b\ufeff")
# What a mended character may be.
_MEANT = sorted(_LOWER | _UPPER | _FRACTIONS | _SIGNS)
# What a character misread twice turns into on the way: Ã, Â or â and a sign.
_HALFWAY = "Ãâ¬¢€š„Å¸¹"
_BOMS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_DIRECTION = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_LINE_ENDS = re.compile("\r\n|[\r\u0085\u2028\u2029]")
_CONTROL_BYTES = bytes([*range(8), *range(14, 32), 127])
_CONTROLS = re.compile("[\x00-\x08\x0e-\x1f\x7f]")
# A declared UTF-16 cannot be true of bytes in which the declaration was found; UTF-7 and the like are tricks.
_PLAIN_ENCODING = re.compile(r"iso-8859-\d\d?|windows-125\d|cp\d{3,4}|macintosh|x-mac-roman|koi8-[ru]")
_DECLARED = re.compile(rb"""charset\s*=\s*["']?\s*([A-Za-z0-9_.:-]{2,30})""")


@dataclass(frozen=True, slots=True)
class Decoded:
    """Text made from bytes, with remarks on how it was read."""

    text: str
    notes: tuple[Finding, ...] = ()


def decode_text(data: bytes, *, declared: bool = False) -> Decoded | None:
    """Return the text of ``data`` with plain line ends, or None if it is not text at all.

    Args:
        data: the whole content of a file.
        declared: trust a "charset=" in its first 2,000 bytes, as in HTML, unless it is valid UTF-8.
    """
    text, notes = _decoded(data, _declared_encoding(data) if declared else None)
    if text is None or _looks_binary(text):
        return None
    text, more = clean_text(text)
    return Decoded(text, (*notes, *more))


def clean_text(text: str) -> tuple[str, tuple[Finding, ...]]:
    """Mend wrong decodings, make line ends plain, drop byte-order and direction marks and controls."""
    notes: list[Finding] = []
    text, count, example = mend_misreading(_LINE_ENDS.sub("\n", text))
    if count:
        notes.append(note("source.mended", count=count, example=example))
    text, marks = _DIRECTION.subn("", text)
    if marks:
        notes.append(note("source.direction-marks", count=marks))
    return _CONTROLS.sub("", text.replace("\ufeff", "")), tuple(notes)


def _declared_encoding(data: bytes) -> str | None:
    found = _DECLARED.search(data[:2000])
    if not found:
        return None
    name = found.group(1).decode("ascii").lower()
    if name in ("iso-8859-1", "latin1", "latin-1", "us-ascii"):
        name = "cp1252"  # as browsers do: https://encoding.spec.whatwg.org/#names-and-labels
    return name if _PLAIN_ENCODING.fullmatch(name) else None


def _decoded(data: bytes, declared: str | None) -> tuple[str | None, tuple[Finding, ...]]:
    for mark, encoding in _BOMS:
        if data.startswith(mark):
            return data[len(mark) :].decode(encoding, "replace"), ()
    if b"\0" in data:
        wide = _wide_encoding(data)
        return (data.decode(wide, "replace") if wide else None), ()
    if len(data.translate(None, _CONTROL_BYTES)) < 0.98 * len(data):
        return None, ()
    try:
        return data.decode("utf-8"), ()
    except UnicodeDecodeError:
        pass
    mixed = _mostly_utf8(data)
    if mixed:
        return mixed[0], (note("source.stray-bytes", count=mixed[1]),)
    if declared:
        try:
            return data.decode(declared.removeprefix("x-").replace("mac-roman", "macintosh")), ()
        except (UnicodeError, LookupError):
            pass
    best = max(SINGLE_BYTE, key=lambda name: _fitness(_single(data, name)))
    notes = () if best == "cp1252" else (note("source.encoding", encoding=_spoken(best)),)
    return _single(data, best), notes


def _spoken(encoding: str) -> str:
    return {"mac_roman": "Mac Roman", "cp850": "MS-DOS (code page 850)"}.get(encoding, encoding)


def _single(data: bytes, encoding: str) -> str:
    # Five bytes mean nothing in Windows-1252; Latin-1 makes controls of them, which are then dropped.
    return data.decode(encoding) if encoding != "cp1252" else _cp1252(data)


def _cp1252(data: bytes) -> str:
    try:
        return data.decode("cp1252")
    except UnicodeDecodeError:
        return "".join(bytes([byte]).decode("cp1252", "ignore") or chr(byte) for byte in data)


def _wide_encoding(data: bytes) -> str | None:
    """Return the UTF-16 without a mark that the zero bytes betray, or None."""
    half = len(data) // 2
    even, odd = data[0::2].count(0), data[1::2].count(0)
    if odd > 0.4 * half and even < 0.05 * half:
        return "utf-16-le"
    if even > 0.4 * half and odd < 0.05 * half:
        return "utf-16-be"
    return None


def _mostly_utf8(data: bytes) -> tuple[str, int] | None:
    """Return (text, stray bytes) if more characters are good UTF-8 than are not: two texts put together."""
    understood = data.decode("utf-8", "ignore")
    strays = len(data) - len(understood.encode("utf-8"))
    good = len(understood) - len(understood.encode("ascii", "ignore"))
    if good <= strays:
        return None
    text = data.decode("utf-8", "surrogateescape")
    # "surrogateescape" sets a byte that is not UTF-8 aside as U+DC00 plus the byte.
    return text.translate({0xDC00 + byte: _cp1252(bytes([byte])) for byte in range(0x80, 0x100)}), strays


def _fitness(text: str) -> int:
    """Score how well the characters beyond ASCII stand where French and English put them."""
    score = 0
    padded = f" {text[:200_000]} "
    for found in re.finditer("[^\x00-\x7f]", padded):
        at, letter = found.start(), found.group()
        before, after = padded[at - 1], padded[at + 1]
        if letter in _LOWER:
            score += 3 if not before.isupper() or not before.isascii() else -1
        elif letter in _UPPER:
            score += -3 if before.islower() else 1
        elif letter in _FRACTIONS:
            score += -2 if before.isalpha() else 3
        elif letter in "’‘'":
            score += 3 if before.isalpha() or after.isalpha() else 0
        elif letter in _SIGNS:
            score += -2 if before.isalpha() and after.isalpha() and letter not in "–—" else 1
        else:
            score -= 2
    return score


def _looks_binary(text: str) -> bool:
    # Also of the encodings in which a control is more than one byte.
    odd = len(_CONTROLS.findall(text)) + text.count("\ufffd")
    return odd > 0.02 * len(text)


@dataclass(frozen=True, slots=True)
class _Misreading:
    """What the characters of a sheet look like when their UTF-8 bytes are read in one encoding."""

    meant: dict[str, str]
    firsts: frozenset[str]


@cache
def _misreading(encoding: str) -> _Misreading:
    meant: dict[str, str] = {}
    for letter in (*_MEANT, *_HALFWAY):
        # A browser shows the bytes that an encoding leaves empty as the controls of Latin-1.
        seen = "".join(
            bytes([byte]).decode(encoding, "ignore") or chr(byte) for byte in letter.encode("utf-8")
        )
        meant[seen] = letter
    return _Misreading(meant, frozenset(seen[0] for seen in meant))


@cache
def _misread_pattern(encoding: str) -> re.Pattern[str]:
    return re.compile("|".join(re.escape(seen) for seen in _misreading(encoding).meant))


def mend_misreading(text: str) -> tuple[str, int, str]:
    """Undo UTF-8 misread as another encoding, once or more often.

    Returns:
        the text, how many characters were mended, and one example ("Â½ → ½").
    """
    if text.isascii():
        return text, 0, ""
    total, example = 0, ""
    for _ in range(3):
        before = total
        for encoding in MISREADINGS:
            misreading = _misreading(encoding)
            # Making a pattern takes longer than most sheets take to read: only where it may find something.
            if misreading.firsts.isdisjoint(text):
                continue
            pattern, meant = _misread_pattern(encoding), misreading.meant
            if not example and (found := pattern.search(text)):
                example = f"{found.group()} → {meant[found.group()]}"
            text, count = pattern.subn(lambda found, meant=meant: meant[found.group()], text)  # type: ignore[misc]
            total += count
        if total == before:
            break
    if total and "Ã " in text:
        # "à" ends in a no-break space that many editors turn into a plain one; "Ã" is no French letter.
        text, count = re.subn("Ã ", "à ", text)
        text, total = text.replace("à  ", "à "), total + count
    return text, total, example
