"""PDF to lines: the pieces of text that a page paints, with their places, through pypdf.

Imported only when a PDF is opened: pypdf takes longer to load than a sheet takes to prove.
"""

from __future__ import annotations

import io
import logging
import re
from time import monotonic
from typing import Any
from unicodedata import normalize

import pypdf
from pypdf.errors import DependencyError, FileNotDecryptedError, LimitReachedError, PyPdfError

from noonwall.findings import Finding
from noonwall.text.source_faults import note
from noonwall.text.source_pdf_lines import Piece, document_lines

MOST_PAGES = 50
_LIGATURES = re.compile("[\ufb00-\ufb06]")
# pypdf mends a file without a right table of objects by searching all of it, at 10 MB a second.
_LARGEST_REPAIRED_BYTES = 3_000_000
_MOST_PIECES = 40_000
_LIMITS: dict[str, Any] = {
    "zlib_maximum_output_length": 3_000_000,
    "lzw_maximum_output_length": 4_000_000,
    "run_length_maximum_output_length": 8_000_000,
    "array_based_stream_maximum_output_length": 8_000_000,
    "stream_decoding_work_maximum_length": 30_000_000,
    "stream_parsing_work_maximum_count": 200_000,
    "zlib_maximum_recovery_input_length": 500_000,
    "page_tree_maximum_entries": 5_000,
}
# What a damaged file makes pypdf raise besides its own errors.
_DAMAGE = (
    PyPdfError, ValueError, KeyError, TypeError, AttributeError, IndexError, OSError, RecursionError,
    ZeroDivisionError, AssertionError, NotImplementedError, OverflowError, ImportError, EOFError,
)  # fmt: skip


class PdfFault(Exception):
    """Why a PDF cannot be read; ``code`` is a fault of ``source_faults``."""

    def __init__(self, code: str, **facts: object) -> None:
        super().__init__(code)
        self.code = code
        self.facts = facts


class _OutOfTime(BaseException):
    """Ends the reading from inside a callback, past every handler of ordinary exceptions."""


class _Watched(io.BytesIO):
    """A file in memory that ends the reading when time is up: pypdf asks it for every few bytes."""

    def __init__(self, data: bytes, deadline: float) -> None:
        super().__init__(data)
        self.deadline = deadline

    def read(self, size: int | None = -1, /) -> bytes:
        """Read as any file, or raise when time is up."""
        if monotonic() > self.deadline:
            raise _OutOfTime
        return super().read(size)


def pdf_text(data: bytes, *, seconds: float) -> tuple[str, tuple[Finding, ...]]:
    """Return the lines of a PDF in reading order, with remarks.

    Args:
        data: the whole file.
        seconds: the longest time to spend, checked at every read and every painting operation.

    Raises:
        PdfFault: damaged, locked, too long, too slow, or without text (a scan).
    """
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    deadline = monotonic() + seconds
    if len(data) > _LARGEST_REPAIRED_BYTES and not _has_index(data):
        raise PdfFault("source.pdf-broken")
    configuration = pypdf.Configuration(**_LIMITS)
    try:
        with pypdf.apply_configuration(configuration):
            pages = _pages(data, deadline)
    except (_OutOfTime, LimitReachedError, MemoryError) as error:
        raise PdfFault("source.tangled") from error
    except (FileNotDecryptedError, DependencyError) as error:  # no key, or a cipher that is not at hand
        raise PdfFault("source.pdf-locked") from error
    except _DAMAGE as error:
        raise PdfFault("source.pdf-broken") from error
    text, dropped = document_lines(pages)
    if not text.strip():
        raise PdfFault("source.pdf-no-text")
    return text, (note("source.page-lines", count=dropped),) if dropped else ()


def _has_index(data: bytes) -> bool:
    """Whether the end of a file tells rightly where its table of objects is (PDF 32000-1:2008, 7.5.5)."""
    found = re.search(rb".*startxref\s+(\d{1,10})\s", data[-2048:], re.S)
    if not found:
        return False
    start = data.find(b"%PDF-")
    place = int(found.group(1))
    table = re.compile(rb"\s*(?:xref|\d+\s+\d+\s+obj)")
    return any(table.match(data[at : at + 64]) for at in (place, place + start))


def _unligatured(text: str) -> str:
    """Write out the joined letters of printing ("ﬁ"), which no one types or searches for."""
    return _LIGATURES.sub(lambda found: normalize("NFKC", found.group()), text).replace("\n", " ")


def _pages(data: bytes, deadline: float) -> list[list[Piece]]:
    reader = pypdf.PdfReader(_Watched(data, deadline))
    # Many sheets are locked against changes only, and open with no password.
    if reader.is_encrypted and not reader.decrypt(""):
        raise PdfFault("source.pdf-locked")
    count = len(reader.pages)
    if count > MOST_PAGES:
        raise PdfFault("source.pdf-pages", pages=count, limit_pages=MOST_PAGES)
    return [_pieces(page, deadline) for page in reader.pages]


def _pieces(page: pypdf.PageObject, deadline: float) -> list[Piece]:
    pieces: list[Piece] = []

    def painted(text: str, current: list[float], matrix: list[float], _font: object, size: float) -> None:
        if not text.strip("\n"):
            return
        if len(pieces) >= _MOST_PIECES:
            raise _OutOfTime
        # The text matrix, then the page's own: PDF 32000-1:2008, 9.4.4.
        x = matrix[4] * current[0] + matrix[5] * current[2] + current[4]
        y = matrix[4] * current[1] + matrix[5] * current[3] + current[5]
        upright = matrix[2] * current[1] + matrix[3] * current[3]
        height = abs(upright) * abs(size)
        if height > 0.5:  # text that stands on its side is a watermark or a margin note
            pieces.append(Piece(x, y, height, _unligatured(text.strip("\n"))))

    def watched(*_: object) -> None:
        if monotonic() > deadline:
            raise _OutOfTime

    watched()
    page.extract_text(visitor_text=painted, visitor_operand_before=watched)
    return pieces
