"""A studio for the tests: a shelf of some examples in a folder of its own, a browser without a screen."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from noonwall.demo.sheets import WITH_MISTAKES, example_sheets
from noonwall.pipeline.studio_dance import facts_for_shelf
from noonwall.shelf import Shelf, open_shelf
from noonwall.studio.app import Served, make_app, make_studio
from noonwall.studio.studio import Studio

with warnings.catch_warnings():
    # newer starlette would rather have the successor of httpx, which few machines have yet
    warnings.simplefilter("ignore")
    from fastapi.testclient import TestClient

PORT = 8599
ORIGIN = f"http://127.0.0.1:{PORT}"
SHEETS = ("with-mistakes", "lantern-walk", "rope-and-pulley", "valse-du-moulin")


def texts() -> dict[str, str]:
    """Return the sheets by name, in the order of their numbers on the shelf."""
    every = {"with-mistakes": WITH_MISTAKES, **example_sheets()}
    return {name: every[name] for name in SHEETS}


def filled_shelf(folder: Path) -> Shelf:
    """Return a new shelf with the sheets on it: number 1 is the one with mistakes."""
    shelf = open_shelf(folder / "shelf.sqlite")
    for text in texts().values():
        shelf.add_dance(text, facts_for_shelf(text))
    return shelf


@dataclass
class Visit:
    """A studio with a browser that was let in."""

    studio: Studio
    browser: TestClient

    @property
    def token(self) -> str:
        """The token that the pages of this browser hold."""
        page = self.browser.get("/").text
        found = re.search(r'noonwall-token" content="(\w+)"', page)
        assert found, page[:200]
        return found[1]

    def send(self, method: str, address: str, **given: object):  # type: ignore[no-untyped-def]
        """Send a change as the pages do."""
        given_headers = given.pop("headers", {})
        token = {} if "x-noonwall-token" in given_headers else {"x-noonwall-token": self.token}
        headers = {"origin": ORIGIN, **token, **given_headers}
        return self.browser.request(method, address, headers=headers, **given)


@contextmanager
def visiting(folder: Path, hall: str = "") -> Iterator[Visit]:
    """Open a studio, and let a browser in by its key."""
    with filled_shelf(folder) as shelf:
        studio = make_studio(shelf, Served(PORT, "en", hall), folder)
        with TestClient(make_app(studio), base_url=ORIGIN, raise_server_exceptions=False) as browser:
            browser.get(f"/open?key={studio.keys.opening}")
            yield Visit(studio, browser)
