"""Facts about a block as a whole: what it is, what feeds it, what it stands on, how warm it gets."""

from collections.abc import Callable

from drc.blocks.model import Block
from drc.facts.ambient import REFERENCE, ambient, stated_ambient
from drc.facts.book import Book
from drc.facts.dependence import fact
from drc.facts.model import Entry, Fact, Kind, Subject, Unknown
from drc.facts.rails import INFERRED, ground_voltage, supply_voltage
from drc.facts.ratings import rating
from drc.intent.match import matches
from drc.intent.model import Expect
from drc.quantity.span import Span
from drc.quantity.unit import CELSIUS, VOLT

OfBlock = Callable[[Book, Block, str], Fact]


def line(name: str, kind: Kind, meaning: str, compute: OfBlock) -> Entry:
    """A catalogue line about a block."""

    def of_subject(book: Book, subject: Subject) -> Fact:
        assert subject.block is not None
        return compute(book, subject.block, name)

    return Entry(name, "block", kind, meaning, of_subject)


def block_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about blocks as a whole."""
    return (
        line("block.part", "name", "the part's name", lambda _, b, n: Fact(n, b.part.name)),
        line("block.function", "name", "what it does", lambda _, b, n: Fact(n, b.part.function)),
        line("block.found_by", "name", "how it was found", lambda _, b, n: Fact(n, b.found_by)),
        line("block.intended", "truth", "whether an expectation names it", _intended),
        line("ground.connected", "truth", "whether its ground pin is on ground", _grounded),
        line("supply.voltage", VOLT, "voltage between its supply and ground pins", _supply),
        line("supply.rated", VOLT, "supply at which the part keeps its figures", _rated),
        line("supply.limit", VOLT, "supply above which the part is damaged", _limit),
        line("supply.stated", "truth", "whether more than a net's name says the supply", _stated),
        line("ambient.board", CELSIUS, "ambient temperature of the board", _ambient),
        line("ambient.rated", CELSIUS, "ambient temperature that the part is rated for", _ambient_rated),
    )


def _intended(book: Book, block: Block, name: str) -> Fact:
    """An `expect` statement matches the block's path."""
    named = any(isinstance(s, Expect) and matches(s.block, block.path) for s in book.intent.statements)
    return Fact(name, named, "an expect statement names the block")


def _grounded(book: Book, block: Block, name: str) -> Fact:
    """The ground pin is node 0, or joined to it, or on a net held at a voltage of its own."""
    found = ground_voltage(book, block)
    law = "the ground pin is on node 0 or joined to it without resistance"
    if isinstance(found, Unknown):
        lost = [loss for net in block.pins.get("ground", ()) for loss in book.lost(net)]
        return Fact(name, lost[0] if lost else False, law)
    return Fact(name, True, law, found.inputs)


def _supply(book: Book, block: Block, name: str) -> Fact:
    """The supply as a span."""
    return fact(name, supply_voltage(book, block), book.options)


def _stated(book: Book, block: Block, name: str) -> Fact:
    """No input of the supply was read in a name."""
    found = supply_voltage(book, block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    named = any(each.origin == INFERRED for each in found.inputs)
    return Fact(name, not named, "nothing in the supply is read out of a net's name", found.inputs)


def _rated(_: Book, block: Block, name: str) -> Fact:
    """Rated supply."""
    return rating(name, block, "supply rated", block.part.supply.rated)


def _limit(_: Book, block: Block, name: str) -> Fact:
    """Absolute maximum supply."""
    return rating(name, block, "supply limit", block.part.supply.limit, VOLT)


def _ambient(book: Book, block: Block, name: str) -> Fact:
    """The board's ambient, as stated."""
    found = ambient(book)
    span, _, _ = stated_ambient(book)
    value = Span(span.low, REFERENCE if span.low <= REFERENCE <= span.high else None, span.high, CELSIUS)
    return Fact(name, value, "ambient of the board", found.inputs, found.assumptions)


def _ambient_rated(_: Book, block: Block, name: str) -> Fact:
    """The part's ambient."""
    return rating(name, block, "ambient", block.part.ambient)
