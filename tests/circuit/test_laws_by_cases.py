"""Timing and charging laws case by case: each draw by itself, each side of each bend, by hand."""

import warnings

import numpy as np
import pytest

from drc.circuit.charging import charge_time, rc_time
from drc.circuit.laws import (
    Array,
    counted_time,
    duty_points,
    part_drift,
    triggered_period,
    triggered_period_range,
)
from drc.circuit.pin_laws import rate_current, settling_time
from drc.circuit.star import star


def array(*values: float) -> Array:
    """Some draws."""
    return np.array(values, dtype=np.float64)


def test_nothing_is_divided_aloud() -> None:
    """Draws without current, without a slope or past their threshold give infinities, and no warning."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert counted_time(1.0, 1, 1.0, array(0, 1e-320, 2), array(1, 1, 1)).tolist() == [
            np.inf,
            np.inf,
            0.5,
        ]
        assert rate_current(array(1, 1, 0), array(0, 0, 0), array(0, np.inf, 0))[:2].tolist() == [np.inf, 0]
        assert settling_time(array(0.5, 0.5), array(1, np.inf), array(0.5, 0.5), 0.4, 0.6).tolist() == [0, 0]
        assert np.isinf(rc_time(array(1), array(1), array(0), array(1), array(1)))[0]
        assert np.isinf(charge_time(np.array([[0.0, 1.0]]), np.array([[0.0, 0.0]]), array(1)))[0]
        assert np.isinf(star(np.array([[np.inf, np.inf]]), np.array([[1.0, 1.0]]))[1])[0]


@pytest.mark.parametrize(
    ("start", "end", "final", "ratio"),
    [
        (0.0, 5.0, 10.0, 2.0),
        (0.0, 9.0, 10.0, 10.0),
        (10.0, 5.0, 0.0, 2.0),
        (3.0, 2.0, -1.0, 4 / 3),
        (-2.0, 1.0, 4.0, 2.0),
        (5.0, 5.0, 9.0, 1.0),
    ],
)
def test_a_capacitor_s_way_through_a_resistor(start: float, end: float, final: float, ratio: float) -> None:
    """t = R C ln((final - start) / (final - end)), up and down, R C = 2 ms."""
    found = rc_time(array(2e3), array(1e-6), array(start), array(end), array(final))
    assert found[0] == pytest.approx(2e-3 * np.log(ratio))


def test_a_capacitor_that_stops_short_never_arrives() -> None:
    """Pulled to the end itself, short of it, or away from it; the draws beside it keep their times."""
    finals = array(4.9, 5.0, -1.0, 10.0)
    found = rc_time(array(1.0), array(1.0), array(0.0), array(5.0), finals)
    assert found.tolist() == [np.inf, np.inf, np.inf, pytest.approx(np.log(2))]


@pytest.mark.parametrize("unknown", range(5))
def test_a_time_of_what_is_not_known_is_not_known(unknown: int) -> None:
    """Neither a time nor "never": with any of its five numbers nan."""
    given = [1e3, 1e-6, 0.0, 2.0, 3.0]
    given[unknown] = np.nan
    assert np.isnan(rc_time(*(array(each) for each in given))[0])


def test_each_draw_charges_with_its_own_current_and_capacitor() -> None:
    """1 V at 1 mA then 2 V at 2 mA, into 1, 2 and 3 uF; a draw that dies does not touch the others."""
    volts = np.array([[0.0, 1.0, 2.0]] * 3)
    amperes = np.array([[1e-3, 1e-3, 1e-3], [2e-3, 2e-3, 2e-3], [1e-3, 1e-3, -1e-3]])
    found = charge_time(volts, amperes, array(1e-6, 2e-6, 3e-6))
    assert found.tolist() == [pytest.approx(2e-3), pytest.approx(2e-3), np.inf]
    back = charge_time(volts[:, ::-1], -amperes, array(1e-6, 2e-6, 3e-6))
    assert back.tolist() == [pytest.approx(2e-3), pytest.approx(2e-3), np.inf]


def test_a_current_that_changes_counts_by_its_logarithmic_mean() -> None:
    """From 2 mA to 1 mA over 1 V into 1 uF: C dV ln(2) / 1 mA; nearly steady, by the plain mean."""
    found = charge_time(np.array([[0.0, 1.0]]), np.array([[2e-3, 1e-3]]), array(1e-6))
    assert found[0] == pytest.approx(1e-3 * np.log(2), rel=1e-12)
    rising = charge_time(np.array([[0.0, 1.0]]), np.array([[1e-3, 2e-3]]), array(1e-6))
    assert rising[0] == pytest.approx(1e-3 * np.log(2), rel=1e-12)
    for change in (1e-9, -1e-9, 1e-7, -1e-7, 1e-4, -1e-4):
        near = charge_time(np.array([[0.0, 1.0]]), np.array([[1e-3, 1e-3 * (1 + change)]]), array(1e-6))
        assert near[0] == pytest.approx(1e-3 / (1 + change / 2 - change**2 / 12), rel=1e-9)


@pytest.mark.parametrize("amperes", [[1e-3, 0.0], [0.0, 1e-3], [-1e-3, -1e-3], [1e-3, -1e-3], [-1e-3, 1e-3]])
def test_a_current_that_stops_or_flows_the_other_way(amperes: list[float]) -> None:
    """At either end of a rise, or of a fall with its sign turned: the voltage is not reached."""
    assert charge_time(np.array([[0.0, 1.0]]), np.array([amperes]), array(1e-6))[0] == np.inf
    turned = [-value for value in amperes]
    assert charge_time(np.array([[1.0, 0.0]]), np.array([turned]), array(1e-6))[0] == np.inf


def test_a_drift_has_a_factor_for_each_cause() -> None:
    """One at a time, and the signs of each: 1 %, 100 ppm/K over -65 K, 2 %/V over 0.5 V."""
    nothing = array(0.0)
    assert part_drift(array(0.01), nothing, nothing, 0.0, nothing)[0] == pytest.approx(1.01)
    assert part_drift(nothing, array(100e-6), array(-65), 0.0, nothing)[0] == pytest.approx(0.9935)
    assert part_drift(nothing, nothing, nothing, 0.02, array(0.5))[0] == pytest.approx(1.01)
    assert part_drift(array(-0.5), array(-0.5), array(1), -0.5, array(1))[0] == pytest.approx(0.125)


def test_a_duty_law_goes_on_straight_beyond_its_ends_until_it_clamps() -> None:
    """(1, 20 %), (2, 30 %), (4, 90 %): slopes 10 and 30 points a volt; an error shifts the line."""
    points = [(1.0, 0.2), (2.0, 0.3), (4.0, 0.9)]
    levels = array(0.5, 0.5, 1.5, 3.0, 4.1, 4.1, 9.0)
    error = array(0.1, 0.02, 0.0, -0.01, -0.05, 0.0, -0.01)
    assert duty_points(levels, points, error).tolist() == pytest.approx([25, 20, 25, 59, 88, 90, 90])


@pytest.mark.parametrize(
    ("period", "busy", "low", "high"),
    [
        ((2.0, 4.0), (1.0, 1.0), 2.0, 4.0),  # never longer than a period: each edge is answered
        ((2.0, 4.0), (2.0, 2.0), 2.0, 4.0),
        ((2.0, 4.0), (2.0, 3.0), 2.0, 6.0),  # busy 3: two edges just below 3 s apart
        ((2.0, 2.5), (5.0, 6.0), 5.0, 7.5),  # busy 6 at 2.5: three edges
        ((1.0, 1.0), (0.0, 0.0), 1.0, 1.0),
        ((1.0, 1.25), (3.0, 4.0), 3.0, 5.0),  # busy 4 at 1.25: four edges, 5; at just below 1: five, 5
        ((0.9, 1.25), (3.0, 4.0), 3.0, 5.0),
        ((0.9, 1.1), (3.0, 4.0), 3.0, 5.0),  # at just below 1: five edges, 5 s; at 1.1: four, 4.4
        ((3.0, 3.0), (3.0, 9.0), 3.0, 9.0),
        ((3.0, 3.0), (3.1, 9.1), 6.0, 12.0),
    ],
)
def test_the_least_and_greatest_output_period(
    period: tuple[float, float], busy: tuple[float, float], low: float, high: float
) -> None:
    """n T, n the edges that a pulse is busy for, at least one: by hand, and by a dense sweep of both."""
    assert triggered_period_range(period, busy) == pytest.approx((low, high))
    periods, times = np.meshgrid(np.linspace(*period, 401), np.linspace(*busy, 201))
    seen = triggered_period(periods.ravel(), times.ravel())
    assert low * (1 - 1e-9) <= seen.min() <= low * 1.01
    assert high * 0.985 <= seen.max() <= high * (1 + 1e-9)


@pytest.mark.parametrize(("ratio", "start"), [(0.5, 0.0), (0.5, 1.0), (0.45, 0.0), (0.55, 1.0)])
def test_a_code_at_a_rail_has_one_threshold(ratio: float, start: float) -> None:
    """Unbounded on the side that it comes from, it is read at once; on the other side it must be reached."""
    tau = array(3.0)
    lower, upper = (0.4, np.inf) if start == 0 else (-np.inf, 0.6)
    past = ratio - 0.4 if start == 0 else 0.6 - ratio
    way = abs(ratio - start)
    assert settling_time(array(ratio), tau, array(start), lower, upper)[0] == pytest.approx(
        3 * np.log(way / past)
    )
    lower, upper = (-np.inf, 0.6) if start == 0 else (0.4, np.inf)
    assert settling_time(array(ratio), tau, array(start), lower, upper)[0] == 0


def test_a_star_in_each_draw() -> None:
    """Millman: sum(G V) / sum(G) behind 1 / sum(G); three arms, 1, 2 and 2 kohm at 6, 0 and -2 V, by draw."""
    ohms = np.array([[1e3, 2e3, 2e3], [np.inf, 2e3, 2e3], [1e3, np.inf, np.inf]])
    volts, ohm = star(ohms, np.array([[6.0, 0.0, -2.0]] * 3))
    assert volts.tolist() == pytest.approx([2.5, -1.0, 6.0])
    assert ohm.tolist() == pytest.approx([500.0, 1e3, 1e3])
