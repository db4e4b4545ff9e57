"""Signals that are stated or drawn behind resistors, and how they arrive: nets upstream of a pin."""

import math
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import numpy as np

from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.chains import WIDEST
from drc.facts.conduction import is_held
from drc.facts.dependence import Dependence, lift, spread
from drc.facts.elements import fitted
from drc.facts.model import Unknown
from drc.facts.region import capacitance, thevenin
from drc.facts.stated import same_nets
from drc.facts.stiff import driven, feeds
from drc.quantity.span import Span, exact
from drc.quantity.unit import FARAD, SECOND

if TYPE_CHECKING:
    from drc.circuit.network import Array

FARTHEST = 8
"""Resistors in a row beyond which no signal is looked for."""

SETTLED = 5.0
"""Time constants after which what is left of a step is less than 1 % (e^-5 = 0.7 %)."""


def nearest(book: Book, net: Net, wanted: Callable[[Net], bool]) -> tuple[Net, ...]:
    """The way to the nearest net that is wanted, `net` first, that one last; empty where there is none.

    Through resistors, beads and links alone, and not past a net that stands still, is driven by an output,
    or has a crowd of pins.
    """
    seen = {net.name}
    ways: list[tuple[Net, ...]] = [(net,)]
    for _ in range(FARTHEST):
        longer = []
        for way in ways:
            for other in _beside(book, way[-1]):
                if other.name in seen:
                    continue
                seen.add(other.name)
                if wanted(other):
                    return (*way, other)
                if not is_held(book, other) and not driven(book, other):
                    longer.append((*way, other))
        ways = longer
    return ()


def _beside(book: Book, net: Net) -> Iterator[Net]:
    """The nets that a resistor, a bead or a link joins to this one, and that feed nothing."""
    pins = book.pins(net)
    if len(pins) > WIDEST:
        return
    through = (pin for pin in pins if pin.element.kind in "RL" and fitted(book, pin.element))
    joined = (other for other, _ in same_nets(book, net))
    for other in (*(pin.element.nets[1 - pin.position] for pin in through), *joined):
        if not other.is_ground and not feeds(book, other):
            yield other


def time_constant(book: Book, way: tuple[Net, ...]) -> Span | None:
    """R C of what a pulse passes on a way, s: nothing without a capacitor, None where it is not known.

    R is what the first net, the pin's, is fed through; all capacitance of the nets before the last counts
    behind all of it, which is rather too much.
    """
    farads = lift(_added, *(capacitance(book, net) for net in way[:-1]), unit=FARAD)
    if isinstance(farads, Dependence) and not farads.causes and farads.nominal == 0:
        return exact(0.0, SECOND)
    fed = thevenin(book, way[0])
    ohms = fed if isinstance(fed, Unknown) else fed.resistance
    tau = lift(np.multiply, ohms, farads, unit=SECOND)
    if not isinstance(tau, Dependence):
        return None
    found = spread(tau, "extreme", book.options, "tau")
    return found if math.isfinite(found.high) else None


def _added(*parts: "Array") -> "Array":
    return sum(parts[1:], parts[0])


def arrived(length: Span | None, tau: Span) -> Span | None:
    """How long what lasts so long upstream lasts behind R C, s: `SETTLED` tau shorter or longer at most.

    None where it lasts no longer than R C: what is left of it nobody knows.
    """
    if length is None or length.high <= tau.low:
        return None
    edge = SETTLED * tau.high
    return Span(max(0.0, length.low - edge), length.middle, length.high + edge, SECOND)
