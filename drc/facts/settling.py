"""How long the strap's capacitor keeps the ratio on the wrong side of a threshold."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from drc.blocks.model import Block, StrapPin
from drc.circuit.pin_laws import settling_time
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, combine, constant, lift, missing
from drc.facts.elements import capacitor, fitted
from drc.facts.model import Unknown
from drc.facts.rails import anchor, own_rails, rail
from drc.facts.strap import strap_code, strap_network, strap_pin, strap_ratio
from drc.quantity.unit import FARAD, SECOND

if TYPE_CHECKING:
    from drc.circuit.network import Array


def settling(book: Book, block: Block) -> Quantity:
    """Time from the supply's rise until the ratio has passed the last threshold before its code, s.

    t = R_th C ln(max(1, |r - r_start| / d)), d the distance of r from the threshold on the side that it
    comes from; r_start is 0 for a capacitor to ground, 1 to the supply, between for both. Infinite where a
    corner's ratio lies beyond that threshold. Source: the charging of a capacitor, any circuit-theory text.
    """
    pin, ratio, code = strap_pin(block), strap_ratio(book, block), strap_code(book, block)
    network = strap_network(book, block)
    ohm = network if isinstance(network, Unknown) else network.resistance
    if isinstance(ohm, Dependence) and ohm.nominal == 0:
        return constant(0.0, SECOND, text="the strap pin is tied to a net that is held")
    capacitors = _capacitors(book, block)
    unknown = missing(pin, ratio, code, network, capacitors)
    if unknown is not None:
        return unknown
    if capacitors is None or isinstance(capacitors, Unknown):
        return constant(0.0, SECOND, text="no capacitor on the strap pin")
    assert not isinstance(pin, Unknown)
    assert not isinstance(ratio, Unknown)
    assert not isinstance(code, Unknown)
    assert not isinstance(network, Unknown)
    total, start = capacitors
    law = _law(pin, code)
    text = "t = R_th C ln(max(1, |r - r_start| / distance of r from the threshold it comes from))"
    return lift(law, ratio, network.resistance, total, start, unit=SECOND, text=text)


def _law(pin: StrapPin, code: int) -> "Callable[..., Array]":
    """The time as a function of ratio, source resistance, capacitance and start."""
    lower = pin.thresholds[code - 1] if code > 0 else -np.inf
    upper = pin.thresholds[code] if code < len(pin.thresholds) else np.inf
    return lambda ratio, ohm, farad, start: settling_time(ratio, ohm * farad, start, lower, upper)


def _capacitors(book: Book, block: Block) -> tuple[Dependence, Dependence] | Unknown | None:
    """Capacitance on the strap net (F) and the ratio at which it starts; None without a capacitor."""
    net = block.net("strap")
    ground = block.net("ground")
    supply = own_rails(book, block) - ({anchor(book, ground)} if ground is not None else set())
    values: list[Dependence] = []
    starts: list[float] = []
    for pin in net.pins() if net is not None else ():
        element = pin.element
        if element.kind != "C" or not fitted(book, element):
            continue
        value, other = capacitor(book, element), element.nets[1 - pin.position]
        if isinstance(value, Unknown):
            return value
        held = rail(book, other)
        if held is None or isinstance(held, Unknown):
            return held or Unknown(
                f"{element.path} ends on a net that nothing holds", (f"voltage of {other.name}",)
            )
        starts.append(1.0 if anchor(book, other) in supply else 0.0)
        values.append(value)
    if not values:
        return None

    def share(*each: "Array") -> "Array":
        return np.asarray(sum(c * s for c, s in zip(each, starts, strict=True)) / sum(each))

    total = combine(lambda *each: np.sum(each, axis=0), *values, unit=FARAD, text="capacitance on the strap")
    return total, combine(share, *values, unit=FARAD / FARAD, text="r_start")
