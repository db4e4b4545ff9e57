"""The network around a net, out to the nets whose voltage is known, as one source behind one resistance."""

from collections.abc import Mapping
from typing import NamedTuple

from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity
from drc.facts.model import Unknown


class Link(NamedTuple):
    """An extra resistance between two nets while a question is asked: a discharge path, a driven output."""

    label: str
    a: Net
    b: Net
    ohm: Dependence


class Equivalent(NamedTuple):
    """The Thevenin equivalent at a net: open-circuit voltage (V) and source resistance (ohm).

    `resistance` is infinite at its nominal where nothing connects the net; `voltage` is then nan. `elements` are the
    paths of the elements that take part, `rails` the names of the stiff nets reached.
    """

    voltage: Quantity
    resistance: Quantity
    elements: tuple[str, ...] = ()
    rails: tuple[str, ...] = ()


def thevenin(
    book: Book,
    net: Net,
    held: Mapping[str, Dependence] | None = None,
    links: tuple[Link, ...] = (),
    without: frozenset[str] = frozenset(),
) -> Equivalent | Unknown:
    """The equivalent of everything on a net.

    `held` are further nets (by name) at a given voltage while this is asked; `links` are added; `without`
    are element paths to leave out. Unknown names what blocks the solution.
    """
    raise NotImplementedError


def node_voltage(
    book: Book, net: Net, held: Mapping[str, Dependence] | None = None, links: tuple[Link, ...] = ()
) -> Quantity:
    """The DC voltage of a net, V: a rail's, a signal's, or what the network on it sets."""
    raise NotImplementedError


def capacitance(book: Book, net: Net) -> Dependence | Unknown:
    """The capacitance from a net straight to stiff nets, F; what stands behind a resistance does not count."""
    raise NotImplementedError
