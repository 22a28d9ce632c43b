"""The sheet as it was written, with what was found beside its lines."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from noonwall.findings import Severity
from noonwall.outputs.markup import icon, text
from noonwall.outputs.page_data import NotUnderstood, PageData, PageFinding
from noonwall.outputs.page_words import PageWords


@dataclass(frozen=True, slots=True)
class _Span:
    """Characters ``begin`` to ``end`` of a line (from 0) under one mark; a lower rank shows over a higher."""

    begin: int
    end: int
    kind: str
    rank: int


def sheet(data: PageData, words: PageWords) -> str:
    """Return the numbered lines of the sheet, each with its findings and what was not understood."""
    first_step: dict[int, int] = {}
    if data.films:
        for index, step in enumerate(data.films[0].steps):
            first_step.setdefault(step.line, index)
    whole = _whole_sheet(data, words)
    lines = [_line(data, number, first_step.get(number), words) for number in range(1, len(data.lines) + 1)]
    return f'{whole}<ol class="sheet" lang="{text(data.sheet_language)}">{"".join(lines)}</ol>'


def _whole_sheet(data: PageData, words: PageWords) -> str:
    inside = range(1, len(data.lines) + 1)
    general = [finding for finding in data.findings if finding.line not in inside]
    if not general:
        return ""
    heading = text(words.say("page", "whole"))
    return f'<div class="whole" id="line-0"><h3>{heading}</h3>{_notes(general, (), words)}</div>'


def _line(data: PageData, number: int, step: int | None, words: PageWords) -> str:
    line = data.lines[number - 1]
    findings = [finding for finding in data.findings if finding.line == number]
    gaps = [gap for gap in data.not_understood if gap.line == number]
    if step is None:
        gutter = f'<span class="number">{number}</span>'
        jump = ""
    else:
        name = text(words.say("page", "dance_line", n=number))
        gutter = f'<button type="button" class="number" aria-label="{name}">{number}</button>'
        jump = f' data-step="{step}"'
    body = _marked(line, [*_spans_of(findings, len(line)), *_spans_of_gaps(gaps, len(line))])
    kind = " blank" if not line.strip() else ""
    return (
        f'<li class="line{kind}" id="line-{number}"{jump}>{gutter}<span class="text" dir="auto">{body}</span>'
        f"{_notes(findings, gaps, words)}</li>"
    )


def _spans_of(findings: Iterable[PageFinding], length: int) -> list[_Span]:
    spans = []
    for finding in findings:
        begin = max(0, finding.column - 1)
        end = finding.end - 1 if finding.end > finding.column else length
        spans.append(
            _Span(min(begin, length), min(end, length), finding.severity.value, finding.severity.rank)
        )
    return spans


def _spans_of_gaps(gaps: Iterable[NotUnderstood], length: int) -> list[_Span]:
    last = len(Severity)
    return [_Span(min(gap.column - 1, length), min(gap.end - 1, length), "gap", last) for gap in gaps]


def _marked(line: str, spans: Sequence[_Span]) -> str:
    """Cut a line at the borders of all spans; each piece bears the most severe mark over it."""
    borders = sorted({0, len(line), *(span.begin for span in spans), *(span.end for span in spans)})
    pieces = []
    for begin, end in itertools.pairwise(borders):
        over = [span for span in spans if span.begin <= begin and end <= span.end]
        piece = text(line[begin:end])
        if over:
            piece = f'<mark class="{min(over, key=lambda span: span.rank).kind}">{piece}</mark>'
        pieces.append(piece)
    return "".join(pieces)


def _notes(findings: Iterable[PageFinding], gaps: Iterable[NotUnderstood], words: PageWords) -> str:
    notes = [_finding(finding, words) for finding in sorted(findings, key=lambda each: each.severity.rank)]
    for gap in gaps:
        hint = f' <span dir="auto">{text(gap.hint)}</span>' if gap.hint else ""
        name = text(words.say("page", "not_understood"))
        notes.append(f'<li class="gap">{icon("gap")}<p><b>{name}</b>{hint}</p></li>')
    return f'<ul class="notes" lang="{words.language}">{"".join(notes)}</ul>' if notes else ""


def _finding(finding: PageFinding, words: PageWords) -> str:
    kind = finding.severity.value
    mend = ""
    if finding.mend:
        lead = text(words.say("page", "mend"))
        mend = f'<br><span class="mend">{lead} <ins dir="auto">{text(finding.mend)}</ins></span>'
    name = text(words.say("severity", kind))
    said = f'<b>{name}</b> <span dir="auto">{text(finding.message)}</span>{mend}'
    return f'<li class="{kind}">{icon(kind)}<p>{said}</p></li>'
