"""The whole order: text, dance, floor, checks, words. Commands and studio call this and nothing below it."""

from __future__ import annotations

import concurrent.futures as futures  # its process pool is only loaded when a folder is proved
import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path
from typing import IO, Any

from noonwall.checks import Named, check_all, proof_of, settled
from noonwall.dance.model import Dance
from noonwall.errors import BrokenFile, NoonwallError
from noonwall.findings import Finding, Severity
from noonwall.floor import RunDanced, dance_run
from noonwall.outputs.facts import facts_of
from noonwall.text.drafts import read_drafts
from noonwall.text.lexicon import lexicon_of
from noonwall.text.reading import Reading
from noonwall.text.sheet import read_sheet
from noonwall.words.edits import edits
from noonwall.words.messages import Spoken, say, speak
from noonwall.words.nearest import nearest_names

SHEET_ENDINGS = (".txt", ".md", ".html", ".htm", ".docx", ".pdf")
"""File names that a folder is searched for."""

MOST_BYTES = 4_000_000
"""More than this of standard input is not read: no step sheet is that long."""

MOST_EDITS = 4
"""How many edits of one finding are tried before it is left to the teacher."""

MOST_MENDS = 8
"""How many findings of one sheet are mended by trial; a sheet with more needs a person first."""


__all__ = [
    "SHEET_ENDINGS",
    "FileProved",
    "Proved",
    "load_sheet",
    "nearest_names",
    "page",
    "prove",
    "prove_file",
    "prove_folder",
    "read_stream",
    "report",
    "say",
    "sheets_in",
    "spoken",
]


@dataclass(frozen=True, slots=True)
class Proved:
    """A sheet that was read, danced and checked. ``run`` is None and ``facts`` empty if it holds no steps."""

    reading: Reading
    run: RunDanced | None
    facts: dict[str, Any]
    findings: tuple[Finding, ...]
    dance: Dance | None = None

    @property
    def worst(self) -> Severity | None:
        """The severity of the worst finding, None if there is none."""
        return min((finding.severity for finding in self.findings), key=lambda each: each.rank, default=None)


@dataclass(frozen=True, slots=True)
class FileProved:
    """What became of one file of a folder: its report, or in ``trouble`` why it cannot be read."""

    path: Path
    report: dict[str, Any] = field(default_factory=dict)
    trouble: str = ""


def prove(text: str, language: str | None = None, with_mends: bool = True) -> Proved:
    """Read a sheet, dance it and check it.

    Args:
        text: the sheet as it reached the teacher.
        language: "en" or "fr"; by default the words tell.
        with_mends: also look for the smallest edit of each finding; every edit is tried by reading again.
    """
    proved = _proved(text, language)
    if not with_mends or not proved.findings:
        return proved
    return replace(proved, findings=tuple(_mended(text, proved)))


def _proved(text: str, language: str | None) -> Proved:
    reading = read_sheet(text, language)
    if (
        reading.dance is None
        or not reading.dance.parts
        or not any(part.steps for part in reading.dance.parts)
    ):
        return Proved(reading, None, {}, ())
    dance = settled(reading.dance, reading.claims)
    run = dance_run(dance)
    counted = {account.number for account in reading.account if account.kind == "counted"}
    gaps = frozenset(gap.place.line for gap in reading.claims.not_understood) & counted
    proof = proof_of(dance, reading.claims, reading.lines, run, gaps, _leads(reading))
    return Proved(reading, run, facts_of(dance, run), tuple(check_all(proof)), dance)


def _leads(reading: Reading) -> dict[int, tuple[Named, ...]]:
    """Return, by the line of a heading, the figures it names with their foot and amount of turn."""
    lexicon = lexicon_of(reading.language)
    return {
        claim.place.line: tuple(
            Named(draft.verb, draft.foot, draft.amount, draft.turn_side)
            for draft in read_drafts(claim.text, lexicon).drafts
            if draft.is_figure
            for _ in range(draft.times)
        )
        for claim in reading.claims.headings
    }


def _mended(text: str, proved: Proved) -> Iterator[Finding]:
    """Give each finding the first edit that makes it go away and brings no other wrong."""
    tried = 0
    for finding in proved.findings:
        options = edits(finding, proved.reading.language) if finding.severity is not Severity.ADVICE else ()
        if options and tried < MOST_MENDS:
            tried += 1
            finding = replace(finding, mend=_proving_edit(proved, finding, options[:MOST_EDITS]))
        yield finding


def _proving_edit(proved: Proved, finding: Finding, options: tuple[str, ...]) -> str:
    place = finding.place
    assert place is not None
    lines = proved.reading.lines
    before = _weight_of(proved.findings)
    for option in options:
        line = lines[place.line - 1]
        if place.end > place.column:
            line = line[: place.column - 1] + option + line[place.end - 1 :]
        else:
            line = option
        edited = "\n".join([*lines[: place.line - 1], line, *lines[place.line :]])
        if _weight_of(_proved(edited, proved.reading.language).findings) < before:
            return option
    return ""


def _weight_of(findings: Iterable[Finding]) -> tuple[int, int]:
    """How much is wrong and doubtful: an edit mends if this becomes less."""
    told = [finding.severity for finding in findings]
    return told.count(Severity.WRONG), told.count(Severity.DOUBTFUL)


def spoken(finding: Finding, language: str) -> Spoken:
    """Return a finding in words of ``language``."""
    return speak(finding, language)


def report(proved: Proved, language: str | None = None) -> dict[str, Any]:
    """Return facts and findings as plain data, by the published schema (docs/schema/report.schema.json).

    Args:
        proved: a proved sheet.
        language: language of the messages; by default that of the sheet.
    """
    told = language or proved.reading.language
    claims = proved.reading.claims
    out: dict[str, Any] = dict(proved.facts)
    out["findings"] = [_finding_row(finding, told) for finding in proved.findings]
    out["not_understood"] = [
        {
            "line": gap.place.line,
            "column": gap.place.column,
            "text": gap.text,
            "nearest": list(gap.nearest or nearest_names(gap.text, proved.reading.language)),
        }
        for gap in claims.not_understood
    ]
    out["choices"] = [
        {"code": choice.code, "line": choice.place.line, "column": choice.place.column, "text": choice.text}
        for choice in claims.choices
    ]
    return out


def _finding_row(finding: Finding, language: str) -> dict[str, Any]:
    words = speak(finding, language)
    count = None
    if finding.count is not None:
        shown = finding.count + 1
        count = int(shown) if shown.denominator == 1 else float(shown)
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "line": finding.place.line if finding.place else None,
        "column": finding.place.column if finding.place else None,
        "count": count,
        "says": finding.says,
        "shows": words.shows,
        "mend": finding.mend,
        "message": words.message,
    }


def load_sheet(path: Path) -> str:
    """Return the text of a file.

    Raises:
        BrokenFile: it cannot be read as text.
    """
    try:
        return path.read_text("utf-8-sig")
    except FileNotFoundError:
        raise BrokenFile(f"{path}: there is no such file; check the name.") from None
    except UnicodeDecodeError:
        raise BrokenFile(f"{path}: this is not plain text; save the sheet as UTF-8 text.") from None
    except OSError as error:
        raise BrokenFile(f"{path}: the file cannot be opened ({error.strerror}).") from None


def read_stream(stream: IO[bytes]) -> str:
    """Return the text that comes in on a stream such as standard input.

    Raises:
        BrokenFile: it is not text.
    """
    try:
        return stream.read(MOST_BYTES).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BrokenFile("-: this is not plain text; send the sheet as UTF-8 text.") from None


def page(proved: Proved, language: str | None = None) -> str:
    """Return a page to look at: facts, findings beside their lines, and the floor, as one HTML document."""
    raise NoonwallError("Pages cannot be made yet.")


def prove_file(path: Path, language: str | None = None) -> Proved:
    """Read, dance and check a file.

    Raises:
        BrokenFile: the file cannot be read.
    """
    return prove(load_sheet(path), language)


def sheets_in(folder: Path) -> list[Path]:
    """Return all sheets of a folder and its subfolders, by name."""
    return sorted(p for p in folder.rglob("*") if p.suffix.lower() in SHEET_ENDINGS and p.is_file())


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
        return FileProved(path, trouble=str(error))
    except Exception as error:  # a fault of ours in one sheet must not cost a teacher the other thousands
        return FileProved(
            path, trouble=f"{path.name}: noonwall failed on this sheet ({type(error).__name__}: {error})."
        )
