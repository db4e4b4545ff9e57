"""Changes of load resistors that bring an output's current within its rating."""

from collections.abc import Iterator

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.elements import rough_ohm
from drc.facts.model import Subject
from drc.facts.region import region
from drc.repair.change import Candidate, Change
from drc.repair.pool import Pool

_SERIES = (24,)
_REACH = 5.0
"""How far beyond the plain ratio of currents a value may lie: drops and the output's own resistance add."""


def load_candidates(book: Book, block: Block, pool: Pool) -> Iterator[Candidate]:
    """A resistor on the output raised to the next values that carry no more than the rating."""
    net = block.net("output")
    if net is None:
        return
    subject = Subject("block", block.path, block.place, block)
    excess = max(_excess(book, subject, state) for state in ("source", "sink"))
    if excess <= 1:
        return
    load = region(book, net, without=frozenset({f"{block.path} output"}))
    for path in dict.fromkeys(branch.label for branch, _ in load.branches):
        element = book.board.circuit.element(path)
        ohm = rough_ohm(book, element) if element is not None and element.kind == "R" else None
        if element is None or not ohm:
            continue
        for value in pool.between(ohm * excess, ohm * excess * _REACH, _SERIES):
            why = f"{path} lets more through than the output is rated for"
            yield Candidate((Change(element, value, ohm),), why, 1, 2)


def _excess(book: Book, subject: Subject, state: str) -> float:
    """Worst current over the rating; 0 where either is unknown."""
    actual = book.fact(subject, f"output.{state}").span
    rated = book.fact(subject, f"output.{state}_rated").span
    return actual.high / rated.low if actual is not None and rated is not None and rated.low > 0 else 0.0
