"""How much is left of each block before it fails, from the facts that its verdicts rest on."""

import math
from collections.abc import Callable, Iterator

from drc.facts.book import Book
from drc.facts.model import Cases, Fact, Subject
from drc.gate.rounding import rounded
from drc.outcome import Margin
from drc.quantity.span import Span


def margins(book: Book) -> tuple[Margin, ...]:
    """Every margin that is known, block by block, then expectation by expectation."""
    found = [margin for subject in book.subjects("block") for margin in _of_block(book, subject)]
    found += [margin for subject in book.subjects("statement") for margin in _of_expectation(book, subject)]
    return tuple(margin._replace(left=rounded(margin.left)) for margin in found if math.isfinite(margin.left))


def _of_block(book: Book, subject: Subject) -> Iterator[Margin]:
    """Strap, supply and load of a block."""

    def fact(name: str) -> Fact:
        return book.fact(subject, name)

    block = subject.block
    if block is None:
        return
    if block.part.strap is not None:
        for span in _spans(fact("strap.margin")):
            yield Margin("strap", span.low, block.path, "to the next code")
    rated = fact("supply.rated").span
    if rated is not None:
        for span in _spans(fact("supply.voltage")):
            yield Margin("supply", _inside(span, rated), block.path, "to the end of the rated supply")
    yield from _of_load(fact, block.path)


def _of_load(fact: Callable[[str], Fact], block: str) -> Iterator[Margin]:
    """What is left of the current that the output is rated for, driven high and driven low."""
    for way in ("source", "sink"):
        rated = fact(f"output.{way}_rated").span
        if rated is not None and rated.low > 0:
            for span in _spans(fact(f"output.{way}")):
                yield Margin("load", 1 - span.high / rated.low, block, f"of the rated {way} current")


def _of_expectation(book: Book, subject: Subject) -> Iterator[Margin]:
    """How far what comes out stays within what is wanted."""
    wanted = book.fact(subject, "expect.wanted").span
    if wanted is None or subject.block is None or not wanted.middle:
        return
    quantity = str(book.fact(subject, "expect.quantity").value)
    for span in _spans(book.fact(subject, "expect.actual")):
        left = _inside(span, wanted) / abs(wanted.middle)
        yield Margin("timing", left, subject.block.path, f"of the {quantity} wanted")


def _inside(span: Span, bounds: Span) -> float:
    """How far a span stays within others' ends; negative where it does not."""
    return min(span.low - bounds.low, bounds.high - span.high)


def _spans(fact: Fact) -> tuple[Span, ...]:
    """The value's spans: one, one a case, or none."""
    if isinstance(fact.value, Cases):
        return tuple(case.value for case in fact.value.cases)
    return () if fact.span is None else (fact.span,)
