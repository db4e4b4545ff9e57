"""Where values come from: a house's stock, or the preferred series."""

import math
from typing import NamedTuple

from drc.quantity.preferred import values

BOUGHT = (24, 96)
"""The series that candidates are taken from: what 1 % parts are bought in."""


FINE = (24, 96, 192)
"""The series with what is made to order besides."""


class Pool(NamedTuple):
    """`stock` in ohm, ascending; empty: the values of some series of IEC 60063."""

    stock: tuple[float, ...] = ()
    series: tuple[int, ...] = BOUGHT

    def between(self, low: float, high: float, series: tuple[int, ...] | None = None) -> list[float]:
        """The values from `low` to `high`, ends included; without a stock of `series`, None: its own."""
        if not (0 < low < math.inf and 0 < high < math.inf):
            return []  # nothing that has such a voltage across it is mended by a resistor
        if not self.stock:
            return values(low, high, series or self.series)
        return [value for value in self.stock if low <= value <= high]

    def has(self, value: float) -> bool:
        """Whether a value that was found otherwise, as ten times another, can be had."""
        return not self.stock or any(abs(value - each) <= 1e-9 * each for each in self.stock)
