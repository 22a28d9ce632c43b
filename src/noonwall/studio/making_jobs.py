"""What is being made: one thing at a time in the background, told how far it is, kept until it is fetched."""

from __future__ import annotations

import logging
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from queue import SimpleQueue
from typing import Literal
from uuid import uuid4

from noonwall.errors import NoonwallError

MOST_JOBS = 24
"""Finished things that are kept: each is a file of some megabytes at most, and can be made again."""

LOG = logging.getLogger("noonwall.studio")

State = Literal["waiting", "working", "done", "failed"]


@dataclass(frozen=True, slots=True)
class Product:
    """One finished thing: its bytes, media type and the name to save it under."""

    content: bytes
    kind: str
    name: str


@dataclass
class Job:
    """One thing being made; ``share`` is how much of it is done, 0 to 1."""

    id: str
    state: State = "waiting"
    share: float = 0.0
    sentence: str = ""
    product: Product | None = None
    began: float = field(default_factory=time.monotonic)


Maker = Callable[[Callable[[float], None]], Product]


class Workbench:
    """Makes one thing after the other, so that pages stay quick while a clip is drawn."""

    def __init__(self) -> None:
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._lock = threading.Lock()
        self._waiting: SimpleQueue[Callable[[], object] | None] = SimpleQueue()
        # A daemon: what is half made when the studio is stopped must not keep it from ending.
        threading.Thread(target=self._work, name="noonwall-making", daemon=True).start()

    def begin(self, make: Maker, trouble: Callable[[Exception], str]) -> Job:
        """Put a thing in the queue.

        Args:
            make: makes it, telling how far it is.
            trouble: words what went wrong.
        """
        job = Job(uuid4().hex)
        with self._lock:
            self._jobs[job.id] = job
            while len(self._jobs) > MOST_JOBS:
                self._jobs.popitem(last=False)
        self._waiting.put(lambda: self._do(job, make, trouble))
        return job

    def job(self, known: str) -> Job | None:
        """Return a job, None if there is none of that id or it was too long ago."""
        with self._lock:
            return self._jobs.get(known)

    def do_quietly(self, act: Callable[[], object]) -> None:
        """Do something that nobody waits for, after what is in the queue; a fault of it is only logged."""
        self._waiting.put(act)

    def close(self) -> None:
        """Take up nothing more once what is being made is done."""
        self._waiting.put(None)

    def _work(self) -> None:
        while (act := self._waiting.get()) is not None:
            try:
                act()
            except Exception as error:
                LOG.error("in the background: %s: %s", type(error).__name__, error)

    def _do(self, job: Job, make: Maker, trouble: Callable[[Exception], str]) -> None:
        def tell(share: float) -> None:
            job.share = max(job.share, min(share, 1.0))

        job.state = "working"
        try:
            job.product = make(tell)
            job.share, job.state = 1.0, "done"
        except NoonwallError as error:
            job.sentence, job.state = trouble(error), "failed"
        except Exception as error:  # one thing that cannot be made must not end the worker
            job.sentence, job.state = trouble(error), "failed"
