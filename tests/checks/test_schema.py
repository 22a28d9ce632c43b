"""Reports against the published JSON Schema (Draft 2020-12, validated by the jsonschema library)."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from noonwall.pipeline import prove, prove_file, report

ROOT = Path(__file__).parents[2]
SCHEMA = json.loads((ROOT / "docs" / "schema" / "report.schema.json").read_text("utf-8"))
SHEETS = sorted((ROOT / "tests" / "data" / "hand").glob("*/dev/??.txt"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda path: f"{path.parts[-3]}-{path.stem}")
def test_reports_keep_the_schema_and_survive_json(sheet: Path) -> None:
    proved = prove_file(sheet)
    for language in ("en", "fr"):
        told = json.loads(json.dumps(report(proved, language)))
        VALIDATOR.validate(told)


def test_a_text_without_steps_still_makes_a_report() -> None:
    proved = prove("Two eggs, a cup of flour, a pinch of salt. Stir well.\n")
    VALIDATOR.validate(report(proved, "en"))
    assert proved.dance is None or proved.findings == ()


def test_the_schema_refuses_what_is_no_report() -> None:
    good = report(prove("A\n\n1-2 Step R forward, touch L beside R\n"), "en")
    VALIDATOR.validate(good)
    for wrong in (
        {**good, "findings": [{"code": "x"}]},
        {**good, "free_foot_end": "left"},
        {**good, "sections": [{"label": "1", "counts": 8}]},
        {key: value for key, value in good.items() if key != "not_understood"},
    ):
        with pytest.raises(jsonschema.ValidationError):
            VALIDATOR.validate(wrong)


def test_the_names_are_those_of_the_hand_written_truth() -> None:
    truth: set[str] = set()
    for sheet in SHEETS:
        truth |= set(json.loads(sheet.with_suffix(".json").read_text("utf-8")))
    shared = {
        "title",
        "level",
        "meter",
        "total_counts",
        "walls",
        "sections",
        "tags",
        "restarts",
        "wall_starts",
    }
    assert shared <= truth & set(SCHEMA["properties"])
