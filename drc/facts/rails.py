"""What each net that feeds something is at, and the ambient."""

from drc.blocks.model import Block
from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity
from drc.facts.model import Unknown


def ambient(book: Book) -> Dependence:
    """Ambient temperature of the board, degC: a bias named `ambient`, nominal 25; assumed 25 if not stated."""
    raise NotImplementedError


def rail(book: Book, net: Net) -> Quantity:
    """The voltage of a net that holds itself (stated, sourced, regulated, fed or named), V, else Unknown."""
    raise NotImplementedError


def supply_voltage(book: Book, block: Block) -> Dependence | Unknown:
    """The voltage between the block's supply and ground pins, V."""
    raise NotImplementedError


def ground_voltage(book: Book, block: Block) -> Dependence | Unknown:
    """The voltage of the block's ground pin against node 0, V."""
    raise NotImplementedError
