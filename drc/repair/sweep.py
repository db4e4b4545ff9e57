"""A quantity swept over the values of one or two of its elements, the rest at nominal: no circuit is read."""

from typing import TYPE_CHECKING

import numpy as np

from drc.circuit.model import Element
from drc.facts.book import Book
from drc.facts.dependence import Dependence

if TYPE_CHECKING:
    from drc.circuit.network import Array


def resistors(book: Book, paths: tuple[str, ...], quantity: Dependence) -> list[Element]:
    """The resistors among some elements whose value the quantity depends on."""
    causes = {cause.name for cause in quantity.causes}
    found = (book.board.circuit.element(path) for path in paths if path in causes)
    return [element for element in found if element is not None and element.kind == "R" and element.value]


def sweep(quantity: Dependence, elements: tuple[Element, ...], values: "Array") -> "Array":
    """The quantity with the elements' values replaced: `values` (draws, elements) gives (draws,)."""
    names = [cause.name for cause in quantity.causes]
    nominal = np.array([cause.nominal for cause in quantity.causes], dtype=float)
    rows = np.tile(nominal, (len(values), 1))
    for position, element in enumerate(elements):
        rows[:, names.index(element.path)] = values[:, position]
    with np.errstate(divide="ignore", invalid="ignore"):
        return quantity.law(rows)
