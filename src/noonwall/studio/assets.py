"""Scripts, styles and pictures of the pages: all known at the start: no name from outside reaches a file."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from importlib import resources

from noonwall.pipeline.studio_assets import shared_script, shared_style

PAGES_WITH_SCRIPT = ("shelf", "dance", "song", "songs", "lesson", "floor", "making", "versions", "hall")
KINDS = {
    "js": "text/javascript; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "svg": "image/svg+xml",
    "webmanifest": "application/manifest+json",
}


@dataclass(frozen=True, slots=True)
class Asset:
    """One file that a browser may ask for; ``mark`` changes with its content."""

    content: bytes
    kind: str
    mark: str


def all_assets() -> dict[str, Asset]:
    """Return every asset by name: the script of a page is one module, the shared part and its own."""
    assets: dict[str, Asset] = {}
    for page in PAGES_WITH_SCRIPT:
        parts = [shared_script(page), _own("common.js"), _own(f"{page}.js")]
        assets[f"{page}.js"] = _asset(f"{page}.js", "\n".join(part for part in parts if part))
    assets["studio.css"] = _asset("studio.css", shared_style("") + "\n" + _own("studio.css"))
    assets["song.css"] = _asset("song.css", shared_style("song") + "\n" + _own("studio.css"))
    for name in ("icon.svg", "studio.webmanifest"):
        assets[name] = _asset(name, _own(name))
    return assets


def worker_script(addresses: list[str]) -> str:
    """Return the script that keeps pages for the time without a network; ``addresses`` are kept at once."""
    listed = ", ".join(f'"{address}"' for address in addresses)
    return f"const KEPT_AT_ONCE = [{listed}];\n{_own('worker.js')}"


def _own(name: str) -> str:
    file = resources.files("noonwall").joinpath("studio", "static", name)
    return file.read_text("utf-8").replace("\r\n", "\n")


def _asset(name: str, content: str) -> Asset:
    body = content.encode("utf-8")
    return Asset(body, KINDS[name.rsplit(".", 1)[1]], sha256(body).hexdigest()[:12])
