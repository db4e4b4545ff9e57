"""Preferred values of resistors and capacitors: the series E3 to E192 of IEC 60063.

Values of a series are the geometric steps 10^(i/n), rounded; the older series keep a few values that were
in use before the rule. E24 is not part of E96 or E192: 4.7 is in the first alone.
"""

import math
from bisect import bisect_left
from collections.abc import Iterable
from functools import cache

SERIES = (3, 6, 12, 24, 48, 96, 192)

STOCKED = (24, 96, 192)
"""What a 1 % part may be bought in: E24, E96 and E192 together."""

# Where IEC 60063 departs from the rounded rule; from 48 values a decade on there are three digits.
_E24_KEPT = {26: 27, 29: 30, 32: 33, 35: 36, 38: 39, 42: 43, 46: 47, 83: 82}
_E192_KEPT = {919: 920}


@cache
def mantissas(series: int) -> tuple[int, ...]:
    """One decade of a series as integers: 10 .. 82 or 91 up to E24, 100 .. 988 beyond.

    E3, E6 and E12 are every 8th, 4th and 2nd value of E24. ValueError if there is no such series.
    """
    if series not in SERIES:
        raise ValueError(f"there is no series E{series}; the series are E3 E6 E12 E24 E48 E96 E192")
    if series <= 24:
        ruled = [round(10 * 10 ** (i / 24)) for i in range(24)]
        return tuple(_E24_KEPT.get(v, v) for v in ruled)[:: 24 // series]
    ruled = [round(100 * 10 ** (i / series)) for i in range(series)]
    return tuple(_E192_KEPT.get(v, v) for v in ruled)


@cache
def decade(series: tuple[int, ...] = STOCKED) -> tuple[int, ...]:
    """The values of several series together over one decade, ascending, as integers from 100 to 998."""
    return tuple(sorted({v * (10 if s <= 24 else 1) for s in series for v in mantissas(s)}))


def values(low: float, high: float, series: Iterable[int] = STOCKED) -> list[float]:
    """Every preferred value from `low` to `high`, ends included, ascending. 0 < low, both finite."""
    table = decade(tuple(series))
    first, last = _exponent(low), _exponent(high)
    found = [_value(m, e) for e in range(first, last + 1) for m in table]
    return [v for v in found if low * (1 - 1e-9) <= v <= high * (1 + 1e-9)]


def nearest(value: float, series: Iterable[int] = STOCKED) -> float:
    """The preferred value that is nearest by ratio; the lower one of two equally near. 0 < value, finite."""
    below, above = _around(value, tuple(series))
    return below if value / below <= above / value else above


def neighbours(value: float, series: Iterable[int] = STOCKED) -> tuple[float, float]:
    """The preferred values next below and next above a value, itself never among them."""
    table = tuple(series)
    below, above = _around(value, table)
    if _same(below, value) or _same(above, value):
        at = below if _same(below, value) else above
        return _around(at * (1 - 1e-6), table)[0], _around(at * (1 + 1e-6), table)[1]
    return below, above


def is_preferred(value: float, series: Iterable[int] = STOCKED) -> bool:
    """Whether a value, in any decade, is in one of the series. False for 0, negative or infinite values."""
    if not 0 < value < math.inf:
        return False
    return any(_same(v, value) for v in _around(value, tuple(series)))


def _around(value: float, series: tuple[int, ...]) -> tuple[float, float]:
    """The greatest preferred value not above, and the least not below (one and the same if it is one)."""
    if not 0 < value < math.inf:
        raise ValueError(f"{value} is no positive value")
    table = decade(series)
    exponent = _exponent(value)
    half = exponent // 2  # for 10^-324 is no number, where 5e-324 is one
    at = bisect_left(table, value / 10.0**half / 10.0 ** (exponent - half) * 100 * (1 - 1e-9))
    above = _value(table[at], exponent) if at < len(table) else _value(table[0], exponent + 1)
    if _same(above, value):
        return above, above
    below = _value(table[at - 1], exponent) if at else _value(table[-1], exponent - 1)
    return below, above


def _exponent(value: float) -> int:
    """The power of ten of a value's first digit; 999.9999999999 counts as 1000."""
    return math.floor(math.log10(value) + 1e-12)


def _value(mantissa: int, exponent: int) -> float:
    """mantissa/100 * 10^exponent, rounded as decimal text is: infinite beyond the largest number."""
    return float(f"{mantissa}e{exponent - 2}")


def _same(a: float, b: float) -> bool:
    """Whether two values differ by rounding only."""
    return abs(a - b) <= 1e-9 * abs(b)
