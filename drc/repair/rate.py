"""Changes of timing resistors that bring a wanted output time at a given prescale."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

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
        swept = _swept(book, block, current, element, pool)
        times = _times(block, swept[1], prescale)
        yield from _candidates(element, swept[0], times, time_s)


def _swept(
    book: Book, block: Block, current: Dependence, element: Adjustable, pool: Pool
) -> "tuple[Array, Array]":
    """The values of one resistor worth a look, and the rate current of each, A, (values,): once a board.

    First ten times and a tenth, where the pool has them; then all that it has, three decades either way.
    """

    def compute() -> "tuple[Array, Array]":
        old = element.value
        decades = [value for value in (old * 10, old / 10) if pool.has(value)]
        values = np.array([*decades, *pool.between(old / 1000, old * 1000)])
        return values, sweep(current, (element,), values[:, None])

    found = book.once(("rate current over values", block.path, element.path), compute)
    assert not isinstance(found, Unknown)
    return found


def _candidates(element: Adjustable, values: "Array", times: "Array", time_s: Span) -> Iterator[Candidate]:
    """A decade where that does it, and the values whose times come nearest to the wanted one."""
    old = element.value
    does = (time_s.low <= times) & (times <= time_s.high)
    for value in values[does & np.isin(values, (old * 10, old / 10))][:2]:
        slip = "a tenth of" if value > old else "ten times"
        why = f"{element.path} is {slip} what gives the wanted time"
        yield Candidate((element.changed(float(value)),), why, 1, 1)
    with np.errstate(divide="ignore", invalid="ignore"):
        off = np.abs(np.log(times / time_s.middle))
    for row in np.argsort(off, kind="stable")[:_NEAREST]:
        if does[row]:
            why = f"the preferred value of {element.path} that comes nearest to the wanted time"
            yield Candidate((element.changed(float(values[row])),), why, 1, 2)


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
