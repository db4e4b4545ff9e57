"""Facts about what the expectations of one block ask together: the sign of a control, the delayed edges."""

from itertools import combinations
from typing import Literal, NamedTuple

from drc.blocks.model import Block
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.edge_delay import delayed_edges
from drc.facts.expect_facts import wanted
from drc.facts.model import Entry, Fact, Input, Subject, Unknown
from drc.intent.model import Condition, Expect
from drc.quantity.span import Span

Way = Literal["rises", "falls", "stays"]


class Turn(NamedTuple):
    """Two expectations of one quantity at two levels of one net: the way wanted as the level rises, and what
    the block does."""

    net: str
    quantity: str
    wanted: Way
    actual: Way | Unknown
    inputs: tuple[Input, ...]


def intended_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about expectations taken together."""
    return (
        line("steering.gain", "name", "rises, falls or stays: the expected quantity over its control", _gain),
        line("steering.gain_wanted", "name", "rises or falls, as two expectations at two levels say", _way),
        line("steering.quantity", "name", "the quantity that two expectations want at two levels", _quantity),
        line("steering.net", "name", "the net at whose levels they want it", _net),
        line("delay.edges", "name", "edges that the part delays: rising, falling or both", _edges),
        line("delay.edges_wanted", "name", "edges that expectations want delayed", _edges_wanted),
    )


def turn(book: Book, block: Block) -> Turn | Unknown:
    """The two expectations that tell most: those whose way the board turns round, then any.

    Unknown where no two expectations of one quantity differ in nothing but a net's level and lie apart.
    """
    return book.once(("turn", block.path), lambda: _turn(book, block))


def _turn(book: Book, block: Block) -> Turn | Unknown:
    turns = [
        found
        for first, second in combinations(_expectations(book, block), 2)
        if (found := _between(book, first, second)) is not None
    ]
    if not turns:
        return Unknown("no two expectations say which way a control turns it", (f"expect {block.path} when",))
    return max(turns, key=lambda each: (isinstance(each.actual, str), each.actual != each.wanted))


def _expectations(book: Book, block: Block) -> tuple[Subject, ...]:
    """The expectations of a block, in the order written."""
    subjects = book.subjects("statement")
    return tuple(each for each in subjects if each.block is not None and each.block.path == block.path)


def _between(book: Book, first: Subject, second: Subject) -> Turn | None:
    """What two expectations say of one quantity, if they speak of it at two levels of one net."""
    one, other = first.statement, second.statement
    if not isinstance(one, Expect) or not isinstance(other, Expect) or one.quantity != other.quantity:
        return None
    below, above = _level(one.condition), _level(other.condition)
    if below is None or above is None or below[0].lower() != above[0].lower():
        return None
    if below[1].middle > above[1].middle:
        first, second = second, first
    ends = [wanted(book, each) for each in (first, second)]
    low, high = (end.span for end in ends)
    if low is None or high is None or not (low.high < high.low or high.high < low.low):
        return None
    found = [book.fact(each, "expect.actual") for each in (first, second)]
    inputs = tuple(each for fact in found for each in fact.inputs)
    goes: Way = "rises" if low.high < high.low else "falls"
    return Turn(below[0], one.quantity, goes, _goes(found[0], found[1]), inputs)


def _level(condition: Condition | None) -> tuple[str, Span] | None:
    """The net and the voltage of a condition."""
    if condition is None or not isinstance(condition.level, Span):
        return None
    return condition.subject.text, condition.level


def _goes(low: Fact, high: Fact) -> Way | Unknown:
    """By the nominal values."""
    for each in (low, high):
        if isinstance(each.value, Unknown):
            return each.value
    if low.span is None or high.span is None:
        return Unknown("it takes several states")
    before, after = low.span.middle, high.span.middle
    if abs(after - before) <= 1e-9 * abs(before):
        return "stays"
    return "rises" if after > before else "falls"


def _gain(book: Book, block: Block, name: str) -> Fact:
    """At nominal."""
    found = turn(book, block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    return Fact(name, found.actual, f"nominal {found.quantity} at two levels of {found.net}", found.inputs)


def _way(book: Book, block: Block, name: str) -> Fact:
    """By two spans that do not touch."""
    found = turn(book, block)
    return Fact(name, found if isinstance(found, Unknown) else found.wanted, "two expect statements")


def _quantity(book: Book, block: Block, name: str) -> Fact:
    """As a reader writes it."""
    found = turn(book, block)
    return Fact(name, found if isinstance(found, Unknown) else found.quantity.replace("-", " "))


def _net(book: Book, block: Block, name: str) -> Fact:
    """As the statement writes it."""
    found = turn(book, block)
    return Fact(name, found if isinstance(found, Unknown) else found.net)


def _edges(_: Book, block: Block, name: str) -> Fact:
    """By the part file."""
    return Fact(name, delayed_edges(block), f"part file of {block.part.name}")


def _edges_wanted(book: Book, block: Block, name: str) -> Fact:
    """Those whose least wanted delay is more than what the part takes of an edge that it passes on."""
    passed = block.part.timing.offset if block.part.timing is not None else None
    least = passed.high if passed is not None else 0.0
    edges = {
        subject.statement.quantity.removeprefix("delay-")
        for subject in _expectations(book, block)
        if isinstance(subject.statement, Expect)
        and subject.statement.quantity in ("delay-rising", "delay-falling")
        and isinstance(subject.statement.wanted, Span)
        and subject.statement.wanted.low > least
    }
    if not edges:
        because = f"no expectation says which edges {block.path} is to delay"
        return Fact(name, Unknown(because, (f"expect {block.path} delay-rising",)))
    return Fact(name, "both" if len(edges) > 1 else edges.pop(), "expect statements")
