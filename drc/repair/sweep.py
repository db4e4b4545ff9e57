"""A quantity swept over the values of one or two of its elements, the rest at nominal: no circuit is read."""

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.circuit.model import Element
from drc.facts.book import Book
from drc.facts.dependence import Dependence
from drc.repair.change import Change

if TYPE_CHECKING:
    from drc.circuit.network import Array


class Resistor(NamedTuple):
    """A resistor and the nominal value in force, ohm: of its line, or of the bill of materials."""

    element: Element
    ohm: float

    @property
    def path(self) -> str:
        """The element's path."""
        return self.element.path

    def changed(self, ohm: float) -> Change:
        """The change to another value."""
        return Change(self.element, ohm, self.ohm)


def resistors(book: Book, paths: tuple[str, ...], quantity: Dependence) -> list[Resistor]:
    """The resistors among some elements whose value the quantity depends on."""
    nominal = {cause.name: cause.nominal for cause in quantity.causes}
    found = ((path, book.board.circuit.element(path)) for path in paths if nominal.get(path))
    return [
        Resistor(element, nominal[path])
        for path, element in found
        if element is not None and element.kind == "R"
    ]


def sweep(quantity: Dependence, elements: tuple[Resistor, ...], values: "Array") -> "Array":
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
