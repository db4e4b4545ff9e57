import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.quantity.interval import add, divide, hull, intersects, multiply, scale, subtract, within
from drc.quantity.span import Span, exact
from drc.quantity.unit import AMPERE, HERTZ, OHM, RATIO, SECOND, VOLT

ENDS = st.floats(-1e6, 1e6)


@st.composite
def spans(draw: st.DrawFn) -> Span:
    """A span in volts with a nominal value."""
    low, nominal, high = sorted(draw(st.tuples(ENDS, ENDS, ENDS)))
    return Span(low, nominal, high, VOLT)


def test_volts_plus_ohms_is_a_type_error() -> None:
    """Units that differ are never added, compared or joined."""
    volt, ohm = exact(1.0, VOLT), exact(1.0, OHM)
    for refuse in (add, subtract, within, intersects, hull):
        with pytest.raises(TypeError, match=r"V .* ohm"):
            refuse(volt, ohm)


def test_units_multiply_and_divide() -> None:
    """Ohm's law and the reciprocal of a period come out in their named units."""
    assert multiply(exact(2.0, AMPERE), exact(3.0, OHM)) == exact(6.0, VOLT)
    assert divide(exact(6.0, VOLT), exact(3.0, OHM)) == exact(2.0, AMPERE)
    assert divide(exact(1.0, RATIO), Span(0.5, 1.0, 2.0, SECOND)) == Span(0.5, 1.0, 2.0, HERTZ)


@given(spans(), spans(), st.floats(0, 1), st.floats(0, 1))
def test_a_result_holds_every_result_of_values_inside(a: Span, b: Span, at_a: float, at_b: float) -> None:
    """Whatever values the operands take inside their spans, the result's span holds the outcome."""
    x = min(max(a.low + (a.high - a.low) * at_a, a.low), a.high)
    y = min(max(b.low + (b.high - b.low) * at_b, b.low), b.high)
    for span, value in (
        (add(a, b), x + y),
        (subtract(a, b), x - y),
        (multiply(a, b), x * y),
        (scale(a, -3.0), -3 * x),
        (hull(a, b), x),
    ):
        slack = 1e-9 * max(abs(span.low), abs(span.high), 1e-300)
        assert span.low - slack <= value <= span.high + slack
    if y:
        quotient = divide(a, b)
        slack = 1e-9 * abs(x / y)
        assert quotient.low - slack <= x / y <= quotient.high + slack


@given(spans(), spans())
def test_what_lies_within_meets(a: Span, b: Span) -> None:
    """A span within another has a value in common with it, and the hull holds both."""
    if within(a, b):
        assert intersects(a, b)
    assert within(a, hull(a, b))
    assert within(b, hull(a, b))


def test_a_missing_nominal_stays_missing_and_a_missing_end_stays_unbounded() -> None:
    """Nothing is made up for a nominal value or an end that is not there."""
    battery = Span(2.7, None, 4.2, VOLT)
    assert add(battery, exact(1.0, VOLT)).nominal is None
    assert scale(Span(1.0, None, math.inf, VOLT), 0.0) == Span(0.0, None, 0.0, VOLT)
    assert divide(exact(1.0, VOLT), Span(-1.0, 1.0, 1.0, OHM)) == Span(-math.inf, None, math.inf, AMPERE)
