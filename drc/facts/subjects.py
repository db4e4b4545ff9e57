"""What rules speak of: blocks, nets, pairs of a chain, expectations, rated parts, troubles, the board."""

from drc.facts.book import Book
from drc.facts.chains import chains
from drc.facts.model import Subject, SubjectKind
from drc.facts.net_facts import net_subjects
from drc.facts.stress import rated_parts
from drc.facts.unmatched import unmatched
from drc.intent.match import matches
from drc.intent.model import Expect
from drc.trouble import Place, Trouble


def subjects(book: Book, kind: SubjectKind) -> tuple[Subject, ...]:
    """Every subject of a kind, in source order."""
    if kind == "block":
        return tuple(Subject("block", block.path, block.place, block) for block in book.board.blocks)
    if kind == "statement":
        return tuple(
            Subject("statement", block.path, statement.place, block, statement)
            for statement in book.intent.statements
            if isinstance(statement, Expect)
            for block in book.board.blocks
            if matches(statement.block, block.path)
        )
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
    if kind == "board":
        return (Subject("board", book.board.circuit.path, Place(book.board.circuit.path)),)
    return ()


def troubles(book: Book) -> tuple[Trouble, ...]:
    """All that was wrong in reading the board, its blocks and its intent; statements that match nothing."""
    return (
        *book.board.circuit.troubles,
        *book.board.troubles,
        *book.intent.troubles,
        *unmatched(book),
    )
