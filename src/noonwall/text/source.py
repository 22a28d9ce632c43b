"""Any file a teacher has, to the plain text of a sheet: txt, md, html, docx, pdf, and standard input.

Whatever the file is, the answer is text or one :class:`noonwall.errors.BrokenFile`, in bounded time and
memory. What a file is, its content decides before its name.
"""

from __future__ import annotations

import errno
import os
import re
import stat
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import BinaryIO

from noonwall.errors import BrokenFile
from noonwall.findings import Finding
from noonwall.text.source_encoding import clean_text, decode_text
from noonwall.text.source_faults import fault

STANDARD_INPUT = "-"
SUFFIXES = frozenset((".txt", ".text", ".md", ".markdown", ".html", ".htm", ".xhtml", ".docx", ".pdf"))

_HTML_START = re.compile(
    rb"\s*(?:<\?xml[^>]*>\s*)?(?:<!--.*?-->\s*)*<(?:!doctype\s+html|html|head|body)\b", re.I | re.S
)
_SIGNATURES = (
    (b"{\\rtf", "a Rich Text (.rtf) document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"II*\0", "a picture"),
    (b"MM\0*", "a picture"),
    (b"BM", "a picture"),
    (b"ID3", "a sound"),
    (b"\xff\xfb", "a sound"),
    (b"OggS", "a sound"),
    (b"fLaC", "a sound"),
    (b"RIFF", "a sound or a film"),
    (b"\x1f\x8b", "a compressed archive"),
    (b"7z\xbc\xaf", "a compressed archive"),
    (b"Rar!", "a compressed archive"),
)
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
# What stands beside sheets to tell of them: README.md, LICENSE.txt, licence-fr.html, CHANGELOG.md
_ABOUT = re.compile(r"^(?:read-?me|licen[cs]e|lisez-?moi|change-?log)(?![a-z])", re.I)
_TEMPORARY = re.compile(r"^(?:[.~]|__MACOSX$)|~$|\.(?:tmp|temp|bak|part|crdownload)$", re.I)


@dataclass(frozen=True, slots=True)
class Limits:
    """How much is read before a file is refused."""

    text_bytes: int = 1_000_000
    page_bytes: int = 2_000_000
    markdown_lines: int = 50_000
    document_bytes: int = 30_000_000
    pdf_seconds: float = 1.2


@dataclass(frozen=True, slots=True)
class LoadedText:
    """The text of a file, with plain line ends.

    Attributes:
        text: what a reader of the file sees, line by line; cells of a table row are joined by TAB.
        kind: "txt", "md", "html", "docx" or "pdf".
        notes: remarks on how it was read (codes ``source.*``), such as characters mended.
    """

    text: str
    kind: str
    notes: tuple[Finding, ...] = ()


DEFAULT_LIMITS = Limits()


def load_text(
    source: Path | str, *, limits: Limits = DEFAULT_LIMITS, standard_input: BinaryIO | None = None
) -> LoadedText:
    """Read a file of any kind into plain text.

    Args:
        source: a path, or "-" for standard input.
        limits: sizes and time beyond which a file is refused.
        standard_input: what "-" reads; by default the process's own.

    Raises:
        BrokenFile: the file cannot be read as a text; the message says why and what to do, ``code`` and
            ``facts`` say it to programs.
    """
    name = os.fspath(source)
    if name == STANDARD_INPUT:
        name = "standard input"
        stream = standard_input or getattr(sys.stdin, "buffer", None)
        if stream is None:
            raise fault("source.empty", name)
        data = _read(stream, limits.document_bytes, name)
        suffix = ""
    else:
        data = _file_bytes(name, limits.document_bytes)
        suffix = Path(name).suffix.lower()
        name = Path(name).name
    return text_of_bytes(data, name=name, suffix=suffix, limits=limits)


def text_of_bytes(data: bytes, *, name: str, suffix: str = "", limits: Limits = DEFAULT_LIMITS) -> LoadedText:
    """Read the content of a file into plain text, as :func:`load_text` does.

    Args:
        data: the content.
        name: what to call it in messages.
        suffix: the ending of its name (".md"), which decides where the content does not.
        limits: sizes and time beyond which it is refused.

    Raises:
        BrokenFile: as for :func:`load_text`.
    """
    if not data.strip(b" \t\r\n\f\v\0"):
        raise fault("source.empty", name)
    # A PDF may begin with up to a kilobyte of other bytes: PDF 32000-1:2008, annex H.3.
    if b"%PDF-" in data[:1024]:
        return _from_pdf(data, name, limits)
    if data.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        return _from_docx(data, name)
    _refuse_other_formats(data, name)
    if suffix in (".docx", ".pdf") and b"\0" in data:
        raise fault(f"source.{suffix[1:]}-broken", name)
    is_html = suffix in (".html", ".htm", ".xhtml") or _HTML_START.match(data[:4096]) is not None
    # Pages as browsers save them carry pictures and programs inside.
    limit = limits.page_bytes if is_html else limits.text_bytes
    if len(data) > limit:
        raise _too_large(name, limit)
    decoded = decode_text(data, declared=is_html)
    if decoded is None:
        raise fault("source.binary", name)
    text, kind, notes = decoded.text, "txt", decoded.notes
    if is_html:
        text, kind = _from_html(text, name), "html"
    elif suffix in (".md", ".markdown"):
        if text.count("\n") > limits.markdown_lines:
            raise fault("source.tangled", name)
        text, kind = import_module("noonwall.text.source_markdown").markdown_text(text), "md"
    if not text.strip():
        raise fault("source.no-text" if kind != "txt" else "source.empty", name)
    return LoadedText(text, kind, notes)


def sheets_in(folder: Path | str) -> Iterator[Path]:
    """Yield the files of a folder and its subfolders that may be sheets, in the order of their names.

    Hidden and temporary files and folders, pictures and all other kinds are passed over, and so are files
    that tell of the folder (README, LICENSE, CHANGELOG) and linked folders, which may lead back. The files
    are not opened.

    Raises:
        BrokenFile: there is no such folder, or it may not be listed.
    """
    root = os.fspath(folder)
    try:
        if not stat.S_ISDIR(os.stat(root).st_mode):
            raise fault("source.not-a-folder", root)
        os.scandir(root).close()
    except (OSError, ValueError) as error:
        raise _system_fault(error, root) from error
    for place, folders, files in os.walk(root):
        folders[:] = sorted(name for name in folders if not _TEMPORARY.search(name))
        for name in sorted(files):
            passed_over = _TEMPORARY.search(name) or _ABOUT.match(name)
            if Path(name).suffix.lower() in SUFFIXES and not passed_over:
                yield Path(place, name)


def _file_bytes(name: str, limit: int) -> bytes:
    try:
        state = os.stat(name)
        if stat.S_ISDIR(state.st_mode):
            raise fault("source.folder", name)
        # Opening a device or a pipe may wait for ever, so they are refused before.
        if not stat.S_ISREG(state.st_mode):
            raise fault("source.not-a-file", name)
        if state.st_size > limit:
            raise _too_large(name, limit)
        with open(name, "rb") as stream:
            return _read(stream, limit, name)
    except (OSError, ValueError) as error:
        raise _system_fault(error, name) from error


def _read(stream: BinaryIO, limit: int, name: str) -> bytes:
    """Read to the end, but never much beyond the limit: the stated size of a file may be a lie."""
    pieces: list[bytes] = []
    size = 0
    while piece := stream.read(min(1 << 20, limit + 1 - size)):
        pieces.append(piece)
        size += len(piece)
        if size > limit:
            raise _too_large(name, limit)
    return b"".join(pieces)


def _too_large(name: str, limit: int) -> BrokenFile:
    return fault("source.too-large", name, limit_megabytes=round(limit / 1_000_000))


def _system_fault(error: OSError | ValueError, name: str) -> BrokenFile:
    """Word what the system says: a name with a zero byte is a ValueError, the rest have numbers."""
    number = error.errno if isinstance(error, OSError) else errno.EINVAL
    codes = {
        errno.ENOENT: "source.missing", errno.ENOTDIR: "source.missing", errno.EACCES: "source.permission",
        errno.EPERM: "source.permission", errno.ELOOP: "source.link-loop", errno.EINVAL: "source.bad-name",
        errno.ENAMETOOLONG: "source.bad-name", errno.EILSEQ: "source.bad-name", errno.EISDIR: "source.folder",
    }  # fmt: skip
    code = codes.get(number or 0, "source.unreadable")
    if code == "source.unreadable":
        return fault(code, name, reason=error.strerror if isinstance(error, OSError) else "unknown reason")
    return fault(code, name)


def _refuse_other_formats(data: bytes, name: str) -> None:
    if data.startswith(_OLE):
        # A locked .docx is wrapped in the container of the old .doc; its parts are named in UTF-16.
        if "EncryptedPackage".encode("utf-16-le") in data[:1_000_000]:
            raise fault("source.docx-locked", name)
        raise fault("source.other-format", name, format="an old Word document (.doc)")
    for signature, spoken in _SIGNATURES:
        # Two letters such as "BM" also begin words: only bytes that no text has make them a picture.
        if data.startswith(signature) and (len(signature) > 3 or b"\0" in data[:64]):
            raise fault("source.other-format", name, format=spoken)


def _from_html(markup: str, name: str) -> str:
    module = import_module("noonwall.text.source_html")
    try:
        return str(module.html_text(markup))
    except module.Tangled as error:
        raise fault("source.tangled", name) from error


def _from_docx(data: bytes, name: str) -> LoadedText:
    module = import_module("noonwall.text.source_docx")
    try:
        text, notes = clean_text(module.docx_text(data))
    except module.DocxFault as error:
        raise fault(error.code, name, **error.facts) from error
    if not text.strip():
        raise fault("source.no-text", name)
    return LoadedText(text, "docx", notes)


def _from_pdf(data: bytes, name: str, limits: Limits) -> LoadedText:
    # pypdf loads in a quarter of a second: only those who open a PDF wait for it.
    module = import_module("noonwall.text.source_pdf")
    try:
        raw, notes = module.pdf_text(data, seconds=limits.pdf_seconds)
    except module.PdfFault as error:
        raise fault(error.code, name, **error.facts) from error
    text, more = clean_text(raw)
    return LoadedText(text, "pdf", (*notes, *more))
