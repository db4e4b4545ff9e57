"""Facts about the nets that timing blocks are on."""

from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.dependence import fact
from drc.facts.lead import own_pins
from drc.facts.model import Entry, Fact, Subject, Unknown
from drc.facts.rails import rail
from drc.quantity.span import exact
from drc.quantity.unit import RATIO, VOLT


def net_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about nets."""
    return (
        Entry("net.name", "net", "name", "the net's name", _name),
        Entry("net.pins", "net", RATIO, "how many pins are on the net, of whatever element", _pins),
        Entry("net.blocks", "net", RATIO, "how many timing blocks have a pin on the net", _blocks),
        Entry("net.feeds", "net", "truth", "whether a timing block's supply pin is on the net", _feeds),
        Entry("net.voltage", "net", VOLT, "voltage of a rail: of a net that something holds", _voltage),
    )


def net_subjects(book: Book) -> tuple[Subject, ...]:
    """Every net that a timing block has a pin on, once, in source order."""
    met: dict[str, Subject] = {}
    for block in book.board.blocks:
        for nets in block.pins.values():
            for net in nets:
                met.setdefault(net.name, Subject("net", net.name, block.place, net=net.name))
    return tuple(met.values())


def _net(book: Book, subject: Subject) -> Net:
    """The net of a subject that `net_subjects` made."""
    net = book.board.circuit.net(subject.path)
    assert net is not None
    return net


def _name(book: Book, subject: Subject) -> Fact:
    """The name as written."""
    return Fact("net.name", _net(book, subject).name)


def _pins(book: Book, subject: Subject) -> Fact:
    """Pins on the net."""
    return Fact("net.pins", exact(float(len(book.pins(_net(book, subject))))), "pins counted")


def _blocks(book: Book, subject: Subject) -> Fact:
    """Timing blocks on the net, each once."""
    paths = {pin.block.path for pin in own_pins(book, _net(book, subject))} & {
        block.path for block in book.board.blocks
    }
    return Fact("net.blocks", exact(float(len(paths))), "timing blocks counted")


def _feeds(book: Book, subject: Subject) -> Fact:
    """A supply pin is on it."""
    return Fact("net.feeds", any(pin.role == "supply" for pin in own_pins(book, _net(book, subject))))


def _voltage(book: Book, subject: Subject) -> Fact:
    """The rail's voltage; unknown where nothing holds the net."""
    held = rail(book, _net(book, subject))
    if held is None:
        return Fact("net.voltage", Unknown(f"nothing holds {subject.path}", (f"voltage of {subject.path}",)))
    return fact("net.voltage", held, book.options)
