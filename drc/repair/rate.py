"""Changes of timing resistors that bring a wanted output time at a given prescale."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.dependence import Dependence
from drc.facts.equivalent import Equivalent
from drc.facts.model import Unknown
from drc.facts.rate import rate_current, rate_network
from drc.quantity.span import Span
from drc.repair.change import Candidate
from drc.repair.pool import Pool
from drc.repair.sweep import Adjustable, adjustables, sweep

if TYPE_CHECKING:
    from drc.circuit.network import Array

_NEAREST = 3
EDGE = 0.02
"""A rated resistance's end may lie a little beyond the rated current's: the review decides."""


def output_time(block: Block, current: "Array", prescale: int) -> "Array | None":
    """T = period * prescale * at_current / I, s, (draws,); None where the part file does not give the terms.

    The added offset and the errors are left to the trial: this only points the search.
    """
    timing = block.part.timing
    if timing is None or timing.period is None or timing.at_current is None:
        return None
    with np.errstate(divide="ignore"):
        return timing.period * prescale * timing.at_current / current


def in_time(book: Book, block: Block, prescale: int, time_s: Span) -> bool:
    """Whether the present current gives the wanted time at a prescale."""
    current = rate_current(book, block)
    if not isinstance(current, Dependence):
        return False
    made = output_time(block, np.array([current.nominal]), prescale)
    return made is not None and bool(time_s.low <= made[0] <= time_s.high)


def rate_candidates(book: Book, block: Block, prescale: int, time_s: Span, pool: Pool) -> Iterator[Candidate]:
    """One timing resistor ten times off, or at the preferred values whose time comes nearest."""
    current, network = rate_current(book, block), rate_network(book, block)
    if not isinstance(current, Dependence) or not isinstance(network, Equivalent):
        return
    for element in adjustables(book, network.elements, current):
        slips, choice = _swept(book, block, current, element, pool)
        yield from _decades(element, slips.ohms, _times(block, slips.amperes, prescale), time_s)
        yield from _nearest(element, choice.ohms, _times(block, choice.amperes, prescale), time_s)


class _Swept(NamedTuple):
    """Values of one resistor, ohm, and the rate current at each, A, (values,)."""

    ohms: "Array"
    amperes: "Array"


def _swept(
    book: Book, block: Block, current: Dependence, element: Adjustable, pool: Pool
) -> tuple[_Swept, _Swept]:
    """Ten times and a tenth where the pool has them, and all of it three decades either way: once a board."""

    def compute() -> tuple[_Swept, _Swept]:
        old = element.value
        slips = np.array([value for value in (old * 10, old / 10) if pool.has(value)])
        choice = np.array(pool.between(old / 1000, old * 1000))
        amperes = sweep(current, (element,), np.concatenate((slips, choice))[:, None])
        return _Swept(slips, amperes[: len(slips)]), _Swept(choice, amperes[len(slips) :])

    found = book.once(("rate current over values", block.path, element.path), compute)
    assert not isinstance(found, Unknown)
    return found


def _decades(element: Adjustable, ohms: "Array", times: "Array", time_s: Span) -> Iterator[Candidate]:
    """Ten times or a tenth of the value, where that does it."""
    for value in ohms[(time_s.low <= times) & (times <= time_s.high)].tolist():
        slip = "a tenth of" if value > element.value else "ten times"
        why = f"{element.path} is {slip} what gives the wanted time"
        yield Candidate((element.changed(value),), why, 1, 1)


def _nearest(element: Adjustable, ohms: "Array", times: "Array", time_s: Span) -> Iterator[Candidate]:
    """The values whose times come nearest to the wanted one."""
    with np.errstate(divide="ignore", invalid="ignore"):
        off = np.abs(np.log(times / time_s.middle))
    for row in np.argsort(off, kind="stable")[:_NEAREST]:
        if time_s.low <= times[row] <= time_s.high:
            why = f"the preferred value of {element.path} that comes nearest to the wanted time"
            yield Candidate((element.changed(float(ohms[row])),), why, 1, 2)


def _times(block: Block, amperes: "Array", prescale: int) -> "Array":
    """Output times at rate currents (A), (values,).

    nan where the part file lacks the terms, or the current is beyond the rate pin's ratings.
    """
    made = output_time(block, amperes, prescale)
    pin = block.part.rate
    if made is None or pin is None:
        return np.full(len(amperes), np.nan)
    if pin.current is None:
        return made
    within = (amperes >= pin.current.low * (1 - EDGE)) & (amperes <= pin.current.high * (1 + EDGE))
    return np.where(within, made, np.nan)
