"""What a block is wanted to keep doing: statements laid on a bench beside the board's own, and which hold."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from drc.circuit.model import Circuit
from drc.facts.book import Book
from drc.facts.model import Cases, Fact, Subject, Value
from drc.intent.model import Expect, Intent, Pattern
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.repair.trial import Bench, Source
from drc.trouble import Place


class Wanted(NamedTuple):
    """What a block is to do: its path, a quantity that an expectation may name, and the span or name."""

    path: str
    quantity: str
    value: Span | str

    def expect(self, number: int) -> Expect:
        """The expectation that says so; its number sets it apart from others, for it stands in no file."""
        value = self.value if isinstance(self.value, str) else format_span(self.value)
        text = f"expect {self.path} {self.quantity} {value}"
        return Expect(
            Place("wanted", number), text, Pattern(self.path, literal=True), self.quantity, self.value
        )


def wanting(bench: Bench, expects: Sequence[Expect]) -> Bench:
    """The bench with expectations beside what is stated."""
    stated: Callable[[Circuit, Source], Intent] = bench.stated

    def more(circuit: Circuit, source: Source) -> Intent:
        intent = stated(circuit, source)
        return intent._replace(statements=(*intent.statements, *expects))

    return bench._replace(stated=more)


def unmet(book: Book, expects: Sequence[Expect]) -> list[Expect]:
    """The expectations that do not hold over the whole span, or of which that is not known."""
    facts = {
        id(subject.statement): (book.fact(subject, "expect.actual"), book.fact(subject, "expect.wanted"))
        for subject in book.subjects("statement")
        if any(subject.statement is expect for expect in expects)
    }
    return [expect for expect in expects if id(expect) not in facts or not _holds(*facts[id(expect)])]


def actual(book: Book, expect: Expect) -> Fact | None:
    """What comes out of the block that an expectation is about; None where there is no such block."""
    subjects: tuple[Subject, ...] = book.subjects("statement")
    return next(
        (book.fact(subject, "expect.actual") for subject in subjects if subject.statement is expect), None
    )


def excess(book: Book, expects: Sequence[Expect]) -> float:
    """How far what comes out reaches beyond the wanted spans, the sum of the shares; infinite if unknown."""
    total = 0.0
    for expect in unmet(book, expects):
        made = actual(book, expect)
        wanted, span = expect.wanted, None if made is None else made.span
        if not isinstance(wanted, Span) or span is None or not wanted.middle:
            return float("inf")
        total += max(span.high - wanted.high, wanted.low - span.low, 0.0) / abs(wanted.middle)
    return total


def _holds(made: Fact, wanted: Fact) -> bool:
    return _within(made.value, wanted.value)


def _within(made: Value, wanted: Value) -> bool:
    """Whether a value lies in the wanted span, all of its cases do, or it is the wanted name."""
    if isinstance(made, Cases):
        return all(_within(case.value, wanted) for case in made.cases)
    if isinstance(made, Span) and isinstance(wanted, Span):
        return wanted.low <= made.low and made.high <= wanted.high
    return isinstance(made, str) and made == wanted
