"""Timing laws as plain array functions, usable without a circuit. All shapes (draws,), broadcast together."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def counted_time(
    period_s: float, prescale: float, at_current_a: float, current_a: Array, rate: Array
) -> Array:
    """Time that a block counts: the master period times the prescale, s.

    T = period * prescale * rate * at_current / I. `rate` is V_rate / V_nominal for a part whose period
    follows the ratio of the two (the rate pin's own tolerance cancels for a resistor to ground), else 1.
    Infinite where no current flows out of the rate pin: it stands still.
    """
    with np.errstate(divide="ignore", over="ignore"):
        time_s = period_s * prescale * rate * at_current_a / current_a
    return np.where(current_a > 0, time_s, np.inf)


def part_drift(error: Array, tempco: Array, kelvin: Array, supply_error: float, volts: Array) -> Array:
    """Factor by which a part's time is off: (1 + error)(1 + tempco dT)(1 + supply_error dV).

    `kelvin` from 25 degC (its size alone for a tempco of random sign), `volts` from the supply at which
    the error is given. Relative errors of independent origin multiply.
    """
    return (1 + error) * (1 + tempco * kelvin) * (1 + supply_error * volts)


def duty_points(level: Array, points: Sequence[tuple[float, float]], error: Array) -> Array:
    """Duty of a pulse modulator, in points (50 is half), at a level of its modulate pin.

    `points` are (level, duty 0..1), ascending in level: straight between them, the end segments going on
    to where the duty of the end points clamps it. `error` (duty 0..1) moves the line, never the clamps.
    """
    at, duty = np.array(points).T
    low_slope = (duty[1] - duty[0]) / (at[1] - at[0])
    high_slope = (duty[-1] - duty[-2]) / (at[-1] - at[-2])
    line = np.interp(level, at, duty)
    line = np.where(level < at[0], duty[0] + low_slope * (level - at[0]), line)
    line = np.where(level > at[-1], duty[-1] + high_slope * (level - at[-1]), line)
    clamped = np.clip(line + error, min(duty[0], duty[-1]), max(duty[0], duty[-1]))
    return np.asarray(100 * clamped, dtype=np.float64)


def triggered_period(period_s: Array, busy_s: Array) -> Array:
    """Period of a one-shot's output that no edge restarts, s: T * ceil(busy / T).

    `busy_s` is pulse and recovery together: the edges that fall into it are ignored.
    """
    times = np.ceil(busy_s / period_s * (1 - 1e-12))
    return np.asarray(period_s * np.maximum(times, 1.0))


def triggered_period_range(period_s: tuple[float, float], busy_s: tuple[float, float]) -> tuple[float, float]:
    """Least and greatest of T * ceil(busy / T) over ranges (low, high) of both, s.

    The law is a saw: with n = ceil(busy / T) edges a pulse, n T runs from busy up to n busy / (n - 1), so
    the extremes lie at the fewest edges and at the tooth before the longest period, not at the corners.
    """
    quick, slow = period_s
    short, long = busy_s
    fewest = max(1, math.ceil(short / slow * (1 - 1e-12)))
    most = max(1, math.ceil(long / quick * (1 - 1e-12)))
    slowest = max(1, math.ceil(long / slow * (1 - 1e-12)))
    high = slowest * slow
    if most > slowest:
        high = max(high, (slowest + 1) * long / slowest)
    return max(short, fewest * quick), high
