"""A name in a statement that means nothing on the board, and the name that it most likely stands for."""

import re

from drc.circuit.model import Token
from drc.facts.book import Book
from drc.intent.wording import nearest
from drc.judge.model import Edit, Finding, Remedy
from drc.netlist.source import decode
from drc.repair.trial import Bench

_LINE_END = re.compile(r"\r\n|\n|\r")


def renamed(book: Book, finding: Finding, bench: Bench) -> Remedy | None:
    """The edit of the name that a finding points at to the nearest on the board; None if none is near."""
    place = finding.place
    source = decode(bench.reading.source(bench.root / place.path), place.path)
    starts = [0, *(match.end() for match in _LINE_END.finditer(source.text))]
    if not 0 < place.line <= len(starts) or not place.length:
        return None
    start = starts[place.line - 1] + place.column - 1
    word = source.text[start : start + place.length]
    near = nearest(word, _names(book))
    if near is None or near == word:
        return None
    edit = Edit("statement", Token(place.path, start, start + place.length, word), near)
    return Remedy((edit,), f"{word} is not on the board, {near} is")


def _names(book: Book) -> set[str]:
    """What statements may speak of: blocks, the nets they are on, and elements."""
    nets = (net.name for block in book.board.blocks for own in block.pins.values() for net in own)
    return {
        *(block.path for block in book.board.blocks),
        *nets,
        *(element.path for element in book.board.circuit.elements()),
    }
