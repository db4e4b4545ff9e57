"""The facts of an `expect` statement: what it wants, beside what its block does under its condition."""

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.expect import book_under, fact_name, in_points, only, stopped
from drc.facts.model import Entry, Fact, Subject, Unknown
from drc.facts.trimmers import with_trimmers
from drc.intent.model import Expect


def expect_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about expectations."""
    return (
        Entry(
            "expect.actual",
            "statement",
            "any",
            "what the block does, under the statement's condition",
            actual,
        ),
        Entry("expect.wanted", "statement", "any", "what the statement wants", wanted),
        Entry(
            "expect.method",
            "statement",
            "name",
            "worst-case method that the statement names, or `default`",
            method,
        ),
        Entry("expect.quantity", "statement", "name", "quantity that the statement speaks of", quantity),
        Entry("expect.block", "statement", "name", "path of the block that the statement is about", about),
    )


def actual(book: Book, subject: Subject) -> Fact:
    """The fact of the expected quantity by the statement's method; unknown where the block has none such."""
    found = with_trimmers(book, subject, measured)
    name = fact_name(_joined(subject)[0])
    return found._replace(name="expect.actual", law=f"{name}: {found.law}" if found.law else "")


def measured(book: Book, subject: Subject) -> Fact:
    """The expected quantity under the statement's condition, the trimmers as they stand."""
    expect, block = _joined(subject)
    under = book_under(book, expect.condition)
    if isinstance(under, Unknown):
        return Fact("expect.actual", under)
    name = fact_name(expect)
    if expect.condition is not None and name.startswith("timing."):
        because = stopped(under, block, expect.condition)
        if because is not None:
            return Fact(name, Unknown(because))
    fact = under.fact(Subject("block", block.path, block.place, block), name)
    return only(fact, under, expect.condition)


def wanted(_: Book, subject: Subject) -> Fact:
    """The wanted span or name; a duty written in percent is taken as points."""
    expect = _joined(subject)[0]
    return Fact("expect.wanted", in_points(expect), expect.text)


def method(_: Book, subject: Subject) -> Fact:
    """`extreme`, `rss` or `monte-carlo`; `default` (extreme value) where the statement names none."""
    return Fact("expect.method", _joined(subject)[0].method or "default")


def quantity(_: Book, subject: Subject) -> Fact:
    """`frequency`, `pulse-width`, ..."""
    return Fact("expect.quantity", _joined(subject)[0].quantity)


def about(_: Book, subject: Subject) -> Fact:
    """The block's path."""
    return Fact("expect.block", _joined(subject)[1].path)


def _joined(subject: Subject) -> tuple[Expect, Block]:
    """The statement and the block that it is about."""
    assert isinstance(subject.statement, Expect)
    assert subject.block is not None
    return subject.statement, subject.block
