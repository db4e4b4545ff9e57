import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.circuit.network import Array
from drc.circuit.pin_laws import rate_current, settling_time, strap_ratio


def one(*values: float) -> Array:
    """A one-dimensional array."""
    return np.array(values, dtype=np.float64)


def test_a_rate_current_falls_to_nothing_and_turns_round() -> None:
    """0.6 V over 60 kohm is 10 uA; a source at the pin's voltage takes none, one above it pushes back."""
    current = rate_current(one(0.6), one(0.0, 0.6, 1.2), one(60e3))
    assert current == pytest.approx([10e-6, 0.0, -10e-6])


def test_an_open_rate_pin_gives_no_current() -> None:
    """Behind an infinite resistance nothing flows, also where the open voltage is not known."""
    assert rate_current(one(0.6), one(np.nan), one(np.inf)).tolist() == [0.0]


def test_leakage_moves_a_ratio_by_its_drop() -> None:
    """100 nA through 50 kohm is 5 mV of 5 V: a thousandth of the ratio."""
    ratio = strap_ratio(one(2.5), one(0.0), one(50e3), one(-100e-9, 0.0, 100e-9), one(5.0))
    assert ratio == pytest.approx([0.499, 0.5, 0.501])


def test_a_strap_settles_in_the_time_of_its_capacitor() -> None:
    """From 0 to 0.5 past a threshold at 0.45: ln(0.5 / 0.05) = ln 10 time constants."""
    assert settling_time(one(0.5), one(1e-3), one(0.0), 0.45, 0.55) == pytest.approx(np.log(10) * 1e-3)
    assert settling_time(one(0.5), one(1e-3), one(1.0), 0.45, 0.55) == pytest.approx(np.log(10) * 1e-3)


def test_a_strap_beyond_its_threshold_never_settles() -> None:
    """A ratio that stops short of the threshold is never read; one that starts past it is read at once."""
    assert np.isinf(settling_time(one(0.44, 0.45), one(1e-3), one(0.0), 0.45, 0.55)).all()
    assert settling_time(one(0.02), one(1e-3), one(0.0), -np.inf, 0.0625).tolist() == [0.0]


@given(st.floats(0.451, 0.549), st.floats(0.0, 0.44), st.floats(1e-6, 1.0))
def test_settling_agrees_with_the_charging_curve(ratio: float, start: float, tau: float) -> None:
    """After the time found, r + (start - r) exp(-t / tau) stands at the threshold."""
    (time_s,) = settling_time(one(ratio), one(tau), one(start), 0.45, 0.55)
    assert ratio + (start - ratio) * np.exp(-time_s / tau) == pytest.approx(0.45, rel=1e-9)
