"""The time a capacitor takes between two voltages."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.circuit.charging import Array, charge_time, rc_time


def numbers(*values: float) -> Array:
    """A one-dimensional array."""
    return np.array(values, dtype=np.float64)


def test_one_time_constant_reaches_632_permille() -> None:
    """From empty, RC later a capacitor holds 1 - 1/e of the final voltage (10 V: 6.321 V)."""
    end = 10 * (1 - np.exp(-1))
    assert rc_time(numbers(1e5), numbers(1e-6), numbers(0), numbers(end), numbers(10)) == pytest.approx(0.1)


def test_short_of_the_threshold_never_ends() -> None:
    """A final voltage at or below the threshold gives an infinite time, up as well as down."""
    up = rc_time(numbers(1e3, 1e3), numbers(1e-6), numbers(0), numbers(3.0), numbers(3.0, 2.9))
    down = rc_time(numbers(1e3), numbers(1e-6), numbers(3.0), numbers(1.0), numbers(1.0))
    assert np.isinf(up).all()
    assert np.isinf(down).all()


@given(
    start=st.floats(-1, 1),
    share=st.floats(0.01, 0.98),
    final=st.floats(2, 20),
    ohm=st.floats(1e2, 1e7),
    points=st.integers(2, 9),
)
def test_straight_current_agrees_with_the_closed_form(
    start: float, share: float, final: float, ohm: float, points: int
) -> None:
    """For a resistor alone, the summed time equals R C ln(...) however many points are taken."""
    end = start + share * (final - start)
    volts = np.linspace(start, end, points)[None, :]
    summed = charge_time(volts, (final - volts) / ohm, numbers(1e-6))
    closed = rc_time(numbers(ohm), numbers(1e-6), numbers(start), numbers(end), numbers(final))
    assert summed == pytest.approx(closed, rel=1e-6)


def test_constant_current_gives_a_straight_ramp() -> None:
    """A constant current I takes C dV / I (1 uF, 3 V, 1 mA: 3 ms)."""
    seconds = charge_time(np.array([[1.0, 2.0, 4.0]]), np.full((1, 3), 1e-3), numbers(1e-6))
    assert seconds == pytest.approx(3e-3)


def test_reversed_current_never_ends() -> None:
    """Where the current dies before the last voltage the time is infinite."""
    assert np.isinf(
        charge_time(np.array([[0.0, 1.0, 2.0]]), np.array([[1e-3, 0.0, -1e-3]]), numbers(1e-6))
    ).all()


def test_no_step_takes_no_time() -> None:
    """Points that do not move cost nothing, whatever the current; the rest is summed."""
    volts, amperes = np.array([[0.0, 0.0, 1.0]]), np.array([[2e-3, 2e-3, 2e-3]])
    assert charge_time(volts, amperes, numbers(1e-6))[0] == pytest.approx(0.5e-3)
    assert charge_time(np.array([[1.0, 1.0]]), np.array([[0.0, 0.0]]), numbers(1e-6))[0] == 0
    assert charge_time(np.array([[0.0, 1.0]]), np.array([[1e-3, -1e-3]]), numbers(1e-6))[0] == np.inf
