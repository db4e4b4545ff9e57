"""What follows from one definition's columns alone: where each net is mentioned, which nets are ports."""

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from drc.circuit.columns import Definition, Tables

if TYPE_CHECKING:
    from drc.circuit.columns import Ints


class Layout:
    """One definition's columns with their indices, each worked out when first asked."""

    def __init__(self, definition: Definition, tables: Tables) -> None:
        self.columns = definition
        self._folded = tables.names.folded

    @cached_property
    def port_of(self) -> dict[int, int]:
        """The position of each port by folded name; of a name given twice, the first."""
        positions: dict[int, int] = {}
        for position, number in enumerate(self._folded[self.columns.ports].tolist()):
            positions.setdefault(number, position)
        return positions

    @cached_property
    def _index(self) -> "tuple[Ints, Ints]":
        """The order that sorts the net column by folded name, and the column so sorted."""
        folded = self._folded[self.columns.nets]
        order = np.argsort(folded, kind="stable")
        return order, folded[order]

    def mentions(self, number: int) -> "Ints":
        """Positions in the net column where a folded name stands, in source order, shape (mentions,)."""
        order, ordered = self._index
        low, high = np.searchsorted(ordered, (number, number + 1))
        return order[low:high]

    @cached_property
    def own(self) -> "Ints":
        """Folded names of the nets mentioned, ports included, in order of first mention."""
        names = np.concatenate((self.columns.ports, self.columns.nets))
        values, first = np.unique(self._folded[names], return_index=True)
        return values[np.argsort(first, kind="stable")]
