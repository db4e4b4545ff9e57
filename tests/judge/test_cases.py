"""The judges of the twin boards: each thing that can be wrong with a case is named."""

import pytest

from drc.judge.cases import breaking_faults, edit_size, form_faults, holding_faults, is_numeric
from drc.judge.model import Assessment, Finding, TallyEntry, Verdict
from drc.judge.rule import TwinCase
from drc.trouble import Place
from tests.judge.stub import only, rule

CASE = TwinCase(Place("x.rule", 9), "fail", "", "title\nR1 a b 1k\nR2 b c 2k\n", "R1 a b 1k", "R1 a b 1.1k")
MARGIN = "require strap.margin >= 0 steps else error"


def found(verdict: Verdict, name: str = "the-rule") -> Assessment:
    """An assessment of one verdict."""
    finding = Finding(name, "error", verdict, "XU1", Place("board.cir", 2), "message")
    findings = () if verdict in ("pass", "not-applicable") else (finding,)
    return Assessment(findings, (TallyEntry(name, "XU1", verdict),))


def test_a_rule_without_a_board_is_refused() -> None:
    """No case, an edit that changes nothing, and one that changes two lines are each a fault."""
    bare = only(rule(MARGIN))
    assert form_faults(bare) == ["the rule has no board that breaks it"]
    assert form_faults(bare._replace(cases=(CASE,))) == []
    same = CASE._replace(new="R1 a b 1k ")
    assert form_faults(bare._replace(cases=(same,))) == ["x.rule:9:1: the edit changes nothing"]
    two = CASE._replace(old="1k\nR2 b c 2k", new="2k\nR2 b c 3k")
    assert form_faults(bare._replace(cases=(two,))) == ["x.rule:9:1: the edit changes 2 lines, expected one"]


def test_the_breaking_board_must_give_the_rules_own_finding() -> None:
    """Another rule's finding, another verdict, and silence are faults."""
    judged = only(rule(MARGIN))
    assert breaking_faults(judged, CASE, found("fail")) == []
    for wrong in (found("at-risk"), found("pass"), found("fail", "another")):
        assert len(breaking_faults(judged, CASE, wrong)) == 1


def test_the_edited_board_must_pass() -> None:
    """A finding left, and a rule that does not apply, are faults; a rule on lines has nothing to say."""
    judged = only(rule(MARGIN))
    assert holding_faults(judged, CASE, found("pass")) == []
    for wrong in (found("unproven"), found("at-risk"), found("not-applicable"), found("pass", "another")):
        assert len(holding_faults(judged, CASE, wrong)) == 1
    assert holding_faults(judged._replace(subject="line"), CASE, found("pass", "another")) == []


@pytest.mark.parametrize(
    ("old", "new", "size"),
    [
        ("R1 a b 1k", "R1 a b 1.25k", 0.2),
        ("high 4ms", "high 3ms", 0.25),
        ("R1 a b 1k", "R1 a c 1k", None),
        ("R1 a b 1k", "R1 a b 1m", None),
        ("2k 1k", "1k 2k", None),
        ("V1 vdd 0 -4", "V1 vdd 0 -5", 0.2),
    ],
)
def test_the_size_of_an_edit(old: str, new: str, size: float | None) -> None:
    """One number changed gives its relative change; anything else has no size."""
    assert edit_size(CASE._replace(old=old, new=new)) == (None if size is None else pytest.approx(size))


def test_a_numeric_rule_compares_quantities() -> None:
    """Comparisons under not, and, or count; truths, names and whole numbers do not."""
    whole = frozenset({"strap.code"})
    for require in (MARGIN, "require not (strap.open and supply.voltage > 3V) else error"):
        assert is_numeric(only(rule(require)), whole)
    for require in ("require strap.open else error", "require strap.code >= 3 else error"):
        assert not is_numeric(only(rule(require)), whole)
