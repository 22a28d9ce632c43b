"""Files from outside are read apart: what is broken, endless or too large ends that process and no other."""

from __future__ import annotations

import io
import sys
import zipfile
from pathlib import Path

import pytest

from noonwall.errors import BrokenFile
from noonwall.pipeline.studio_child import in_own_process
from noonwall.pipeline.studio_reading import read_sheet_bytes


def test_a_sheet_is_read(tmp_path: Path) -> None:
    file = tmp_path / "sheet.txt"
    file.write_text("Étoile\n1-2 Walk R, L", "utf-8")
    assert in_own_process("read", file)["text"].startswith("Étoile")


def test_what_is_no_sound_is_said(tmp_path: Path) -> None:
    file = tmp_path / "song.mp3"
    file.write_bytes(b"RIFF" + bytes(range(256)) * 40)
    with pytest.raises(BrokenFile) as caught:
        in_own_process("hear", file)
    assert caught.value.code and "Traceback" not in str(caught.value)


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no limit of address space for a process")
def test_a_process_that_wants_too_much_memory_ends(tmp_path: Path) -> None:
    file = tmp_path / "song.wav"
    file.write_bytes(b"RIFF\xff\xff\xff\x7fWAVEfmt " + bytes(100))
    with pytest.raises(BrokenFile):
        in_own_process("hear", file, most_bytes=60_000_000)


def test_a_document_that_unfolds_without_end_is_refused() -> None:
    """A docx is a zip: this one holds 20 MB of nothing in 20 kB."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as document:
        document.writestr("word/document.xml", b"<w>" + b" " * 20_000_000)
    with pytest.raises(BrokenFile):
        read_sheet_bytes(held.getvalue(), "bomb.docx")
