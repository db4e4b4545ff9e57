"""What the rate pin delivers: the current that sets the master period."""

from collections.abc import Mapping

from drc.blocks.model import Block
from drc.circuit import pin_laws
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, lift
from drc.facts.model import Unknown
from drc.facts.rails import rate_pin_voltage, rate_voltage
from drc.facts.region import Equivalent, capacitance, thevenin
from drc.quantity.unit import AMPERE

__all__ = ["rate_capacitance", "rate_current", "rate_current_when", "rate_network", "rate_voltage"]


def rate_network(
    book: Book, block: Block, given: Mapping[str, Dependence] | None = None
) -> Equivalent | Unknown:
    """The Thevenin equivalent of what hangs on the rate pin; `given` are nets held at given voltages."""
    net = block.net("rate")
    if net is None:
        return Unknown(f"{block.path} has no rate pin", (f"{block.path} rate pin",))
    if given:
        return thevenin(book, net, given, without=frozenset({f"{block.path} rate"}))
    return book.once(
        ("rate network", block.path), lambda: thevenin(book, net, without=frozenset({f"{block.path} rate"}))
    )


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
