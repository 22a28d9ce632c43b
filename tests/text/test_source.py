"""Any file to text: every kind, every fault, in bounded time."""

from __future__ import annotations

import io
import os
import pickle
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from noonwall.errors import BrokenFile
from noonwall.text.source import SUFFIXES, Limits, load_text, sheets_in, text_of_bytes
from noonwall.text.source_faults import FAULTS, shown_name
from noonwall.words.messages import speak
from tests.text import source_files as files


def without_fractions(text: str) -> str:
    return text.replace("¼", "1/4").replace("½", "1/2")


KINDS: dict[str, tuple[str, Callable[[], bytes]]] = {
    "plain.txt": ("txt", lambda: files.SHEET.encode("utf-8")),
    "mark.txt": ("txt", lambda: files.SHEET.encode("utf-8-sig")),
    "wide.txt": ("txt", lambda: files.SHEET.encode("utf-16")),
    "wide-unmarked.txt": ("txt", lambda: files.SHEET.encode("utf-16-le")),
    "windows.txt": ("txt", lambda: files.SHEET.replace("\n", "\r\n").encode("cp1252")),
    "old-mac.txt": ("txt", lambda: without_fractions(files.SHEET).replace("\n", "\r").encode("mac_roman")),
    "twice.txt": ("txt", lambda: files.SHEET.encode("utf-8").decode("cp1252").encode("utf-8")),
    "table.html": ("html", files.as_html),
    "list.htm": ("html", lambda: files.as_html(tables=False)),
    "page-without-ending": ("html", files.as_html),
    "page.md": ("md", files.as_markdown),
    "page.docx": ("docx", files.as_docx),
    "misnamed.txt": ("docx", files.as_docx),
    "top.pdf": ("pdf", files.as_pdf),
    "middle.pdf": ("pdf", lambda: files.as_pdf("MIDDLE")),
    "bottom.pdf": ("pdf", lambda: files.as_pdf("BOTTOM")),
}  # fmt: skip


@contextmanager
def quick(seconds: float = 2.0) -> Iterator[None]:
    started = time.process_time()
    yield
    assert time.process_time() - started < seconds


@pytest.mark.parametrize("name", KINDS)
def test_every_kind_gives_the_same_lines(tmp_path: Path, name: str) -> None:
    kind, make = KINDS[name]
    (tmp_path / name).write_bytes(make())
    loaded = load_text(tmp_path / name)
    assert loaded.kind == kind
    expected = files.folded(files.SHEET)
    if name == "old-mac.txt":  # Mac Roman has no fractions
        expected = [without_fractions(line) for line in expected]
    assert files.folded(loaded.text) == expected


@pytest.mark.parametrize("name", ["table.html", "page.md", "page.docx", "top.pdf"])
def test_a_table_row_is_a_line_with_a_tab(name: str) -> None:
    _, make = KINDS[name]
    text = text_of_bytes(make(), name=name, suffix=Path(name).suffix).text
    assert "5&6\tKick-ball-change L\n" in text


@pytest.mark.parametrize("name", ["plain.txt", "page.docx", "top.pdf", "table.html"])
def test_standard_input_is_known_by_its_content(name: str) -> None:
    kind, make = KINDS[name]
    loaded = load_text("-", standard_input=io.BytesIO(make()))
    assert (loaded.kind, files.folded(loaded.text)) == (kind, files.folded(files.SHEET))


BAD: dict[str, tuple[bytes, str]] = {
    "empty.txt": (b"", "source.empty"),
    "spaces.txt": (b" \r\n\t\n", "source.empty"),
    "marks.txt": ("\ufeff\u200e\u202e\n".encode(), "source.empty"),
    "zeros.txt": (bytes(5000), "source.empty"),
    "noise.txt": (bytes(range(256)) * 20, "source.binary"),
    "one.txt": (b"\x01", "source.binary"),
    "picture.txt": (b"\x89PNG\r\n\x1a\n" + bytes(99), "source.other-format"),
    "photo.docx": (b"\xff\xd8\xff\xe0" + bytes(99), "source.other-format"),
    "old.doc": (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "source.other-format"),
    "rich.rtf": (b"{\\rtf1\\ansi 1-2 Step}", "source.other-format"),
    "locked.docx": (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(99) + "EncryptedPackage".encode("utf-16-le"),
        "source.docx-locked",
    ),
    "archive.docx": (files.zip_of({"a.txt": b"1-2 Step"}), "source.other-format"),
    "writer.odt": (
        files.zip_of({"mimetype": b"application/vnd.oasis.opendocument.text", "content.xml": b"<x/>"}),
        "source.other-format",
    ),
    "cut.docx": (files.as_docx()[:3000], "source.docx-broken"),
    "no-words.docx": (files.docx_with_body("<w:p/>"), "source.no-text"),
    "cut.pdf": (files.as_pdf()[:200], "source.pdf-broken"),
    "scan.pdf": (files.drawn_pdf([[]]), "source.pdf-no-text"),
    "locked.pdf": (files.as_pdf(password="lantern"), "source.pdf-locked"),
    "long.pdf": (files.drawn_pdf([[(50, 50, "Step")]] * 51), "source.pdf-pages"),
    "script.html": (b"<html><script>var step = 1</script></html>", "source.no-text"),
    "tags.html": (b"<div>" * 300_000, "source.tangled"),
    "entities.html": (b"&#60;" * 300_000, "source.tangled"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_content_is_one_sentence_soon(tmp_path: Path, name: str) -> None:
    content, code = BAD[name]
    (tmp_path / name).write_bytes(content)
    with quick(), pytest.raises(BrokenFile) as caught:
        load_text(tmp_path / name)
    assert caught.value.code == code
    assert files.one_sentence(str(caught.value)) and name in str(caught.value)
    assert str(caught.value) == FAULTS[code].format(**caught.value.facts)


def test_a_file_of_100_megabytes_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "big.txt"
    with path.open("wb") as stream:
        stream.truncate(100_000_000)
    with quick(0.2), pytest.raises(BrokenFile, match=r"big.txt is larger than 30 MB.*right file\?"):
        load_text(path)


def test_text_beyond_its_own_limit_is_refused() -> None:
    with pytest.raises(BrokenFile, match="larger than 1 MB"):
        text_of_bytes(b"1-2 Step side\n" * 300_000, name="log.txt")


def test_an_endless_standard_input_is_refused() -> None:
    class Endless(io.RawIOBase):
        def read(self, size: int = -1) -> bytes:
            return b"1-2 Step side. " * (size // 15 + 1)

    with quick(), pytest.raises(BrokenFile, match="standard input is larger"):
        load_text("-", standard_input=Endless(), limits=Limits(document_bytes=2_000_000))  # type: ignore[arg-type]


@pytest.mark.skipif(os.name == "nt", reason="POSIX files")
def test_places_that_are_no_files(tmp_path: Path) -> None:
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "a.txt").write_text("x")
    cases = {
        tmp_path: "source.folder",
        tmp_path / "none.txt": "source.missing",
        tmp_path / "a.txt" / "b.txt": "source.missing",
        tmp_path / "loop": "source.link-loop",
        tmp_path / "pipe": "source.not-a-file",
        Path("/dev/zero"): "source.not-a-file",
        tmp_path / ("n" * 300): "source.bad-name",
        "nul\0name": "source.bad-name",
        tmp_path / "b\udcff\x1b[31m\nad": "source.missing",
        "": "source.missing",
    }
    for source, code in cases.items():
        with quick(0.5), pytest.raises(BrokenFile) as caught:
            load_text(source)
        assert caught.value.code == code, source
        assert files.one_sentence(str(caught.value)) and str(caught.value).isprintable()


@pytest.mark.skipif(os.name == "nt", reason="POSIX permissions")
def test_a_file_that_may_not_be_read(tmp_path: Path) -> None:
    path = tmp_path / "private.txt"
    path.write_text("1-2 Step")
    path.chmod(0)
    root = os.geteuid() == 0
    if root:  # nothing is closed to root: ask as nobody
        os.seteuid(65534)
    try:
        with pytest.raises(BrokenFile) as caught:
            load_text(path)
    finally:
        if root:
            os.seteuid(0)
    assert caught.value.code == "source.permission"


def test_direction_marks_are_left_out_and_told() -> None:
    loaded = text_of_bytes("1-2 \u202eStep\u202c side\u200f\n".encode(), name="a.txt")
    assert loaded.text == "1-2 Step side\n"
    assert [speak(found, "en").shows for found in loaded.notes] == [
        "3 invisible text-direction marks were left out."
    ]


def test_a_fault_survives_the_way_between_processes() -> None:
    with pytest.raises(BrokenFile) as caught:
        text_of_bytes(b"", name="a.txt")
    copy = pickle.loads(pickle.dumps(caught.value))
    assert (str(copy), copy.code, copy.facts) == (str(caught.value), "source.empty", {"name": "a.txt"})


def test_every_sentence_is_one_sentence() -> None:
    for sentence in FAULTS.values():
        assert files.one_sentence(sentence) and sentence.count(". ") == 0
    assert len(shown_name("x" * 500)) <= 81


def test_sheets_in_a_folder(tmp_path: Path) -> None:
    wanted = [
        "A.TXT",
        "b.docx",
        "deep/c.pdf",
        "deep/d.md",
        "e.html",
        "licensed-to-dance.txt",
        "readmeadow.md",
    ]
    passed_over = [
        ".hidden.txt",
        "~$b.docx",
        ".git/x.md",
        "photo.jpg",
        "e.txt~",
        "._c.pdf",
        "song.mp3",
        "__MACOSX/z.txt",
        "README.md",
        "deep/readme_first.txt",
        "LICENSE.txt",
        "licence-fr.html",
        "Lisez-moi.txt",
        "CHANGELOG.md",
    ]
    for name in (*wanted, *passed_over):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(b"x")
    if os.name != "nt":
        (tmp_path / "deep" / "back").symlink_to(tmp_path, target_is_directory=True)
    found = [path.relative_to(tmp_path).as_posix() for path in sheets_in(tmp_path)]
    assert sorted(found) == sorted(wanted)
    assert {Path(name).suffix.lower() for name in wanted} <= SUFFIXES


@pytest.mark.parametrize(("name", "code"), [("none", "source.missing"), ("a.txt", "source.not-a-folder")])
def test_a_folder_that_is_none(tmp_path: Path, name: str, code: str) -> None:
    (tmp_path / "a.txt").write_text("x")
    with pytest.raises(BrokenFile) as caught:
        list(sheets_in(tmp_path / name))
    assert caught.value.code == code


def test_plain_text_loads_no_heavy_library(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("1-2 Step side")
    program = (
        "import sys; from noonwall.text.source import load_text; load_text(sys.argv[1]);"
        "print([m for m in ('pypdf', 'docx', 'zipfile', 'xml', 'html') if m in sys.modules])"
    )
    result = subprocess.run(
        [sys.executable, "-c", program, str(path)], capture_output=True, text=True, check=True
    )
    assert result.stdout.strip() == "[]"


HEADS = [b"%PDF-1.4\n", b"PK\x03\x04", b"<html>", b"\xff\xfe", b"\xef\xbb\xbf"]


@settings(max_examples=150, deadline=2000)
@given(
    st.one_of(
        st.binary(max_size=400),
        st.builds(lambda head, tail: head + tail, st.sampled_from(HEADS), st.binary(max_size=300)),
    ),
    st.sampled_from(["", ".txt", ".md", ".html", ".docx", ".pdf"]),
)  # fmt: skip
def test_any_bytes_are_text_or_a_broken_file(data: bytes, suffix: str) -> None:
    try:
        loaded = text_of_bytes(data, name="any", suffix=suffix)
    except BrokenFile as error:
        assert error.code in FAULTS and files.one_sentence(str(error))
    else:
        assert loaded.text.strip() and "\0" not in loaded.text and "\r" not in loaded.text


@pytest.mark.parametrize("make", [files.as_docx, files.as_pdf, files.as_html], ids=["docx", "pdf", "html"])
def test_any_damage_to_a_file_is_text_or_a_broken_file(make: Callable[[], bytes]) -> None:
    whole = make()

    @settings(max_examples=120, deadline=2000)
    @given(
        st.lists(
            st.tuples(st.integers(0, len(whole) - 1), st.binary(min_size=1, max_size=6)),
            min_size=1,
            max_size=8,
        )
    )
    def damaged(changes: list[tuple[int, bytes]]) -> None:
        data = bytearray(whole)
        for at, piece in changes:
            data[at : at + len(piece)] = piece
        try:
            assert text_of_bytes(bytes(data), name="any").text.strip()
        except BrokenFile as error:
            assert error.code in FAULTS

    damaged()
