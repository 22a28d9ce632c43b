"""The language of messages where no sheet tells it, and the languages that `--as` names."""

from __future__ import annotations

import argparse
import os


def usual_language() -> str:
    """Return "fr" on a computer that is set to French (POSIX locale variables), else "en"."""
    told = next((os.environ[name] for name in ("LC_ALL", "LC_MESSAGES", "LANG") if os.environ.get(name)), "")
    return "fr" if told.lower().startswith("fr") else "en"


def one_or_two_languages(given: str) -> tuple[str, ...]:
    """Return the languages of "en", "fr", "fr-CA" or two of them with a comma between.

    Raises:
        argparse.ArgumentTypeError: it names another language, or one twice.
    """
    tags = tuple(dict.fromkeys(tag.strip() for tag in given.split(",")))
    if not set(tags) <= {"en", "fr", "fr-CA"} or len({tag[:2] for tag in tags}) < len(tags):
        raise argparse.ArgumentTypeError(f"{given} is not en, fr, fr-CA, or two of them with a comma between")
    return tags
