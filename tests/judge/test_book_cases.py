"""Every built-in rule shows itself on its two boards: the broken one is found, the edited one passes."""

import pytest

from drc.judge.cases import breaking_faults, form_faults, holding_faults
from drc.judge.rule import Rule, TwinCase
from tests.judge.boards import assessed, built_in_rules

RULES = built_in_rules().rules
CASES = [(rule, case) for rule in RULES for case in rule.cases]
NAMES = [f"{rule.name}-{case.place.line}" for rule, case in CASES]


@pytest.mark.parametrize("rule", RULES, ids=[rule.name for rule in RULES])
def test_a_rule_carries_boards_that_differ_in_one_line(rule: Rule) -> None:
    """Each rule has a board that breaks it, and one edit of one line that mends it."""
    assert form_faults(rule) == []


@pytest.mark.parametrize(("rule", "case"), CASES, ids=NAMES)
def test_the_breaking_board_is_found(rule: Rule, case: TwinCase) -> None:
    """The board that breaks a rule gives the rule's finding, with the verdict that the case announces."""
    assert breaking_faults(rule, case, assessed(case.board)) == []


@pytest.mark.parametrize(("rule", "case"), CASES, ids=NAMES)
def test_the_edited_board_holds(rule: Rule, case: TwinCase) -> None:
    """After its one edit the board passes the rule, and no finding of the rule is left."""
    assert holding_faults(rule, case, assessed(case.mended)) == []
