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


def adjustables(book: Book, paths: Sequence[str], quantity: Dependence, kinds: str = "R") -> list[Adjustable]:
    """The elements of some kinds (letters) among paths whose value the quantity depends on."""
    nominal = {cause.name: cause.nominal for cause in quantity.causes}
    found = ((path, book.board.circuit.element(path)) for path in paths if nominal.get(path))
    return [
        Adjustable(element, nominal[path])
        for path, element in found
        if element is not None and element.kind in kinds
    ]


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
    with np.errstate(divide="ignore", invalid="ignore"):
        return quantity.law(rows)
