"""What the strap pin reads: ratio, code, margin, prescale and polarity."""

from drc.blocks.model import Block, Code
from drc.facts.book import Book
from drc.facts.dependence import Dependence
from drc.facts.model import Unknown


def strap_ratio(book: Book, block: Block) -> Dependence | Unknown:
    """Strap voltage over the converter's reference."""
    raise NotImplementedError


def strap_code(book: Book, block: Block) -> int | Unknown:
    """The integer whose interval holds the nominal ratio; Unknown for an open or unsolved strap."""
    raise NotImplementedError


def code_row(book: Book, block: Block) -> Code | Unknown:
    """The row of the part's code table in force (prescale, polarity, rest); Unknown for a reserved code."""
    raise NotImplementedError
