"""`noonwall studio`: the shelf, the dances, the music and the lessons in a browser, on this computer."""

from __future__ import annotations

import argparse
import socket
import threading
import webbrowser
from importlib import import_module

from noonwall.cli.language import usual_language
from noonwall.cli.status import CLEAN
from noonwall.errors import NoonwallError
from noonwall.pipeline import say
from noonwall.shelf import open_shelf
from noonwall.shelf.place import data_folder

USUAL_PORT = 8512
PORTS_TRIED = 20
OPENING_SECONDS = 0.8


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("--port", type=int, metavar="N", help=f"where to listen (default: {USUAL_PORT})")
    parser.add_argument("--shelf", metavar="PLACE", help="a shelf: a file, or the URL of a database")
    parser.add_argument("--as", dest="language", choices=("en", "fr"), help="language of its pages")
    parser.add_argument(
        "--hall", action="store_true", help="also serve the local network, to devices with a pairing code"
    )
    parser.add_argument("--no-browser", action="store_true", help="print the address and open no browser")


def run(given: argparse.Namespace) -> int:
    """Run the command until it is stopped with Ctrl-C.

    Raises:
        NoonwallError: the shelf cannot be opened, or there is no port or no network to serve on.
    """
    language = given.language or usual_language()
    # the web framework is loaded by this command alone
    app = import_module("noonwall.studio.app")
    hall = import_module("noonwall.studio.hall_code").local_address() if given.hall else ""
    if given.hall and not hall:
        raise NoonwallError(say(language, "cli", "studio_no_network"))
    port = given.port or _free_port(bool(hall), language)
    with open_shelf(given.shelf) as shelf:
        studio = app.make_studio(shelf, app.Served(port, given.language, hall), data_folder())
        seeding = import_module("noonwall.studio.seeding")
        if seeding.seed(shelf, language):
            # the band plays while the teacher looks around
            studio.bench.do_quietly(lambda: seeding.seed_songs(shelf, studio.songs_folder))
        address = f"http://127.0.0.1:{port}/open?key={studio.keys.opening}"
        print(say(language, "cli", "studio_open", address=address), flush=True)
        if hall:
            print(say(language, "cli", "studio_hall", address=studio.hall_address), flush=True)
        if not given.no_browser:
            opener = threading.Timer(OPENING_SECONDS, webbrowser.open, [address])
            opener.daemon = True
            opener.start()
        app.serve(studio, port)
    return CLEAN


def _free_port(is_hall: bool, language: str) -> int:
    """Return the usual port or the next free one.

    Raises:
        NoonwallError: all are taken.
    """
    for port in range(USUAL_PORT, USUAL_PORT + PORTS_TRIED):
        with socket.socket() as trying:
            try:
                trying.bind(("0.0.0.0" if is_hall else "127.0.0.1", port))
            except OSError:
                continue
            return port
    raise NoonwallError(say(language, "cli", "studio_no_port"))
