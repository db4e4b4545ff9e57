"""How far the voltages on a block's input pins lie from what the pins stand."""

from drc.blocks.model import Block, Relative
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, States, fact, lift, missing
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.rails import block_rails
from drc.facts.region import node_voltage
from drc.quantity.unit import VOLT


def input_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about input pins."""
    return (
        line("input.excess", VOLT, "voltage of the worst input above its limit; below 0 is room", _excess),
        line("input.worst", "name", "role of the input pin that is nearest to its limit or beyond", _worst),
    )


def limited_inputs(block: Block) -> dict[str, Relative]:
    """The connected input pins of which the part file gives a limit, by role."""
    given = {role: pin.limit for role, pin in block.part.inputs.items() if block.net(role) is not None}
    return {role: limit for role, limit in given.items() if limit is not None}


def excess(book: Book, block: Block, role: str, limit: Relative) -> Quantity:
    """Voltage of a pin above its limit, which may move with the block's own supply, V."""
    net, rails = block.net(role), block_rails(book, block)
    if net is None or isinstance(rails, Unknown):
        return missing(rails) or Unknown(f"{block.path} has no {role} pin", (f"{block.path} {role} pin",))
    supply, ground = rails
    return lift(
        lambda volt, high, low: volt - low - limit.of_supply * (high - low) - limit.offset,
        node_voltage(book, net), supply, ground, unit=VOLT, text=f"V({role} pin) - its limit",
    )  # fmt: skip


def _nominal(quantity: Quantity) -> float:
    """The largest nominal value over the states, for telling which pin is worst."""
    if isinstance(quantity, Dependence):
        return quantity.nominal
    return max(each.nominal for _, each in quantity.states) if isinstance(quantity, States) else 0.0


def _found(book: Book, block: Block) -> tuple[str, Quantity] | Unknown:
    """The worst pin and its excess; unknown where the voltage of one is, naming it."""
    limits = limited_inputs(block)
    if not limits:
        needed = (f"{block.part.name} input limit",)
        return Unknown(f"the part file of {block.part.name} gives no limit of an input", needed)
    each = {role: excess(book, block, role, limit) for role, limit in limits.items()}
    worst = max(each, key=lambda role: _nominal(each[role]))
    return missing(*each.values()) or (worst, each[worst])


def _excess(book: Book, block: Block, name: str) -> Fact:
    """Of the worst pin."""
    found = _found(book, block)
    return Fact(name, found) if isinstance(found, Unknown) else fact(name, found[1], book.options)


def _worst(book: Book, block: Block, name: str) -> Fact:
    """Its role."""
    found = _found(book, block)
    return Fact(name, found if isinstance(found, Unknown) else found[0], "the input nearest to its limit")
