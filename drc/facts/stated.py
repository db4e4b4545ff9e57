"""What the intent states about a net or an element."""

from collections.abc import Iterator
from typing import TypeVar

from drc.circuit.model import Element, Net
from drc.facts.book import Book
from drc.intent.match import is_exact, matches
from drc.intent.model import Pattern, Same

S = TypeVar("S")


def statements(book: Book, kind: type[S]) -> Iterator[S]:
    """Every statement of a type, in the order written."""
    return (each for each in book.intent.statements if isinstance(each, kind))


def nets_meant(book: Book, pattern: Pattern) -> Iterator[Net]:
    """The nets that a pattern means; a walk over all of them only where it has a `*`."""
    circuit = book.board.circuit
    if not is_exact(pattern):
        yield from (net for net in circuit.nets() if matches(pattern, net.name))
    elif (net := circuit.net(pattern.text)) is not None:
        yield net


def about_net(book: Book, kind: type[S], net: Net) -> S | None:
    """The first statement of a type whose `net` matches, None if there is none."""
    return next((s for s in statements(book, kind) if matches(s.net, net.name)), None)  # type: ignore[attr-defined]


def about_element(book: Book, kind: type[S], element: Element) -> Iterator[S]:
    """Every statement of a type whose `element` matches."""
    return (s for s in statements(book, kind) if matches(s.element, element.path))  # type: ignore[attr-defined]


def same_nets(book: Book, net: Net) -> tuple[tuple[Net, Same], ...]:
    """The nets that a `same` statement joins to this one, and the statement."""
    found: list[tuple[Net, Same]] = []
    for statement in statements(book, Same):
        if any(matches(pattern, net.name) for pattern in statement.nets):
            others = (book.board.circuit.net(pattern.text) for pattern in statement.nets)
            found += [(other, statement) for other in others if other is not None and other != net]
    return tuple(found)
