"""The `modulate` table of a part file: the ends of a straight line, or points."""

from collections.abc import Mapping
from itertools import pairwise
from math import isinf
from typing import Any

from drc.blocks import readers as r
from drc.blocks.model import Modulation
from drc.blocks.refusal import At, Words
from drc.quantity.unit import POINT, RATIO, VOLT, Unit

Points = tuple[tuple[float, float], ...]


def modulate(value: object, at: At) -> Modulation | None:
    """`modulate`: levels in volts, or as fractions of what `reference` names; duty as a fraction, 0..1."""
    if not isinstance(value, dict):
        at.refuse(value, "a table with the keys full_scale, duty, points, error, reference")
        return None
    unit = VOLT if value.get("reference", "absolute") == "absolute" else RATIO
    found = r.table(value, at, _fields(unit))
    if found is None:
        return None
    points = _points(value, found, unit, at)
    if points is None:
        return None
    levels_from = "points" if "points" in value else "full_scale"
    duty_from = "points" if "points" in value else "duty"
    if any(a[0] >= b[0] for a, b in pairwise(points)):
        at.below(levels_from).refuse(value[levels_from], "levels that rise from each point to the next")
    if any(not 0 <= duty <= 1 for _, duty in points):
        at.below(duty_from).refuse(value[duty_from], "a duty from 0% to 100%")
    error = found.get("error")
    return Modulation(points, None if error is None else error / 100, found.get("reference", "absolute"))


def _fields(unit: Unit) -> dict[str, r.Reader]:
    """The keys of the table, levels being of this unit."""
    example = '["0.08V", "5%"]' if unit == VOLT else '["0.1", "5%"]'
    level = r.quantity(unit, positive=False)
    return {
        "full_scale": r.span(unit, positive=False),
        "duty": r.span(RATIO),
        "points": r.rows(_point(level, example), f"at least two points, such as {example}", least=2),
        "error": r.width(POINT),
        "reference": r.choice("absolute", "rate", "supply"),
    }


def _points(value: Mapping[str, Any], found: Mapping[str, Any], unit: Unit, at: At) -> Points | None:
    """The points that the table gives in either way, None where they are refused."""
    if "points" in value:
        if "full_scale" in value or "duty" in value:
            at.below("points").refuse(
                Words("points beside full_scale or duty"), "either points, or both of the others"
            )
        points: Points | None = found.get("points")
        return points
    example = "0V .. 0.8V" if unit == VOLT else "0 .. 1"
    if not {"full_scale", "duty"} <= value.keys():
        at.refuse(
            Words("neither points nor both full_scale and duty"),
            f'full_scale = "{example}", duty = "5% .. 95%", or points',
        )
    if not {"full_scale", "duty"} <= found.keys():
        return None
    scale, duty = found["full_scale"], found["duty"]
    if isinf(scale.low) or isinf(scale.high):
        at.below("full_scale").refuse(value["full_scale"], f'both its ends, such as "{example}"')
        return None
    return (scale.low, duty.low), (scale.high, duty.high)


def _point(level: r.Reader, example: str) -> r.Reader:
    """A reader of one point: a level and a duty."""

    def read(value: object, at: At) -> tuple[float, float] | None:
        if not isinstance(value, list) or len(value) != 2:
            at.refuse(value, f"a level and a duty, such as {example}")
            return None
        x, duty = level(value[0], at), r.fraction(value[1], at)
        return None if x is None or duty is None else (x, duty)

    return read
