"""How fast the pages of a studio are with many dances on its shelf.

    python benchmarks/bench_studio.py [--dances N] [--sheets N]

The pages are asked over loopback of a server in a process of its own, every request a different dance or
other words; the client reads each answer whole. The shelf is that of bench_shelf.py: real sheets of
tests/writer under new titles, with drawn facts. Prints milliseconds of wall time (median, 95th percentile)
and, on Linux, the server's processor time for a request. Beside a busy neighbour wall time says little, so
the load of the machine is printed too.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median, quantiles

import httpx
from bench_shelf import FIRST, LAST, drawn

from noonwall.shelf import open_shelf
from noonwall.studio.app import Served, make_studio, serve

sys.path.insert(0, str(Path(__file__).parents[1]))
from tests.browser.studio_served import free_port
from tests.writer.author import write

ROUNDS = 40
KEY = "a key that only this benchmark knows"
BAR_MILLISECONDS = 100


class Server:
    """The process that answers."""

    pid = 0

    @classmethod
    def worked_seconds(cls) -> float:
        """Return the processor time it has used, 0 where the system does not say (proc(5): fields 14, 15)."""
        try:
            fields = Path(f"/proc/{cls.pid}/stat").read_text("utf-8").rsplit(")", 1)[1].split()
        except OSError:
            return 0.0
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def timed(what: str, act: Callable[[int], httpx.Response]) -> None:
    """Print how long a page takes over many different requests; any answer but 200 ends the benchmark."""
    spent, worked = [], Server.worked_seconds()
    for turn in range(ROUNDS):
        begun = time.perf_counter()
        answer = act(turn)
        spent.append(1000 * (time.perf_counter() - begun))
        if answer.status_code != 200:
            raise SystemExit(f"{what}: {answer.status_code} {answer.text[:200]}")
    slow = quantiles(spent, n=20)[-1]
    verdict = "" if slow <= BAR_MILLISECONDS else "  over the bar"
    worked = 1000 * (Server.worked_seconds() - worked) / ROUNDS
    print(f"{what:<44}{median(spent):8.1f}{slow:8.1f}{worked:10.1f}{verdict}", flush=True)


def pages(client: httpx.Client, total: int, texts: list[str]) -> None:
    """Time every page."""
    chance = random.Random(2)
    typed = [f"{chance.choice(FIRST)} {chance.choice(LAST)}" for _ in range(ROUNDS)]
    some = [1 + (turn * 7919) % total for turn in range(ROUNDS)]
    token = {"x-noonwall-token": re.findall(r'token" content="(\w+)', client.get("/").text)[0]}

    def asked(address: str, **values: object) -> httpx.Response:
        return client.get(address, params={name: str(value) for name, value in values.items()})

    def sent(address: str, turn: int) -> httpx.Response:
        # a letter more each time: nothing was seen before
        text = f"{texts[turn % len(texts)]}\n{turn} {chance.random()}"
        return client.post(address, json={"text": text, "language": "fr"}, headers=token)

    print(f"{'milliseconds':<44}{'median':>8}{'95 %':>8}{'processor':>10}")
    timed("the shelf", lambda turn: asked("/", page=1 + turn))
    timed("the list, as one types three letters", lambda turn: asked("/", part="rows", find=typed[turn][:3]))
    timed("the list, two words", lambda turn: asked("/", part="rows", find=typed[turn]))
    timed(
        "the list, filtered and ordered",
        lambda turn: asked("/", part="rows", level="beginner", walls=4, tempo="middle", order="tempo"),
    )
    for name in ("", "/beside", "/versions", "/lesson", "/floor", "/make", "/music"):
        timed(f"a dance{name}", lambda turn, name=name: client.get(f"/dances/{some[turn]}{name}"))
    timed("songs", lambda turn: client.get("/songs"))
    timed("a text checked as one types", lambda turn: sent("/api/checked", turn))
    timed("a text danced as one types", lambda turn: sent("/api/danced", turn))


def answer(folder: str, port: int) -> None:
    """Serve the shelf of a folder until this process is ended."""
    with open_shelf(Path(folder) / "shelf.sqlite") as shelf:
        studio = make_studio(shelf, Served(port, "en"), Path(folder))
        studio.keys.opening = KEY
        serve(studio, port)


def main() -> None:
    """Fill a shelf, serve it from another process, and time its pages."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--dances", type=int, default=10_000)
    parser.add_argument("--sheets", type=int, default=500)
    parser.add_argument("--serve", nargs=2, metavar=("FOLDER", "PORT"), help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.serve:
        answer(given.serve[0], int(given.serve[1]))
        return
    chance = random.Random(1)
    texts = [write(seed).text for seed in range(given.sheets)]
    with tempfile.TemporaryDirectory() as folder:
        with open_shelf(Path(folder) / "shelf.sqlite") as shelf:
            total = sum(1 for _ in shelf.take_in(drawn(n, texts, chance) for n in range(given.dances)))
        port = free_port()
        server = subprocess.Popen([sys.executable, __file__, "--serve", folder, str(port)])
        Server.pid = server.pid
        try:
            with httpx.Client(base_url=f"http://127.0.0.1:{port}", follow_redirects=True) as client:
                for _ in range(600):
                    try:
                        client.get("/open", params={"key": KEY})
                        break
                    except httpx.ConnectError:
                        time.sleep(0.1)
                print(f"{total} dances; load of the machine {os.getloadavg()[0]:.1f}")
                pages(client, total, texts)
                print(f"load of the machine {os.getloadavg()[0]:.1f}")
        finally:
            server.terminate()
            server.wait(10)


if __name__ == "__main__":
    main()
