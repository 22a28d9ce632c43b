"""The pages of tests/data/checks: a sheet, and the findings that it must raise on its lines."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from noonwall.findings import Severity
from noonwall.pipeline import prove

PAGES = Path(__file__).parents[1] / "data" / "checks"


@dataclass(frozen=True)
class Case:
    """One case of a page: the sheet, and (line, code, severity, mend) of its findings."""

    name: str
    sheet: str
    findings: tuple[tuple[int, str, str, str], ...]


def cases() -> list[Case]:
    found = []
    for page in sorted(PAGES.glob("*.md")):
        if page.name == "README.md":
            continue
        text = page.read_text("utf-8")
        for title, body in re.findall(r"^## (.+?)\n(.*?)(?=^## |\Z)", text, re.M | re.S):
            sheet = re.search(r"^```sheet\n(.*?)^```", body, re.M | re.S)
            assert sheet, f"{page.name}: {title} has no sheet"
            table = body[sheet.end() :]
            rows = re.findall(r"^\| (\d+) \| (\S+) \| (\w+) \| ?(.*?) ?\|$", table, re.M)
            assert "| line | code | severity | mend |" in table, f"{page.name}: {title} has no table"
            findings = tuple((int(line), code, severity, mend) for line, code, severity, mend in rows)
            found.append(Case(f"{page.stem}: {title}", sheet[1], findings))
    return found


@pytest.mark.parametrize("case", cases(), ids=lambda case: case.name)
def test_a_sheet_raises_just_these_findings(case: Case) -> None:
    proved = prove(case.sheet)
    wanted_advice = {code for _, code, severity, _ in case.findings if severity == "advice"}
    told = tuple(
        (finding.place.line if finding.place else 0, finding.code, finding.severity.value, finding.mend)
        for finding in proved.findings
        if finding.severity is not Severity.ADVICE or finding.code in wanted_advice
    )
    assert told == case.findings


@pytest.mark.parametrize("case", cases(), ids=lambda case: case.name)
def test_an_edit_that_is_shown_mends(case: Case) -> None:
    proved = prove(case.sheet)
    for finding in proved.findings:
        if not finding.mend or finding.place is None:
            continue
        lines = case.sheet.split("\n")
        line = lines[finding.place.line - 1]
        start, end = finding.place.column - 1, finding.place.end - 1
        assert line[start:end] == finding.says
        lines[finding.place.line - 1] = line[:start] + finding.mend + line[end:]
        after = prove("\n".join(lines), with_mends=False)
        left = [one for one in after.findings if (one.code, one.place) == (finding.code, finding.place)]
        assert left == []


def test_every_family_of_findings_has_a_page_with_a_clean_sheet_somewhere() -> None:
    every = cases()
    assert any(not case.findings for case in every)
    families = {code.split(".")[0] for case in every for _, code, _, _ in case.findings}
    assert families >= {"counts", "weight", "facing", "walls", "turn", "loop", "restart", "tag", "heading"}
