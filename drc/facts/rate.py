"""What the rate pin delivers: the current that sets the master period."""

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity
from drc.facts.model import Unknown


def rate_voltage(book: Book, block: Block) -> Dependence | Unknown:
    """The regulated voltage of the rate pin against the block's ground, V: the cause `PATH rate voltage`.

    A law that divides by the nominal rate voltage uses `.nominal` of this.
    """
    raise NotImplementedError


def rate_current(book: Book, block: Block) -> Quantity:
    """Norton current out of the rate pin, A, with no steering net swept: I = (V_rate - V_oc) / R_th.

    A control net with a span (`signal vctl 0V .. 2.5V`) is a bias among the causes; a two-state source
    gives States. Zero or negative when the control voltage reaches the rate pin's.
    """
    raise NotImplementedError


def rate_current_when(book: Book, block: Block, held: "dict[str, Dependence]") -> Quantity:
    """As rate_current, with nets (by name) held at given voltages: what a condition or a sweep asks."""
    raise NotImplementedError
