"""What level an input pin is at: low, high, or switched between the two."""

from collections.abc import Mapping
from typing import Literal

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.chains import arriving
from drc.facts.dependence import Dependence, Quantity, States, combine, missing, spread
from drc.facts.model import Unknown
from drc.facts.rails import ground_voltage, supply_voltage
from drc.facts.region import node_voltage
from drc.facts.stated import about_net
from drc.intent.model import Signal
from drc.quantity.text import format_span
from drc.quantity.unit import VOLT

Level = Literal["low", "high", "switched"]


_ONE: Mapping[tuple[str, ...], Level] = {("low",): "low", ("high",): "high"}
"""The level where there is only one."""


def logic_level(book: Book, block: Block, role: str) -> Level | Unknown:
    """The level at which the board holds an input pin, against the part's levels at its own supply.

    `switched` where a signal or another block's output takes it to both. Unknown where it floats, or
    lies between the levels.
    """
    return book.once(("logic level", block.path, role), lambda: _logic_level(book, block, role))


def _logic_level(book: Book, block: Block, role: str) -> Level | Unknown:
    net, pin = block.net(role), block.part.inputs.get(role)
    if net is None:
        return Unknown(f"{block.path} has no {role} pin", (f"{role} pin",))
    if net in (block.net("supply"), block.net("ground")):
        return "high" if net == block.net("supply") else "low"
    statement = about_net(book, Signal, net)
    if statement is not None and statement.voltage is None:
        return "switched"
    if pin is None or pin.low is None or pin.high is None:
        because = f"part {block.part.name} gives no levels of its {role} pin"
        return Unknown(because, (f"{block.part.name} input.{role}",))
    volts, supply, ground = node_voltage(book, net), supply_voltage(book, block), ground_voltage(book, block)
    unknown = missing(volts, supply, ground)
    if isinstance(supply, Unknown) or isinstance(ground, Unknown):
        return unknown or Unknown(net.name)
    if unknown is not None:
        # Behind a transistor the voltage is not solved here, but it is known to go up and down.
        return "switched" if arriving(book, net) else unknown
    low, high = pin.low, pin.high
    levels = {
        _level(
            book,
            combine(lambda v, s, g: v - g - low.of_supply * s - low.offset, at, supply, ground, unit=VOLT),
            combine(lambda v, s, g: v - g - high.of_supply * s - high.offset, at, supply, ground, unit=VOLT),
        )
        for at in _states(volts)
    }
    if "between" not in levels:
        return _ONE.get(tuple(levels), "switched")
    at = next(iter(_states(volts)))
    shown = format_span(spread(at, "extreme", book.options, role))
    because = f"{net.name} at {shown} need not be read as low or high by the {role} pin of {block.path}"
    return Unknown(because, (f"voltage of {net.name}",))


def _states(volts: Quantity) -> tuple[Dependence, ...]:
    """The states of a voltage, or the one that it has."""
    if isinstance(volts, States):
        return tuple(state for _, state in volts.states)
    return (volts,) if isinstance(volts, Dependence) else ()


def _level(book: Book, over_low: Dependence, over_high: Dependence) -> str:
    """Low or high where it is certain, switched where the span holds both, else between."""
    low = spread(over_low, "extreme", book.options, "over low")
    high = spread(over_high, "extreme", book.options, "over high")
    if low.high <= 0:
        return "low"
    if high.low >= 0:
        return "high"
    return "switched" if low.low <= 0 <= high.high else "between"
