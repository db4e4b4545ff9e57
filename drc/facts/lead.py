"""What a pin can be to a direct current, and which pins of blocks and helpers are on a net."""

from typing import NamedTuple

from drc.blocks.model import Block
from drc.circuit.model import Element, Net
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity
from drc.facts.model import Unknown


class Resistive(NamedTuple):
    """A branch from the net to another: `ohm` may be 0 (a joint); V(net) - V(other) = emf_v + ohm I."""

    label: str
    other: Net
    ohm: Quantity
    emf_v: float = 0.0
    path: str = ""

    @property
    def joins(self) -> bool:
        """Whether it makes one net of two."""
        ohm = self.ohm
        return self.emf_v == 0 and isinstance(ohm, Dependence) and not ohm.causes and ohm.nominal == 0


class Diode(NamedTuple):
    """A junction from anode to cathode: no current below the drop (V), the slope (ohm) above it.

    `forward_of` is the element whose forward direction it is, None for a breakdown.
    """

    label: str
    anode: Net
    cathode: Net
    forward_of: Element | None
    drop: Dependence
    slope_ohm: float


class Light(NamedTuple):
    """A pin that takes no more than a leakage (A); None where the part file does not give it."""

    label: str
    leakage: float | None


class Driving(NamedTuple):
    """A current source: what it puts into the net (A)."""

    label: str
    ampere: Dependence


class OwnPin(NamedTuple):
    """A pin of a timing block or helper that drives, holds or feeds: judged by whoever asks."""

    label: str
    block: Block
    role: str


class Obstacle(NamedTuple):
    """Something that current may flow through in a way not known here."""

    label: str
    because: str


Lead = Resistive | Diode | Light | Driving | OwnPin | Obstacle


def own_pins(book: Book, net: Net) -> tuple[OwnPin, ...]:
    """The pins of timing blocks and helpers on a net: looked for once, for whole rails are asked about."""
    found = book.once(("own pins", net.name), lambda: _own_pins(book, net))
    return () if isinstance(found, Unknown) else found


def _own_pins(book: Book, net: Net) -> tuple[OwnPin, ...]:
    return tuple(
        OwnPin(f"{block.path} {role}", block, role)
        for pin in book.pins(net)
        for block in book.of(pin.element)
        for role, nets in block.pins.items()
        if net in nets
    )
