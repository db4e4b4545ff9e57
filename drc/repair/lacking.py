"""Why a block cannot do what is wanted of it, in plain words: what its part lacks, what the board lacks."""

from collections.abc import Sequence

import numpy as np

from drc.blocks.model import TIMING_FUNCTIONS, Block, Code
from drc.facts.book import Book
from drc.facts.equivalent import Equivalent
from drc.facts.functions import quantities
from drc.facts.model import Unknown
from drc.facts.rate import rate_current, rate_network
from drc.facts.strap import strap_network
from drc.facts.timing import UNITS
from drc.intent.model import Expect
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.repair.goal import rows_allowed
from drc.repair.rate import output_time
from drc.repair.retime import timed_wants
from drc.repair.stand import Outcome
from drc.repair.trial import Bench
from drc.repair.wanting import Wanted, actual, unmet


def lacks(
    bench: Bench, book: Book, block: Block, wants: Sequence[Expect], outcome: Outcome
) -> tuple[str, ...]:
    """The reasons why nothing that was tried brings what is wanted; never empty."""
    if outcome.kept_off:
        return (f"what would bring {block.path} back changes values that another block hangs on",)
    if outcome.nearest is not None:
        return _departures(outcome.nearest, block, wants, "at best gives")
    rows = rows_allowed(block, wants)
    found = [*_polarity(block, wants), *_rest(block, wants), *_numbers(block, wants)]
    times = timed_wants(block, wants)
    if not found and rows and times:
        found += [reason for want, time in times for reason in _reach(block, rows, want, time)][:1]
        found = found or _means(book, block)
        values = "values of the house's stock" if bench.pool.stock else "preferred values"
        goal = _text(times[0][0])
        found = found or [f"no {values} of strap and timing resistors bring {block.path} to {goal}"]
    return tuple(found) or _departures(book, block, wants, "gives")


def beyond(block: Block | None, wanted: Wanted) -> str:
    """Why no values can ever bring a wanted time or duty: the part's function has none; empty if it has."""
    name = wanted.quantity.replace("-", "_")
    if block is None or block.part.function not in TIMING_FUNCTIONS or name not in UNITS:
        return ""
    if name in quantities(block.part.function):
        return ""
    part = block.part
    return f"{block.path}: {part.name} is of kind {part.function}, of which no {wanted.quantity} is known"


def _polarity(block: Block, wants: Sequence[Expect]) -> list[str]:
    """Codes of the wanted polarity that the part does not have."""
    wanted = {want.wanted for want in wants if want.quantity == "polarity"}
    has = {"inverted" if row.inverted else "normal" for row in block.part.codes}
    return [f"{block.part.name} has no {polarity} codes" for polarity in sorted(map(str, wanted - has))]


def _rest(block: Block, wants: Sequence[Expect]) -> list[str]:
    """A level of rest that no code of the part has."""
    wanted = {str(want.wanted) for want in wants if want.quantity == "rest"}
    has = {row.rest for row in block.part.codes if row.rest is not None}
    return [f"no code of {block.part.name} rests {level}" for level in sorted(wanted - has)] if has else []


def _numbers(block: Block, wants: Sequence[Expect]) -> list[str]:
    """A code or prescale that the part's table does not have."""
    found = []
    for want in wants:
        if want.quantity in ("code", "prescale") and not rows_allowed(block, [want]):
            wanted = want.wanted if isinstance(want.wanted, str) else f"{want.wanted.middle:g}"
            found.append(f"no code of {block.part.name} has {want.quantity} {wanted}")
    return found


def _reach(block: Block, rows: Sequence[Code], want: Expect, time: Span) -> list[str]:
    """A time that no row reaches within the rated rate current."""
    pin = block.part.rate
    if pin is None or pin.current is None:
        return []
    ends = np.array([pin.current.high, pin.current.low])
    for row in rows:
        made = output_time(block, ends, row.prescale)
        if made is None or (made[0] <= time.high and time.low <= made[1]):
            return []
    rated = f"its rate current of {format_span(pin.current)}"
    return [f"no prescale of {block.part.name} reaches {_text(want)} within {rated}"]


def _means(book: Book, block: Block) -> list[str]:
    """Resistors that are not there to be changed."""
    current, network, strap = rate_current(book, block), rate_network(book, block), strap_network(book, block)
    if isinstance(current, Unknown):
        return [f"the rate of {block.path} cannot be set: {current.because}"]
    if isinstance(network, Equivalent) and not _has_resistor(book, network.elements):
        return [f"no resistor sets the rate of {block.path}"]
    if isinstance(strap, Unknown):
        return [f"the strap of {block.path} cannot be set: {strap.because}"]
    if not _has_resistor(book, strap.elements):
        return [f"no resistors set the strap of {block.path}: it is tied"]
    return []


def _has_resistor(book: Book, paths: Sequence[str]) -> bool:
    found = (book.board.circuit.element(path) for path in paths)
    return any(element is not None and element.kind == "R" for element in found)


def _departures(book: Book, block: Block, wants: Sequence[Expect], gives: str) -> tuple[str, ...]:
    """What comes out in place of what is wanted."""
    reasons = []
    for want in unmet(book, wants):
        made = actual(book, want)
        value = None if made is None else made.value
        got = format_span(value) if isinstance(value, Span) else "something else"
        if isinstance(value, Unknown):
            got = f"nothing known: {value.because}"
        elif isinstance(value, str):
            got = value
        reasons.append(
            f"{block.path} ({block.part.name}) {gives} {want.quantity} {got}, wanted is {_text(want)}"
        )
    return tuple(reasons) or (f"nothing that was tried brings {block.path} back",)


def _text(want: Expect) -> str:
    """What is wanted, as a reader knows it."""
    return want.wanted if isinstance(want.wanted, str) else format_span(want.wanted)
