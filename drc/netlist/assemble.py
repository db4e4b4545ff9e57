"""A circuit put together from parts with named pins, for formats that list pins rather than lines.

Which element letter a designator means, and the order of its pins, is decided here once for all of them.
"""

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from drc.circuit.columns import TOP, Definition, NamePool, Scope, Tables, name_keys
from drc.circuit.model import Annotation, Circuit, Model, Reading, SourceFile, Token, Waveform
from drc.circuit.views import Board
from drc.trouble import Place, Trouble


class Placed(NamedTuple):
    """One part or cell on a board: `pins` maps pin number or name to net; `cell` names what it expands to.

    `part_token` is where the part's name is written, if that is in one place.
    """

    name: str
    place: Place
    pins: Mapping[str, str]
    part: str | None = None
    reading: Reading = Reading(None, "no value is given")
    parameters: Mapping[str, str] = {}
    cell: str | None = None
    part_token: Token | None = None


class Cell(NamedTuple):
    """The board, or a cell that is placed on it: the names of its ports and what it holds."""

    name: str
    place: Place
    ports: tuple[str, ...]
    placed: tuple[Placed, ...]


GROUND_NAMES = frozenset({"0", "gnd", "gnd!"})

_TWO_PINS = {
    "R": "R", "VR": "R", "RT": "R", "C": "C", "CP": "C", "L": "L", "FB": "L", "F": "F",
}  # fmt: skip
"""Element letter by class letters of a designator, for parts of two pins (IEC 81346-2 and usage)."""

_DIODES = frozenset({"D", "LED", "CR", "ZD"})
_TRANSISTORS = frozenset({"Q", "T", "TR", "V", "VT", "M"})
_DESIGNATOR = re.compile(r"([A-Za-z]{1,3})_?\d+[A-Za-z]?\Z")

_ORDERS: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...] = (
    ("D", (("a", "anode", "+"), ("k", "c", "cathode", "-"))),
    ("Q", (("c", "collector"), ("b", "base"), ("e", "emitter"))),
    ("M", (("d", "drain"), ("g", "gate"), ("s", "source"))),
)
"""Pin names of the kinds whose pins are not alike, in the order of an element line."""


def element_kind(designator: str, pins: Sequence[str]) -> str:
    """The element letter of a designator; transistors are told by their pins' names. X: not understood."""
    match = _DESIGNATOR.match(designator)
    letters = match.group(1).upper() if match else ""
    if letters in _TRANSISTORS:
        return next((kind for kind, order in _ORDERS[1:] if _ordered(pins, order)), "X")
    if len(pins) != 2:
        return "X"
    if letters in _DIODES:
        return "D" if _ordered(pins, _ORDERS[0][1]) or set(pins) == {"1", "2"} else "X"
    return _TWO_PINS.get(letters, "X")


def pin_order(kind: str, pins: Sequence[str]) -> tuple[str | None, ...]:
    """The pins in the order of an element line; None is a pin that the list leaves out.

    Numbered pins stand by number, and of a part that is not of two pins each at the place of its number. A
    diode whose pins are only numbered has its cathode on 1 (IPC-7351).
    """
    order = next((order for letter, order in _ORDERS if letter == kind), None)
    if order is not None:
        named = _ordered(pins, order)
        if named:
            return named
        if kind == "D":
            return ("2", "1")
    if not all(pin.isascii() and pin.isdecimal() and len(pin) < 10 for pin in pins):
        return tuple(pins)
    last = max(map(int, pins), default=0)
    places = [str(number) for number in range(1, last + 1)] if last <= 4 * len(pins) + 16 else []
    if kind != "X" or not set(pins) <= set(places):
        return tuple(sorted(pins, key=int))
    return tuple(pin if pin in pins else None for pin in places)


def _ordered(pins: Sequence[str], order: tuple[tuple[str, ...], ...]) -> tuple[str, ...] | None:
    """The pins in the order of their names, None unless each name stands exactly once."""
    found = []
    for names in order:
        hits = [pin for pin in pins if pin.lower() in names]
        if len(hits) != 1:
            return None
        found.append(hits[0])
    return tuple(found) if len(found) == len(pins) else None


class _Records:
    """Looks an element's text up by its number: what the views ask of a reader."""

    def __init__(self, placed: Sequence[Placed]) -> None:
        self._placed = placed

    def name(self, source: int, offset: int) -> str:
        """The designator as written."""
        return self._placed[offset].name

    def place(self, source: int, offset: int) -> Place:
        """Where the designator stands."""
        return self._placed[offset].place

    def part(self, source: int, offset: int) -> str | None:
        """The part name."""
        return self._placed[offset].part

    def reading(self, source: int, offset: int, scope: Scope) -> Reading:
        """The value."""
        return self._placed[offset].reading

    def waveform(self, source: int, offset: int, scope: Scope) -> Waveform | None:
        """Pin lists hold no sources."""
        return None

    def parameters(self, source: int, offset: int) -> Mapping[str, str]:
        """Properties as written."""
        return self._placed[offset].parameters

    def pin_tokens(self, source: int, offset: int) -> tuple[Token, ...]:
        """A list of pins writes each net on a line of its own."""
        return ()

    def part_token(self, source: int, offset: int) -> Token | None:
        """Where the part's name is written, if that is in one place."""
        return self._placed[offset].part_token

    def model(self, name: str, scope: Scope) -> Model | None:
        """Pin lists hold no models."""
        return None


class _Row(NamedTuple):
    """An element's columns before they become arrays."""

    kind: str
    nets: tuple[int, ...]
    part: int
    child: int
    number: int


class _Assembly:
    """Definitions in the making: the board, its cells, and a leaf a set of pin names."""

    def __init__(self, cells: Sequence[Cell]) -> None:
        self.cells = cells
        self.pool = NamePool()
        self.placed: list[Placed] = []
        self.index = {cell.name: i for i, cell in enumerate(cells)}
        self.leaves: list[tuple[str, Place, tuple[str, ...]]] = []
        self._leaf_index: dict[tuple[str, tuple[str, ...]], int] = {}

    def row(self, placed: Placed) -> _Row:
        """The columns of one element."""
        number = len(self.placed)
        self.placed.append(placed)
        if placed.cell is not None:
            cell = self.cells[self.index[placed.cell]]
            pins: tuple[str | None, ...] = cell.ports
            kind, child = "X", self.index[placed.cell]
        else:
            names = tuple(placed.pins)
            kind = element_kind(placed.name, names)
            pins = pin_order(kind, names)
            child = self._leaf(placed, kind, pins)
        nets = tuple(self._net(placed, pin, i) for i, pin in enumerate(pins))
        part = self.pool.number(placed.part) if placed.part and kind == "X" else -1
        return _Row(kind, nets, part, child, number)

    def _net(self, placed: Placed, pin: str | None, position: int) -> int:
        """The net's number; a pin that the list leaves out is on a net of its own."""
        net = placed.pins.get(pin) if pin is not None else None
        return self.pool.number(net if net else f"{placed.name}.{pin or position + 1}")

    def _leaf(self, placed: Placed, kind: str, pins: tuple[str | None, ...]) -> int:
        """The definition that holds the pins' names, -1 where they are only numbers or know their order."""
        if kind != "X" or not placed.part or any(pin is None or pin.isdecimal() for pin in pins):
            return -1
        named = tuple(pin for pin in pins if pin is not None)
        key = (placed.part.lower(), named)
        if key not in self._leaf_index:
            self._leaf_index[key] = len(self.cells) + len(self.leaves)
            self.leaves.append((placed.part, placed.place, named))
        return self._leaf_index[key]

    def definition(self, name: str, place: Place, ports: Sequence[str], rows: Sequence[_Row]) -> Definition:
        """One definition as columns."""
        counts = [len(row.nets) for row in rows]
        nets = [net for row in rows for net in row.nets]
        is_board = place is self.cells[0].place and name == self.cells[0].name
        return Definition(
            name=name,
            place=place,
            outer=-1 if is_board else TOP,
            ports=np.array([self.pool.number(port) for port in ports], np.int32),
            kinds=np.array([ord(row.kind) for row in rows], np.uint8),
            sources=np.zeros(len(rows), np.int32),
            offsets=np.array([row.number for row in rows], np.int64),
            starts=np.concatenate(([0], np.cumsum(counts, dtype=np.int64))),
            nets=np.array(nets, np.int32),
            parts=np.array([row.part for row in rows], np.int32),
            children=np.array([row.child for row in rows], np.int32),
            keys=name_keys([self.placed[row.number].name for row in rows]),
        )


def assemble(
    cells: Sequence[Cell],
    title: str,
    files: tuple[SourceFile, ...],
    troubles: Sequence[Trouble],
    annotations: Sequence[Annotation] = (),
) -> Circuit:
    """The circuit of cells, the board first; no cell may hold itself, directly or further in."""
    making = _Assembly(cells)
    tables = [
        making.definition(cell.name, cell.place, cell.ports, [making.row(p) for p in cell.placed])
        for cell in cells
    ]
    tables += [making.definition(name, place, pins, ()) for name, place, pins in making.leaves]
    names = making.pool.finish()
    ground = frozenset(
        int(names.folded[i]) for i, name in enumerate(names.written) if name.lower() in GROUND_NAMES
    )
    order = _inner_first([definition.children.tolist() for definition in tables])
    columns = Tables(tuple(tables), names, order, ground, frozenset())
    path, leaves = cells[0].place.path, frozenset(range(len(cells), len(tables)))
    records = _Records(making.placed)
    return Board(
        columns, records, title=title, path=path, files=files, troubles=tuple(troubles),
        annotations=tuple(annotations), leaves=leaves,
    )  # fmt: skip


def _inner_first(children: Sequence[Sequence[int]]) -> tuple[int, ...]:
    """Definitions in an order that puts those placed before those that place them."""
    order: list[int] = []
    done: set[int] = set()
    pending = [(index, False) for index in reversed(range(len(children)))]
    while pending:
        index, ready = pending.pop()
        if ready and index not in done:
            done.add(index)
            order.append(index)
        elif index not in done:
            pending.append((index, True))
            pending.extend(
                (child, False) for child in set(children[index]) if child >= 0 and child not in done
            )
    return tuple(order)
