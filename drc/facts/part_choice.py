"""Facts about choices that work and could be better: the prescale, and the timing resistor's tolerance."""

import math

from drc.blocks.model import Block, Code
from drc.circuit.spread import Cause
from drc.facts.ambient import REFERENCE
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.clock import settings_in_force
from drc.facts.dependence import Dependence, fact, input_of
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.rate import rate_network
from drc.quantity.span import exact
from drc.quantity.text import format_value
from drc.quantity.unit import OHM, RATIO

EDGE, MIDDLE = 0.8, 0.5
"""Shares of half the rated range, in decades: further out lies a resistor at the edge, further in one in the
middle. Common practice, no source."""


def part_choice_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about choices."""
    return (
        line(
            "strap.better_prescale", RATIO, "prescale with which the timing resistor lies mid-range", _better
        ),
        line("rate.tolerance", RATIO, "half the spread of the timing resistance at 25 degC", _tolerance),
        line(
            "timing.part_error",
            RATIO,
            "least error that the part file allows the part's own time",
            _part_error,
        ),
    )


def _better(book: Book, block: Block, name: str) -> Fact:
    """T goes with prescale and resistance: the row of the same polarity that centres the resistor."""
    row, ohm = settings_in_force(book, block), _nominal_ohm(book, block)
    rated = block.part.rate.resistance if block.part.rate is not None else None
    if isinstance(row, Unknown) or isinstance(ohm, Unknown):
        return Fact(
            name, row if isinstance(row, Unknown) else ohm if isinstance(ohm, Unknown) else Unknown("")
        )
    if rated is None or rated.low <= 0 or not math.isfinite(ohm) or ohm <= 0:
        return Fact(name, Unknown(f"part {block.part.name} gives no rate resistance", ("rate resistance",)))
    here = _offset(ohm, rated.low, rated.high)
    found = exact(float(row.prescale), RATIO)
    law = f"the timing resistor of {format_value(ohm, OHM)} lies well within the rated range"
    if here > EDGE:
        others = [each for each in block.part.codes if _alike(each, row)]
        best = min(
            others,
            key=lambda each: _offset(ohm * row.prescale / each.prescale, rated.low, rated.high),
            default=row,
        )
        wanted = ohm * row.prescale / best.prescale
        law = "no other prescale brings the timing resistor to the middle of its range"
        if _offset(wanted, rated.low, rated.high) < MIDDLE:
            found = exact(float(best.prescale), RATIO)
            law = f"prescale {best.prescale} with {format_value(wanted, OHM)} gives the same time"
    evidence = input_of(
        f"{block.part.name} codes", f"{len(block.part.codes)} rows", "part file", block.part.place
    )
    return Fact(name, found, law, (evidence,))


def _alike(row: Code, used: Code) -> bool:
    """Another row that the strap alone selects, of the same polarity and rest."""
    same = row.inverted == used.inverted and row.rest == used.rest and row.when == used.when
    return same and row.prescale != used.prescale and row.prescale > 0


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
    still = tuple(cause if cause.name in _parts(ohm) else _at_rest(cause) for cause in ohm.causes)
    found = fact(name, ohm._replace(causes=still), book.options)
    if found.span is None:
        return found
    width = (found.span.high - found.span.low) / 2 / ohm.nominal
    return found._replace(value=exact(width, RATIO), law="(high - low) / (2 nominal) at 25 degC")


def _parts(ohm: Dependence) -> set[str]:
    """The causes that are the tolerance of a resistor: ambient, trimmer settings and rails are none."""
    return {
        cause.name
        for cause in ohm.causes
        if not cause.bias and not cause.name.endswith((" setting", "ambient"))
    }


def _at_rest(cause: Cause) -> Cause:
    """A cause that does not move: 25 degC for the ambient, else its nominal."""
    value = REFERENCE if cause.name == "ambient" else cause.nominal
    return cause._replace(low=value, nominal=value, high=value)


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
