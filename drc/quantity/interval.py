"""Interval arithmetic on spans, with units checked.

For quantities that do not depend on each other: what two spans share does not cancel here. A nominal value
is carried where both have one.
"""

import math
from collections.abc import Callable

from drc.quantity.span import Span
from drc.quantity.unit import Unit


def add(a: Span, b: Span) -> Span:
    """The span of a sum. TypeError if the units differ."""
    unit = _one_unit(a, b, "plus")
    return Span(a.low + b.low, _both(a, b, lambda x, y: x + y), a.high + b.high, unit)


def subtract(a: Span, b: Span) -> Span:
    """The span of a difference. TypeError if the units differ."""
    unit = _one_unit(a, b, "minus")
    return Span(a.low - b.high, _both(a, b, lambda x, y: x - y), a.high - b.low, unit)


def multiply(a: Span, b: Span) -> Span:
    """The span of a product; 0 times an unbounded end is 0."""
    ends = [_product(x, y) for x in (a.low, a.high) for y in (b.low, b.high)]
    return Span(min(ends), _both(a, b, _product), max(ends), a.unit * b.unit)


def divide(a: Span, b: Span) -> Span:
    """The span of a quotient; unbounded both ways where the divisor's span holds 0."""
    unit = a.unit / b.unit
    if b.low <= 0 <= b.high:
        return Span(-math.inf, None, math.inf, unit)
    ends = [_product(x, 1 / y) for x in (a.low, a.high) for y in (b.low, b.high)]
    return Span(min(ends), _both(a, b, lambda x, y: x / y), max(ends), unit)


def scale(span: Span, factor: float) -> Span:
    """A span times a plain number."""
    ends = sorted((_product(span.low, factor), _product(span.high, factor)))
    nominal = None if span.nominal is None else span.nominal * factor
    return Span(ends[0], nominal, ends[1], span.unit)


def within(inner: Span, outer: Span) -> bool:
    """Whether all of one span lies in the other, ends included. TypeError if the units differ."""
    _one_unit(inner, outer, "within")
    return outer.low <= inner.low and inner.high <= outer.high


def intersects(a: Span, b: Span) -> bool:
    """Whether two spans have a value in common, ends included. TypeError if the units differ."""
    _one_unit(a, b, "and")
    return a.low <= b.high and b.low <= a.high


def hull(a: Span, b: Span) -> Span:
    """The least span that holds both; the nominal value is the first's. TypeError if the units differ."""
    unit = _one_unit(a, b, "or")
    return Span(min(a.low, b.low), a.nominal, max(a.high, b.high), unit)


def _one_unit(a: Span, b: Span, word: str) -> Unit:
    """The unit of both."""
    if a.unit.dimension != b.unit.dimension:
        raise TypeError(f"{a.unit.symbol or 'a plain number'} {word} {b.unit.symbol or 'a plain number'}")
    return a.unit


def _both(a: Span, b: Span, apply: Callable[[float, float], float]) -> float | None:
    """The nominal values taken together, None if one has none."""
    if a.nominal is None or b.nominal is None:
        return None
    return apply(a.nominal, b.nominal)


def _product(a: float, b: float) -> float:
    """a * b, with 0 times infinity 0: an end that is not there cannot make something of nothing."""
    return 0.0 if a == 0 or b == 0 else a * b
