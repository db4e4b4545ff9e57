"""How long the strap's capacitor keeps the ratio on the wrong side of a threshold."""

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.blocks.model import Block, StrapPin
from drc.circuit.model import Element, Net
from drc.circuit.pin_laws import settling_time
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, constant, lift, missing
from drc.facts.elements import capacitor, fitted
from drc.facts.feed import joined_voltage
from drc.facts.model import Unknown
from drc.facts.rails import anchor, own_rails, rail
from drc.facts.region import region, thevenin
from drc.facts.strap import strap_network, strap_reading
from drc.quantity.unit import SECOND

if TYPE_CHECKING:
    from drc.circuit.network import Array


def settling(book: Book, block: Block) -> Quantity:
    """Time from the supply's rise until the ratio has passed the last threshold before its code, s.

    t = tau ln(max(1, |r - r_start| / d)), d the distance of r from the threshold on the side that it comes
    from. tau is R_th C for a capacitor on the pin; capacitors further inside the network add theirs, each
    with the source resistance at its own node (open-circuit time constants). r_start is 0 for a capacitor
    to ground, 1 to the supply, between for both. Infinite where a corner's ratio lies beyond that threshold.
    Source: the charging of a capacitor, and the method of open-circuit time constants, any circuit text.
    """
    network = strap_network(book, block)
    ohm = network if isinstance(network, Unknown) else network.resistance
    if isinstance(ohm, Dependence) and ohm.nominal == 0:
        return constant(0.0, SECOND, text="the strap pin is tied to a net that is held")
    reading, stores = strap_reading(book, block), _stores(book, block)
    if isinstance(reading, Unknown) or isinstance(stores, Unknown):
        return missing(reading, stores) or Unknown("unknown strap")
    if not stores:
        return constant(0.0, SECOND, text="no capacitor on the strap")
    text = "t = tau ln(max(1, |r - r_start| / distance of r from the threshold it comes from)), tau = R_th C"
    ohms, farads = [store.ohm for store in stores], [store.farad for store in stores]
    law = _law(reading.pin, reading.code, [store.start for store in stores])
    return lift(law, reading.ratio, *ohms, *farads, unit=SECOND, text=text)


class Store(NamedTuple):
    """A capacitor of the strap's network: the resistance that it sees, and the ratio at which it starts."""

    ohm: Quantity
    farad: Dependence
    start: float


def _law(pin: StrapPin, code: int, starts: list[float]) -> "Callable[..., Array]":
    """The time as a function of the ratio, then each capacitor's resistance, then each capacitance."""
    lower = pin.thresholds[code - 1] if code > 0 else -np.inf
    upper = pin.thresholds[code] if code < len(pin.thresholds) else np.inf
    count = len(starts)

    def law(ratio: "Array", *each: "Array") -> "Array":
        constants = [ohm * farad for ohm, farad in zip(each[:count], each[count:], strict=True)]
        total = np.sum(constants, axis=0)
        with np.errstate(invalid="ignore"):
            first = (
                np.sum([tau * start for tau, start in zip(constants, starts, strict=True)], axis=0) / total
            )
        return settling_time(ratio, total, np.where(total > 0, first, ratio), lower, upper)

    return law


def _stores(book: Book, block: Block) -> tuple[Store, ...] | Unknown:
    """Every capacitor on a net inside the strap's network."""
    net, own_pin = block.net("strap"), frozenset({f"{block.path} strap"})
    found: list[Store] = []
    for name in region(book, net, without=own_pin).nets if net is not None else ():
        inner = book.board.circuit.net(name)
        for pin in book.pins(inner) if inner is not None else ():
            if inner is None or pin.element.kind != "C" or not fitted(book, pin.element):
                continue
            around = thevenin(book, inner, without=own_pin)
            farad = capacitor(book, pin.element)
            start = _start(book, block, pin.element, pin.element.nets[1 - pin.position])
            if isinstance(around, Unknown) or isinstance(farad, Unknown) or isinstance(start, Unknown):
                return missing(around, farad, start) or Unknown("unknown strap")
            found.append(Store(around.resistance, farad, start))
    return tuple(found)


def _start(book: Book, block: Block, element: Element, other: Net) -> float | Unknown:
    """The ratio at which a capacitor to another net starts: 1 from the supply, 0 from any other held net."""
    voltage = rail(book, other) or joined_voltage(book, other)
    if voltage is None or isinstance(voltage, Unknown):
        because = f"{element.path} ends on a net that nothing holds"
        return voltage or Unknown(because, (f"voltage of {other.name}",))
    ground = block.net("ground")
    supply = own_rails(book, block) - ({anchor(book, ground)} if ground is not None else set())
    return 1.0 if anchor(book, other) in supply else 0.0
