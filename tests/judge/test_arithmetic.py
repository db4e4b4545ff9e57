"""Interval arithmetic holds every result that values out of the operands can give."""

import math
import operator
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.facts.model import Unknown
from drc.judge import arithmetic
from drc.quantity.span import Span, exact
from drc.quantity.unit import AMPERE, OHM, RATIO, VOLT, WATT

NUMBERS = st.integers(-30, 30).map(lambda n: n / 4)


def span_of(ends: tuple[float, float, float]) -> Span:
    """The three numbers, in order, as a span."""
    low, nominal, high = sorted(ends)
    return Span(low, nominal, high, VOLT)


SPANS = st.tuples(NUMBERS, NUMBERS, NUMBERS).map(span_of)

Number = Callable[[float, float], float]
OPERATIONS: list[tuple[arithmetic.Binary, Number]] = [
    (arithmetic.plus, operator.add),
    (arithmetic.minus, operator.sub),
    (arithmetic.times, operator.mul),
    (arithmetic.over, operator.truediv),
    (arithmetic.smaller, min),
    (arithmetic.larger, max),
]


@given(a=SPANS, b=SPANS)
def test_a_result_holds_every_pair(a: Span, b: Span) -> None:
    """Every x out of a and y out of b gives a result inside the span, and the nominals give the nominal."""
    for operation, number in OPERATIONS:
        result = operation(a, b)
        for x in (a.low, a.middle, a.high):
            for y in (b.low, b.middle, b.high):
                if number is operator.truediv and y == 0:
                    continue
                assert result.low - 1e-9 <= number(x, y) <= result.high + 1e-9
        if b.middle:
            assert result.middle == pytest.approx(number(a.middle, b.middle))


@given(SPANS)
def test_signs(a: Span) -> None:
    """Minus and abs hold every value, and the three ends are exact."""
    for x in (a.low, a.middle, a.high):
        assert arithmetic.negative(a).low <= -x <= arithmetic.negative(a).high
        assert arithmetic.absolute(a).low <= abs(x) <= arithmetic.absolute(a).high
    assert arithmetic.low_end(a) == exact(a.low, VOLT)
    assert arithmetic.high_end(a) == exact(a.high, VOLT)
    assert arithmetic.nominal_value(a) == exact(a.middle, VOLT)


def test_units_follow() -> None:
    """Volts over amperes are ohms, and a ratio has no unit."""
    assert arithmetic.over(exact(6, VOLT), exact(2, AMPERE)) == exact(3, OHM)
    assert arithmetic.over(exact(6, VOLT), exact(2, VOLT)).unit == RATIO
    assert arithmetic.times(exact(6, VOLT), exact(2, AMPERE)) == exact(12, WATT)
    assert arithmetic.plus(exact(0), exact(2, VOLT)).unit == VOLT
    assert arithmetic.minus(exact(2, VOLT), exact(0)).unit == VOLT


def test_ranges_take_the_outer_ends() -> None:
    """`a .. b` goes from a's low end to b's high end without a nominal; `+/-` widens both ways."""
    a, b = Span(1, 2, 3, VOLT), Span(8, 9, 10, VOLT)
    assert arithmetic.from_to(a, b) == Span(1, None, 10, VOLT)
    assert arithmetic.around(b, exact(1, VOLT)) == Span(7, 9, 11, VOLT)
    assert arithmetic.around_relative(b, exact(0.5)) == Span(4, 9, 15, VOLT)
    assert arithmetic.around_relative(Span(-10, -9, -8, VOLT), exact(0.5)) == Span(-15, -9, -4, VOLT)


def test_nothing_times_unbounded_is_nothing() -> None:
    """A zero end beside an unbounded one gives zero, not a value that is no number."""
    assert arithmetic.times(Span(0, 1, math.inf), Span(0, 1, 2)) == Span(0, 1, math.inf)
    assert arithmetic.times(exact(0), Span(1, None, math.inf)) == exact(0)


def test_a_divisor_that_may_be_nothing_gives_an_unbounded_result() -> None:
    """Division by a span that holds zero is unbounded, and by zero itself no number."""
    result = arithmetic.over(exact(1, VOLT), Span(-1, 0, 1, VOLT))
    assert (result.low, result.high) == (-math.inf, math.inf)
    assert math.isnan(result.middle)


def test_unknown_goes_through() -> None:
    """What is unknown stays so, with its reason; a name in arithmetic is unknown too."""
    plus = arithmetic.lifted(arithmetic.plus)
    lost = Unknown("R3 has no value")
    assert plus(lost, exact(1)) == lost
    assert plus(exact(1), lost) == lost
    assert isinstance(plus("low", exact(1)), Unknown)
