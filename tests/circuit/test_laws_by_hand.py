"""Timing laws at the points where they bend, by hand."""

import numpy as np
import pytest

from drc.circuit.laws import Array, counted_time, duty_points, triggered_period, triggered_period_range
from drc.circuit.pin_laws import rate_current, settling_time, strap_ratio
from drc.circuit.star import star


def array(*values: float) -> Array:
    """Some draws."""
    return np.array(values)


@pytest.mark.parametrize(
    ("period", "busy", "low", "high"),
    [
        ((1.0, 1.0), (0.5, 0.5), 1.0, 1.0),
        ((1.0, 1.0), (1.0, 1.0), 1.0, 1.0),
        ((1.0, 1.0), (1.5, 1.5), 2.0, 2.0),
        ((1.0, 1.0), (2.5, 2.5), 3.0, 3.0),
        ((1.0, 1.0), (0.5, 2.5), 1.0, 3.0),
        ((1.0, 2.0), (3.0, 3.0), 3.0, 4.5),
        ((0.5, 0.5), (1.1, 1.4), 1.5, 1.5),
    ],
)
def test_the_period_of_a_one_shot_that_ignores_edges(
    period: tuple[float, float], busy: tuple[float, float], low: float, high: float
) -> None:
    """n T with n = ceil(busy / T); over T of 1 .. 2 and busy 3: from 3 edges of 1, up to just over 2 of 1.5.

    The last: at T just under 1.5 three edges are needed, 3 * 1.5 = 4.5, more than 2 * 2 = 4.
    """
    found = triggered_period_range(period, busy)
    assert found == pytest.approx((low, high))
    seen = [
        triggered_period(array(t), array(b))[0]
        for t in np.linspace(*period, 101)
        for b in np.linspace(*busy, 101)
    ]
    assert found[0] - 1e-9 <= min(seen)
    assert max(seen) <= found[1] + 1e-9


def test_a_counted_time_goes_with_everything_once() -> None:
    """2 us * 10 at 20 uA, at 5 uA four times as long; with the rate at 1.1 times its nominal, 1.1 as long."""
    seconds = counted_time(2e-6, 10, 20e-6, array(5e-6, 20e-6, 0.0, -1e-6), array(1, 1.1, 1, 1))
    assert seconds.tolist() == pytest.approx([80e-6, 22e-6, np.inf, np.inf])


def test_duty_bends_at_its_points_and_stays_within_its_clamps() -> None:
    """(0, 10 %), (1, 20 %), (2, 80 %): straight between; the error moves the line, never the clamps."""
    points = [(0.0, 0.1), (1.0, 0.2), (2.0, 0.8)]
    at = array(-1, 0, 0.5, 1, 1.5, 2, 3)
    assert duty_points(at, points, array(0)).tolist() == pytest.approx([10, 10, 15, 20, 50, 80, 80])
    assert duty_points(at, points, array(0.05)).tolist() == pytest.approx([10, 15, 20, 25, 55, 80, 80])
    falling = [(0.0, 0.8), (1.0, 0.2)]
    assert duty_points(array(-0.1, 0.5, 1.1), falling, array(-0.1)).tolist() == pytest.approx([76, 40, 20])


def test_settling_from_both_sides() -> None:
    """tau ln(|r - start| / d): from 0 to 0.5 past 0.4, ln 5; from 1 down past 0.6, ln 5; else never."""
    tau = array(2.0)
    assert settling_time(array(0.5), tau, array(0.0), 0.4, 0.6)[0] == pytest.approx(2 * np.log(5))
    assert settling_time(array(0.5), tau, array(1.0), 0.4, 0.6)[0] == pytest.approx(2 * np.log(5))
    assert settling_time(array(0.3), tau, array(0.0), 0.4, 0.6)[0] == np.inf
    assert settling_time(array(0.5), tau, array(0.45), 0.4, 0.6)[0] == 0
    assert settling_time(array(0.5), array(np.inf), array(0.45), 0.4, 0.6)[0] == 0
    assert settling_time(array(0.5), tau, array(0.0), -np.inf, 0.6)[0] == 0


def test_pin_laws_keep_their_signs() -> None:
    """Current out of the pin is positive into a lower source; leakage into the strap raises its ratio."""
    assert rate_current(array(0.5), array(0.1), array(1e5))[0] == pytest.approx(4e-6)
    assert rate_current(array(0.5), array(0.1), array(np.inf))[0] == 0
    assert strap_ratio(array(2.0), array(0.5), array(1e4), array(1e-6), array(5.0))[0] == pytest.approx(0.302)


def test_a_star_of_two_draws() -> None:
    """Millman: (5/1k + 0/1k) / (2/1k) = 2.5 V behind 500 ohm; an infinite arm is none; no arm is open."""
    volts, ohm = star(np.array([[1e3, 1e3], [1e3, np.inf]]), np.array([[5.0, 0.0], [5.0, 0.0]]))
    assert (volts.tolist(), ohm.tolist()) == ([2.5, 5.0], [500.0, 1000.0])
    volts, ohm = star(np.array([[np.inf]]), np.array([[5.0]]))
    assert np.isnan(volts[0])
    assert ohm[0] == np.inf


def test_a_falling_duty_law_of_three_points_clamps_at_its_far_ends() -> None:
    """(0, 80 %), (1, 50 %), (2, 10 %): 30 at 1.5, and never below 10 or above 80."""
    points = [(0.0, 0.8), (1.0, 0.5), (2.0, 0.1)]
    found = duty_points(array(-1, 0.5, 1.5, 2, 3), points, array(0))
    assert found.tolist() == pytest.approx([80, 65, 30, 10, 10])


def test_a_one_shot_that_is_never_busy_answers_every_edge() -> None:
    """ceil(0 / T) is no edge, and still each period has one; an exact multiple takes no edge more."""
    assert triggered_period(array(2.0, 2.0, 2.0), array(0.0, 4.0, 4.1)).tolist() == pytest.approx([2, 4, 6])
