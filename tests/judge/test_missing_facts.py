"""A pass that needs a fact that is missing is no pass: each fact that a rule asks for is taken away."""

from collections.abc import Iterator

import pytest

from drc.facts.catalogue import BY_NAME
from drc.facts.model import Cases, Fact, Subject, Unknown, Value
from drc.judge.program import Program, Values, compile_rule
from drc.judge.rule import ENDS, Rule, Tree, TwinCase
from drc.judge.subjects import Facts, statement_kind
from drc.judge.verdict import Outcome, judge
from drc.quantity.span import Span, exact
from tests.judge.boards import book_of, built_in_rules
from tests.judge.stub import only, rule

CASES = [(each, case) for each in built_in_rules().rules if each.subject != "line" for case in each.cases]
NAMES = [f"{each.name}-{case.place.line}" for each, case in CASES]

Passed = tuple[Program, Subject, Values]

judge_of = judge


def passes(judged: Rule, board: str) -> Iterator[Passed]:
    """The subjects of a board that a rule passes, and their facts."""
    program = compile_rule(judged)
    for subject, values in Facts(book_of(board)).subjects(judged.subject):
        stated = subject.statement and statement_kind(subject.statement) == judged.statement
        if (stated or not judged.statement) and judge(program, subject, values).verdict == "pass":
            yield program, subject, values


def with_fact(values: Values, name: str, value: Value) -> Values:
    """The same facts with one of them another."""
    return Values(lambda each: Fact(name, value) if each == name else values.fetch(each))


def asked_whether_known(tree: Tree) -> set[str]:
    """The facts of which an expression asks whether they are known: it says itself what to do else."""
    if tree[0] in ("known", "stated"):
        return {tree[2]}
    return {name for part in tree[1:] if isinstance(part, list) for name in _inside(part)}


def _inside(part: Tree) -> set[str]:
    return asked_whether_known(part) if part and isinstance(part[0], str) else set()


def others(name: str, value: Value) -> Iterator[Value]:
    """What a missing fact might have been: far off on both sides, near, or another word."""
    for end in ENDS:
        name = name.removeprefix(end)
    kind = BY_NAME[name].kind
    if isinstance(value, Span):
        yield from (exact(number, value.unit) for number in (-1e30, -1.0, 0.0, 1.0, 1e30))
        yield Span(-1e30, 0.0, 1e30, value.unit)
    elif isinstance(value, bool) or kind == "truth":
        yield from (True, False)
    elif isinstance(value, str):
        yield from ("none", "another word", "both", "never", "always")


def faults(passed: Passed) -> list[str]:
    """The facts without which the rule still passes although it would not whatever they were."""
    program, subject, values = passed
    trees = [tree for each in program.rule.requires for tree in (each.condition, each.guard) if tree]
    exempt = {name for tree in (*trees, *program.rule.wheres) for name in asked_whether_known(tree)}
    found = []
    for name in sorted(program.judged - exempt):
        value = values[name]
        without = judge_of(program, subject, with_fact(values, name, Unknown("taken away", (name,))))
        if without.verdict != "pass" or isinstance(value, Unknown | Cases):
            continue
        might = {
            judge_of(program, subject, with_fact(values, name, each)).verdict for each in others(name, value)
        }
        found += [name] if might - {"pass", "not-applicable"} else []
    return found


@pytest.mark.parametrize(("judged", "case"), CASES, ids=NAMES)
def test_no_rule_passes_without_a_fact_that_its_pass_needs(judged: Rule, case: TwinCase) -> None:
    """Unproven or not applicable where the fact is gone; a pass still only where no value of it fails."""
    passed = list(passes(judged, case.mended))
    assert passed
    assert [fault for each in passed for fault in faults(each)] == []


def test_a_judge_that_lets_the_unknown_pass_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check is not blind: with a judge that takes unproven for a pass it names the fact."""
    needy = only(rule("require strap.margin >= 0 steps else error"))
    unit = BY_NAME["strap.margin"].kind
    assert not isinstance(unit, str)
    values = Values(lambda name: Fact(name, exact(3.0, unit)))
    passed = (compile_rule(needy), Subject("block", "XU1", needy.place), values)
    assert faults(passed) == []

    def lenient(program: Program, subject: Subject, seen: Values) -> Outcome:
        found = judge(program, subject, seen)
        return found._replace(verdict="pass") if found.verdict == "unproven" else found

    monkeypatch.setattr(f"{__name__}.judge_of", lenient)
    assert faults(passed) == ["strap.margin"]


def test_a_pass_that_says_what_it_does_without_is_no_fault() -> None:
    """`known` in a rule is the rule's own word on what happens without the fact."""
    asking = only(rule("require not known strap.margin or strap.margin >= 0 steps else error"))
    assert asked_whether_known(asking.requires[0].condition) == {"strap.margin"}
