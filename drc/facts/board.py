"""Facts about the board as a whole, and about lines that could not be read."""

from drc.facts.book import Book
from drc.facts.model import Entry, Fact, Subject
from drc.quantity.span import exact
from drc.quantity.unit import RATIO


def board_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about the board and its lines."""
    return (
        Entry("board.blocks", "board", RATIO, "how many timing blocks were found", _blocks),
        Entry("line.message", "line", "name", "what is wrong with the line", _message),
    )


def _blocks(book: Book, _: Subject) -> Fact:
    """Timing blocks on the board."""
    return Fact("board.blocks", exact(float(len(book.board.blocks))), "timing blocks counted")


def _message(_: Book, subject: Subject) -> Fact:
    """The trouble's own words."""
    assert subject.trouble is not None
    return Fact("line.message", subject.trouble.message)
