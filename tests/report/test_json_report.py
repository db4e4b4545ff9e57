"""The JSON report, its schema, and its bytes."""

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import drc.report
from drc.report.json_report import render
from tests.report.made import REVIEW

SCHEMA = json.loads((Path(drc.report.__path__[0]) / "review.schema.json").read_text(encoding="utf-8"))
GOLDEN = Path(__file__).with_name("golden") / "review.json"


def closed(schema: dict[str, Any]) -> dict[str, Any]:
    """The schema with every object held to the members that it names."""
    schema = copy.deepcopy(schema)
    stack: list[Any] = [schema]
    while stack:
        node = stack.pop()
        if isinstance(node, dict):
            if "properties" in node and "type" in node:
                node.setdefault("additionalProperties", False)
            stack += node.values()
        elif isinstance(node, list):
            stack += node
    return schema


def test_the_schema_is_one() -> None:
    """The published schema is itself valid."""
    Draft202012Validator.check_schema(SCHEMA)


def test_the_report_holds_to_its_schema_and_adds_nothing() -> None:
    """What is written is what the schema describes, member by member."""
    Draft202012Validator(closed(SCHEMA)).validate(json.loads(render(REVIEW)))


@pytest.mark.parametrize("member", ["schema", "passed", "boards", "inputs", "gate"])
def test_the_schema_misses_what_is_left_out(member: str) -> None:
    """A report without one of its members is refused."""
    report = json.loads(render(REVIEW))
    del report[member]
    assert not Draft202012Validator(SCHEMA).is_valid(report)


def test_the_text_is_pinned() -> None:
    """The report of a given review is this text, to the byte."""
    assert render(REVIEW) == GOLDEN.read_text(encoding="utf-8")


def test_an_unbounded_end_is_null() -> None:
    """No infinity and no NaN ever reaches the report."""
    sink = json.loads(render(REVIEW))["boards"][1]["blocks"][0]["output"]["sink"]
    assert sink == {"unit": "A", "low": 0.0, "nominal": None, "high": None}


def test_labelled_cases_keep_their_cases() -> None:
    """A value that takes several states has the span about them, and the states beside it."""
    source = json.loads(render(REVIEW))["boards"][1]["blocks"][0]["output"]["source"]
    assert (source["low"], source["high"]) == (0.0, 2.2e-3)
    assert [case["label"] for case in source["cases"]] == ["EN low", "EN high"]


def test_what_is_unknown_is_null_in_a_block_and_told_in_evidence() -> None:
    """An unknown fact is null where a number stands, and says why in a finding's evidence."""
    board = json.loads(render(REVIEW))["boards"][1]
    assert board["blocks"][0]["rate"]["current"] is None
    evidence = board["findings"][3]["evidence"]["rate.current"]
    assert evidence == {"unknown": "R9 has no value", "missing": ["R9 value"]}
