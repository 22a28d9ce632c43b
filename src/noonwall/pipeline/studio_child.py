"""Files from outside, read in a process of its own with limits of time and memory.

A decoder that a file sends astray takes nothing with it: its process is ended, and the sentence says so.
Run as ``python -m noonwall.pipeline.studio_child TASK FILE NAME SECONDS BYTES``; what was found is JSON on
standard output.
"""

from __future__ import annotations

import base64
import contextlib
import importlib
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from noonwall.errors import BrokenFile, NoonwallError

SECONDS = {"read": 20, "hear": 120, "play": 120}
"""Longest run of a task: an hour of sound is heard in about 10 s on one core, a long PDF read in 2 s."""
MOST_BYTES = 3_000_000_000
"""Address space of the process: ten minutes of sound need about a fifth of it."""
CODE_FAULT = 9
GRACE_SECONDS = 5
"""Waited beyond the limit, for a process that sleeps uses no processor time and is ended from outside."""


def in_own_process(
    task: str, file: Path, name: str = "", *, seconds: int = 0, most_bytes: int = MOST_BYTES
) -> dict[str, Any]:
    """Return what a task finds in a file, from a process with limits.

    Args:
        task: "read" (a sheet: its text), "hear" (a song: its music map, peaks and media type) or "play" (let
            the project's own band play a piece into a folder).
        file: the file, or the folder.
        name: the piece.
        seconds: longest run, by default that of :data:`SECONDS`.
        most_bytes: address space of the process.

    Raises:
        BrokenFile: the file cannot be read, or reading it takes too long or too much memory.
    """
    seconds = seconds or SECONDS[task]
    command = [sys.executable, "-m", "noonwall.pipeline.studio_child", task, str(file), name]
    command += [str(seconds), str(most_bytes)]
    # one thread: each thread of the number library takes address space of its own
    environment = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "PYTHONUTF8": "1"}
    try:
        done = subprocess.run(
            command, capture_output=True, timeout=seconds + GRACE_SECONDS, env=environment, check=False
        )
    except subprocess.TimeoutExpired as error:
        raise BrokenFile("This file takes too long to read; save it anew in its own program.") from error
    if done.returncode == CODE_FAULT:
        told = json.loads(done.stdout)
        raise BrokenFile(told["message"], code=told["code"], facts=told["facts"])
    if done.returncode:
        raise BrokenFile("This file cannot be read; save it anew in its own program and try again.")
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def _limit(seconds: int, most_bytes: int) -> None:
    """Limit this process; Windows has no such limits, there the time alone is watched from outside."""
    with contextlib.suppress(ImportError):
        resource = importlib.import_module("resource")
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
        with contextlib.suppress(ValueError, OSError):
            resource.setrlimit(resource.RLIMIT_AS, (most_bytes, most_bytes))


def _read(file: Path, name: str) -> dict[str, Any]:
    loaded = importlib.import_module("noonwall.text.source").load_text(file)
    return {"text": loaded.text}


def _hear(file: Path, name: str) -> dict[str, Any]:
    heard = importlib.import_module("noonwall.music").listen(file)
    audio = importlib.import_module("noonwall.outputs.song_audio").audio_for_page(file, embed=False)
    peaks = base64.b64encode(audio.peaks).decode("ascii")
    return {"map": heard.to_dict(), "peaks": peaks, "seconds": audio.seconds, "mime": audio.mime}


def _play(folder: Path, name: str) -> dict[str, Any]:
    play = importlib.import_module("noonwall.pipeline.studio_demo").play_demo_song
    file, title = play(name, folder)
    return {"file": str(file), "title": title}


TASKS: dict[str, Callable[[Path, str], dict[str, Any]]] = {"read": _read, "hear": _hear, "play": _play}


def main(arguments: list[str]) -> int:
    """Do one task and print what it found; a broken file is told of as data, for the process that asked."""
    task, file, name, seconds, most_bytes = arguments
    _limit(int(seconds), int(most_bytes))
    try:
        found = TASKS[task](Path(file), name)
    except NoonwallError as error:
        facts = {name: str(value) for name, value in error.facts.items()}
        print(json.dumps({"message": str(error), "code": error.code, "facts": facts}))
        return CODE_FAULT
    print(json.dumps(found))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
