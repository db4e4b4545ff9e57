"""Whether the twin boards of a rule show it: what is wrong with them, in words.

The boards are reviewed elsewhere (reading a netlist is not this stage's business); here the rule's form and
the two assessments are held against what the rule promises.
"""

import re

from drc.judge.check import names_in
from drc.judge.model import BROKEN, Assessment
from drc.judge.rule import Rule, TwinCase


def form_faults(rule: Rule) -> list[str]:
    """What is wrong with a rule's cases before any review: there is none, or an edit of several lines."""
    if not rule.cases:
        return ["the rule has no board that breaks it"]
    return [fault for case in rule.cases for fault in _edit_faults(case)]


def _edit_faults(case: TwinCase) -> list[str]:
    """An edit changes one line: an element's value or connection, a statement, or a line more or less."""
    before, after = (set(_lines(text)) for text in (case.board, case.mended))
    gone, new = before - after, after - before
    if not gone and not new:
        return [f"{case.place}: the edit changes nothing"]
    if len(gone) > 1 or len(new) > 1:
        return [f"{case.place}: the edit changes {max(len(gone), len(new))} lines, expected one"]
    return []


def _lines(board: str) -> list[str]:
    """A board's lines that say something, the title left out."""
    return [line.strip() for line in board.split("\n")[1:] if line.strip()]


def breaking_faults(rule: Rule, case: TwinCase, found: Assessment) -> list[str]:
    """The breaking board must give this rule's finding, with the verdict that the case announces."""
    verdicts = [finding.verdict for finding in found.findings if finding.rule == rule.name]
    if case.verdict in verdicts:
        return []
    shown = ", ".join(verdicts) or "no finding"
    return [f"{case.place}: the breaking board gives {shown} of {rule.name}, expected {case.verdict}"]


def holding_faults(rule: Rule, case: TwinCase, found: Assessment) -> list[str]:
    """The edited board must pass the rule (a rule on lines: say nothing), with no finding of it left."""
    entries = [entry for entry in found.tally if entry.rule == rule.name]
    wrong = [f"{entry.verdict} on {entry.subject}" for entry in entries if entry.verdict in BROKEN]
    if wrong:
        return [f"{case.place}: the edited board still gives {', '.join(wrong)} of {rule.name}"]
    if rule.subject != "line" and not any(entry.verdict == "pass" for entry in entries):
        return [f"{case.place}: the edited board passes {rule.name} on nothing, so it shows nothing"]
    return []


NEAR = 0.1
"""How much the edit of a numeric rule's case may change the number that it changes, of the larger."""

_NUMBER = re.compile(r"(?<![A-Za-z_\d.])[-+]?\d+(?:\.\d+)?")


def is_numeric(rule: Rule, whole: frozenset[str]) -> bool:
    """Whether the rule compares quantities; `whole` are facts (codes, counts) that have no nearness."""
    for require in rule.requires:
        stack = [require.condition]
        while stack:
            node = stack.pop()
            if node[0] in ("compare", "within") and not whole.issuperset(names_in(node)):
                return True
            if node[0] in ("and", "or", "not"):
                stack += node[2:]
    return False


def edit_size(case: TwinCase) -> float | None:
    """By how much an edit changes the one number that it changes; None where it does something else.

    Where the verdict turns over such an edit, the threshold lies between: the smaller, the closer.
    """
    old, new = _NUMBER.findall(case.old), _NUMBER.findall(case.new)
    if _NUMBER.sub("#", case.old) != _NUMBER.sub("#", case.new) or len(old) != len(new):
        return None
    changed = [(float(a), float(b)) for a, b in zip(old, new, strict=True) if a != b]
    if len(changed) != 1:
        return None
    (before, after), *_ = changed
    return abs(after - before) / max(abs(before), abs(after))
