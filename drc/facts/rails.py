"""What a block stands on: its supply and ground, and the regulated voltage of its rate pin."""

import numpy as np

from drc.blocks.model import Block
from drc.circuit.model import Net
from drc.facts import feed
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, States, combine, input_of, missing, varying
from drc.facts.feed import INFERRED, anchor, before_filters, joined_voltage
from drc.facts.model import Unknown
from drc.facts.stiff import feeds
from drc.quantity.text import format_span
from drc.quantity.unit import VOLT

__all__ = [
    "INFERRED",
    "anchor",
    "block_rails",
    "ground_voltage",
    "own_rails",
    "rail",
    "rate_pin_voltage",
    "rate_voltage",
    "supply_voltage",
]


def rail(book: Book, net: Net) -> Quantity | None:
    """The voltage of a net that holds itself, or that another block's output feeds while it is on, V.

    None where only the network around it sets it; Unknown where it feeds supply pins and nothing says.
    """
    found = feed.rail(book, net)
    if (found is None or isinstance(found, Unknown)) and feeds(book, net):
        from drc.facts.chain_supply import supply_handed_on  # which asks here for the rails of the driver

        return supply_handed_on(book, net) or found
    return found


def ground_voltage(book: Book, block: Block) -> Dependence | Unknown:
    """The voltage of the block's ground pin against node 0, V."""
    net = block.net("ground")
    if net is None:
        return Unknown(f"{block.path} has no ground pin", ("ground.connected",))
    found = joined_voltage(book, net)
    if found is None:
        return Unknown(f"the ground pin of {block.path} ({net.name}) is not on ground", ("ground.connected",))
    return _steady(found, net)


def _steady(found: Quantity, net: Net) -> Dependence | Unknown:
    """A quantity that must not take several states."""
    if isinstance(found, States):
        return Unknown(f"{net.name} takes several levels", (f"voltage of {net.name}",))
    return found


def block_rails(book: Book, block: Block) -> tuple[Dependence, Dependence] | Unknown:
    """The voltages of a block's supply and ground pins against node 0, V."""
    ground = ground_voltage(book, block)
    net = block.net("supply")
    if net is None:
        return missing(ground) or Unknown(f"{block.path} has no supply pin", ("supply.voltage",))
    found = rail(book, net)
    supply = (
        Unknown(f"nothing says what {net.name} is at", (f"voltage of {net.name}",))
        if found is None
        else _steady(found, net)
    )
    if isinstance(supply, Unknown) or isinstance(ground, Unknown):
        return missing(supply, ground) or Unknown("unknown rails")
    return supply, ground


def supply_voltage(book: Book, block: Block) -> Dependence | Unknown:
    """The voltage between the block's supply and ground pins, V."""
    rails = block_rails(book, block)
    if isinstance(rails, Unknown):
        return rails
    return combine(np.subtract, *rails, unit=VOLT, text="V(supply pin) - V(ground pin)")


def rate_pin_voltage(book: Book, block: Block) -> Dependence | Unknown:
    """The regulated voltage of the rate pin against node 0, V: the cause `PATH rate voltage`."""
    ground = ground_voltage(book, block)
    above = rate_voltage(block)
    if isinstance(ground, Unknown) or isinstance(above, Unknown):
        return missing(above, ground) or Unknown("unknown rate voltage")
    return combine(np.add, ground, above, unit=VOLT, text="rate pin voltage")


def rate_voltage(block: Block) -> Dependence | Unknown:
    """The regulated voltage of the rate pin against the block's own ground, V.

    A law that divides by the nominal rate voltage uses `.nominal` of this.
    """
    span = block.part.rate.voltage if block.part.rate else None
    if span is None:
        return Unknown(f"{block.part.name} gives no rate pin voltage", (f"{block.part.name} rate voltage",))
    name = f"{block.path} rate voltage"
    evidence = input_of(name, format_span(span), "part file", block.part.place)
    return varying(name, span, evidence)


def own_rails(book: Book, block: Block) -> frozenset[str]:
    """The anchors of the block's supply and ground, and of what stands before a filter in its supply."""
    found = book.once(("own rails", block.path), lambda: _own_rails(book, block))
    return frozenset() if isinstance(found, Unknown) else found


def _own_rails(book: Book, block: Block) -> frozenset[str]:
    """By the nets of both pins."""
    supply, ground = block.net("supply"), block.net("ground")
    names = before_filters(book, supply) if supply is not None else frozenset()
    return names | ({anchor(book, ground)} if ground is not None else frozenset())
