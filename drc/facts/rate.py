"""What the rate pin delivers: the current that sets the master period."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from drc.blocks.model import Block
from drc.circuit import dc, pin_laws
from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, fact, lift, missing
from drc.facts.equivalent import Arithmetic, equivalent, parts_of
from drc.facts.model import Cases, Unknown
from drc.facts.rails import rate_pin_voltage, rate_voltage
from drc.facts.region import Equivalent, capacitance, region
from drc.facts.walk import Region
from drc.quantity.span import Span
from drc.quantity.unit import AMPERE, VOLT

if TYPE_CHECKING:
    from drc.circuit.network import Array

TURN_ON = 0.3
"""The share of a junction's drop below which what it carries is nothing beside a rate pin's current:
at microamperes a junction conducts well below the drop that it has at milliamperes."""

__all__ = ["rate_capacitance", "rate_current", "rate_current_when", "rate_network", "rate_voltage"]


def rate_network(
    book: Book, block: Block, given: Mapping[str, Dependence] | None = None
) -> Equivalent | Unknown:
    """The Thevenin equivalent of what hangs on the rate pin; `given` are nets held at given voltages."""
    net = block.net("rate")
    if net is None:
        return Unknown(f"{block.path} has no rate pin", (f"{block.path} rate pin",))
    if given:
        return _network(book, block, net, given)
    return book.once(("rate network", block.path), lambda: _network(book, block, net, {}))


def _network(book: Book, block: Block, net: Net, given: Mapping[str, Dependence]) -> Equivalent | Unknown:
    """As the region is; Unknown where a junction in it may conduct with the pin at its voltage."""
    found = region(book, net, given, without=frozenset({f"{block.path} rate"}))
    return _conducting(book, block, net, found) or equivalent(found, net.name)


def _conducting(book: Book, block: Block, net: Net, found: Region) -> Unknown | None:
    """The junction that may carry current while the rate pin stands at its voltage; None if none does."""
    pin = rate_pin_voltage(book, block)
    if not found.junctions or isinstance(pin, Unknown) or missing(*found.obstacles, *parts_of(found)):
        return None
    held = found._replace(stiff={**found.stiff, net.name: pin})
    for number, (junction, _) in enumerate(found.junctions):
        if _turns_on(book, held, number):
            because = f"{junction.label} may conduct at the rate pin of {block.path}, how much is not known"
            return Unknown(because, (f"current through {junction.label}",))
    return None


def _turns_on(book: Book, held: Region, number: int) -> bool:
    """Whether a junction of a region gets beyond its share of its drop anywhere in the worst case."""
    arithmetic = Arithmetic(held)
    nodes, junction = arithmetic.network.nodes, held.junctions[number][0]
    anode, cathode = nodes.index(junction.anode), nodes.index(junction.cathode)

    def law(*columns: "Array") -> "Array":
        ohms, volts, drops, amperes = arithmetic.tables(columns)
        point = dc.operating(arithmetic.network, ohms, volts, drops=drops, injections=amperes)
        return np.asarray(point.volts[:, anode] - point.volts[:, cathode] - TURN_ON * drops[:, number])

    beyond = lift(law, *parts_of(held), unit=VOLT, text=f"forward voltage of {junction.label}")
    value = fact(junction.label, beyond, book.options).value
    spans = [case.value for case in value.cases] if isinstance(value, Cases) else [value]
    return any(not isinstance(span, Span) or span.high > 0 for span in spans)


def rate_current(book: Book, block: Block) -> Quantity:
    """Norton current out of the rate pin, A: I = (V_rate - V_oc) / R_th.

    A control net with a span (`signal vctl 0V .. 2.5V`) is a bias among the causes; a two-state source
    gives States. Zero or negative when the control voltage reaches the rate pin's; zero when open.
    """
    return book.once(("rate current", block.path), lambda: rate_current_when(book, block, {}))


def rate_current_when(book: Book, block: Block, given: Mapping[str, Dependence]) -> Quantity:
    """As rate_current, with nets (by name) held at given voltages: what a condition or a sweep asks."""
    network = rate_network(book, block, given)
    if isinstance(network, Unknown):
        return network
    voltage = rate_pin_voltage(book, block)
    return lift(
        pin_laws.rate_current, voltage, network.voltage, network.resistance,
        unit=AMPERE, text="I = (V_rate - V_oc) / R_th of the network on the rate pin",
    )  # fmt: skip


def rate_capacitance(book: Book, block: Block) -> Dependence | Unknown:
    """Capacitance straight on the rate pin, F."""
    net = block.net("rate")
    if net is None:
        return Unknown(f"{block.path} has no rate pin", (f"{block.path} rate pin",))
    return capacitance(book, net)
