"""Which of a part's timing errors holds at the point where it works."""

from itertools import pairwise, product
from typing import NamedTuple

from drc.blocks.model import ErrorRow
from drc.facts.model import Unknown
from drc.quantity.span import Span
from drc.quantity.text import format_value
from drc.quantity.unit import AMPERE, CELSIUS, VOLT

SLACK = 1e-9
"""Relative slack of a comparison with a condition's end, so that rounding puts no end value outside."""


class WorkingPoint(NamedTuple):
    """Where a block works: rate current (A), supply (V), ambient (degC), prescale and code.

    None: not known, or nothing of the kind (an RC timer has no rate current, a part without strap no code).
    """

    current: Span | None = None
    supply: Span | None = None
    ambient: Span | None = None
    prescale: int | None = None
    code: int | None = None


class PartError(NamedTuple):
    """The relative error in force, and whether all rows in force state it over ambient and over supply."""

    error: float
    ambient: bool
    supply: bool
    rows: tuple[int, ...]


AXES = ("current", "supply", "ambient", "prescale", "code")
_UNITS = {"current": AMPERE, "supply": VOLT, "ambient": CELSIUS}


def part_error(rows: tuple[ErrorRow, ...], where: WorkingPoint) -> PartError | Unknown:
    """The largest error that the first matching row gives, over every point of the working point's spans.

    Unknown where a point of the supply or of the ambient matches no row, or the nominal point does not.
    A rate current that only its tolerance takes past the last row's end is judged at its nominal.
    """
    if not rows:
        return Unknown("the part file gives no timing error", ("timing.error",))
    spans = [_axis_span(where, axis) for axis in AXES]
    for axis, span in zip(AXES, spans, strict=True):
        if span is None and any(getattr(row, axis) is not None for row in rows):
            return Unknown(f"the timing error depends on the {axis}, which is not known", (axis,))
    nominal = tuple(None if span is None else span.middle for span in spans)
    if _first(rows, nominal) is None:
        return _outside(rows, nominal)
    found: set[int] = set()
    for point in product(*(_samples(rows, axis, span) for axis, span in zip(AXES, spans, strict=True))):
        index = _first(rows, point)
        if index is not None:
            found.add(index)
        elif _first(rows, (nominal[0], *point[1:])) is None:
            return _outside(rows, point)
    met = [rows[i] for i in sorted(found)]
    return PartError(
        max(row.error for row in met),
        all(row.ambient is not None for row in met),
        all(row.supply is not None for row in met),
        tuple(sorted(found)),
    )


def _axis_span(where: WorkingPoint, axis: str) -> Span | None:
    """The working point along one axis as a span."""
    value = getattr(where, axis)
    return Span(value, value, value) if isinstance(value, int) else value


def _samples(rows: tuple[ErrorRow, ...], axis: str, span: Span | None) -> tuple[float | None, ...]:
    """Points along one axis, so that every row that holds over a stretch of the span is met: its ends and its
    middle, and one between any two neighbouring ends of conditions inside it."""
    if span is None:
        return (None,)
    limits = [limit for row in rows if (limit := getattr(row, axis)) is not None]
    inside = {end for limit in limits for end in (limit.low, limit.high) if span.low < end < span.high}
    stops = (span.low, *sorted(inside), span.high)
    return tuple(
        dict.fromkeys((span.low, span.middle, span.high, *((a + b) / 2 for a, b in pairwise(stops))))
    )


def _first(rows: tuple[ErrorRow, ...], point: tuple[float | None, ...]) -> int | None:
    """The index of the first row whose conditions all hold at a point."""
    return next((i for i, row in enumerate(rows) if not _missed(row, point)), None)


def _missed(row: ErrorRow, point: tuple[float | None, ...]) -> list[str]:
    """The conditions of a row that do not hold at a point."""
    missed = []
    for axis, value in zip(AXES, point, strict=True):
        limit: Span | None = getattr(row, axis)
        if limit is None or value is None:
            continue
        slack = SLACK * abs(value)
        if not limit.low - slack <= value <= limit.high + slack:
            missed.append(axis)
    return missed


def _outside(rows: tuple[ErrorRow, ...], point: tuple[float | None, ...]) -> Unknown:
    """No row holds at a point: said with the conditions that stand in the way."""
    axes = sorted({axis for row in rows for axis in _missed(row, point)}, key=AXES.index)
    values = ", ".join(f"{axis} {_shown(axis, point[AXES.index(axis)])}" for axis in axes)
    return Unknown(f"the part file gives no timing error for {values}", ("timing.error",))


def _shown(axis: str, value: float | None) -> str:
    """A point on an axis, with the axis's unit where it has one."""
    assert value is not None  # a condition can be missed only by what is known
    return format_value(value, _UNITS[axis]) if axis in _UNITS else f"{value:.4g}"
