"""The JUnit report against the schema that build servers go by."""

from pathlib import Path
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

import pytest
import xmlschema

from drc.report.junit_report import render
from tests.report.made import REVIEW

GOLDEN = Path(__file__).with_name("golden") / "review.junit.xml"


SCHEMA = xmlschema.XMLSchema10(Path(__file__).with_name("schemas") / "junit.xsd")


def suites() -> list[Element]:
    """The suites of the report."""
    return list(ElementTree.fromstring(render(REVIEW)))


def test_the_report_has_the_form_that_build_servers_read() -> None:
    """Every element and attribute is one that the schema knows, and none that it needs is missing."""
    SCHEMA.validate(render(REVIEW))


@pytest.mark.parametrize(
    "broken",
    [
        '<testsuite name="a" tests="1" failures="0"/>',
        '<testsuites><testcase name="a"/></testsuites>',
        '<testsuites names="a"/>',
        '<testsuites time="soon"/>',
    ],
)
def test_the_schema_refuses_what_has_another_form(broken: str) -> None:
    """The schema can say no: a count is missing, a case stands alone, an attribute is unknown, a bad time."""
    assert not SCHEMA.is_valid(broken)


def test_the_text_is_pinned() -> None:
    """The report of a given review is this text, to the byte."""
    assert render(REVIEW) == GOLDEN.read_text(encoding="utf-8")


def test_a_suite_counts_its_cases() -> None:
    """The counts of a suite are those of its cases."""
    for suite in suites():
        outcomes = [child.tag for case in suite for child in case]
        assert int(suite.attrib["tests"]) == len(suite)
        assert int(suite.attrib["failures"]) == outcomes.count("failure")
        assert int(suite.attrib["errors"]) == outcomes.count("error")
        assert int(suite.attrib["skipped"]) == outcomes.count("skipped")


def test_a_case_fails_where_its_finding_counts_at_the_gate() -> None:
    """Findings at the gate's level are failures; known and accepted ones are skipped; milder ones pass."""
    _, lamp, broken = suites()
    outcome = {case.attrib["name"]: [child.tag for child in case] for case in lamp}
    assert outcome["timing-outside-intent"] == ["failure"]
    assert outcome["strap-near-threshold"] == ["skipped"]
    assert outcome["rate-unproven"] == ["skipped"]
    assert outcome["supply-hostile"] == ["system-out"]
    assert outcome["output-overloaded"] == []
    assert [child.tag for child in broken[0]] == ["error"]


def test_no_name_breaks_the_markup() -> None:
    """Markup and control characters in names come back as text."""
    text = next(case for case in suites()[1] if case.attrib["name"] == "supply-hostile")[0].text
    assert text is not None
    assert "\\x1b[31m<script>&[bold] \\u202e is odd" in text
