"""How long a lesson takes to plan and to make: `python benchmarks/bench_lesson.py`.

Each figure is the median of five in one warm interpreter, by the processor's clock: other work does not show
in it. Timed is the way from the proved dance to the plan in two languages, and from there to each file; each
round has another title, since typesetting remembers what it has set.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from noonwall.pipeline.proving import Proved
from noonwall.pipeline.teaching import LESSON_FILES, lesson_of, make_lesson, prove_file
from noonwall.teach.values import Lesson

EXAMPLES = Path(__file__).parents[1] / "examples"
NAMES = ("lantern-walk", "tide-table", "paper-boats", "two-keys")
LANGUAGES = ("en", "fr")
MINUTES = 25
ROUNDS = 5


def milliseconds(work: Callable[[str], object]) -> float:
    """Return the median of some rounds, each with a word of its own; a first one is not counted."""
    work("first")
    times = []
    for number in range(ROUNDS):
        began = time.process_time()
        work(f"round {number}")
        times.append(1000 * (time.process_time() - began))
    return statistics.median(times)


def planned(proved: Proved, _: str) -> object:
    return lesson_of(proved, LANGUAGES, MINUTES)


def made(lesson: Lesson, kind: str, word: str) -> object:
    return make_lesson(replace(lesson, title=f"{lesson.title} {word}"), kind)


def main() -> None:
    print(f"{'sheet':<16}{'lesson ms':>10}" + "".join(f"{kind + ' ms':>13}" for kind in LESSON_FILES))
    for name in NAMES:
        proved = prove_file(EXAMPLES / f"{name}.txt")
        lesson = lesson_of(proved, LANGUAGES, MINUTES)
        row = [milliseconds(partial(planned, proved))]
        row += [milliseconds(partial(made, lesson, kind)) for kind in LESSON_FILES]
        print(f"{name:<16}{row[0]:>10.0f}" + "".join(f"{value:>13.0f}" for value in row[1:]))


if __name__ == "__main__":
    main()
