"""Picking resistor values for a wish: strap pairs, timing resistors, steering and duty dividers."""

from collections.abc import Iterator
from itertools import product
from typing import NamedTuple

import numpy as np

from drc.blocks.model import Code, Part, StrapPin
from drc.quantity.span import Span
from drc.repair.strap import clearance

PAIR_OHM = (30e3, 360e3)
"""Between which values strap resistors are looked for: below they waste current, above leakage counts."""

_TRIED = 2
"""How many timing resistors a row of the code table is tried with."""

Point = tuple[float, float]
"""A control voltage (V) and the frequency (Hz) wanted there."""


class Means(NamedTuple):
    """What there is to build from: resistor values in ohm, those already on the board, the surroundings.

    `supply` None: each part's own, 5 % about the voltage of its timing figures.
    """

    values: tuple[float, ...]
    present: frozenset[float]
    supply: Span | None
    ambient: Span
    tolerance: float
    tempco: float

    def between(self, low: float, high: float) -> list[float]:
        """The values from `low` to `high`, ends included, ohm."""
        return [value for value in self.values if low <= value <= high]


def period_charge(part: Part, row: Code) -> float | None:
    """period * at_current * prescale, ampere seconds: output time times rate current; None if not given."""
    timing = part.timing
    if timing is None or timing.period is None or timing.at_current is None:
        return None
    return timing.period * timing.at_current * row.prescale


def strap_pair(pin: StrapPin, code: int, means: Means) -> tuple[float | None, float | None] | None:
    """Upper and lower strap resistor for a code: a rail for the end codes, else the pair nearest its middle.

    Values already on the board come first among pairs of nearly the same clearance. None: no pair does it.
    """
    if code == 0:
        return None, 0.0
    if code == pin.levels - 1:
        return 0.0, None
    stock = np.array([v for v in means.values if PAIR_OHM[0] <= v <= PAIR_OHM[1]])
    if not stock.size:
        return None
    upper, lower = np.meshgrid(stock, stock)
    clear = clearance(pin, (lower / (upper + lower)).ravel(), code)
    best = clear.max()
    if best <= 0.1:
        return None
    good = np.flatnonzero(clear > best - 0.03)
    pairs = [(float(upper.ravel()[i]), float(lower.ravel()[i])) for i in good]
    return min(pairs, key=lambda pair: (len({*pair} - means.present), abs(sum(pair) - 200e3)))


def rates(part: Part, row: Code, time_s: float, means: Means) -> Iterator[float]:
    """The timing resistors nearest to R = V_rate T / (period at_current prescale), as far as rated."""
    charge, pin = period_charge(part, row), part.rate
    if charge is None or pin is None or pin.voltage is None:
        return
    ideal, rated = pin.voltage.middle * time_s / charge, pin.resistance
    for value in _nearest(ideal, means):
        if rated is None or rated.low <= value <= rated.high:
            yield value


def steered(
    part: Part, row: Code, points: tuple[Point, Point], means: Means
) -> Iterator[tuple[float, float]]:
    """Timing and control resistor: I = V_rate / R_rate + (V_rate - V_ctl) / R_ctl through two points."""
    charge, pin = period_charge(part, row), part.rate
    if charge is None or pin is None or pin.voltage is None:
        return
    volts = pin.voltage.middle
    (v_one, f_one), (v_two, f_two) = points
    i_one, i_two = charge * f_one, charge * f_two
    if i_one == i_two or v_one == v_two:
        return
    control = (v_two - v_one) / (i_one - i_two)
    base = i_one - (volts - v_one) / control
    rated = pin.current
    if control <= 0 or base <= 0 or (rated and not all(rated.low <= i <= rated.high for i in (i_one, i_two))):
        return
    yield from product(_nearest(volts / base, means), _nearest(control, means))


def _nearest(ideal: float, means: Means) -> list[float]:
    """The values nearest to an ideal one by ratio."""
    return sorted(means.values, key=lambda value: abs(np.log(value / ideal)))[:_TRIED]


def modulate_pair(part: Part, duty: float, supply: Span, means: Means) -> tuple[float, float] | None:
    """The divider from the supply that sets a duty (0..1) at the supply's middle."""
    if part.modulate is None:
        return None
    duties = [duty for _, duty in part.modulate.points]
    volts = [v for v, _ in part.modulate.points]
    ratio = float(np.interp(duty, duties, volts)) / supply.middle
    stock = np.array([v for v in means.values if 1e3 <= v <= 100e3])
    upper, lower = np.meshgrid(stock, stock)
    off = np.abs(lower / (upper + lower) - ratio)
    at = int(off.argmin())
    return float(upper.ravel()[at]), float(lower.ravel()[at])
