"""Timing laws without a circuit: hand-computed values and properties."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.circuit.laws import (
    Array,
    counted_time,
    duty_points,
    part_drift,
    triggered_period,
    triggered_period_range,
)


def numbers(*values: float) -> Array:
    """A one-dimensional array."""
    return np.array(values, dtype=np.float64)


def test_half_the_current_takes_twice_the_time() -> None:
    """2 us at 20 uA, prescale 50: at 10 uA 2 us * 50 * 20/10 = 200 us."""
    assert counted_time(2e-6, 50, 20e-6, numbers(10e-6), numbers(1)) == pytest.approx(200e-6)


def test_no_current_stands_still() -> None:
    """At no current and at a current that flows into the pin the time is infinite."""
    assert np.isinf(counted_time(1e-6, 1, 1e-5, numbers(0.0, -1e-6), numbers(1, 1))).all()


def test_drift_multiplies() -> None:
    """1 %, 100 ppm/K over 50 K and 0.1 %/V over -2 V: 1.01 * 1.005 * 0.998 = 1.01302."""
    factor = part_drift(numbers(0.01), numbers(100e-6), numbers(50), 0.001, numbers(-2))
    assert factor == pytest.approx(1.0130199)


def test_duty_between_the_points() -> None:
    """0.2 V .. 1.0 V for 10 % .. 90 %: 0.4 V lies a quarter up, 30 points, and 3 points of error move it."""
    points = [(0.2, 0.1), (1.0, 0.9)]
    duty = duty_points(numbers(0.4, 0.4, 0.4), points, numbers(0, 0.03, -0.03))
    assert duty == pytest.approx([30, 33, 27])


def test_duty_beyond_the_end_is_clamped_exactly() -> None:
    """Well beyond either end the duty is the end point's, whatever the error."""
    points = [(0.2, 0.1), (1.0, 0.9)]
    duty = duty_points(numbers(-0.1, 1.4, 1.4), points, numbers(0.03, -0.03, 0.03))
    assert list(duty) == pytest.approx([10, 90, 90], abs=1e-12)


def test_a_line_that_falls_is_clamped_too() -> None:
    """A modulate law that falls with the voltage clamps at its own ends."""
    duty = duty_points(numbers(-1, 0.5, 2), [(0.0, 1.0), (1.0, 0.0)], numbers(0, 0, 0))
    assert list(duty) == pytest.approx([100, 50, 0])


@pytest.mark.parametrize(
    ("period", "busy", "expected"),
    [(10e-3, 4e-3, 10e-3), (10e-3, 10e-3, 10e-3), (10e-3, 10.1e-3, 20e-3), (3e-3, 16e-3, 18e-3)],
)
def test_ignored_edges_lengthen_the_output_period(period: float, busy: float, expected: float) -> None:
    """The output starts again at the first edge after pulse and recovery: T * ceil(busy / T)."""
    assert triggered_period(numbers(period), numbers(busy)) == pytest.approx(expected)


@given(
    st.tuples(st.floats(1e-3, 1), st.floats(1, 3)),
    st.tuples(st.floats(1e-3, 1), st.floats(1, 3)),
    st.tuples(st.floats(0, 1), st.floats(0, 1)),
)
def test_range_holds_every_case(
    edges: tuple[float, float], pulse: tuple[float, float], at: tuple[float, float]
) -> None:
    """No period and pulse inside their ranges give an output period outside the range stated."""
    (t, t_up), (w, w_up) = edges, pulse
    low, high = triggered_period_range((t, t * t_up), (w, w * w_up))
    period, busy = t * (1 + at[0] * (t_up - 1)), w * (1 + at[1] * (w_up - 1))
    assert low * (1 - 1e-9) <= triggered_period(numbers(period), numbers(busy))[0] <= high * (1 + 1e-9)


def test_range_is_tight() -> None:
    """Dense sampling reaches both ends of the range (busy 15..16 ms, edges every 6..10 ms: 15 ms, 24 ms)."""
    low, high = triggered_period_range((6e-3, 10e-3), (15e-3, 16e-3))
    t, w = np.meshgrid(np.linspace(6e-3, 10e-3, 2001), np.linspace(15e-3, 16e-3, 101))
    seen = triggered_period(t.ravel(), w.ravel())
    assert math.isclose(low, seen.min(), rel_tol=2e-3)
    assert math.isclose(high, seen.max(), rel_tol=2e-3)
    assert (low, high) == pytest.approx((15e-3, 24e-3))


def test_the_rate_pin_stands_in_the_ratio_law() -> None:
    """A rate voltage 2 % high at the same current takes 2 % longer."""
    assert counted_time(2e-6, 3, 20e-6, numbers(20e-6), numbers(1.02)) == pytest.approx(6.12e-6)


def test_the_end_segments_go_on_beyond_full_scale() -> None:
    """Slopes of 50 and 200 points a volt at the ends: a little outside, 3 points of error come back in."""
    points = [(0.2, 0.1), (1.0, 0.5), (1.2, 0.9)]
    duty = duty_points(numbers(0.18, 1.21, 0.2, 1.2), points, numbers(0.03, -0.03, 0.0, 0.0))
    assert duty == pytest.approx([10 - 1 + 3, 90 + 2 - 3, 10, 90])


def test_a_whole_number_of_edges_is_not_rounded_up() -> None:
    """A pulse of exactly three periods, as floats have it, ends in time for the third edge."""
    period, busy = 0.1, 0.1 * 3
    assert triggered_period(numbers(period), numbers(busy)) == pytest.approx(0.3)
    assert triggered_period_range((period, period), (busy, busy)) == pytest.approx((0.3, 0.3))


def test_a_pulse_shorter_than_every_period_changes_nothing() -> None:
    """Triggers 5 to 7 ms apart start pulses of 1 to 2 ms each: 5 to 7 ms."""
    assert triggered_period_range((5e-3, 7e-3), (1e-3, 2e-3)) == pytest.approx((5e-3, 7e-3))
