"""A studio for each module of tests."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.studio.house import Visit, visiting


@pytest.fixture(scope="module")
def visit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visit]:
    with visiting(tmp_path_factory.mktemp("studio")) as visit:
        yield visit
