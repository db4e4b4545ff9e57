"""Resistors and capacitors between an output and the pin that it drives, and the time they cost."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.chain_levels import level, wanted
from drc.facts.chains import Chain
from drc.facts.dependence import Dependence, Quantity, constant, lift
from drc.facts.elements import resistance
from drc.facts.feed import joined_nets
from drc.facts.model import Unknown
from drc.facts.region import capacitance, thevenin
from drc.quantity.unit import OHM, SECOND, Unit

if TYPE_CHECKING:
    from drc.circuit.network import Array


def series(book: Book, chain: Chain) -> Quantity:
    """Resistance between what makes the pin high and the pin, ohm; a transistor's pull-up is part of it."""
    ohms = [_pull(book, chain), *(ohm for ohm, _ in _steps(book, chain))]
    return _sum(ohms, OHM, "resistors in a row")


def settling(book: Book, chain: Chain) -> Quantity:
    """Time that capacitors on the way take to bring the pin across its levels, s; 0 where there are none.

    The slower of tau ln((V_h - V_l) / (V_h - V_wanted high)) and tau ln((V_h - V_l) / (V_wanted low - V_l)),
    tau the sum of each capacitor times the resistance before it: exact for one capacitor, within a few
    percent for several.
    Source of tau: W. C. Elmore, "The transient response of damped linear networks" (1948), from memory.
    """
    tau = _elmore(book, chain)
    if _is_zero(tau) and not chain.coupled:
        return constant(0.0, SECOND, text="no capacitor behind a resistance")
    high, low = (level(book, chain, state) for state in ("high", "low"))
    most, least = wanted(book, chain, "low"), wanted(book, chain, "high")

    def law(*columns: "Array") -> "Array":
        time, upper, lower, at_most, at_least = columns
        swing = upper - lower
        rise, fall = swing / (upper - at_least), swing / (at_most - lower)
        late = np.where((rise > 0) & (fall > 0), np.maximum(rise, fall), np.inf)
        return np.asarray(time * np.log(np.maximum(late, 1.0)))

    text = "tau ln(swing / distance to the level wanted), the slower edge"
    return lift(law, tau, high, low, most, least, unit=SECOND, text=text)


def _steps(book: Book, chain: Chain) -> list[tuple[Dependence | Unknown, Net]]:
    """(ohm, net reached) of each step between what drives the pin and the pin, nearest the driver first.

    The first is what drives: 0 ohm, or the resistance that brings an output back once a transistor is off.
    """
    start = chain.through.index(chain.stage.path) + 1 if chain.stage else 0
    nothing = constant(0.0, OHM, text="no resistor")
    found: list[tuple[Dependence | Unknown, Net]] = [(nothing, chain.nets[start])]
    for path, net in zip(chain.through[start:], chain.nets[start + 1 :], strict=True):
        element = book.board.circuit.element(path)
        resistor = element if element is not None and element.kind == "R" else None
        found.append((nothing if resistor is None else resistance(book, resistor), net))
    return found


def _elmore(book: Book, chain: Chain) -> Quantity:
    """The sum over the nets of the way of the capacitance there times the resistance before it, s."""
    before: list[Quantity] = [_pull(book, chain)]
    terms: list[Quantity] = []
    counted: set[str] = set()
    for ohm, net in _steps(book, chain):
        before.append(ohm)
        if net.name in counted:
            continue  # Joined to a net before it, whose capacitors are its own.
        counted.update(each.name for each in joined_nets(book, net))
        farads = capacitance(book, net)
        whole = _sum(before, OHM, "resistance before")
        if not _is_zero(farads) and not _is_zero(whole):
            terms.append(lift(np.multiply, whole, farads, unit=SECOND, text=f"RC at {net.name}"))
    return _sum(terms, SECOND, "tau, the sum of R C") if terms else constant(0.0, SECOND)


def _sum(parts: Sequence[Quantity], unit: Unit, text: str) -> Quantity:
    """The sum of one or more quantities."""
    return lift(lambda *each: sum(each[1:], each[0]), *parts, unit=unit, text=text)


def _is_zero(quantity: Quantity) -> bool:
    """Whether a quantity is nothing, whatever varies."""
    return isinstance(quantity, Dependence) and not quantity.causes and quantity.nominal == 0


def _pull(book: Book, chain: Chain) -> Quantity:
    """The resistance on a transistor's output that acts while the transistor is off, ohm."""
    stage = chain.stage
    if stage is None or stage.kind != "transistor":
        return constant(0.0, OHM)
    found = thevenin(book, stage.output, without=frozenset({stage.path}))
    return found if isinstance(found, Unknown) else found.resistance
