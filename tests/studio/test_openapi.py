"""The OpenAPI description is true: whatever it allows is answered as it says.

Outside check: schemathesis makes the requests and judges the answers; the rules of OpenAPI 3.1 are its own.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

schemathesis = pytest.importorskip("schemathesis", reason="schemathesis is not installed")

from noonwall.studio.app import MODULES, Served, make_pages, make_studio  # noqa: E402
from noonwall.studio.keys import Session  # noqa: E402
from tests.studio.house import PORT, filled_shelf  # noqa: E402

FOLDER = tempfile.TemporaryDirectory(prefix="noonwall-openapi-")
_SHELF = filled_shelf(Path(FOLDER.name))
_PAGES = make_pages(make_studio(_SHELF, Served(PORT, "en", "192.168.7.20"), Path(FOLDER.name)))


class _LetIn:
    """The pages as a browser finds them that the guard let in; the guard has tests of its own."""

    def __init__(self) -> None:
        self.session = Session("0", "0", "", False, 0.0)

    async def __call__(self, scope, receive, send) -> None:  # type: ignore[no-untyped-def]
        scope.setdefault("state", {})["session"] = self.session
        await _PAGES(scope, receive, send)


schema = schemathesis.openapi.from_dict(_PAGES.openapi())
schema.app = _LetIn()
EXAMPLES = settings(
    max_examples=6, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True, database=None
)


@pytest.fixture(scope="module", autouse=True)
def closing() -> Iterator[None]:
    yield
    _SHELF.close()
    FOLDER.cleanup()


# Making a file takes a second, and bytes of no meaning are no sheet and no song: test_api.py tries those.
@schema.exclude(path_regex="/(makings|songs|sheets)$").parametrize()
@EXAMPLES
def test_answers_are_as_described(case) -> None:  # type: ignore[no-untyped-def]
    case.call_and_validate()


def test_everything_that_changes_is_described() -> None:
    described = _PAGES.openapi()["paths"]
    hidden = {
        (route.path, method)
        for module in MODULES
        for route in module.router.routes
        for method in route.methods
        if method not in ("GET", "HEAD") and method.lower() not in described.get(route.path, {})
    }
    assert hidden == {("/pair", "POST")}
