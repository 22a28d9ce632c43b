"""Write a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from noonwall.errors import NoonwallError
from noonwall.outputs.faults import fault


def write_whole(path: Path, content: bytes) -> None:
    """Write ``content`` beside ``path`` and then put it in place: what was there stays until all is written.

    Raises:
        NoonwallError: the folder is not there or cannot be written, or the disk is full.
    """
    folder = path.parent
    if path.is_dir():
        raise fault(NoonwallError, "write.is-folder", path=path)
    if not folder.is_dir():
        raise fault(NoonwallError, "write.no-folder", folder=folder)
    temporary = ""
    try:
        handle, temporary = tempfile.mkstemp(dir=folder, prefix=f".{path.name}.", suffix=".part")
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, _mode(path))
        os.replace(temporary, path)
    except OSError as error:
        if temporary:
            Path(temporary).unlink(missing_ok=True)
        reason = (error.strerror or str(error)).lower()
        raise fault(NoonwallError, "write.failed", path=path, reason=reason) from error


def _mode(path: Path) -> int:
    """Return the permissions of the file that is replaced, or those that a new file gets."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
