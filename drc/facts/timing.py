"""The catalogue's lines of timing: every quantity by each of the three methods."""

from collections.abc import Callable, Mapping

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.dependence import Quantity
from drc.facts.functions import Timed, called, quantities
from drc.facts.model import Entry, Fact, Subject, Unknown
from drc.facts.rc_facts import rc_entries
from drc.facts.rest import rest_entries
from drc.facts.running import running
from drc.facts.signal_facts import signal_entries
from drc.intent.model import Method
from drc.quantity.unit import HERTZ, POINT, SECOND, Unit

UNITS: Mapping[str, tuple[Unit, str]] = {
    "frequency": (HERTZ, "frequency of the output"),
    "period": (SECOND, "period of the output; of a one-shot, with the signal on its trigger"),
    "pulse_width": (SECOND, "length of one pulse"),
    "delay": (SECOND, "delay of the edges that the block delays"),
    "delay_rising": (SECOND, "from the input's rising edge to the output's answer"),
    "delay_falling": (SECOND, "from the input's falling edge to the output's answer"),
    "duty": (POINT, "share of the period that the output is high"),
    "high": (SECOND, "time high of an RC timer's cycle"),
    "low": (SECOND, "time low of an RC timer's cycle"),
    "first_high": (SECOND, "first time high of an RC timer, its capacitor empty at the start"),
}

METHODS: Mapping[str, tuple[Method, str]] = {
    "": ("extreme", "extreme value"),
    ".rss": ("rss", "root-sum-square"),
    ".monte_carlo": ("monte-carlo", "Monte Carlo"),
}


def timing(book: Book, block: Block, quantity: str, name: str, method: Method) -> Fact:
    """A timing fact by a method.

    Unknown where the block's function has no such quantity, and where its enable or reset pin never lets
    it run.
    """
    found = _timed(book, block, quantity)
    if isinstance(found, Unknown):
        return Fact(name, found, running(book, block).law if found.missing else "")
    return found.fact(book, block, name, method)


def timing_law(book: Book, block: Block, quantity: str) -> Quantity | None:
    """The law behind a timing fact, Unknown as `timing` is; None where no one law gives it."""
    found = _timed(book, block, quantity)
    return found if isinstance(found, Unknown) else found.law(book, block)


def _timed(book: Book, block: Block, quantity: str) -> Timed | Unknown:
    """How a quantity of a block's function is computed."""
    computed = quantities(block.part.function)
    if quantity not in computed:
        return Unknown(f"{called(block.part.function)} has no {quantity.replace('_', ' ')}")
    state = running(book, block)
    if state.value == "never":
        return Unknown(f"{block.path} never runs: {state.law}", ("block.running",))
    return computed[quantity]


def timing_entries() -> tuple[Entry, ...]:
    """The catalogue's lines of timing, steering, input signals and rest."""
    lines = [
        Entry(
            f"timing.{quantity}{suffix}", "block", unit, f"{meaning}, {how}", _line(quantity, suffix, method)
        )
        for quantity, (unit, meaning) in UNITS.items()
        for suffix, (method, how) in METHODS.items()
    ]
    return (*lines, *signal_entries(), *rest_entries(), *rc_entries())


def _line(quantity: str, suffix: str, method: Method) -> Callable[[Book, Subject], Fact]:
    """What the catalogue calls for one quantity and method."""

    def compute(book: Book, subject: Subject) -> Fact:
        assert subject.block is not None
        return timing(book, subject.block, quantity, f"timing.{quantity}{suffix}", method)

    return compute
