"""What a block and its networks draw from the supply."""

from typing import TYPE_CHECKING

import numpy as np

from drc.blocks.model import Block
from drc.circuit import dc
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.dependence import (
    Quantity,
    combine,
    constant,
    each_state,
    fact,
    input_of,
    lift,
    missing,
    varying,
)
from drc.facts.equivalent import Arithmetic, parts_of
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.rate import rate_current
from drc.facts.region import region
from drc.quantity.text import format_span
from drc.quantity.unit import AMPERE

if TYPE_CHECKING:
    from drc.circuit.network import Array


def consumption_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about what is drawn."""
    return (
        line("supply.current", AMPERE, "what the block draws: consumption and rate current", _own),
        line("strap.current", AMPERE, "what the strap network draws from the nets that hold it", _strap),
    )


def _own(book: Book, block: Block, name: str) -> Fact:
    """Consumption of the part plus the current out of its rate pin."""
    span = block.part.consumption
    if span is None:
        what = f"{block.part.name} consumption"
        return Fact(name, Unknown(f"the part file of {block.part.name} gives no consumption", (what,)))
    evidence = input_of(f"{block.path} consumption", format_span(span), "part file", block.part.place)
    own = varying(f"{block.path} consumption", span, evidence)
    if block.net("rate") is None:
        return fact(name, own, book.options, text="consumption of the part")
    total = lift(np.add, own, rate_current(book, block), unit=AMPERE, text="consumption + rate current")
    return fact(name, total, book.options)


def _strap(book: Book, block: Block, name: str) -> Fact:
    """Sum of the currents that leave held nets into the strap's network."""
    return fact(name, strap_current(book, block), book.options)


def strap_current(book: Book, block: Block) -> Quantity:
    """The current that goes round in the strap's network, A."""
    net = block.net("strap")
    if net is None:
        return Unknown(f"{block.path} has no strap pin", (f"{block.path} strap pin",))
    found = region(book, net, without=frozenset({f"{block.path} strap"}))
    blocked = missing(*found.obstacles, *parts_of(found))
    if blocked is not None:
        return blocked
    if not found.stiff:
        return constant(0.0, AMPERE, text="nothing holds the strap network")
    arithmetic = Arithmetic(found)

    def law(*columns: "Array") -> "Array":
        ohms, volts, drops, amperes = arithmetic.tables(columns)
        point = dc.operating(arithmetic.network, ohms, volts, drops=drops, injections=amperes)
        return np.asarray(np.maximum(point.stiff_amperes, 0).sum(axis=1))

    text = "sum of the currents out of the nets that hold the strap network"
    return each_state(lambda *each: combine(law, *each, unit=AMPERE, text=text), *parts_of(found))
