"""Three-valued truth: what is claimed over a span holds for every value in it."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.facts.model import Unknown, Value
from drc.judge.truth import FALSE, TRUE, UNKNOWN, Truth, at_least, both, either, negated, same, within
from drc.quantity.span import Span
from drc.quantity.unit import VOLT

NUMBERS = st.integers(-20, 20).map(float)


def span_of(ends: tuple[float, float, float]) -> Span:
    """The three numbers, in order, as a span."""
    low, nominal, high = sorted(ends)
    return Span(low, nominal, high, VOLT)


SPANS = st.tuples(NUMBERS, NUMBERS, NUMBERS).map(span_of)
SOMETIMES = Truth(True, "sometimes")
TRUTHS = st.sampled_from([TRUE, FALSE, UNKNOWN, SOMETIMES, Truth(False, "sometimes")])


def values_of(span: Span) -> list[float]:
    """Both ends, the nominal value, and two between."""
    middle = (span.low + span.high) / 2
    return [span.low, span.middle, span.high, middle, (span.low + middle) / 2]


def kept(truth: Truth, nominal: bool, outcomes: set[bool]) -> bool:
    """Whether what a truth claims agrees with what happens at nominal and over the span."""
    if truth.over == "always" and outcomes != {True}:
        return False
    if truth.over == "never" and outcomes != {False}:
        return False
    return truth.nominal == nominal


@given(SPANS, SPANS)
def test_a_comparison_claims_no_more_than_every_pair_of_values_shows(a: Span, b: Span) -> None:
    """`always` means that every value of a is at or above every value of b, `never` that none is."""
    outcomes = {x >= y for x in values_of(a) for y in values_of(b)}
    assert kept(at_least(a, b), a.middle >= b.middle, outcomes)
    assert (at_least(a, b).over == "always") == (outcomes == {True})


@given(SPANS, SPANS)
def test_within_treats_the_right_side_as_limits(a: Span, b: Span) -> None:
    """a within b is judged for every value of a against the two ends of b."""
    outcomes = {b.low <= x <= b.high for x in values_of(a)}
    assert kept(within(a, b), b.low <= a.middle <= b.high, outcomes)


@given(SPANS, SPANS, SPANS, SPANS)
def test_not_and_or_claim_no_more_than_every_combination_shows(a: Span, b: Span, c: Span, d: Span) -> None:
    """Under not, and, or, `always` and `never` are still only said of what holds for all values."""
    first, second = at_least(a, b), at_least(c, d)
    ones = {x >= y for x in values_of(a) for y in values_of(b)}
    others = {x >= y for x in values_of(c) for y in values_of(d)}
    p, q = a.middle >= b.middle, c.middle >= d.middle
    assert kept(negated(first), not p, {not x for x in ones})
    assert kept(both(first, second), p and q, {x and y for x in ones for y in others})
    assert kept(either(first, second), p or q, {x or y for x in ones for y in others})
    assert (
        kept(both(first, negated(first)), False, {False}) or both(first, negated(first)).over == "sometimes"
    )


@given(TRUTHS, TRUTHS)
def test_de_morgan(a: Truth, b: Truth) -> None:
    """not (a and b) is (not a) or (not b)."""
    assert negated(both(a, b)) == either(negated(a), negated(b))
    assert negated(negated(a)) == a


@given(TRUTHS)
def test_unknown_is_overruled_only_by_what_decides(other: Truth) -> None:
    """`false and unknown` is false, `true or unknown` is true, everything else with unknown is unproven."""
    assert both(FALSE, UNKNOWN) == FALSE
    assert either(TRUE, UNKNOWN) == TRUE
    if other.nominal is True:
        assert both(other, UNKNOWN).nominal is None
    if other.nominal is False:
        assert either(other, UNKNOWN).nominal is None


@pytest.mark.parametrize("judge", [at_least, within, same])
def test_what_is_not_known_stays_unknown(judge: Callable[[Value, Value], Truth]) -> None:
    """An unknown operand, or one that is no number, makes the comparison unknown, never true."""
    known = Span(1, 2, 3, VOLT)
    for lost in (Unknown("no R3"), Span(math.nan, math.nan, math.nan, VOLT), Span(1, math.nan, 3, VOLT)):
        assert judge(lost, known) == UNKNOWN
        assert judge(known, lost) == UNKNOWN


def test_the_rated_end_value_is_in_range() -> None:
    """A value that rounding puts a hair beyond a limit meets it, and its opposite does not hold."""
    computed = 1 / (1 / 4e5) * (1 + 1e-12)
    value, limit = Span(computed, computed, computed), Span(4e5, 4e5, 4e5)
    assert at_least(limit, value) == TRUE
    assert negated(at_least(limit, value)) == FALSE
    assert within(value, Span(2e4, None, 4e5)) == TRUE


def test_an_unbounded_end_is_met() -> None:
    """`at least 5` is met by everything from 5 up, and by nothing below."""
    assert within(Span(5, 6, math.inf), Span(5, None, math.inf)) == TRUE
    assert within(Span(1, 2, 3), Span(5, None, math.inf)) == FALSE


def test_names_are_compared_without_letter_case() -> None:
    """Names and truths are equal or not; a name is never equal to a quantity."""
    assert same("Inverted", "inverted") == TRUE
    assert same("normal", "inverted") == FALSE
    assert within("low", "low") == TRUE
    assert same(True, False) == FALSE
    assert same("low", Span(1, 1, 1)) == UNKNOWN
