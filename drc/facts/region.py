"""The network around a net, out to the nets whose voltage is known, as one source behind one resistance."""

from collections.abc import Mapping

from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, combine, constant
from drc.facts.elements import capacitor, fitted
from drc.facts.equivalent import Equivalent, equivalent
from drc.facts.feed import joined_nets
from drc.facts.model import Unknown
from drc.facts.pins import pin_at_dc
from drc.facts.rails import rail
from drc.facts.walk import Link, Region, Terms, walk
from drc.quantity.unit import FARAD

__all__ = ["Equivalent", "Link", "capacitance", "node_voltage", "region", "thevenin"]


def region(
    book: Book,
    net: Net,
    held: Mapping[str, Dependence] | None = None,
    links: tuple[Link, ...] = (),
    without: frozenset[str] = frozenset(),
) -> Region:
    """The network around a net; arguments as `thevenin`."""
    terms = Terms(rail, pin_at_dc, held or {}, links, without)
    if held or links:
        return walk(book, net, terms)
    found = book.once(("region", net.name, *sorted(without)), lambda: walk(book, net, terms))
    return found if isinstance(found, Region) else Region((), {}, (), (), (found,), ())


def thevenin(
    book: Book,
    net: Net,
    held: Mapping[str, Dependence] | None = None,
    links: tuple[Link, ...] = (),
    without: frozenset[str] = frozenset(),
) -> Equivalent | Unknown:
    """The equivalent of everything on a net.

    `held` are further nets (by name) at a given voltage while this is asked; `links` are added; `without`
    are element paths, or `PATH ROLE` for one pin of a block, to leave out. Unknown names what blocks the
    solution.
    """
    return equivalent(region(book, net, held, links, without), net.name)


def node_voltage(
    book: Book, net: Net, held: Mapping[str, Dependence] | None = None, links: tuple[Link, ...] = ()
) -> Quantity:
    """The DC voltage of a net, V: a rail's, a signal's, or what the network on it sets."""
    found = thevenin(book, net, held, links)
    return found if isinstance(found, Unknown) else found.voltage


def capacitance(book: Book, net: Net) -> Dependence | Unknown:
    """The capacitance from a net, and what it is joined to, to others, F; none behind a resistance counts."""
    return book.once(("capacitance on", net.name), lambda: _capacitance(book, net))


def _capacitance(book: Book, net: Net) -> Dependence | Unknown:
    """The capacitors that lead away from the net and those joined to it, added."""
    parts: list[Dependence] = []
    joined = {each.name: each for each in joined_nets(book, net)}
    for pin in (pin for each in joined.values() for pin in book.pins(each)):
        if pin.element.kind != "C" or not fitted(book, pin.element):
            continue
        if all(other.name in joined for other in pin.element.nets):
            continue
        value = capacitor(book, pin.element)
        if isinstance(value, Unknown):
            return value
        parts.append(value)
    if not parts:
        return constant(0.0, FARAD, text="no capacitor")
    return combine(lambda *each: sum(each[1:], each[0]), *parts, unit=FARAD, text="sum of the capacitors")
