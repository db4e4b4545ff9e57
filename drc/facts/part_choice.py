"""Facts about choices that work and could be better: the prescale, and the timing resistor's tolerance."""

import math
from collections.abc import Callable
from typing import NamedTuple

from drc.blocks.model import Block, Code
from drc.circuit.spread import Cause
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.clock import error_in_force, settings_in_force
from drc.facts.dependence import Dependence, fact, input_of, missing
from drc.facts.model import Entry, Fact, Unknown, Value
from drc.facts.part_error import SLACK
from drc.facts.rate import rate_current, rate_network
from drc.facts.rate_facts import rate_resistance
from drc.quantity.span import Span, exact
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import AMPERE, OHM, RATIO

EDGE, MIDDLE = 0.8, 0.5
"""Shares of half the rated range, in decades: further out lies a resistor at the edge, further in one in the
middle. Common practice, no source."""


def part_choice_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about choices."""
    return (
        line("strap.better_prescale", RATIO, "prescale that betters something for the same time", _better),
        line("strap.prescale_gain", "name", "what that prescale betters, or `nothing`", _gained),
        line("rate.tolerance", RATIO, "half the spread of the timing resistance at 25 degC", _tolerance),
        line(
            "timing.part_error",
            RATIO,
            "least error that the part file allows the part's own time",
            _part_error,
        ),
    )


class Choice(NamedTuple):
    """The prescale to take, why, and what it would gain: empty where that in force is as good."""

    prescale: int
    law: str
    gain: str = ""


def _better(book: Book, block: Block, name: str) -> Fact:
    """As a number."""
    return _of_choice(book, block, name, lambda choice: exact(float(choice.prescale), RATIO))


def _gained(book: Book, block: Block, name: str) -> Fact:
    """In words."""
    return _of_choice(book, block, name, lambda choice: choice.gain or "nothing")


def _of_choice(book: Book, block: Block, name: str, told: Callable[[Choice], Value]) -> Fact:
    """A fact of the choice of the prescale."""
    choice = book.once(("prescale choice", block.path), lambda: _choice(book, block))
    if isinstance(choice, Unknown):
        return Fact(name, choice)
    rows = f"{len(block.part.codes)} rows"
    evidence = input_of(f"{block.part.name} codes", rows, "part file", block.part.place)
    return Fact(name, told(choice), choice.law, (evidence,))


def _choice(book: Book, block: Block) -> Choice | Unknown:
    """T goes with prescale and resistance: the row of the same polarity that centres the resistor.

    Another is better only where something is gained by it: see `_gain`.
    """
    row, ohm = settings_in_force(book, block), _nominal_ohm(book, block)
    rated = block.part.rate.resistance if block.part.rate is not None else None
    if isinstance(row, Unknown) or isinstance(ohm, Unknown):
        return missing(row, ohm) or Unknown("")
    if rated is None or rated.low <= 0 or not math.isfinite(ohm) or ohm <= 0:
        return Unknown(f"part {block.part.name} gives no rate resistance", ("rate resistance",))
    if _offset(ohm, rated.low, rated.high) <= EDGE:
        law = f"the timing resistor of {format_value(ohm, OHM)} lies well within the rated range"
        return Choice(row.prescale, law)
    best = min(
        (each for each in block.part.codes if _alike(each, row)),
        key=lambda each: _offset(ohm * row.prescale / each.prescale, rated.low, rated.high),
        default=row,
    )
    wanted = ohm * row.prescale / best.prescale
    if _offset(wanted, rated.low, rated.high) >= MIDDLE:
        law = "no other prescale brings the timing resistor to the middle of its range"
        return Choice(row.prescale, law)
    law = (
        f"prescale {format_value(best.prescale, RATIO)} with {format_value(wanted, OHM)} gives the same time"
    )
    gain = _gain(book, block, rated, row, best)
    if not gain:
        return Choice(row.prescale, f"{law}, and gains nothing")
    return Choice(best.prescale, f"{law}; {gain}", gain)


def _gain(book: Book, block: Block, rated: Span, row: Code, best: Code) -> str:
    """What another row of the code table would better, empty where nothing.

    A resistor near the end of its range is as good as any while it stays inside: it is better moved where
    its spread leaves the range, or where the part file gives a lesser error at the other row's current.
    """
    ohm = rate_resistance(book, block, "rate.resistance").span
    below = ohm is not None and ohm.low < rated.low * (1 - SLACK)
    if ohm is not None and (below or ohm.high > rated.high * (1 + SLACK)):
        end = ohm.low if below else ohm.high
        return f"over its spread it leaves the rated {format_span(rated)}, as far as {format_value(end, OHM)}"
    current, timing = rate_current(book, block), block.part.timing
    if timing is None or not isinstance(current, Dependence):
        return ""
    ampere = current.nominal
    here, there = (
        error_in_force(book, block, timing, exact(ampere * each.prescale / row.prescale, AMPERE), each)
        for each in (row, best)
    )
    if isinstance(here, Unknown) or isinstance(there, Unknown) or not there.error < here.error:
        return ""
    return f"the part's own error would go from {100 * here.error:.4g} % to {100 * there.error:.4g} %"


def _alike(row: Code, used: Code) -> bool:
    """Another row that the strap alone selects, of the same polarity and rest."""
    same = row.inverted == used.inverted and row.rest == used.rest and row.when == used.when
    return same and row.prescale != used.prescale


def _offset(ohm: float, low: float, high: float) -> float:
    """Distance from the geometric middle of a range in halves of it: 0 in the middle, 1 at the ends."""
    half = math.log(high / low) / 2
    return abs(math.log(ohm / math.sqrt(low * high))) / half if half else 0.0


def _nominal_ohm(book: Book, block: Block) -> float | Unknown:
    """Nominal source resistance on the rate pin, ohm."""
    network = rate_network(book, block)
    if isinstance(network, Unknown):
        return network
    ohm = network.resistance
    if isinstance(ohm, Dependence):
        return ohm.nominal
    return ohm if isinstance(ohm, Unknown) else Unknown(f"the rate network of {block.path} takes states")


def _tolerance(book: Book, block: Block, name: str) -> Fact:
    """(high - low) / (2 nominal) with the temperature left out."""
    network = rate_network(book, block)
    if isinstance(network, Unknown) or not isinstance(network.resistance, Dependence):
        because = f"the resistance on the rate pin of {block.path} is not known"
        return Fact(name, network if isinstance(network, Unknown) else Unknown(because, ("rate.resistance",)))
    ohm = network.resistance
    if not math.isfinite(ohm.nominal) or ohm.nominal <= 0:
        return Fact(name, Unknown(f"the rate pin of {block.path} has no resistor", ("rate.resistance",)))
    still = tuple(_at_rest(cause) if cause.bias else cause for cause in ohm.causes)
    found = fact(name, ohm._replace(causes=still), book.options)
    if found.span is None:
        return found
    width = (found.span.high - found.span.low) / 2 / ohm.nominal
    return found._replace(value=exact(width, RATIO), law="(high - low) / (2 nominal) at 25 degC")


def _at_rest(cause: Cause) -> Cause:
    """A cause that does not move: 25 degC for the ambient, the middle for a trimmer's setting."""
    return cause._replace(low=cause.nominal, high=cause.nominal)


def _part_error(_: Book, block: Block, name: str) -> Fact:
    """The least of the part's rows."""
    rows = block.part.timing.errors if block.part.timing is not None else ()
    if not rows:
        because = f"part {block.part.name} gives no timing error"
        return Fact(name, Unknown(because, (f"{block.part.name} timing.error",)))
    least = min(row.error for row in rows)
    evidence = input_of(
        f"{block.part.name} timing error", f"+/- {100 * least:.4g} %", "part file", block.part.place
    )
    return Fact(name, exact(least, RATIO), "the part file's timing error", (evidence,))
