"""Where the elements around a pin go in a schematic: rails up, ground down, signals along the wire."""

from collections.abc import Iterable

from drc.outcome import Neighbour, Surroundings
from drc.report.svg import CHAR, Sheet
from drc.report.symbols import LENGTH, ground, pennant, supply, transistor, two_ended

NAME = 12
"""Characters of a net's name on its wire."""

LABEL = 12
"""Characters of an element's name or value beside its symbol."""

FLAGS = 4
"""Parts listed in one flag."""

_FIRST = 18.0
_GAP = 14.0
_SWITCHES = "QM"


class Layout:
    """One schematic's elements and nets, each drawn once: what is met again ends in a flag with its name.

    `home` is the block's supply net, `own` the nets of its pins: each of those is drawn at its own pin.
    """

    def __init__(self, near: Surroundings, home: str | None, own: frozenset[str]) -> None:
        self.near = near
        self.home = home
        self.own = own
        self.drawn: set[str] = set()
        self.told: set[str] = {home or ""}
        self.reached: set[str] = set()
        self.on: dict[str, list[Neighbour]] = {}
        for element in near.elements:
            for net in dict.fromkeys(element.nets):
                self.on.setdefault(net, []).append(element)

    def branch(self, net: str, sign: int) -> Sheet:
        """What hangs on a net, its wire coming in at (0, 0) and running on to the right (1) or left (-1)."""
        sheet = Sheet()
        if net in self.near.grounds or net in self.near.rails:
            out = sign * max(_FIRST, len(net[:NAME]) * CHAR / 2 + 8)
            sheet.line((0, 0), (out, 0))
            self.end(sheet, net, out, 0.0, 12.0)
            return sheet
        if net in self.reached:
            pennant(sheet, 0, 0, (f"net {net}",), sign > 0)
            return sheet
        self.reached.add(net)
        ups, downs, rest = self._sorted(net)
        x = last = sign * (_FIRST + len(net[:NAME]) * CHAR)
        sheet.text(sign * 6, -5, net, "start" if sign > 0 else "end", "net", NAME)
        for up, down in _pairs(ups, downs):
            sheet.dot(x, 0)
            self._column(sheet, net, up, x, sign=sign, way=-1)
            self._column(sheet, net, down, x, sign=sign, way=1)
            last = x
            x += sign * (34 + CHAR * max(_wide(e) for e in (up, down) if e is not None))
        self._onward(sheet, net, rest, x if rest or net in self.near.left_out else last, sign)
        return sheet

    def end(self, sheet: Sheet, net: str, x: float, y: float, length: float) -> None:
        """A wire's end on a rail, ground or a net drawn elsewhere; up or down by where the rail lies."""
        if net in self.near.grounds:
            sheet.line((x, y), (x, y + length))
            ground(sheet, x, y + length)
        elif net in self.near.rails and self.near.rails[net][1]:
            sheet.line((x, y), (x, y - length))
            supply(sheet, x, y - length, net, "" if net in self.told else self.near.rails[net][0])
            self.told.add(net)
        else:
            sheet.line((x, y), (x, y + length))
            sheet.line((x - 9, y + length), (x + 9, y + length), kind="plate")
            sheet.text(x, y + length + 13, net, "middle", "name", NAME)

    def _sorted(self, net: str) -> tuple[list[Neighbour], list[Neighbour], list[Neighbour]]:
        """The elements not drawn yet: those up to a rail, those down to ground, the others."""
        ups, downs, rest = [], [], []
        for element in self.on.get(net, ()):
            if element.path in self.drawn:
                continue
            self.drawn.add(element.path)
            other = _other(element, net)
            if other is None:
                rest.append(element)
            elif other in self.near.rails and self.near.rails[other][1]:
                ups.append(element)
            elif other in (*self.near.rails, *self.near.grounds, *self.reached, *self.own):
                downs.append(element)
            else:
                rest.append(element)
        return ups, downs, rest

    def _column(
        self, sheet: Sheet, net: str, element: Neighbour | None, x: float, *, sign: int, way: int
    ) -> None:
        """One upright element above (-1) or below (1) the wire, with its label and its far end."""
        if element is None:
            return
        top = 0.0 if way > 0 else -LENGTH
        near_first = element.nets[0] == net
        two_ended(sheet, element, (x, top), upright=True, forward=near_first == (way > 0))
        at, side = ("start", 15) if sign > 0 else ("end", -15)
        sheet.text(x + side, top + LENGTH / 2 - 3, element.path, at, "name", LABEL)
        sheet.text(x + side, top + LENGTH / 2 + 10, _value(element), at, "", LABEL)
        self.end(sheet, _other(element, net) or net, x, way * LENGTH, 4.0)

    def _onward(self, sheet: Sheet, net: str, rest: Iterable[Neighbour], x: float, sign: int) -> None:
        """The wire to the elements in line, to switches, and to a flag with what is not drawn."""
        parts = [self._inline(net, e, sign) for e in rest if _other(e, net) is not None]
        parts += [self._switch(e, sign) for e in rest if _driven(e, net)]
        others = [_flag(e) for e in rest if _other(e, net) is None and not _driven(e, net)]
        if net in self.near.left_out:
            others.append("and more")
        if len(others) > FLAGS:
            others = [*others[: FLAGS - 1], f"and {len(others) - FLAGS + 1} more"]
        if others:
            flag = Sheet()
            flag.line((0, 0), (14 * sign, 0))
            pennant(flag, 14 * sign, 0, tuple(others), sign > 0)
            parts.append(flag)
        sheet.line((0, 0), (x, 0))
        below = None
        for part in parts:
            y = 0.0 if below is None else max(below - part.top + _GAP, 30.0)
            if y:
                sheet.line((x, 0), (x, y))
            sheet.add(part, x, y)
            below = y + part.bottom
        if len(parts) > 1:
            sheet.dot(x, 0)

    def _inline(self, net: str, element: Neighbour, sign: int) -> Sheet:
        """An element along the wire, and what hangs on its far end."""
        sheet = Sheet()
        room = max(LENGTH, CHAR * _wide(element) + 12)
        start = (room - LENGTH) / 2 if sign > 0 else -(room + LENGTH) / 2
        sheet.line((0, 0), (sign * (room - LENGTH) / 2, 0))
        sheet.line((sign * room, 0), (sign * (room + LENGTH) / 2, 0))
        forward = (element.nets[0] == net) == (sign > 0)
        two_ended(sheet, element, (start, 0.0), upright=False, forward=forward)
        sheet.text(sign * room / 2, -14, element.path, "middle", "name", LABEL)
        sheet.text(sign * room / 2, 23, _value(element), "middle", "", LABEL)
        sheet.add(self.branch(_other(element, net) or net, sign), sign * room, 0.0)
        return sheet

    def _switch(self, element: Neighbour, sign: int) -> Sheet:
        """A transistor with the wire on its base or gate, and what hangs on its switched ends."""
        sheet = Sheet()
        first, second = transistor(sheet, element, 0.0, 0.0, sign > 0)
        at = "start" if sign > 0 else "end"
        sheet.text(first[0] + 10 * sign, -2, element.path, at, "name", LABEL)
        sheet.text(first[0] + 10 * sign, 11, _value(element), at, "", LABEL)
        for net, (x, y) in ((element.nets[0], first), (element.nets[2], second)):
            if net in self.near.grounds or net in self.near.rails:
                self.end(sheet, net, x, y, 6.0)
            else:
                sheet.add(self.branch(net, sign), x, y)
        return sheet


def _pairs(ups: list[Neighbour], downs: list[Neighbour]) -> list[tuple[Neighbour | None, Neighbour | None]]:
    """Elements above and below in columns: a divider stands in one line."""
    most = max(len(ups), len(downs))
    return [(ups[k] if k < len(ups) else None, downs[k] if k < len(downs) else None) for k in range(most)]


def _other(element: Neighbour, net: str) -> str | None:
    """The far net of a two-ended element, None for any other."""
    if element.kind not in "RCLD" or len(element.nets) != 2:
        return None
    return element.nets[1] if element.nets[0] == net else element.nets[0]


def _driven(element: Neighbour, net: str) -> bool:
    """Whether a net is a transistor's base or gate."""
    return element.kind in _SWITCHES and len(element.nets) >= 3 and element.nets[1] == net


def _value(element: Neighbour) -> str:
    return element.text if element.fitted else "not fitted"


def _wide(element: Neighbour) -> int:
    """Characters of an element's label."""
    return min(max(len(element.path), len(_value(element))), LABEL)


def _flag(element: Neighbour) -> str:
    """An element that is only named: `XU2 trigger`, `J1 LANTERN_PLUG`."""
    return f"{element.path} {element.role or element.text}".strip()
