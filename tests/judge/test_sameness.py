"""Sameness of values, and conditions over labelled cases, by cases worked out by hand."""

import math

import pytest

from drc.facts.model import Case, Cases, Unknown, Value
from drc.judge.arithmetic import absolute, around, over
from drc.judge.assess import assess
from drc.judge.rule import RuleBook
from drc.judge.truth import FALSE, TRUE, UNKNOWN, Truth, at_least, same
from drc.quantity.span import Span
from drc.quantity.unit import AMPERE, OHM, VOLT
from tests.judge.stub import GivenBook, only, rule, rules

HEAD_AND_TEXT = (
    'rule r title "T" for block require supply.voltage > 1 V else error '
    'say "at {supply.voltage}" because "b" source "s"'
)
SOMETIMES, SOMETIMES_NOT = Truth(True, "sometimes"), Truth(False, "sometimes")


@pytest.mark.parametrize(
    ("a", "b", "truth"),
    [
        (True, True, TRUE),
        (False, False, TRUE),
        (True, False, FALSE),
        ("Low", "low", TRUE),
        ("low", True, UNKNOWN),
        (Span(2, 2, 2), Span(2, 2, 2), TRUE),
        (Span(2, 2, 2), Span(3, 3, 3), FALSE),
        (Span(1, 2, 3), Span(2, 2, 2), SOMETIMES),
        (Span(2, 2, 2), Span(2, 2, 3), SOMETIMES),
        (Span(1, 2, 3), Span(1, 2, 3), SOMETIMES),
        (Span(1, 2, 3), Span(3, 4, 5), SOMETIMES_NOT),
        (Span(3, 4, 5), Span(1, 2, 3), SOMETIMES_NOT),
        (Span(1, 2, 3), Span(4, 5, 6), FALSE),
        (Span(4, 5, 6), Span(1, 2, 3), FALSE),
    ],
)
def test_sameness_over_spans(a: Value, b: Value, truth: Truth) -> None:
    """Always only where both are one value; never where they do not meet; else sometimes, by the nominal."""
    assert same(a, b) == truth
    assert same(b, a) == truth


def test_a_nominal_outside_its_own_span_decides_nothing_for_the_span() -> None:
    """A span whose nominal lies beyond its ends (a stated one may) is not judged by its ends alone."""
    odd = Span(5, 1, 6, VOLT)
    assert at_least(odd, Span(3, 3, 3, VOLT)) == SOMETIMES_NOT
    assert at_least(Span(4, 4, 4, VOLT), Span(1, 9, 3, VOLT)) == SOMETIMES_NOT


def test_no_number_at_either_end_is_unknown() -> None:
    """An end that is no number leaves the comparison unknown."""
    for odd in (Span(math.nan, 2, 3), Span(1, 2, math.nan)):
        assert at_least(Span(2, 2, 2), odd) == UNKNOWN
        assert same(odd, Span(2, 2, 2)) == UNKNOWN


def test_the_size_of_a_span_of_either_sign() -> None:
    """|-3 .. -1| is 1 .. 3, |-3 .. 2| is 0 .. 3, |1 .. 3| is itself."""
    assert absolute(Span(-3, -2, -1)) == Span(1, 2, 3)
    assert absolute(Span(-3, -2, 2)) == Span(0, 2, 3)
    assert absolute(Span(1, 2, 3)) == Span(1, 2, 3)


def states(name: str, *volts: float) -> Cases:
    """A quantity in labelled states."""
    return Cases(tuple(Case(f"{name} = {k}", Span(v, v, v, VOLT)) for k, v in enumerate(volts)))


def verdicts(require: str, **facts: Value) -> list[tuple[str, str]]:
    """Verdict and message of a rule on a block with these facts."""
    found = only(rule(f"require {require} else error"))
    given = {name.replace("_", "."): value for name, value in facts.items()}
    return [(each.verdict, each.message) for each in assess(GivenBook(given), RuleBook((found,))).findings]


def test_a_condition_must_hold_in_every_state() -> None:
    """Three states of one output: the worst decides, and is named."""
    assert verdicts("supply.voltage > 1 V", supply_voltage=states("XU2", 2, 3, 4)) == []
    ((verdict, message),) = verdicts("supply.voltage > 1 V", supply_voltage=states("XU2", 2, 0.5, 4))
    assert verdict == "fail"
    assert "XU2 = 1" in message


def test_facts_with_the_same_states_are_in_the_same_state() -> None:
    """Two quantities that one output moves together are never compared across its states."""
    low, high = states("XU2", 1, 5), states("XU2", 2, 6)
    assert verdicts("supply.voltage < supply.limit", supply_voltage=low, supply_limit=high) == []
    apart = states("XU3", 2, 6)
    ((verdict, _),) = verdicts("supply.voltage < supply.limit", supply_voltage=low, supply_limit=apart)
    assert verdict == "fail"


def test_the_worse_of_two_states_is_the_one_that_fails() -> None:
    """Failing at nominal goes before failing over the span, which goes before passing."""
    spans = Cases(
        (
            Case("XU2 = 0", Span(0.5, 2, 3, VOLT)),
            Case("XU2 = 1", Span(0.1, 0.2, 0.3, VOLT)),
            Case("XU2 = 2", Span(5, 5, 5, VOLT)),
        )
    )
    ((verdict, message),) = verdicts("supply.voltage > 1 V", supply_voltage=spans)
    assert (verdict, "XU2 = 1" in message) == ("fail", True)
    soft = Cases(spans.cases[::2])
    ((verdict, message),) = verdicts("supply.voltage > 1 V", supply_voltage=soft)
    assert (verdict, "XU2 = 0" in message) == ("at-risk", True)


def test_evidence_is_of_what_decided_and_of_what_is_said() -> None:
    """The facts of the deciding require and of its verdict's message, each once; no others."""
    text = "require supply.voltage > 1 V else error require rate.current > 1 A else note"
    found = only(rule(text, 'say at-risk "at {supply.limit}" say unproven "not {strap.code}"'))
    given: dict[str, Value] = {
        "supply.voltage": Span(0.5, 2, 3, VOLT), "supply.limit": Span(6, 6, 6, VOLT),
        "rate.current": Span(2, 2, 2, AMPERE), "strap.code": Span(3, 3, 3),
    }  # fmt: skip
    (risky,) = assess(GivenBook(given), RuleBook((found,))).findings
    assert (risky.verdict, list(risky.evidence)) == ("at-risk", ["supply.voltage", "supply.limit"])
    given["supply.voltage"] = Unknown("no V1", ("V1",))
    (lost,) = assess(GivenBook(given), RuleBook((found,))).findings
    assert (lost.verdict, list(lost.evidence)) == ("unproven", ["supply.voltage", "strap.code"])
    assert lost.missing == ("V1",)
    given["supply.voltage"] = Span(0.1, 0.2, 0.3, VOLT)
    (failed,) = assess(GivenBook(given), RuleBook((found,))).findings
    assert (failed.verdict, list(failed.evidence)) == ("fail", ["supply.voltage"])


def test_what_a_division_and_a_widening_come_to() -> None:
    """6 .. 9 V over 2 .. 3 A is 2 .. 4.5 ohm; 8 .. 10 V widened by 1 V +/- 0.5 V reaches 6.5 .. 11.5 V."""
    found = over(Span(6, 8, 9, VOLT), Span(2, 2.5, 3, AMPERE))
    assert (found.low, found.middle, found.high) == pytest.approx((2, 3.2, 4.5))
    assert found.unit == OHM
    wide = around(Span(8, 9, 10, VOLT), Span(0.5, 1, 1.5, VOLT))
    assert (wide.low, wide.middle, wide.high) == pytest.approx((6.5, 9, 11.5))


def test_a_message_tells_the_values_of_the_state_that_decided() -> None:
    """Of three states the one below 1 V is told, with its own value."""
    found = only(rules(HEAD_AND_TEXT))
    facts: dict[str, Value] = {"supply.voltage": states("XU2", 2, 0.5, 4)}
    (finding,) = assess(GivenBook(facts), RuleBook((found,))).findings
    assert finding.message == "at 500 mV (in state XU2 = 1)"
