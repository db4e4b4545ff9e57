"""Three-valued truth at nominal, and always / sometimes / never / unknown over the span."""

import math
from typing import Final, Literal, NamedTuple

from drc.facts.model import Value
from drc.quantity.span import Span

Over = Literal["never", "sometimes", "unknown", "always"]

_CLOSE = 1e-9
"""Relative difference that <=, >= and within forgive: a value computed at the rated end is in range."""


class Truth(NamedTuple):
    """Whether a condition holds: at nominal (None: unknown), and over the whole span."""

    nominal: bool | None
    over: Over


TRUE: Final = Truth(True, "always")
FALSE: Final = Truth(False, "never")
UNKNOWN: Final = Truth(None, "unknown")
_TRUE_SOMETIMES: Final = Truth(True, "sometimes")
_FALSE_SOMETIMES: Final = Truth(False, "sometimes")

_WEAKEST_FIRST: tuple[Over, ...] = ("never", "sometimes", "unknown", "always")
_TURNED: dict[Over, Over] = {
    "never": "always", "always": "never", "sometimes": "sometimes", "unknown": "unknown",
}  # fmt: skip


def negated(truth: Truth) -> Truth:
    """`not`."""
    nominal = None if truth.nominal is None else not truth.nominal
    return Truth(nominal, _TURNED[truth.over])


def both(a: Truth, b: Truth) -> Truth:
    """`and`: false wins over unknown. Two conditions true in parts of the span may never meet: sometimes."""
    if a is TRUE:
        return b
    if b is TRUE:
        return a
    if a.nominal is False or b.nominal is False:
        nominal: bool | None = False
    else:
        nominal = None if a.nominal is None or b.nominal is None else True
    return Truth(nominal, min(a.over, b.over, key=_WEAKEST_FIRST.index))


def either(a: Truth, b: Truth) -> Truth:
    """`or`: true wins over unknown. Two conditions true in parts of the span may leave a gap: sometimes."""
    return negated(both(negated(a), negated(b)))


def truth(value: Value) -> Truth:
    """A truth fact as a condition; what is no truth is unknown."""
    if value is True:
        return TRUE
    return FALSE if value is False else UNKNOWN


def at_least(a: Value, b: Value) -> Truth:
    """a >= b at nominal, and for all pairs out of both spans."""
    if not isinstance(a, Span) or not isinstance(b, Span):
        return UNKNOWN
    if b[0] <= b[2] <= a[0] <= a[2] and (a[1] is None or a[1] >= a[0]) and (b[1] is None or b[1] <= b[2]):
        # The whole of a clears the whole of b: by far the most common case, decided without more ado.
        return TRUE
    return _judged(_ge(a.middle, b.middle), _ge(a.low, b.high), _ge(a.high, b.low), (a, b))


def within(a: Value, b: Value) -> Truth:
    """a inside the span b (its ends are limits, not tolerances); for names and truths, equality."""
    if isinstance(a, Span) and isinstance(b, Span):
        nominal = _ge(a.middle, b.low) and _ge(b.high, a.middle)
        always = _ge(a.low, b.low) and _ge(b.high, a.high)
        possible = _ge(a.high, b.low) and _ge(b.high, a.low)
        return _judged(nominal, always, possible, (a, b))
    return same(a, b)


def same(a: Value, b: Value) -> Truth:
    """a is b: names ignoring case, truths, and quantities within rounding."""
    if isinstance(a, Span) and isinstance(b, Span):
        always = _near(a.low, a.high) and _near(b.low, b.high) and _near(a.low, b.low)
        possible = _ge(a.high, b.low) and _ge(b.high, a.low)
        return _judged(_near(a.middle, b.middle), always, possible, (a, b))
    if isinstance(a, str) and isinstance(b, str):
        return TRUE if a.casefold() == b.casefold() else FALSE
    if isinstance(a, bool) and isinstance(b, bool):
        return TRUE if a == b else FALSE
    return UNKNOWN


def _judged(nominal: bool, always: bool, possible: bool, spans: tuple[Span, Span]) -> Truth:
    """The truth of a comparison; a nominal value outside its own span cannot make `always` of a false."""
    for span in spans:
        if math.isnan(span.low) or math.isnan(span.middle) or math.isnan(span.high):
            return UNKNOWN
    if always:
        return TRUE if nominal else _FALSE_SOMETIMES
    if possible or nominal:
        return _TRUE_SOMETIMES if nominal else _FALSE_SOMETIMES
    return FALSE


def _ge(a: float, b: float) -> bool:
    """a >= b, forgiving rounding."""
    return a > b or _near(a, b)


def _near(a: float, b: float) -> bool:
    """a == b but for rounding."""
    return math.isclose(a, b, rel_tol=_CLOSE)
