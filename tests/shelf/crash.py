"""A process that works on a shelf and is killed at any moment; then the shelf is held to all it acknowledged.

Used by the tests (a few kills) and by benchmarks/crash_shelf.py (a thousand).
"""

from __future__ import annotations

import multiprocessing
import os
import random
import signal
import sqlite3
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from noonwall.shelf import Incoming, Shelf, open_shelf
from tests.shelf.kit import facts

Work = Callable[[Shelf, Path, Callable[[str], None], random.Random], None]
LONGEST_SECONDS = 0.12
"""A process is killed at most this long after its first acknowledgement."""
BATCH = 30


def save(shelf: Shelf, folder: Path, told: Callable[[str], None], chance: random.Random) -> None:
    """Add dances and save versions without end, telling of each once it is acknowledged."""
    while True:
        text = f"{chance.random()} " * chance.randrange(1, 400)
        dance = shelf.add_dance(text, facts(f"Dance {text[:8]}", figures=["vine"], shape=[[1, "R"]]))
        told(f"text {dance} 1 {text[:20]}")
        for number in range(2, chance.randrange(2, 6)):
            changed = f"{chance.random()} {text}"
            shelf.save_version(dance, changed, facts(changed[:8]), based_on=number - 1)
            told(f"text {dance} {number} {changed[:20]}")
        shelf.set_setting("last", dance)
        told(f"setting {dance}")


def take_in(shelf: Shelf, folder: Path, told: Callable[[str], None], chance: random.Random) -> None:
    """Take a folder of sheets in, telling of each once it is acknowledged."""

    def sheets() -> Iterator[Incoming]:
        while True:
            text = f"{chance.random()} sheet"
            yield Incoming(text, text, facts(text[:8]))

    for one in shelf.take_in(sheets()):
        told(f"text {one.dance_id} 1 {one.name[:20]}")


def bring_in(shelf: Shelf, folder: Path, told: Callable[[str], None], chance: random.Random) -> None:
    """Import whole exports, each of which must come whole or not at all."""
    while True:
        source = folder / f"source-{chance.random()}"
        with open_shelf(folder / f"{source.name}.sqlite") as other:
            list(
                other.take_in(
                    Incoming("", f"batch {source.name} {n}", facts(f"{source.name} {n}"))
                    for n in range(BATCH)
                )
            )
            other.export_to(source)
        told(f"importing {source.name}")
        shelf.import_from(source)
        told(f"imported {source.name}")


def back_up(shelf: Shelf, folder: Path, told: Callable[[str], None], chance: random.Random) -> None:
    """Save and make backups by turns."""
    while True:
        text = f"{chance.random()} before a backup"
        told(f"text {shelf.add_dance(text, facts(text[:8]))} 1 {text[:20]}")
        told(f"backup {shelf.backup().name}")


WORKS: dict[str, Work] = {"save": save, "take_in": take_in, "bring_in": bring_in, "back_up": back_up}


@dataclass
class Acknowledged:
    """What the killed processes were told to be safe."""

    texts: dict[tuple[int, int], str] = field(default_factory=dict)
    setting: int = 0
    imported: list[str] = field(default_factory=list)
    backups: list[str] = field(default_factory=list)
    acknowledgements: int = 0

    def hear(self, line: str) -> None:
        kind, _, rest = line.partition(" ")
        self.acknowledgements += 1
        if kind == "text":
            dance, number, start = rest.split(" ", 2)
            self.texts[int(dance), int(number)] = start
        elif kind == "setting":
            self.setting = int(rest)
        elif kind == "imported":
            self.imported.append(rest)
        elif kind == "backup":
            self.backups.append(rest)


def crash(place: Path | str, folder: Path, work: Work, chance: random.Random, told: Acknowledged) -> None:
    """Let a process work on the shelf, kill it at some moment, and note what it had acknowledged."""
    reader, writer = os.pipe()
    context = multiprocessing.get_context("fork")
    process = context.Process(target=_work, args=(place, folder, work, chance.random(), writer))
    process.start()
    os.close(writer)
    with os.fdopen(reader, "rb") as lines:
        heard = lines.readline()  # the process has begun
        time.sleep(chance.random() * LONGEST_SECONDS)
        assert process.pid is not None
        os.kill(process.pid, signal.SIGKILL)
        process.join()
        heard += lines.read()
    assert process.exitcode == -signal.SIGKILL, "the process ended by itself"
    whole = heard.decode().split("\n")[:-1]  # a line without its end was not told
    for line in whole:
        told.hear(line)


def _work(place: Path | str, folder: Path, work: Work, seed: float, writer: int) -> None:
    with open_shelf(place, backups=folder / "backups") as shelf:
        work(shelf, folder, lambda line: _tell(writer, line), random.Random(seed))


def _tell(writer: int, line: str) -> None:
    os.write(writer, f"{line}\n".encode())


def check(place: Path | str, folder: Path, told: Acknowledged) -> None:
    """Hold the shelf to everything that was acknowledged.

    Raises:
        AssertionError: something is lost, half done or damaged.
    """
    with open_shelf(place, backups=folder / "backups") as shelf:
        total = shelf.find(per_page=1).total
        rows = shelf.find(per_page=total + 1).rows
        texts = {(row.id, one.number): one.text for row in rows for one in shelf.versions(row.id)}
        lost = [key for key, start in told.texts.items() if not texts.get(key, "").startswith(start)]
        assert lost == []
        assert shelf.setting("last", 0) >= told.setting
        batches: dict[str, int] = {}
        for text in texts.values():
            if text.startswith("batch "):
                batches[text.split()[1]] = batches.get(text.split()[1], 0) + 1
        assert set(batches.values()) <= {BATCH}, "an import came in half"
        assert set(told.imported) <= set(batches)
        kept = {path.name for path in shelf.backups()}
        for name in told.backups[-3:]:
            assert name in kept
        for path in shelf.backups()[:3]:
            shelf.check_backup(path)
        for row in rows[-3:]:  # the index was saved with what it indexes
            assert row.id in {one.id for one in shelf.find(row.title, per_page=1000).rows}
    if isinstance(place, Path):
        with sqlite3.connect(place) as file:
            assert file.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        file.close()
