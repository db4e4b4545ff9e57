"""What rules speak of: blocks, nets, pairs of a chain, expectations, rated parts, troubles, the board."""

from collections.abc import Iterator

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.chains import chains
from drc.facts.model import Subject, SubjectKind
from drc.facts.net_facts import net_subjects
from drc.facts.stress import rated_parts
from drc.facts.unheard import unheard
from drc.facts.unmatched import unmatched
from drc.intent.match import matches
from drc.intent.model import Expect
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.trouble import Place, Trouble


def subjects(book: Book, kind: SubjectKind) -> tuple[Subject, ...]:
    """Every subject of a kind, in source order."""
    if kind == "block":
        return tuple(Subject("block", block.path, block.place, block) for block in book.board.blocks)
    if kind == "statement":
        return tuple(_expectations(book))
    if kind == "line":
        return tuple(Subject("line", str(t.place), t.place, trouble=t) for t in troubles(book))
    if kind == "pair":
        return tuple(
            Subject("pair", chain.path, chain.driven.place, chain.driver, partner=chain.driven)
            for chain in chains(book)
        )
    if kind == "net":
        return net_subjects(book)
    if kind == "part":
        return tuple(Subject("part", element.path, element.place) for element in rated_parts(book))
    return (Subject("board", book.board.circuit.path, Place(book.board.circuit.path)),)


def _expectations(book: Book) -> Iterator[Subject]:
    """Each expectation of each block that it matches; what would be called alike is numbered."""
    met: dict[str, int] = {}
    for statement in book.intent.statements:
        if not isinstance(statement, Expect):
            continue
        for block in book.board.blocks:
            if matches(statement.block, block.path):
                path = _path(block, statement)
                met[path] = met.get(path, 0) + 1
                numbered = path if met[path] == 1 else f"{path} ({met[path]})"
                yield Subject("statement", numbered, statement.place, block, statement)


def _path(block: Block, expect: Expect) -> str:
    """What an expectation is called beside others of its block: `XU1 frequency when vctl = 1.25 V`."""
    condition = expect.condition
    if condition is None:
        return f"{block.path} {expect.quantity}"
    level = format_span(condition.level) if isinstance(condition.level, Span) else condition.level
    return f"{block.path} {expect.quantity} when {condition.subject.text} = {level}"


def troubles(book: Book) -> tuple[Trouble, ...]:
    """All that was wrong in reading the board, its blocks and its intent; statements that do nothing."""
    return (
        *book.board.circuit.troubles,
        *book.board.troubles,
        *book.intent.troubles,
        *unmatched(book),
        *unheard(book),
    )
