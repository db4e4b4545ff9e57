"""A net as a view: a folded name in the scope that owns it."""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import numpy as np

from drc.circuit.columns import TOP_SCOPE, Scope
from drc.circuit.element_view import BoardElement
from drc.circuit.model import Element, Net, Pin

if TYPE_CHECKING:
    from networkx import MultiGraph

    from drc.circuit.views import Board


class BoardNet:
    """One node of the expanded circuit: a folded name in the scope that owns it."""

    __slots__ = ("_board", "number", "scope")

    def __init__(self, board: "Board", scope: Scope, number: int) -> None:
        self._board, self.scope, self.number = board, scope, number

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, BoardNet):
            return NotImplemented
        same = self.number == other.number and self.scope.key == other.scope.key
        return same and self._board.tables is other._board.tables

    def __hash__(self) -> int:
        return hash((self.number, self.scope.key))

    def __repr__(self) -> str:
        return f"<net {self.name}>"

    @property
    def name(self) -> str:
        """The name as written, prefixed with the path of the subcircuit that owns it."""
        written = self._board.written(self.scope.definition, self.number)
        return f"{self.scope.path}.{written}" if self.scope.path else written

    @property
    def is_ground(self) -> bool:
        """Whether this is node 0 (`0`, `gnd`)."""
        return self.scope.outer is None and self.number in self._board.tables.ground

    def pins(self) -> tuple[Pin, ...]:
        """Every leaf element's pin on this net, hierarchy descended into, in source order."""
        if self.scope.outer is None and (
            self.number in self._board.tables.shared or self.number in self._board.tables.ground
        ):
            ground = self.number in self._board.tables.ground
            numbers = self._board.tables.ground if ground else frozenset({self.number})
            return tuple(self._shared_pins(TOP_SCOPE, numbers))
        return tuple(self._local_pins(self.scope, frozenset({self.number})))

    def region(
        self, through: Callable[[Element], bool], stops: Callable[[Net], bool]
    ) -> "MultiGraph[Net | Element]":
        """What hangs on this net as a networkx graph, as far as `through` and `stops` let it go."""
        from drc.circuit.graph import region_graph

        return region_graph(self, through, stops)

    def _entries(self, scope: Scope, numbers: frozenset[int]) -> "list[tuple[int, int]]":
        """(element, position) wherever one of the folded names stands in a scope, in source order."""
        layout = self._board.layouts[scope.definition]
        found = np.sort(np.concatenate([layout.mentions(n) for n in numbers]))
        starts = layout.columns.starts
        owners = np.searchsorted(starts, found, side="right") - 1
        return list(zip(owners.tolist(), (found - starts[owners]).tolist(), strict=True))

    def _local_pins(self, scope: Scope, numbers: frozenset[int]) -> Iterator[Pin]:
        """Pins on names local to a scope, and what they reach through the ports of instances."""
        children = self._board.children(scope.definition)
        for index, position in self._entries(scope, numbers):
            if children[index] < 0:
                yield Pin(BoardElement(self._board, scope, index), position)
            else:
                yield from self._port_pins(self._board.inner(scope, index), position)

    def _port_pins(self, inside: Scope, position: int) -> Iterator[Pin]:
        """Pins behind one port of an instance."""
        layout = self._board.layouts[inside.definition]
        if position < layout.columns.ports.size:
            number = int(self._board.tables.names.folded[layout.columns.ports[position]])
            if layout.port_of[number] == position:
                yield from self._local_pins(inside, frozenset({number}))

    def _shared_pins(self, scope: Scope, numbers: frozenset[int]) -> Iterator[Pin]:
        """Pins on ground or a global net: every scope that mentions it, and what ports hand on."""
        board = self._board
        here = numbers - board.layouts[scope.definition].port_of.keys()
        entries: dict[int, list[int]] = {}
        if here:
            for index, position in self._entries(scope, here):
                entries.setdefault(index, []).append(position)
        children = board.children(scope.definition)
        mentioning = [d for d, shared in board.shared_in.items() if shared & numbers]
        for index in np.flatnonzero(np.isin(children, mentioning)).tolist():
            entries.setdefault(index, [])
        for index in sorted(entries):
            if children[index] < 0:
                for position in entries[index]:
                    yield Pin(BoardElement(board, scope, index), position)
                continue
            inside = board.inner(scope, index)
            for position in entries[index]:
                yield from self._port_pins(inside, position)
            if board.shared_in[inside.definition] & numbers:
                yield from self._shared_pins(inside, numbers)
