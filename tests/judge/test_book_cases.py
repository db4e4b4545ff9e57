"""Every built-in rule shows itself on its two boards: the broken one is found, the edited one passes."""

import pytest

from drc.facts.model import Unknown
from drc.judge.cases import NEAR, breaking_faults, edit_size, form_faults, holding_faults, is_numeric
from drc.judge.program import Values, compile_rule
from drc.judge.rule import Rule, TwinCase
from drc.judge.subjects import Facts, statement_kind
from drc.judge.verdict import judge
from tests.judge.boards import assessed, book_of, built_in_rules, sample_boards

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


def seen_by(rule: Rule, board: str) -> list[Values]:
    """The facts of each of the board's subjects that the rule applies to."""
    subjects = Facts(book_of(board)).subjects(rule.subject)
    program = compile_rule(rule)
    return [
        values
        for subject, values in subjects
        if not rule.statement or (subject.statement and statement_kind(subject.statement) == rule.statement)
        if judge(program, subject, values).verdict != "not-applicable"
    ]


WHOLE = frozenset({"strap.code", "strap.neighbour", "strap.prescale", "board.blocks"})
NAMES_ONLY = {"rest-outside-intent", "strap-outside-intent"}
"""Rules on whatever is expected that only ever meet names and whole numbers."""

NUMERIC = [rule for rule in RULES if is_numeric(rule, WHOLE) and rule.name not in NAMES_ONLY]


@pytest.mark.parametrize("rule", NUMERIC, ids=[rule.name for rule in NUMERIC])
def test_a_numeric_rule_is_shown_close_to_its_threshold(rule: Rule) -> None:
    """At least one case of the rule turns over an edit that changes a number by 10 % or less."""
    sizes = [edit_size(case) for case in rule.cases]
    assert any(size is not None and size <= NEAR for size in sizes), sizes


@pytest.mark.parametrize(("rule", "case"), CASES, ids=NAMES)
def test_no_pass_rests_on_a_missing_fact(rule: Rule, case: TwinCase) -> None:
    """On the edited board every fact that a require asks for is known, unless it asks whether it is known."""
    asked = {name for require in rule.requires if not require.guard for name in require.names}
    for values in seen_by(rule, case.mended):
        missing = {name for name in asked if isinstance(values[name], Unknown)}
        assert len(missing) < max(1, len(asked)), f"{missing} are unknown"


@pytest.mark.parametrize("rule", RULES, ids=[rule.name for rule in RULES])
def test_no_rule_fires_on_every_sample(rule: Rule) -> None:
    """A rule that finds something on every board of the samples says nothing about any of them."""
    boards = sample_boards()
    assert len(boards) > 5
    fired = [path for path, found in boards.items() if any(f.rule == rule.name for f in found.findings)]
    assert len(fired) < len(boards)
