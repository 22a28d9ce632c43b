"""What the page of a dance and the page of a song share: assets, policy, floor and legend."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from importlib import resources

from noonwall.outputs.markup import fill, icon, text
from noonwall.outputs.page_words import PageWords

ICONS_USED = ("play", "pause", "back", "next", "start", "loop", "front", "mirror")


def asset(name: str) -> str:
    """Return a file of ``page_assets`` as text."""
    file = resources.files("noonwall").joinpath("outputs", "page_assets", name)
    # A browser hashes the text after turning CRLF into LF; so must we, wherever the package was unpacked.
    return file.read_text("utf-8").replace("\r\n", "\n")


def joined(names: Iterable[str]) -> str:
    """Return several assets as one text, in order."""
    return "\n".join(asset(name) for name in names)


def policy(style: str, script: str, media: str = "") -> str:
    """Return a content security policy: the document's own style and script by SHA-256, and nothing else.

    Args:
        style: the text of the style element.
        script: the text of the script element.
        media: sources that sound may come from, as the policy writes them; "" allows none.
    """
    sound = f"media-src {media}; " if media else ""
    return (
        f"default-src 'none'; style-src 'sha256-{_digest(style)}'; script-src 'sha256-{_digest(script)}'; "
        f"{sound}base-uri 'none'; form-action 'none'"
    )


def _digest(body: str) -> str:
    return base64.b64encode(hashlib.sha256(body.encode("utf-8")).digest()).decode("ascii")


def shared_values(words: PageWords, sections: Iterable[str]) -> dict[str, str]:
    """Return the values of a page's template that both pages fill alike.

    Args:
        words: the page's words.
        sections: tables of the words whose every entry becomes a value, as ``section_name``.
    """
    values = {f"icon_{name}": icon(name) for name in ICONS_USED}
    for section in sections:
        values |= {f"{section}_{name}": text(said) for name, said in words.table[section].items()}
    return values | {
        "floor_scene": fill(asset("floor.html").rstrip("\n"), values),
        "legend": fill(asset("legend.html").rstrip("\n"), values),
    }
