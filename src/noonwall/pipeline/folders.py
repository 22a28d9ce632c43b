"""Prove a folder of sheets on several cores."""

from __future__ import annotations

import concurrent.futures as futures  # its process pool is only loaded when a folder is proved
import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any

from noonwall.errors import NoonwallError
from noonwall.pipeline.proving import prove_file
from noonwall.pipeline.reporting import report
from noonwall.words.messages import fault_words


@dataclass(frozen=True, slots=True)
class FileProved:
    """What became of one file of a folder: its report, or in ``trouble`` why it cannot be read."""

    path: Path
    report: dict[str, Any] = field(default_factory=dict)
    trouble: str = ""


def prove_folder(
    paths: Iterable[Path], workers: int | None = None, language: str | None = None
) -> Iterator[FileProved]:
    """Prove many files on several cores, yielding each as it is done; one bad file never stops the rest.

    Only a few files per worker are in hand at any time, so memory stays flat however many there are.

    Args:
        paths: the files.
        workers: processes; by default one for each core.
        language: language of the messages; by default that of each sheet.
    """
    count = workers or os.cpu_count() or 1
    if count == 1:
        yield from (_prove_one(path, language) for path in paths)
        return
    waiting = iter(paths)
    with futures.ProcessPoolExecutor(count) as pool:
        running = {pool.submit(_prove_one, path, language) for path in islice(waiting, 4 * count)}
        while running:
            done, running = futures.wait(running, return_when=futures.FIRST_COMPLETED)
            for finished in done:
                yield finished.result()
                following = next(waiting, None)
                if following is not None:
                    running.add(pool.submit(_prove_one, following, language))


def _prove_one(path: Path, language: str | None) -> FileProved:
    try:
        return FileProved(path, report(prove_file(path), language))
    except NoonwallError as error:
        return FileProved(path, trouble=fault_words(error, language or "en"))
    except Exception as error:  # a fault of ours in one sheet must not cost a teacher the other thousands
        return FileProved(
            path, trouble=f"{path.name}: noonwall failed on this sheet ({type(error).__name__}: {error})."
        )
