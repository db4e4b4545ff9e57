"""Whether the twin boards of a rule show it: what is wrong with them, in words.

The boards are reviewed elsewhere (reading a netlist is not this stage's business); here the rule's form and
the two assessments are held against what the rule promises.
"""

from math import isfinite

from drc.judge.model import Assessment
from drc.judge.program import Values, expression
from drc.judge.rule import Rule, Tree, TwinCase
from drc.quantity.span import Span
from drc.quantity.unit import RATIO, STEP


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
    wrong = [f"{entry.verdict} on {entry.subject}" for entry in entries if entry.verdict in _FINDINGS]
    if wrong:
        return [f"{case.place}: the edited board still gives {', '.join(wrong)} of {rule.name}"]
    if rule.subject != "line" and not any(entry.verdict == "pass" for entry in entries):
        return [f"{case.place}: the edited board passes {rule.name} on nothing, so it shows nothing"]
    return []


def strangers(rule: Rule, found: Assessment) -> list[str]:
    """Errors and warnings of other rules on an edited board, which should be a good one."""
    return sorted(
        {f"{f.rule}: {f.message}" for f in found.findings if f.rule != rule.name and f.level != "note"}
    )


_FINDINGS = ("fail", "at-risk", "unproven")


NEAR = 0.1
"""How far from its threshold a numeric rule's twin boards may lie, relative (of a step: in steps)."""


def distance(rule: Rule, values: Values) -> float | None:
    """How far a board's judged quantity lies from the rule's threshold, relative; the nearest require counts.

    None where the rule compares no quantities, or whole numbers such as codes, which have no nearness.
    """
    gaps = [gap for tree in _comparisons(rule) if (gap := _gap(tree, rule, values)) is not None]
    return min(gaps, default=None)


def _comparisons(rule: Rule) -> list[Tree]:
    """The comparisons of quantities in a rule's requires."""
    found: list[Tree] = []
    stack = [require.condition for require in rule.requires]
    while stack:
        node = stack.pop()
        if node[0] in ("compare", "within"):
            found.append(node)
        elif node[0] in ("and", "or", "not"):
            stack += node[2:]
    return found


def _gap(tree: Tree, rule: Rule, values: Values) -> float | None:
    """The least distance between an end or the nominal of both sides, relative to the larger."""
    left, right = (expression(part, rule.knobs)(values) for part in tree[-2:])
    if not isinstance(left, Span) or not isinstance(right, Span):
        return None
    gaps = []
    for a in left[:3]:
        for b in right[:3]:
            if a is not None and b is not None and isfinite(a) and isfinite(b):
                if a == int(a) and b == int(b) and left.unit == RATIO:
                    return None
                scale = 1.0 if left.unit == STEP else max(abs(a), abs(b))
                gaps.append(abs(a - b) / scale if scale else 0.0)
    return min(gaps, default=None)
