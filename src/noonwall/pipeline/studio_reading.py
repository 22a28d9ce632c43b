"""Sheets that reach the studio as files: read apart, under a name that is ours."""

from __future__ import annotations

import tempfile
from pathlib import Path, PurePosixPath

from noonwall.pipeline.studio_child import in_own_process

ENDINGS = (".txt", ".md", ".html", ".htm", ".docx", ".pdf")


def read_sheet_bytes(content: bytes, name: str) -> str:
    """Return the text of a sheet.

    Args:
        content: the file.
        name: what it is called where it comes from: its ending alone is used.

    Raises:
        BrokenFile: it cannot be read as a sheet.
    """
    ending = PurePosixPath(name.replace("\\", "/")).suffix.lower()
    with tempfile.TemporaryDirectory(prefix="noonwall-") as folder:
        file = Path(folder) / f"sheet{ending if ending in ENDINGS else '.txt'}"
        file.write_bytes(content)
        return str(in_own_process("read", file)["text"])
