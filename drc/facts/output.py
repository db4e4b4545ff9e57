"""What the output delivers into its load, driven high and driven low."""

from collections.abc import Callable
from typing import Literal

import numpy as np

from drc.blocks.model import Block, Drive
from drc.circuit.model import Net
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.chains import chains
from drc.facts.contacts import open_contact
from drc.facts.dependence import Quantity, constant, fact, input_of, lift, spread
from drc.facts.driver import Driver, driver_current, with_loads
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.parallel import paralleled, rivals
from drc.facts.pins import drive_at, drive_resistance
from drc.facts.rails import block_rails, supply_voltage
from drc.facts.ratings import rating
from drc.facts.region import region
from drc.facts.walk import Region
from drc.quantity.span import Span
from drc.quantity.text import format_value
from drc.quantity.unit import AMPERE, OHM

State = Literal["high", "low"]
_ELSEWHERE = "whether other supplies than the block's are those that it is rated for, as a"


def output_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about the output."""
    return (
        line("output.source", AMPERE, "current out of the output driven high", _delivers("high")),
        line("output.sink", AMPERE, "current into the output driven low", _delivers("low")),
        line("output.source_rated", AMPERE, "current that the output may source", _rated("high")),
        line("output.sink_rated", AMPERE, "current that the output may sink", _rated("low")),
        line(
            "output.source_unrated",
            "truth",
            "whether that is rated for other supplies alone",
            _unrated("high"),
        ),
        line(
            "output.sink_unrated", "truth", "whether that is rated for other supplies alone", _unrated("low")
        ),
    )


def _delivers(state: State) -> Callable[[Book, Block, str], Fact]:
    """The current in one state as a fact."""
    return lambda book, block, name: fact(name, delivered(book, block, state), book.options)


def delivered(book: Book, block: Block, state: State) -> Quantity:
    """Current that the output drives out (high) or takes in (low), A; 0 where the load pushes it back."""
    return book.once((f"output {state}", block.path), lambda: _delivered(book, block, state))


def _delivered(book: Book, block: Block, state: State) -> Quantity:
    """The driver of the state, into the network of its load."""
    net, rails = block.net("output"), block_rails(book, block)
    if net is None:
        return Unknown(f"{block.path} has no output pin", (f"{block.path} output pin",))
    if isinstance(rails, Unknown):
        return rails
    supply, ground = rails
    drive = drive_at(block, supply.nominal - ground.nominal)
    if drive is None:
        what = f"{block.part.name} output"
        return Unknown(f"the part file of {block.part.name} gives no output at its supply", (what,))
    ohm = drive_resistance(drive, state == "high")
    if ohm is None:
        what = f"{block.part.name} output resistance"
        return Unknown(f"the output resistance of {block.path} is not given", (what,))
    if np.isinf(ohm):
        return constant(0.0, AMPERE, text=f"a {drive.kind} output does not drive {state}")
    label = f"{block.path} output {state}"
    evidence = input_of(label, format_value(ohm, OHM), "part file", block.part.place)
    driver = Driver(label, supply if state == "high" else ground, constant(ohm, OHM, evidence))
    load = _load(book, block, net, state)
    sign = 1.0 if state == "high" else -1.0
    driven = driver_current(book, with_loads(book, load, sign), net.name, driver)
    text = f"current through the output driven {state}, by nodal analysis of the network on it"
    return lift(lambda ampere: np.maximum(0.0, sign * ampere), driven, unit=AMPERE, text=text)


def _load(book: Book, block: Block, net: Net, state: State) -> Region:
    """The network on the output, with the draw of blocks that live on it."""
    if any(chain.role == "supply" and chain.driver.path == block.path for chain in chains(book)):
        from drc.facts.chain_supply import load_fed  # few outputs feed a block

        fed = load_fed(book, block, net, high=state == "high")
        if fed is not None:
            return fed
    halves = [rival for rival in rivals(book, block) if paralleled(block, rival)]
    load = region(book, net, without=frozenset(f"{each.path} output" for each in (block, *halves)))
    return load._replace(obstacles=tuple(each for each in load.obstacles if not open_contact(book, each)))


def _rated(state: State) -> Callable[[Book, Block, str], Fact]:
    """The least rating over the supply's span; unknown where a part of the span has none."""

    def compute(book: Book, block: Block, name: str) -> Fact:
        what = "output source" if state == "high" else "output sink"
        supply = supply_voltage(book, block)
        if isinstance(supply, Unknown) and any(drive.at_supply for drive in block.part.outputs):
            return Fact(name, supply)
        if isinstance(supply, Unknown):
            rows = block.part.outputs
        else:
            rows, whole = _rows(block, spread(supply, "extreme", book.options, "supply.voltage"))
            what += "" if whole else " at its supply"
            rows = rows if whole else ()
        given = [_limit(drive, state) for drive in rows]
        known = [value for value in given if value is not None]
        return rating(name, block, what, min(known) if known and None not in given else None, AMPERE)

    return compute


def _unrated(state: State) -> Callable[[Book, Block, str], Fact]:
    """Whether a rating is given, but not for all of the supply's span; then it is not proven to be kept."""

    def compute(book: Book, block: Block, name: str) -> Fact:
        supply = supply_voltage(book, block)
        if isinstance(supply, Unknown):
            return Fact(name, supply)
        _, whole = _rows(block, spread(supply, "extreme", book.options, "supply.voltage"))
        given = any(_limit(drive, state) is not None for drive in block.part.outputs)
        return Fact(name, given and not whole, "the supplies that the part file rates it for")

    return compute


def _limit(drive: Drive, state: State) -> float | None:
    """What a row of the rating allows in a state, A."""
    return drive.source if state == "high" else drive.sink


def _rows(block: Block, span: Span) -> tuple[tuple[Drive, ...], bool]:
    """The rows of the output's rating that hold somewhere in the supply's span, and whether they cover it."""
    outputs = block.part.outputs
    rows = tuple(d for d in outputs if d.at_supply is None or _meet(d.at_supply, span))
    if any(drive.at_supply is None for drive in rows):
        return rows, True
    reached = span.low
    spans = (drive.at_supply for drive in rows if drive.at_supply is not None)
    for given in sorted(spans, key=lambda each: each.low):
        reached = max(reached, given.high) if given.low <= reached else reached
    return rows, reached >= span.high and bool(rows)


def _meet(one: Span, other: Span) -> bool:
    """Whether two spans have a value in common."""
    return one.low <= other.high and one.high >= other.low
