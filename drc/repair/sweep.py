"""A quantity swept over the values of some of its elements, the rest at nominal: no circuit is read."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.circuit.model import Element
from drc.facts.book import Book
from drc.facts.dependence import Dependence
from drc.repair.change import Change

if TYPE_CHECKING:
    from drc.circuit.network import Array


class Adjustable(NamedTuple):
    """An element and the nominal value in force, SI: of its line, or of the bill of materials."""

    element: Element
    value: float

    @property
    def path(self) -> str:
        """The element's path."""
        return self.element.path

    def changed(self, value: float) -> Change:
        """The change to another value."""
        return Change(self.element, value, self.value)


MOST = 12
"""How many elements of a network are thought of changing: beyond, those that move the quantity most."""

TOO_MANY = 50
"""Elements of a network beyond which none is: no divider or timing resistor that one value mends."""


def adjustables(book: Book, paths: Sequence[str], quantity: Dependence, kinds: str = "R") -> list[Adjustable]:
    """The elements of some kinds (letters) among paths that the quantity depends on, `MOST` at most.

    None where they are more than TOO_MANY.
    """
    nominal = {cause.name: cause.nominal for cause in quantity.causes}
    found = ((path, book.board.circuit.element(path)) for path in paths if nominal.get(path))
    usable = [
        Adjustable(element, nominal[path])
        for path, element in found
        if element is not None and element.kind in kinds
    ]
    if len(usable) > TOO_MANY:
        return []
    return usable if len(usable) <= MOST else _leading(quantity, usable)


def _leading(quantity: Dependence, elements: list[Adjustable]) -> list[Adjustable]:
    """The elements that move the quantity most where each is doubled by itself, in their order."""
    values = np.array([element.value for element in elements])
    doubled = sweep(quantity, tuple(elements), values * (1 + np.eye(len(elements))))
    moved = np.abs(doubled - sweep(quantity, tuple(elements), values[None, :]))
    order = np.argsort(-np.nan_to_num(moved), kind="stable")[:MOST]
    return [elements[row] for row in sorted(order.tolist())]


def sweep(quantity: Dependence, elements: tuple[Adjustable, ...], values: "Array") -> "Array":
    """The quantity with the elements' values replaced: `values` (draws, elements) gives (draws,).

    An element that the quantity does not depend on moves nothing.
    """
    names = [cause.name for cause in quantity.causes]
    nominal = np.array([cause.nominal for cause in quantity.causes], dtype=float)
    rows = np.tile(nominal, (len(values), 1))
    for position, element in enumerate(elements):
        if element.path in names:
            rows[:, names.index(element.path)] = values[:, position]
    return quantity.law(rows)
