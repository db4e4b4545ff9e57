"""Resistors and a capacitor for an RC timer's wanted time, by its law solved for them."""

from collections.abc import Callable, Sequence
from math import log
from typing import NamedTuple

import numpy as np

from drc.blocks.model import Ladder
from drc.quantity.preferred import values

TOLERANCES = (0.05, 0.02, 0.01)
"""Of a new timing capacitor: the loosest that does is taken. Common practice, no source."""

_AIM = 68e3
"""The resistance that a new timing resistor is aimed at, ohm: leakage small, drive small."""

_UPPER, _MOST = 1e3, 10e6
"""Between which ohms new timing resistors lie: below, the switch carries much; above, leakage counts."""

_SHARE = 0.1
"""The upper resistor of a new astable as a share of the other, where no duty is wanted."""

_FARADS = (220e-12, 10e-6)

Between = Callable[[float, float], Sequence[float]]
"""The resistances (ohm) to choose from between two."""


class Shape(NamedTuple):
    """Upper resistor (None for a one-shot), the one between discharge and capacitor or the only one, F.

    `off` is how far the time stays from the wanted one, relative (of a duty, if that is more, in ratios).
    """

    upper: float | None
    main: float
    farad: float
    off: float


def astables(ladder: Ladder, time_s: float, duty: float | None, between: Between) -> list[Shape]:
    """Values for t_high = (R1 + R2) C ln((1 - l)/(1 - u)) and t_low = R2 C ln(u / l), the handiest first.

    From t = RC ln((V_inf - V_0)/(V_inf - V_1)), towards the supply and towards ground, between the ladder's
    taps l and u. `duty` 0..1. Without a wanted duty R1 is a tenth of R2.
    """
    up, down = log((1 - ladder.lower) / (1 - ladder.upper)), log(ladder.upper / ladder.lower)
    found = []
    for farad in values(*_FARADS, (6,)):
        if duty is None:
            main = time_s / (farad * (up * (1 + _SHARE) + down))
            upper = _SHARE * main
        else:
            main = (1 - duty) * time_s / (farad * down)
            upper = duty * time_s / (farad * up) - main
        if upper < _UPPER or main > _MOST:
            continue
        ones, others = (np.array(between(ohm / 1.2, ohm * 1.2)) for ohm in (upper, main))
        if not ones.size or not others.size:
            continue
        first, second = (each.ravel() for each in np.meshgrid(ones, others))
        high, low = (first + second) * farad * up, second * farad * down
        off = np.abs(np.log((high + low) / time_s))
        if duty is not None:
            off = np.maximum(off, np.abs(high / (high + low) - duty))
        at = int(off.argmin())
        found.append(Shape(float(first[at]), float(second[at]), farad, float(off[at])))
    return sorted(found, key=_handy)


def one_shots(ladder: Ladder, time_s: float, between: Between) -> list[Shape]:
    """Values for t = R C ln(1 / (1 - u)), charged from empty to the upper tap u, the handiest first."""
    share = log(1 / (1 - ladder.upper))
    found = []
    for farad in values(*_FARADS, (6,)):
        ohm = time_s / (farad * share)
        near = between(ohm / 1.2, ohm * 1.2) if _UPPER <= ohm <= _MOST else []
        if near:
            best = min(near, key=lambda value: abs(log(value / ohm)))
            found.append(Shape(None, best, farad, abs(log(best / ohm))))
    return sorted(found, key=_handy)


def _handy(shape: Shape) -> float:
    """How far the main resistor is from what it is aimed at, as a logarithm."""
    return abs(log(shape.main / _AIM))
