"""Both databases: every test that asks for ``place`` runs on a file and in a PostgreSQL schema of its own.

.ci/postgres starts a server and names it in NOONWALL_TEST_POSTGRES; without one the second half is skipped.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import uuid4

import pytest
from sqlalchemy import create_engine

from noonwall.shelf import Shelf, open_shelf

SERVER = os.environ.get("NOONWALL_TEST_POSTGRES", "")
NO_SERVER = "no PostgreSQL here: run the tests as .ci/postgres COMMAND"

Place = Path | str


def postgres_place() -> tuple[str, Callable[[], None]]:
    """Return the URL of a new schema, and what drops it."""
    if not SERVER:
        pytest.skip(NO_SERVER)
    schema = f"t{uuid4().hex}"
    engine = create_engine(SERVER.replace("postgresql://", "postgresql+psycopg://"))
    with engine.begin() as connection:
        connection.exec_driver_sql(f"CREATE SCHEMA {schema}")

    def drop() -> None:
        with engine.begin() as connection:
            connection.exec_driver_sql(f"DROP SCHEMA {schema} CASCADE")
        engine.dispose()

    return f"{SERVER}&options=-csearch_path%3D{schema}", drop


@pytest.fixture(params=["sqlite", "postgres"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    if request.param == "sqlite":
        yield tmp_path / "shelf.sqlite"
        return
    url, drop = postgres_place()
    yield url
    drop()


@pytest.fixture
def shelf(place: Place, tmp_path: Path) -> Iterator[Shelf]:
    with open_shelf(place, backups=tmp_path / "backups") as opened:
        yield opened
