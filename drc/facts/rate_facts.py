"""Facts about the rate pin."""

import numpy as np

from drc.blocks.model import Block
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.dependence import Dependence, fact
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.rate import rate_capacitance, rate_current, rate_network
from drc.facts.ratings import rating
from drc.quantity.unit import AMPERE, FARAD, OHM


def rate_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about the rate pin."""
    return (
        line("rate.open", "truth", "whether no resistance leads away from the rate pin", _open),
        line("rate.shorted", "truth", "whether the rate pin is joined to a held net", _shorted),
        line("rate.resistance", OHM, "source resistance of the network on the rate pin", rate_resistance),
        line("rate.resistance_rated", OHM, "resistance that the rate pin is rated for", _resistance_rated),
        line("rate.current", AMPERE, "current out of the rate pin", _current),
        line("rate.current_rated", AMPERE, "current that the rate pin is rated for", _current_rated),
        line("rate.capacitance", FARAD, "capacitance straight on the rate pin", _capacitance),
        line(
            "rate.capacitance_rated", FARAD, "most capacitance that the rate pin stands", _capacitance_rated
        ),
    )


def ohm_ends(book: Book, block: Block) -> tuple[float, float] | Unknown:
    """Least and largest nominal source resistance over the states of the network, ohm."""
    network = rate_network(book, block)
    if isinstance(network, Unknown):
        return network
    ohm = network.resistance
    if isinstance(ohm, Unknown):
        return ohm
    each = [ohm] if isinstance(ohm, Dependence) else [state for _, state in ohm.states]
    values = [one.nominal for one in each]
    return min(values), max(values)


def _open(book: Book, block: Block, name: str) -> Fact:
    """In some state nothing connects the pin."""
    ends = ohm_ends(book, block)
    law = "the network on the rate pin has no path to a net that is held"
    return Fact(name, ends if isinstance(ends, Unknown) else bool(np.isinf(ends[1])), law)


def _shorted(book: Book, block: Block, name: str) -> Fact:
    """In some state the pin is a held net."""
    ends = ohm_ends(book, block)
    law = "the rate pin is joined without resistance to a net that is held"
    return Fact(name, ends if isinstance(ends, Unknown) else ends[0] == 0, law)


def rate_resistance(book: Book, block: Block, name: str) -> Fact:
    """As a span; unknown where it is infinite."""
    network = rate_network(book, block)
    if isinstance(network, Unknown):
        return Fact(name, network)
    ends = ohm_ends(book, block)
    if not isinstance(ends, Unknown) and np.isinf(ends[1]):
        return Fact(
            name, Unknown(f"the rate pin of {block.path} is open", (f"{block.path} timing resistor",))
        )
    return fact(name, network.resistance, book.options, text="R_th of the network on the rate pin")


def _current(book: Book, block: Block, name: str) -> Fact:
    """As a span, or cases of a source that takes states."""
    return fact(name, rate_current(book, block), book.options)


def _resistance_rated(_: Book, block: Block, name: str) -> Fact:
    """Of the part."""
    return rating(name, block, "rate resistance", block.part.rate.resistance if block.part.rate else None)


def _current_rated(_: Book, block: Block, name: str) -> Fact:
    """Of the part."""
    return rating(name, block, "rate current", block.part.rate.current if block.part.rate else None)


def _capacitance(book: Book, block: Block, name: str) -> Fact:
    """Of the capacitors on the pin's net."""
    return fact(name, rate_capacitance(book, block), book.options, text="sum of the capacitors on the pin")


def _capacitance_rated(_: Book, block: Block, name: str) -> Fact:
    """Of the part."""
    given = block.part.rate.capacitance if block.part.rate else None
    return rating(name, block, "rate capacitance", given, FARAD)
