"""Ways to bring a wanted time out of a block with a strap and a rate pin: a code, and values."""

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.blocks.model import Block, Code
from drc.facts.book import Book
from drc.facts.dependence import Dependence, combine, constant
from drc.facts.equivalent import Equivalent
from drc.facts.rate import rate_current, rate_current_when, rate_network
from drc.facts.strap import strap_code
from drc.intent.match import matches
from drc.intent.model import Expect
from drc.quantity.span import Span
from drc.quantity.unit import SECOND, VOLT
from drc.repair.change import Candidate
from drc.repair.fit import Fit, Target, fits
from drc.repair.goal import time_of
from drc.repair.pool import Pool
from drc.repair.rate import EDGE, output_time
from drc.repair.strap import strap_candidates
from drc.repair.sweep import Resistor, resistors, sweep

if TYPE_CHECKING:
    from drc.circuit.network import Array

TIMED = {
    "oscillator": ("period", "frequency"),
    "slow-oscillator": ("period", "frequency"),
    "pulse-modulator": ("period", "frequency"),
    "one-shot": ("pulse-width",),
    "edge-delay": ("delay", "delay-rising", "delay-falling"),
    "rc-timer": ("period", "frequency", "pulse-width", "duty"),
}
"""What a function's timing resistor sets, among the quantities that can be expected."""

_STRAPS = 6
"""How many ways to set the strap are tried with each timing resistor."""


class Way(NamedTuple):
    """A candidate, and how far the time that it gives stays from the middle of what is wanted, relative."""

    candidate: Candidate
    off: float

    @property
    def rank(self) -> tuple[int, float, tuple[int, int, float]]:
        """Fewest slips first, then nearest to the middle in steps of half a per cent, then smallest."""
        return self.candidate.acts, round(self.off / 0.005), self.candidate.rank


def retimed(book: Book, block: Block, rows: Sequence[Code], wants: Sequence[Expect], pool: Pool) -> list[Way]:
    """Every way that a sweep finds, best first: strap and timing resistors for each allowed row."""
    found: list[Way] = []
    now = strap_code(book, block)
    for row in rows:
        timings = list(_timings(book, block, row, wants, pool))
        straps = list(_straps(book, block, row, now, pool)) if timings else []
        found += [_way(strap, fit, row) for strap, fit in product(straps, timings)]
    return sorted(found, key=lambda way: way.rank)


def _straps(book: Book, block: Block, row: Code, now: object, pool: Pool) -> Iterator[Candidate | None]:
    """The ways to read a row's code: as it stands, then what changes least, the clearest pair among it."""
    if row.code == now:
        yield None
    found = sorted(strap_candidates(book, block, row.code, pool), key=lambda each: each.rank)
    pairs = [each for each in found if each.acts > 1][:1]
    yield from [each for each in found if each.acts == 1][: _STRAPS - 1]
    yield from pairs


def _way(strap: Candidate | None, fit: Fit, row: Code) -> Way:
    """Strap and timing together."""
    rate = ", ".join(change.element.path for change in fit.changes)
    said = [] if strap is None else [strap.why]
    said += [f"{rate} for the wanted time at prescale {row.prescale}"] if fit.changes else []
    changes = (*(() if strap is None else strap.changes), *fit.changes)
    acts = (0 if strap is None else strap.acts) + len(fit.changes)
    return Way(Candidate(changes, ", and ".join(said), acts, 0 if strap is None else strap.kind), fit.off)


def _timings(book: Book, block: Block, row: Code, wants: Sequence[Expect], pool: Pool) -> Iterator[Fit]:
    """The values of timing resistors that give the wanted times at a row's prescale."""
    timed = [(want, time) for want in wants if (time := time_of(want)) is not None]
    timed = [(want, time) for want, time in timed if want.quantity in TIMED[block.part.function]]
    if not timed:
        yield Fit((), 0.0)
        return
    if block.part.function == "edge-delay":
        timed = [max(timed, key=lambda pair: pair[1].middle)]
    targets, currents = [], []
    for want, time in timed:
        current = _current(book, block, want)
        target = None if current is None else _target(block, row, current, time)
        if current is None or target is None:
            return
        targets.append(target)
        currents.append(current)
    network = rate_network(book, block)
    if isinstance(network, Equivalent):
        elements = resistors(book, network.elements, currents[0])
        yield from fits(targets, elements, pool.between, partial(_rated, block, currents))


def _target(block: Block, row: Code, current: Dependence, time: Span) -> Target | None:
    """The time that a current gives at a row's prescale, and what is wanted of it."""
    if output_time(block, np.ones(1), row.prescale) is None:
        return None
    timing = block.part.timing
    offset = 0.0 if timing is None or timing.offset is None else timing.offset.middle

    def law(amperes: "Array") -> "Array":
        made = output_time(block, amperes, row.prescale)
        return np.asarray(np.inf if made is None else made + offset)

    return Target(combine(law, current, unit=SECOND), time)


def _current(book: Book, block: Block, want: Expect) -> Dependence | None:
    """The rate current under a statement's condition; None where it is no one current."""
    if want.condition is None or not isinstance(want.condition.level, Span):
        found = rate_current(book, block)
        return found if isinstance(found, Dependence) else None
    pattern, level = want.condition.subject, want.condition.level
    held = {
        net.name: constant(level.middle, VOLT)
        for net in book.board.circuit.nets()
        if matches(pattern, net.name)
    }
    found = rate_current_when(book, block, held)
    return found if isinstance(found, Dependence) else None


def _rated(
    block: Block, currents: Sequence[Dependence], elements: tuple[Resistor, ...], rows: "Array"
) -> "Array":
    """Which rows of values keep every current within the rate pin's rating."""
    pin = block.part.rate
    allowed = np.ones(len(rows), dtype=bool)
    if pin is None or pin.current is None:
        return allowed
    for current in currents:
        amperes = sweep(current, elements, rows)
        allowed &= (amperes >= pin.current.low * (1 - EDGE)) & (amperes <= pin.current.high * (1 + EDGE))
    return allowed
