"""The JUnit report against the schema that build servers go by."""

from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from drc.report.junit_report import render
from tests.report.made import REVIEW

GOLDEN = Path(__file__).with_name("golden") / "review.junit.xml"


class Form(NamedTuple):
    """What an element needs, what it may have, and what may stand in it."""

    needed: frozenset[str]
    allowed: frozenset[str]
    children: frozenset[str]


def form(needed: str, allowed: str, children: str) -> Form:
    """A form from words."""
    return Form(
        frozenset(needed.split()), frozenset(f"{needed} {allowed}".split()), frozenset(children.split())
    )


# The rules of the xUnit schema "junit-10.xsd" (MIT), as read in the sources of pytest 9.2.0.
FORMS = {
    "testsuites": form("", "name time tests failures errors", "testsuite"),
    "testsuite": form(
        "name tests failures errors",
        "group time skipped timestamp hostname id package file log url version",
        "testsuite properties testcase system-out system-err",
    ),
    "testcase": form("name", "time classname group", "skipped error failure system-out system-err"),
    "failure": form("", "type message", ""),
    "error": form("", "type message", ""),
    "skipped": form("", "type message", ""),
    "system-out": form("", "", ""),
}


def held(element: Element) -> None:
    """Holds an element and all below it to the forms."""
    rules = FORMS[element.tag]
    assert rules.needed <= set(element.keys()) <= rules.allowed
    for child in element:
        assert child.tag in rules.children
        held(child)


def suites() -> list[Element]:
    """The suites of the report."""
    return list(ElementTree.fromstring(render(REVIEW)))


def test_the_report_has_the_form_that_build_servers_read() -> None:
    """Every element and attribute is one that the schema knows, and none that it needs is missing."""
    root = ElementTree.fromstring(render(REVIEW))
    assert root.tag == "testsuites"
    held(root)


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
