"""Facts about a strap divider that sets more than one strap pin."""

from collections.abc import Iterator

from drc.blocks.model import Block
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.lead import own_pins
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.region import region
from drc.quantity.span import exact
from drc.quantity.unit import RATIO


def strap_reader_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about shared dividers."""
    return (
        line("strap.readers", RATIO, "strap pins that its strap network sets, its own among them", _readers),
        line(
            "strap.shared", "name", "another block whose strap pin is on its strap network, or `none`", _other
        ),
    )


def _others(book: Book, block: Block) -> tuple[str, ...] | Unknown:
    """The other blocks with a strap pin on a net of the network, in source order."""
    net = block.net("strap")
    if net is None:
        return Unknown(f"{block.path} has no strap pin", (f"{block.path} strap pin",))
    inside = region(book, net, without=frozenset({f"{block.path} strap"})).nets
    return tuple(dict.fromkeys(path for path in _straps(book, inside) if path != block.path))


def _straps(book: Book, nets: tuple[str, ...]) -> Iterator[str]:
    """The blocks with a strap pin on one of the nets."""
    for name in nets:
        net = book.board.circuit.net(name)
        for pin in own_pins(book, net) if net is not None else ():
            if pin.role == "strap":
                yield pin.block.path


def _readers(book: Book, block: Block, name: str) -> Fact:
    """The others and its own."""
    others = _others(book, block)
    if isinstance(others, Unknown):
        return Fact(name, others)
    return Fact(name, exact(float(1 + len(others)), RATIO), "strap pins in the network of this one")


def _other(book: Book, block: Block, name: str) -> Fact:
    """The first of them."""
    others = _others(book, block)
    if isinstance(others, Unknown):
        return Fact(name, others)
    return Fact(name, others[0] if others else "none", "other strap pins in the network of this one")
