"""What the strap pin reads: ratio, code, prescale and polarity."""

from typing import NamedTuple

import numpy as np

from drc.blocks.model import Block, Code, StrapPin
from drc.circuit import pin_laws
from drc.facts.book import Book
from drc.facts.dependence import (
    Dependence,
    Quantity,
    combine,
    constant,
    input_of,
    lift,
    missing,
    spread,
    varying,
)
from drc.facts.logic import logic_level
from drc.facts.model import Unknown
from drc.facts.rails import block_rails
from drc.facts.region import Equivalent, thevenin
from drc.quantity.span import Span
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import AMPERE, RATIO, VOLT


class Reading(NamedTuple):
    """A solved strap: the converter, the ratio on it, and the code whose interval holds its nominal."""

    pin: StrapPin
    ratio: Dependence
    code: int


def strap_pin(block: Block) -> StrapPin | Unknown:
    """The part's description of its strap, Unknown if it has none or the pin is not connected."""
    if block.part.strap is None or block.net("strap") is None:
        return Unknown(f"{block.path} ({block.part.name}) has no strap pin", (f"{block.path} strap pin",))
    return block.part.strap


def strap_network(book: Book, block: Block) -> Equivalent | Unknown:
    """The Thevenin equivalent of what hangs on the strap pin."""
    net = block.net("strap")
    if net is None:
        return Unknown(f"{block.path} has no strap pin", (f"{block.path} strap pin",))
    return book.once(
        ("strap network", block.path), lambda: thevenin(book, net, without=frozenset({f"{block.path} strap"}))
    )


def strap_ratio(book: Book, block: Block) -> Dependence | Unknown:
    """Strap voltage over the converter's reference, both against the block's ground.

    r = (V_oc - V_ground + I_leak R_th) / V_reference.
    """
    found = book.once(("strap ratio", block.path), lambda: _ratio(book, block))
    if isinstance(found, Dependence | Unknown):
        return found
    return Unknown(f"the strap of {block.path} takes several levels", (f"{block.path} strap voltage",))


def _ratio(book: Book, block: Block) -> Quantity:
    """The ratio as a quantity."""
    pin, rails, network = strap_pin(block), block_rails(book, block), strap_network(book, block)
    if isinstance(pin, Unknown) or isinstance(rails, Unknown) or isinstance(network, Unknown):
        return missing(pin, rails, network) or Unknown("unknown strap")
    if isinstance(network.resistance, Dependence) and np.isinf(network.resistance.nominal):
        return Unknown(f"the strap pin of {block.path} is open", (f"{block.path} strap resistors",))
    supply, ground = rails
    reference = combine(np.subtract, supply, ground, unit=VOLT)
    if pin.reference is not None:
        name = f"{block.path} strap reference"
        evidence = input_of(name, format_span(pin.reference), "part file", block.part.place)
        reference = varying(name, pin.reference, evidence)
    if not spread(reference, "extreme", book.options, "strap.reference").low > 0:
        because = f"what the strap of {block.path} is read against need not be above 0 V"
        return Unknown(because, ("supply.voltage",))
    name = f"{block.path} strap leakage"
    leakage = constant(0.0, AMPERE)
    if pin.leakage is None:
        leakage = leakage._replace(assumptions=(f"{name} assumed to be none",))
    elif pin.leakage:
        evidence = input_of(name, f"+/- {format_value(pin.leakage, AMPERE)}", "part file", block.part.place)
        leakage = varying(name, Span(-pin.leakage, 0.0, pin.leakage, AMPERE), evidence)
    return lift(
        pin_laws.strap_ratio, network.voltage, ground, network.resistance, leakage, reference,
        unit=RATIO, text="r = (V_strap - V_ground + I_leak R_th) / V_reference",
    )  # fmt: skip


def code_of(pin: StrapPin, ratio: float) -> int:
    """The code in whose interval a ratio lies: the number of thresholds at or below it."""
    return sum(threshold <= ratio for threshold in pin.thresholds)


def strap_reading(book: Book, block: Block) -> Reading | Unknown:
    """What the converter reads; Unknown for an open or unsolved strap."""
    ratio = strap_ratio(book, block)
    if isinstance(ratio, Unknown):
        return ratio
    pin = block.part.strap
    assert pin is not None  # without one there is no ratio
    return Reading(pin, ratio, code_of(pin, ratio.nominal))


def strap_code(book: Book, block: Block) -> int | Unknown:
    """The integer whose interval holds the nominal ratio."""
    found = strap_reading(book, block)
    return found if isinstance(found, Unknown) else found.code


def code_row(book: Book, block: Block) -> Code | Unknown:
    """The row of the part's code table in force (prescale, polarity, rest); Unknown for a reserved code.

    Where rows of one code depend on another pin, the one whose pin is at that level.
    """
    code = strap_code(book, block)
    if isinstance(code, Unknown):
        return code
    rows = [row for row in block.part.codes if row.code == code]
    if not rows:
        why = "is reserved" if block.part.codes else "cannot be looked up: the part file has no code table"
        return Unknown(f"strap code {code} of {block.part.name} {why}", (f"{block.part.name} code {code}",))
    for row in rows:
        holds = _holds(book, block, row)
        if isinstance(holds, Unknown):
            return holds
        if holds:
            return row
    because = f"no row of strap code {code} of {block.part.name} holds at the levels of its other pins"
    return Unknown(because, (f"{block.part.name} code {code}",))


def _holds(book: Book, block: Block, row: Code) -> bool | Unknown:
    """Whether the pins that a row depends on are at its levels."""
    for role, wanted in row.when.items():
        level = logic_level(book, block, role)
        if isinstance(level, Unknown):
            return level
        if level == "switched":
            because = f"the {role} pin of {block.path} is switched, and with it the prescale"
            return Unknown(because, (f"{block.path} {role} level",))
        if level != wanted:
            return False
    return True
