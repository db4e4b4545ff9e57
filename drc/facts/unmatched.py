"""Statements that match nothing on the board: most often a name that has changed since."""

from collections.abc import Iterator

from drc.facts.book import Book
from drc.facts.stated import nets_meant
from drc.intent.match import is_exact, matches
from drc.intent.model import (
    Adjust,
    Assume,
    Condition,
    Expect,
    Fit,
    Load,
    NotSupply,
    Pattern,
    Ramp,
    Same,
    Signal,
    Statement,
    Supply,
)
from drc.intent.wording import did_you_mean
from drc.trouble import Trouble


def unmatched(book: Book) -> tuple[Trouble, ...]:
    """A trouble for every name in a statement that means nothing on the board."""
    return tuple(trouble for statement in book.intent.statements for trouble in _missing(book, statement))


def _missing(book: Book, statement: Statement) -> Iterator[Trouble]:
    """The names of one statement that match nothing."""
    if isinstance(statement, Expect):
        if not any(matches(statement.block, block.path) for block in book.board.blocks):
            near = did_you_mean(statement.block.text, (block.path for block in book.board.blocks))
            yield _trouble(statement, statement.block, "timing block", near)
        if statement.condition is not None and not _condition(book, statement.condition):
            yield _trouble(statement, statement.condition.subject, "net or timing block")
    elif isinstance(statement, Supply | NotSupply | Ramp | Signal | Load):
        if not _net(book, statement.net):
            yield _trouble(statement, statement.net, "net")
    elif isinstance(statement, Same):
        for pattern in statement.nets:
            if not _net(book, pattern):
                yield _trouble(statement, pattern, "net")
    elif isinstance(statement, Assume | Adjust | Fit) and not _element(book, statement.element):
        yield _trouble(statement, statement.element, "element")


def _condition(book: Book, condition: Condition) -> bool:
    """Whether a condition's subject is a net or a block."""
    blocks = any(matches(condition.subject, block.path) for block in book.board.blocks)
    return blocks or _net(book, condition.subject)


def _net(book: Book, pattern: Pattern) -> bool:
    """Whether a pattern means a net."""
    return next(nets_meant(book, pattern), None) is not None


def _element(book: Book, pattern: Pattern) -> bool:
    """Whether a pattern means an element."""
    circuit = book.board.circuit
    if is_exact(pattern):
        return circuit.element(pattern.text) is not None
    return any(matches(pattern, element.path) for element in circuit.elements())


def _trouble(statement: Statement, pattern: Pattern, what: str, near: str = "") -> Trouble:
    """The statement, its name and what is missing; the place is the name's own."""
    message = f'the statement names "{pattern.text}", and the board has no {what} of that name{near}'
    whole = statement.place
    at = max(0, statement.text.find(pattern.text))
    place = whole._replace(column=whole.column + at, length=len(pattern.text))
    line = " " * (whole.column - 1) + statement.text
    return Trouble("statement-matches-nothing", "error", place, message, line)
