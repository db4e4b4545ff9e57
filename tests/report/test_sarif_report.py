"""The SARIF report against the standard's own schema."""

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft4Validator

from drc.report.sarif_report import render
from tests.report.made import REVIEW

# SARIF 2.1.0, OASIS Standard, errata 01: the structure of its JSON schema (draft 4), explanations left out.
SCHEMA = json.loads(
    Path(__file__).with_name("schemas").joinpath("sarif-2.1.0.json").read_text(encoding="utf-8")
)
GOLDEN = Path(__file__).with_name("golden") / "review.sarif"


def run() -> dict[str, Any]:
    """The one run of the report."""
    (only,) = json.loads(render(REVIEW))["runs"]
    result: dict[str, Any] = only
    return result


def test_the_report_holds_to_the_standard() -> None:
    """The log is valid by the schema of SARIF 2.1.0."""
    Draft4Validator(SCHEMA).validate(json.loads(render(REVIEW)))


@pytest.mark.parametrize(
    "broken",
    [
        {"version": "2.1.0", "runs": [{"results": []}]},
        {"version": "2.1.0", "runs": [{"tool": {"driver": {"name": "x"}}, "results": [{"message": {}}]}]},
        {"runs": []},
    ],
)
def test_the_schema_refuses_what_is_no_log(broken: dict[str, Any]) -> None:
    """The schema can say no: a run without a tool, a message without a text, a log without a version."""
    assert not Draft4Validator(SCHEMA).is_valid(broken)


def test_the_text_is_pinned() -> None:
    """The report of a given review is this text, to the byte."""
    assert render(REVIEW) == GOLDEN.read_text(encoding="utf-8")


def test_every_result_points_to_its_rule() -> None:
    """A result's rule stands at the index that it gives, also where no rule book has it."""
    rules = run()["tool"]["driver"]["rules"]
    results = run()["results"]
    assert len(results) == 5
    assert all(rules[result["ruleIndex"]]["id"] == result["ruleId"] for result in results)


def test_rules_carry_help() -> None:
    """A rule says why it is there and what to do."""
    rule = run()["tool"]["driver"]["rules"][0]
    assert rule["help"] == {"text": "Nobody sees it on the drawing. Size it"}


def test_accepted_findings_are_suppressed_with_their_reason() -> None:
    """An acceptance is a suppression; every other result says that it has none."""
    suppressions = {result["ruleId"]: result["suppressions"] for result in run()["results"]}
    (only,) = suppressions.pop("strap-near-threshold")
    assert only["justification"] == "lab units only (by board owner) until 2027-03-31"
    assert not any(suppressions.values())


def test_known_findings_are_unchanged_and_others_new() -> None:
    """With a file of known findings, each result says how it stands to it."""
    states = {result["ruleId"]: result["baselineState"] for result in run()["results"]}
    assert states["rate-unproven"] == "unchanged"
    assert states["timing-outside-intent"] == "new"


def test_remedies_are_fixes_by_character() -> None:
    """A remedy replaces the characters that its edit names."""
    (fix,) = run()["results"][0]["fixes"]
    (change,) = fix["artifactChanges"]
    assert change["replacements"] == [
        {"deletedRegion": {"charOffset": 120, "charLength": 4}, "insertedContent": {"text": "47k"}}
    ]


def test_a_board_that_was_not_read_fails_the_run() -> None:
    """The run says that it did not succeed on every board, and why."""
    (invocation,) = run()["invocations"]
    assert invocation["executionSuccessful"] is False
    assert invocation["toolExecutionNotifications"][0]["message"]["text"] == "is empty: expected a netlist"


def test_paths_are_uris() -> None:
    """A blank in a path is encoded, and the tool's own files have a scheme of their own."""
    uris = [artifact["location"]["uri"] for artifact in run()["artifacts"]]
    assert uris == ["tickproof:rules/parts/zz.toml", "known%20findings.json", "boards/lamp.cir"]
