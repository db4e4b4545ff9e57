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
from drc.facts.dependence import Dependence, Quantity, constant, fact, input_of, lift, spread
from drc.facts.driver import Driver, driver_current, with_loads
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.parallel import paralleled, rivals
from drc.facts.pins import drive_at, drive_resistance
from drc.facts.rails import block_rails, supply_voltage
from drc.facts.ratings import rating
from drc.facts.region import region
from drc.facts.walk import Region
from drc.quantity.text import format_value
from drc.quantity.unit import AMPERE, OHM

State = Literal["high", "low"]


def output_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about the output."""
    return (
        line("output.source", AMPERE, "current out of the output driven high", _delivers("high")),
        line("output.sink", AMPERE, "current into the output driven low", _delivers("low")),
        line("output.source_rated", AMPERE, "current that the output may source", _rated("high")),
        line("output.sink_rated", AMPERE, "current that the output may sink", _rated("low")),
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
    """The least rating over the supply's span."""

    def compute(book: Book, block: Block, name: str) -> Fact:
        what = "output source" if state == "high" else "output sink"
        supply = supply_voltage(book, block)
        if isinstance(supply, Unknown) and any(drive.at_supply for drive in block.part.outputs):
            return Fact(name, supply)
        rows = block.part.outputs if isinstance(supply, Unknown) else _rows(book, block, supply)
        given = [drive.source if state == "high" else drive.sink for drive in rows]
        known = [value for value in given if value is not None]
        return rating(name, block, what, min(known) if known and None not in given else None, AMPERE)

    return compute


def _rows(book: Book, block: Block, supply: Dependence) -> tuple[Drive, ...]:
    """The rows of the output's rating that hold somewhere in the supply's span."""
    span = spread(supply, "extreme", book.options, "supply.voltage")
    return tuple(
        drive
        for drive in block.part.outputs
        if drive.at_supply is None or (drive.at_supply.low <= span.high and drive.at_supply.high >= span.low)
    )
