"""The language of messages where no sheet tells it."""

from __future__ import annotations

import os


def usual_language() -> str:
    """Return "fr" on a computer that is set to French (POSIX locale variables), else "en"."""
    told = next((os.environ[name] for name in ("LC_ALL", "LC_MESSAGES", "LANG") if os.environ.get(name)), "")
    return "fr" if told.lower().startswith("fr") else "en"
