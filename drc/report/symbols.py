"""Circuit symbols after IEC 60617 (shapes from memory): passive parts, diode, transistors, earth, rails.

Two-ended ones run from (0, 0) along +x or +y over LENGTH; each is drawn with its wires.
"""

from collections.abc import Callable

from drc.outcome import Neighbour
from drc.report.svg import Point, Sheet

LENGTH = 64.0
"""From one end of a two-ended symbol to the other, wires included, px."""

_HALF = LENGTH / 2

Put = Callable[[float, float], Point]
"""Turns (along, across) of a symbol into a point of the sheet."""


def two_ended(sheet: Sheet, element: Neighbour, start: Point, upright: bool, forward: bool) -> None:
    """A two-ended symbol from `start` down (upright) or to the right.

    `forward`: its first net is at `start`, so that a diode's anode is there.
    """

    def put(along: float, across: float) -> Point:
        return (start[0] + across, start[1] + along) if upright else (start[0] + along, start[1] + across)

    if element.kind == "C":
        _capacitor(sheet, put)
    elif element.kind == "D":
        _diode(sheet, put, forward)
    elif element.kind == "L":
        _body(sheet, put, "winding")
    else:
        _body(sheet, put, "part" if element.kind == "R" else "part dashed")
    if not element.fitted:
        sheet.line(put(_HALF - 12, -12), put(_HALF + 12, 12), kind="cross")
        sheet.line(put(_HALF - 12, 12), put(_HALF + 12, -12), kind="cross")


def _body(sheet: Sheet, put: Put, kind: str) -> None:
    """The rectangle of a resistor; filled for a winding."""
    sheet.line(put(0, 0), put(_HALF - 17, 0))
    sheet.line(put(_HALF + 17, 0), put(LENGTH, 0))
    sheet.area(
        put(_HALF - 17, -6.5), put(_HALF + 17, -6.5), put(_HALF + 17, 6.5), put(_HALF - 17, 6.5), kind=kind
    )


def _capacitor(sheet: Sheet, put: Put) -> None:
    """Two plates."""
    sheet.line(put(0, 0), put(_HALF - 3, 0))
    sheet.line(put(_HALF + 3, 0), put(LENGTH, 0))
    for side in (-3, 3):
        sheet.line(put(_HALF + side, -11), put(_HALF + side, 11), kind="plate")


def _diode(sheet: Sheet, put: Put, forward: bool) -> None:
    """A triangle that points to the bar of the cathode."""
    sign = 1 if forward else -1
    sheet.line(put(0, 0), put(LENGTH, 0))
    base, tip = _HALF - 8 * sign, _HALF + 8 * sign
    sheet.area(put(base, -8), put(base, 8), put(tip, 0), kind="part")
    sheet.line(put(tip, -8), put(tip, 8), kind="plate")


def ground(sheet: Sheet, x: float, y: float) -> None:
    """Earth: three bars, each shorter than the one above."""
    for row, half in enumerate((9, 6, 3)):
        sheet.line((x - half, y + 4 * row), (x + half, y + 4 * row), kind="plate")
    sheet.reach((x - 12, y + 12))


def supply(sheet: Sheet, x: float, y: float, name: str, voltage: str) -> None:
    """A rail: a bar above the wire, its name and voltage over it."""
    sheet.line((x - 11, y), (x + 11, y), kind="plate")
    above = [(name, "name"), (voltage, "small")] if voltage else [(name, "name")]
    for row, (text, kind) in enumerate(reversed(above)):
        sheet.text(x, y - 5 - 12 * row, text, "middle", kind, most=24)


def pennant(sheet: Sheet, x: float, y: float, lines: tuple[str, ...], right: bool) -> None:
    """Where a wire goes on elsewhere: a flag that points away from the wire, a line of text a part."""
    most = 24
    width = min(max(len(line) for line in lines), most) * 6.7 + 14
    height = 13.0 * len(lines) + 5
    sign = 1 if right else -1
    top, bottom = y - height / 2, y + height / 2
    sheet.area(
        (x, y), (x + sign * 8, top), (x + sign * (width + 8), top),
        (x + sign * (width + 8), bottom), (x + sign * 8, bottom), kind="flag",
    )  # fmt: skip
    left = x + 13 if right else x - width - 2
    for row, line in enumerate(lines):
        sheet.text(left, top + 13 * (row + 1) - 0.5, line, "start", "small", most)


def transistor(sheet: Sheet, element: Neighbour, x: float, y: float, right: bool) -> tuple[Point, Point]:
    """A transistor with its base or gate at (x, y); where its collector or drain, and the other, end.

    An npn's or n-channel's arrow points as the current flows; its collector or drain is up.
    """
    sign = 1 if right else -1
    bar, end = x + 22 * sign, x + 38 * sign
    falling = element.polarity in ("pnp", "pmos")
    first, second = (1, -1) if falling else (-1, 1)
    sheet.line((x, y), (bar, y))
    if element.kind == "M":
        sheet.line((bar, y - 12), (bar, y + 12), kind="plate")
        bar += 5 * sign
        for low, high in ((-15, -8), (-4, 4), (8, 15)):
            sheet.line((bar, y + low), (bar, y + high), kind="plate")
        for side in (first, second):
            sheet.line((bar, y + 11 * side), (end, y + 11 * side), (end, y + 30 * side))
        sheet.line((bar, y), (end, y), (end, y + 11 * second))
        tip, back = (end - 2 * sign, bar + 8 * sign) if falling else (bar + 1 * sign, bar + 8 * sign)
        sheet.area((tip, y), (back, y - 3.5), (back, y + 3.5), kind="solid")
    else:
        sheet.line((bar, y - 14), (bar, y + 14), kind="plate")
        for side in (first, second):
            sheet.line((bar, y + 5 * side), (end, y + 18 * side), (end, y + 30 * side))
        _arrow(sheet, (bar, y + 5 * second), (end, y + 18 * second), backwards=falling)
    return (end, y + 30 * first), (end, y + 30 * second)


def _arrow(sheet: Sheet, start: Point, end: Point, backwards: bool) -> None:
    """A head on the middle of a slanting line."""
    (x0, y0), (x1, y1) = (end, start) if backwards else (start, end)
    length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    tip = (x0 + 0.85 * (x1 - x0), y0 + 0.85 * (y1 - y0))
    foot = (tip[0] - 8 * ux, tip[1] - 8 * uy)
    sheet.area(
        tip, (foot[0] - 3.5 * uy, foot[1] + 3.5 * ux), (foot[0] + 3.5 * uy, foot[1] - 3.5 * ux), kind="solid"
    )
