"""Spans: low, nominal and high of one quantity, with its unit."""

import math
from typing import NamedTuple

from drc.quantity.unit import RATIO, Unit


class Span(NamedTuple):
    """Low, nominal and high of one quantity in SI base units; an unbounded end is an infinity.

    `nominal` is None where none is stated (a battery has none): then the middle stands in, and whoever
    uses it says so.
    """

    low: float
    nominal: float | None
    high: float
    unit: Unit = RATIO

    @property
    def middle(self) -> float:
        """The nominal value, or where none is stated the midpoint (the finite end, if only one is)."""
        if self.nominal is not None:
            return self.nominal
        if math.isinf(self.low):
            return self.high
        if math.isinf(self.high):
            return self.low
        return (self.low + self.high) / 2


def exact(value: float, unit: Unit = RATIO) -> Span:
    """A span of no width."""
    return Span(value, value, value, unit)
