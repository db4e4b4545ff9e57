"""Ways to bring a wanted time out of a block with a strap and a rate pin: a code, and values."""

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.blocks.model import Block, Code
from drc.facts.book import Book
from drc.facts.dependence import Dependence, combine
from drc.facts.equivalent import Equivalent
from drc.facts.expect import book_under
from drc.facts.rate import rate_current, rate_network
from drc.facts.strap import strap_code
from drc.intent.model import Expect
from drc.quantity.span import Span
from drc.quantity.unit import SECOND
from drc.repair.adding import new_rates, new_strap
from drc.repair.change import Candidate, Change, Step
from drc.repair.fit import Fit, Target, choice, fits
from drc.repair.goal import time_of
from drc.repair.pool import Pool
from drc.repair.rate import EDGE, output_time
from drc.repair.strap import DECADE, strap_candidates
from drc.repair.sweep import Adjustable, adjustables, sweep
from drc.repair.trial import Bench

if TYPE_CHECKING:
    from drc.circuit.network import Array
    from drc.repair.fit import Bools

TIMED = {
    "oscillator": ("period", "frequency"),
    "slow-oscillator": ("period", "frequency"),
    "pulse-modulator": ("period", "frequency"),
    "one-shot": ("pulse-width",),
    "edge-delay": ("delay", "delay-rising", "delay-falling"),
}
"""What a function's timing resistor sets, among the quantities that can be expected."""

_SAME = 1e-9
"""By how much two resistances that are meant to be equal may differ, relative."""

_STRAPS = 6
"""How many ways to set the strap are tried with each timing resistor."""


class Way(NamedTuple):
    """A candidate, and how far the time that it gives stays from the middle of what is wanted, relative.

    `turned`: it turns an output round that nobody wants turned. `strap` are its changes of the strap, None
    where the block has none.
    """

    candidate: Candidate
    off: float
    turned: bool = False
    strap: tuple[Step, ...] | None = None

    @property
    def rank(self) -> tuple[bool, int, float, tuple[int, int, float]]:
        """Turned ones last; fewest slips first, then nearest in steps of half a per cent, then smallest."""
        return self.turned, self.candidate.acts, round(self.off / 0.005), self.candidate.rank


def timed_wants(block: Block, wants: Sequence[Expect]) -> list[tuple[Expect, Span]]:
    """The wants that the timing resistor of a block sets, with the wanted times, s.

    Of an edge delay only the longest counts: an edge that is not delayed has an offset alone.
    """
    timed = [
        (want, time)
        for want in wants
        if want.quantity in TIMED.get(block.part.function, ()) and (time := time_of(want)) is not None
    ]
    if block.part.function == "edge-delay":
        return sorted(timed, key=lambda pair: -pair[1].middle)[:1]
    return timed


def retimed(
    bench: Bench, book: Book, block: Block, rows: Sequence[Code], wants: Sequence[Expect]
) -> list[Way]:
    """Every way that a sweep finds, best first: strap and timing resistors for each allowed row."""
    found: list[Way] = []
    free = not any(want.quantity in ("polarity", "code") for want in wants)
    for row in rows:
        timings = list(_timings(bench, book, block, row, wants))
        straps = list(_straps(bench, book, block, row)) if timings else []
        each = (_way(strap, fit, row) for strap, fit in product(straps, timings))
        found += [way._replace(turned=free and row.inverted) for way in each]
    return sorted(found, key=lambda way: way.rank)


def _straps(bench: Bench, book: Book, block: Block, row: Code) -> Iterator[Candidate | None]:
    """The ways to read a row's code: as it stands, then what changes least, the clearest pair among it."""
    if row.code == strap_code(book, block):
        yield None
    pool = Pool(bench.pool.stock)  # a strap needs no fine values
    every = strap_candidates(book, block, row.code, pool)
    found = sorted((each for each in every if each.kind != DECADE), key=lambda each: each.rank)
    pairs = [each for each in found if each.acts > 1][:1]
    found = [*[each for each in found if each.acts == 1][: _STRAPS - 1], *pairs]
    yield from found
    if not found and row.code != strap_code(book, block):
        pair = new_strap(bench, book, block, row)
        yield from () if pair is None else (pair,)


def _way(strap: Candidate | None, fit: Fit, row: Code) -> Way:
    """Strap and timing together."""
    said = [] if strap is None else [_read(strap, row)]
    rate = ", ".join(change.element.path for change in fit.changes if isinstance(change, Change))
    said += [f"{rate or 'a timing resistor'} for the wanted time at prescale {row.prescale}"] * bool(
        fit.changes
    )
    own = () if strap is None else strap.changes
    acts = (0 if strap is None else strap.acts) + len(fit.changes)
    kind = 0 if strap is None else strap.kind
    return Way(Candidate((*own, *fit.changes), ", and ".join(said), acts, kind), fit.off, strap=own)


def _read(strap: Candidate, row: Code) -> str:
    """What a change of the strap is for."""
    names = " and ".join(change.element.path for change in strap.changes if isinstance(change, Change))
    return f"{names} so that the strap reads code {row.code}" if names else strap.why


def _timings(bench: Bench, book: Book, block: Block, row: Code, wants: Sequence[Expect]) -> Iterator[Fit]:
    """The values of timing resistors that give the wanted times at a row's prescale."""
    timed = timed_wants(block, wants)
    if not timed:
        yield Fit((), 0.0)
        return
    yield from new_rates(bench, book, block, row, timed[0][1])
    currents = [_current(book, block, want) for want, _ in timed]
    known = [current for current in currents if current is not None]
    network = rate_network(book, block)
    if len(known) < len(timed) or not isinstance(network, Equivalent):
        return
    targets = [_target(block, row, current, time) for current, (_, time) in zip(known, timed, strict=True)]
    if block.part.timing is None or output_time(block, np.ones(1), row.prescale) is None:
        return
    elements = adjustables(book, network.elements, known[0])
    yield from fits(targets, elements, partial(choice, bench.pool), partial(_rated, block, known))


def _target(block: Block, row: Code, current: Dependence, time: Span) -> Target:
    """The time that a current gives at a row's prescale, and what is wanted of it."""
    timing = block.part.timing
    offset = 0.0 if timing is None or timing.offset is None else timing.offset.middle

    def law(amperes: "Array") -> "Array":
        made = output_time(block, amperes, row.prescale)
        return np.full(len(amperes), np.nan) if made is None else made + offset

    return Target(combine(law, current, unit=SECOND), time)


def _current(book: Book, block: Block, want: Expect) -> Dependence | None:
    """The rate current under a statement's condition; None where it is no one current."""
    under = book_under(book, want.condition)
    found = rate_current(under, block) if isinstance(under, Book) else None
    return found if isinstance(found, Dependence) else None


def _rated(
    block: Block, currents: Sequence[Dependence], elements: tuple[Adjustable, ...], rows: "Array"
) -> "Bools":
    """Which rows of values keep every current within the rate pin's rating.

    A part that rates the resistance is judged on that, as it is written: V_rate / I of a resistor to ground.
    """
    pin = block.part.rate
    allowed = np.ones(len(rows), dtype=bool)
    if pin is None:
        return allowed
    for amperes in (sweep(current, elements, rows) for current in currents):
        if pin.current is not None:
            low, high = pin.current.low * (1 - EDGE), pin.current.high * (1 + EDGE)
            allowed &= (amperes >= low) & (amperes <= high)
        if pin.resistance is not None and pin.voltage is not None and len(currents) == 1:
            with np.errstate(divide="ignore"):
                ohms = pin.voltage.middle / amperes
            low, high = pin.resistance.low * (1 - _SAME), pin.resistance.high * (1 + _SAME)
            allowed &= (ohms >= low) & (ohms <= high)
    return allowed
