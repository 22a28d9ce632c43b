"""A studio served for a real browser: example sheets and a song of the project's own band."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from noonwall import __version__
from noonwall.pipeline.studio_song import hear_song
from noonwall.shelf.songs import content_of
from noonwall.studio.app import Served, make_app, make_studio
from noonwall.studio.studio import Studio
from tests.outputs.ferry_song import write_song
from tests.studio.house import filled_shelf

SONG_TITLE = "The Ferry Was Late Again"


@dataclass(frozen=True)
class Running:
    """A studio that answers, and the address of its pages."""

    studio: Studio
    address: str

    @property
    def door(self) -> str:
        """The address that lets a browser in."""
        return f"{self.address}/open?key={self.studio.keys.opening}"


def free_port() -> int:
    """Return a port of this computer that nobody uses."""
    with socket.socket() as asking:
        asking.bind(("127.0.0.1", 0))
        return int(asking.getsockname()[1])


@contextmanager
def served(folder: Path) -> Iterator[Running]:
    """Serve a studio from a thread until the end of the block."""
    port = free_port()
    with filled_shelf(folder) as shelf:
        studio = make_studio(shelf, Served(port), folder)
        song = write_song(studio.songs_folder)
        heard = hear_song(song, studio.songs_folder / f"{content_of(song)[0]}.json")
        shelf.add_song(song, title=SONG_TITLE, heard=heard, edition=__version__)
        server = uvicorn.Server(
            uvicorn.Config(make_app(studio), host="127.0.0.1", port=port, log_level="error")
        )
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        ends = time.monotonic() + 20
        while not server.started and time.monotonic() < ends:
            time.sleep(0.02)
        try:
            yield Running(studio, f"http://127.0.0.1:{port}")
        finally:
            server.should_exit = True
            thread.join(10)
