"""Interval arithmetic on spans, for the rule language.

Operands count as independent: the result is never narrower than the truth. Quantities that share causes
are combined inside facts, where their correlation is known. Anything unknown stays unknown.
"""

import math
from collections.abc import Callable

from drc.facts.model import Unknown, Value
from drc.quantity.span import Span
from drc.quantity.unit import Unit

Binary = Callable[[Span, Span], Span]
Unary = Callable[[Span], Span]


def lifted(operation: Binary) -> Callable[[Value, Value], Value]:
    """A span operation that also takes what is no span, and gives the first such operand back."""

    def apply(a: Value, b: Value) -> Value:
        if isinstance(a, Span) and isinstance(b, Span):
            return operation(a, b)
        return _no_span(b if isinstance(a, Span) else a)

    return apply


def lifted_one(operation: Unary) -> Callable[[Value], Value]:
    """The same for one operand."""

    def apply(a: Value) -> Value:
        return operation(a) if isinstance(a, Span) else _no_span(a)

    return apply


def _no_span(value: Value) -> Value:
    """An operand that is no span: unknown stays what it is, anything else becomes unknown."""
    return value if isinstance(value, Unknown) else Unknown("not a single quantity")


def plus(a: Span, b: Span) -> Span:
    """a + b; the units are equal, as checked (a bare 0 takes the other's)."""
    return Span(a.low + b.low, a.middle + b.middle, a.high + b.high, _unit(a, b))


def minus(a: Span, b: Span) -> Span:
    """a - b."""
    return Span(a.low - b.high, a.middle - b.middle, a.high - b.low, _unit(a, b))


def times(a: Span, b: Span) -> Span:
    """a * b, over all pairs of ends."""
    ends = [_product(x, y) for x in (a.low, a.high) for y in (b.low, b.high)]
    return Span(min(ends), _product(a.middle, b.middle), max(ends), a.unit * b.unit)


def over(a: Span, b: Span) -> Span:
    """a / b, over all pairs of ends; unbounded where the divisor's span holds zero."""
    unit = a.unit / b.unit
    nominal = a.middle / b.middle if b.middle else math.nan
    if b.low <= 0 <= b.high:
        return Span(-math.inf, nominal, math.inf, unit)
    ends = [_product(x, 1 / y) for x in (a.low, a.high) for y in (b.low, b.high)]
    return Span(min(ends), nominal, max(ends), unit)


def smaller(a: Span, b: Span) -> Span:
    """min(a, b)."""
    return Span(min(a.low, b.low), min(a.middle, b.middle), min(a.high, b.high), _unit(a, b))


def larger(a: Span, b: Span) -> Span:
    """max(a, b)."""
    return Span(max(a.low, b.low), max(a.middle, b.middle), max(a.high, b.high), _unit(a, b))


def negative(a: Span) -> Span:
    """-a."""
    return Span(-a.high, -a.middle, -a.low, a.unit)


def absolute(a: Span) -> Span:
    """|a|."""
    return Span(max(a.low, -a.high, 0.0), abs(a.middle), max(a.high, -a.low), a.unit)


def low_end(a: Span) -> Span:
    """The low end as an exact quantity."""
    return Span(a.low, a.low, a.low, a.unit)


def nominal_value(a: Span) -> Span:
    """The nominal value as an exact quantity."""
    return Span(a.middle, a.middle, a.middle, a.unit)


def high_end(a: Span) -> Span:
    """The high end as an exact quantity."""
    return Span(a.high, a.high, a.high, a.unit)


def from_to(a: Span, b: Span) -> Span:
    """The span from a's low end to b's high end, without a nominal value."""
    return Span(a.low, None, b.high, _unit(a, b))


def around(a: Span, b: Span) -> Span:
    """a widened by b either way."""
    return Span(a.low - b.high, a.middle, a.high + b.high, _unit(a, b))


def around_relative(a: Span, b: Span) -> Span:
    """a widened by b, a fraction of it, either way."""
    return Span(a.low - abs(a.low) * b.high, a.middle, a.high + abs(a.high) * b.high, a.unit)


def _unit(a: Span, b: Span) -> Unit:
    """The common unit; a bare zero has none of its own."""
    return a.unit if any(a.unit.dimension) else b.unit


def _product(x: float, y: float) -> float:
    """x * y, where nothing times unbounded is nothing."""
    return 0.0 if x == 0 or y == 0 else x * y
