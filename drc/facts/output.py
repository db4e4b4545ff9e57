"""What the output delivers into its load, driven high and driven low."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from drc.blocks.model import Block, Drive
from drc.circuit import dc
from drc.circuit.network import Branch, Network
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.dependence import (
    Dependence,
    Quantity,
    combine,
    constant,
    each_state,
    fact,
    input_of,
    missing,
    spread,
)
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.pins import drive_at, drive_resistance
from drc.facts.rails import block_rails, supply_voltage
from drc.facts.ratings import rating
from drc.facts.region import region
from drc.facts.walk import Region
from drc.quantity.text import format_value
from drc.quantity.unit import AMPERE, OHM

if TYPE_CHECKING:
    from drc.circuit.network import Array

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
    load = region(book, net, without=frozenset({f"{block.path} output"}))
    level = supply if state == "high" else ground
    return _solved(block, load, net.name, Driver(level, ohm, state))


class Driver(NamedTuple):
    """A driven state: its level (V) behind its resistance (ohm)."""

    level: Dependence
    ohm: float
    state: State


def _solved(block: Block, load: Region, node: str, driver: Driver) -> Quantity:
    """The current out of the driver into the region of its load."""
    level, ohm, state = driver
    values = [branch_ohm for _, branch_ohm in load.branches]
    held = list(load.stiff.values())
    blocked = missing(*load.obstacles, *values, *held)
    if blocked is not None:
        return blocked
    label = f"{block.path} output {state}"
    branches = (*(branch for branch, _ in load.branches), Branch(label, "driver", node, ohm))
    stiff = {**dict.fromkeys(load.stiff, 0.0), "driver": 0.0}
    network = Network(branches, stiff, {}, tuple(junction for junction, _ in load.junctions))
    sign = 1.0 if state == "high" else -1.0

    def law(*columns: "Array") -> "Array":
        count, stiffs = len(values), len(held)
        drops = np.stack(columns[count + stiffs + 1 :], axis=1) if load.junctions else None
        ohms = np.stack((*columns[:count], np.full(len(columns[-1]), ohm)), axis=1)
        volts = np.stack(columns[count : count + stiffs + 1], axis=1)
        return np.maximum(0.0, sign * _driver_current(network, ohms, volts, drops))

    evidence = input_of(label, format_value(ohm, OHM), "part file", block.part.place)
    text = f"current through the output driven {state}, into the network on it"
    return each_state(
        lambda *each: combine(law, *each, unit=AMPERE, text=text, inputs=(evidence,)),
        *values, *held, level, *(drop for _, drop in load.junctions),
    )  # fmt: skip


def _driver_current(network: Network, ohms: "Array", volts: "Array", drops: "Array | None") -> "Array":
    """Current out of the last held node, (draws,); rows of equal drops are solved together."""
    if drops is None:
        return dc.operating(network, ohms, volts).stiff_amperes[:, -1]
    result = np.empty(len(ohms))
    for row in np.unique(drops, axis=0):
        rows = (drops == row).all(axis=1)
        junctions = tuple(
            j._replace(drop_v=float(drop)) for j, drop in zip(network.junctions, row, strict=True)
        )
        point = dc.operating(network._replace(junctions=junctions), ohms[rows], volts[rows])
        result[rows] = point.stiff_amperes[:, -1]
    return result


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
