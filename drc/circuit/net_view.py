"""A net as a view: a folded name in the scope that owns it."""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import numpy as np

from drc.circuit.columns import Scope
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
        shared = self._shared
        return tuple(self._pins_in(self.scope, shared or frozenset({self.number}), shared))

    @property
    def _shared(self) -> frozenset[int]:
        """The folded names of a net that every scope knows, ground or global; none for any other net."""
        tables = self._board.tables
        if self.is_ground:
            return tables.ground
        return tables.shared & {self.number} if self.scope.outer is None else frozenset()

    def region(
        self, through: Callable[[Element], bool], stops: Callable[[Net], bool]
    ) -> "MultiGraph[Net | Element]":
        """What hangs on this net as a networkx graph, as far as `through` and `stops` let it go."""
        from drc.circuit.graph import region_graph

        return region_graph(self, through, stops)

    def _pins_in(self, scope: Scope, names: frozenset[int], shared: frozenset[int]) -> Iterator[Pin]:
        """Pins on these names of a scope, and on what they and the shared ones reach within it."""
        board = self._board
        positions: dict[int, list[int]] = {}
        for index, position in self._entries(scope, names):
            positions.setdefault(index, []).append(position)
        children = board.children(scope.definition)
        if shared:
            mentioning = [d for d, found in board.shared_in.items() if found & shared]
            for index in np.flatnonzero(np.isin(children, mentioning)).tolist():
                positions.setdefault(index, [])
        for index in sorted(positions):
            if children[index] < 0:
                for position in positions[index]:
                    yield Pin(BoardElement(board, scope, index), position)
            else:
                inside = board.inner(scope, index)
                yield from self._pins_in(inside, self._names_in(inside, positions[index], shared), shared)

    def _entries(self, scope: Scope, names: frozenset[int]) -> "list[tuple[int, int]]":
        """(element, position) wherever one of the folded names stands in a scope, in source order."""
        if not names:
            return []
        layout = self._board.layouts[scope.definition]
        found = np.sort(np.concatenate([layout.mentions(n) for n in names]))
        starts = layout.columns.starts
        owners = np.searchsorted(starts, found, side="right") - 1
        return list(zip(owners.tolist(), (found - starts[owners]).tolist(), strict=True))

    def _names_in(self, inside: Scope, positions: list[int], shared: frozenset[int]) -> frozenset[int]:
        """The folded names that a net has within an instance, by the ports given and by being shared.

        A node beyond the ports leads nowhere, nor does the second of two ports of one name; a port hides a
        shared name.
        """
        layout = self._board.layouts[inside.definition]
        ports = self._board.tables.names.folded[layout.columns.ports].tolist()
        given = {ports[at] for at in positions if at < len(ports) and layout.port_of[ports[at]] == at}
        return frozenset(given | (shared - layout.port_of.keys()))
