"""Facts about input pins as the board leaves them: floating, between the levels, slow, resting."""

from typing import TYPE_CHECKING

import numpy as np

from drc.blocks.model import Block, Relative
from drc.circuit.model import Net
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.chains import arriving
from drc.facts.contacts import is_plug, open_contact
from drc.facts.dependence import Dependence, Quantity, States, fact, lift
from drc.facts.equivalent import clamped_only, equivalent
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.rails import anchor, ground_voltage, own_rails, supply_voltage
from drc.facts.region import capacitance, node_voltage, region, thevenin
from drc.facts.stated import about_net
from drc.facts.walk import Region
from drc.intent.model import Signal
from drc.quantity.span import exact
from drc.quantity.unit import SECOND, VOLT

if TYPE_CHECKING:
    from drc.circuit.network import Array

INPUT_ROLES = ("enable", "reset", "trigger", "signal", "modulate", "select")
"""Roles of pins that must be held by something."""

LEVEL_ROLES = ("enable", "reset", "trigger", "signal", "select")
"""Roles of pins that read their level as low or high."""

EDGE_FACTOR = float(np.log(9))
"""From 10 % to 90 % of a step through one resistance and one capacitance: t = RC ln 9, circuit theory."""


def input_level_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about what holds the input pins."""
    return (
        line("input.floating", "name", "role of an input pin that nothing holds, or `none`", _floating),
        line("input.level_margin", VOLT, "distance of the worst input from the levels it reads", _margin),
        line(
            "input.level_worst", "name", "role of the input that is nearest to neither level", _margin_worst
        ),
        line("input.edge_time", SECOND, "rise time of the slowest input behind a capacitor", _edge_time),
        line("input.hysteresis", VOLT, "hysteresis of that input", _hysteresis),
        line("input.slowest", "name", "role of that input", _slowest),
        line("trigger.rest", "name", "trigger pin at rest: low, high, tied or moved", _trigger_rest),
        line("trigger.edge", "name", "edge that triggers: rising, falling or both", _trigger_edge),
    )


def _floating(book: Book, block: Block, name: str) -> Fact:
    """The first pin without a path to anything that holds it; internal pulls hold."""
    unsure: list[Unknown] = []
    for role in INPUT_ROLES:
        net = block.net(role)
        if net is None:
            continue
        held = book.once(("held input", block.path, role), lambda n=net, r=role: holds(book, block, r, n))  # type: ignore[misc]
        if isinstance(held, Unknown):
            unsure.append(held)
        elif not held:
            return Fact(
                name, role, f"nothing on {net.name} holds a level, and the pin has no pull of its own"
            )
    return Fact(name, unsure[0] if unsure else "none", "each input is held, driven or pulled")


def holds(book: Book, block: Block, role: str, net: Net) -> bool | Unknown:
    """Whether something sets the level of an input; unknown where only parts that nobody knows might."""
    given = block.part.inputs.get(role)
    if given is not None and given.pull is not None:
        return True
    around = region(book, net, without=frozenset({f"{block.path} {role}"}))
    if _stated(book, around) or (around.stiff and not clamped_only(around)):
        return True
    obstacles = [each for each in around.obstacles if not open_contact(book, each)]
    if obstacles:
        return obstacles[0]
    plug = next((path for inner in around.nets for path in _plugs(book, inner)), None)
    if plug is not None:
        because = f"only what is plugged into {plug} can hold the {role} pin of {block.path}"
        return Unknown(because, (f"signal {net.name}",))
    return bool(around.injections and any(current.nominal for _, current in around.injections))


def _stated(book: Book, around: Region) -> bool:
    """Whether a `signal` statement speaks of one of the nets."""
    nets = (book.board.circuit.net(name) for name in around.nets)
    return any(net is not None and about_net(book, Signal, net) is not None for net in nets)


def _plugs(book: Book, name: str) -> tuple[str, ...]:
    """The connectors on a net; test points and holes are none."""
    net = book.board.circuit.net(name)
    paths = [pin.element.path for pin in book.pins(net)] if net is not None else []
    return tuple(path for path in paths if is_plug(path))


def _levels(block: Block, role: str) -> tuple[Relative, Relative] | None:
    """The levels up to which a pin reads low and from which it reads high."""
    pin = block.part.inputs.get(role)
    return None if pin is None or pin.low is None or pin.high is None else (pin.low, pin.high)


def _static(book: Block, role: str) -> bool:
    """Whether a pin is on a net other than the block's own supply and ground."""
    net = book.net(role)
    return net is not None and net not in (book.net("supply"), book.net("ground"))


def _margins(book: Book, block: Block) -> dict[str, Quantity]:
    """The distance of each input from its levels, V, negative between them; not of what a chain drives."""
    found: dict[str, Quantity] = {}
    for role in LEVEL_ROLES:
        net, levels = block.net(role), _levels(block, role)
        if net is None or levels is None or not _static(block, role) or arriving(book, net):
            continue
        statement = about_net(book, Signal, net)
        if statement is not None and statement.voltage is not None:
            continue
        if holds(book, block, role, net) is not True:
            continue
        found[role] = _margin_of(book, block, net, levels)
    return found


def _margin_of(book: Book, block: Block, net: Net, levels: tuple[Relative, Relative]) -> Quantity:
    """max(V_low - V, V - V_high)."""
    low, high = levels

    def law(volts: "Array", supply: "Array", ground: "Array") -> "Array":
        above = volts - ground
        under = low.of_supply * supply + low.offset - above
        return np.asarray(np.maximum(under, above - high.of_supply * supply - high.offset))

    return lift(
        law, node_voltage(book, net), supply_voltage(book, block), ground_voltage(book, block),
        unit=VOLT, text="max(V_low - V, V - V_high)",
    )  # fmt: skip


def _worst_margin(book: Book, block: Block) -> tuple[str, Quantity] | Unknown:
    """The input that is nearest to neither level."""
    found = book.once(("input margins", block.path), lambda: _margins(book, block))
    known = (
        {role: q for role, q in found.items() if not isinstance(q, Unknown)}
        if isinstance(found, dict)
        else {}
    )
    if not known:
        return Unknown(f"no input of {block.path} is held by resistors alone", (f"{block.path} inputs",))
    role = min(known, key=lambda r: _least(known[r]))
    return role, known[role]


def _least(quantity: Quantity) -> float:
    """The least nominal value over the states."""
    if isinstance(quantity, States):
        return min(each.nominal for _, each in quantity.states)
    return quantity.nominal if isinstance(quantity, Dependence) else 0.0


def _margin(book: Book, block: Block, name: str) -> Fact:
    """Of the worst input."""
    found = _worst_margin(book, block)
    return Fact(name, found) if isinstance(found, Unknown) else fact(name, found[1], book.options)


def _margin_worst(book: Book, block: Block, name: str) -> Fact:
    """Its role."""
    found = _worst_margin(book, block)
    return Fact(name, found if isinstance(found, Unknown) else found[0], "the input nearest to neither level")


def _edges(book: Book, block: Block) -> tuple[str, Quantity] | Unknown:
    """The input with the largest RC in front of it, and its rise time."""
    slowest: tuple[str, Quantity, float] | None = None
    for role in LEVEL_ROLES:
        net = block.net(role)
        if net is None or not _static(block, role) or block.part.function == "rc-timer":
            continue
        farad, around = capacitance(book, net), thevenin(book, net)
        if isinstance(farad, Unknown) or farad.nominal == 0 or isinstance(around, Unknown):
            continue
        time = lift(
            lambda r, c: EDGE_FACTOR * r * c, around.resistance, farad, unit=SECOND, text="t = ln 9 R C"
        )
        size = _least(time)
        if np.isfinite(size) and (slowest is None or size > slowest[2]):
            slowest = (role, time, size)
    if slowest is None:
        return Unknown(f"no input of {block.path} stands behind a capacitor", (f"{block.path} inputs",))
    return slowest[0], slowest[1]


def _edge_time(book: Book, block: Block, name: str) -> Fact:
    """Of the slowest input."""
    found = _edges(book, block)
    return Fact(name, found) if isinstance(found, Unknown) else fact(name, found[1], book.options)


def _slowest(book: Book, block: Block, name: str) -> Fact:
    """Its role."""
    found = _edges(book, block)
    return Fact(name, found if isinstance(found, Unknown) else found[0], "the input behind the largest R C")


def _hysteresis(book: Book, block: Block, name: str) -> Fact:
    """What the part file gives of the slowest input."""
    found = _edges(book, block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    pin, supply = block.part.inputs.get(found[0]), supply_voltage(book, block)
    if pin is None or pin.hysteresis is None:
        because = f"part {block.part.name} gives no hysteresis of its {found[0]} pin"
        return Fact(name, Unknown(because, (f"{block.part.name} input.{found[0]}.hysteresis",)))
    if pin.hysteresis.of_supply == 0:
        return Fact(name, exact(pin.hysteresis.offset, VOLT), "the part file's hysteresis")
    if isinstance(supply, Unknown):
        return Fact(name, supply)
    volts = exact(pin.hysteresis.volts(supply.nominal), VOLT)
    return Fact(name, volts, "the part file's hysteresis at the supply")


def _trigger_rest(book: Book, block: Block, name: str) -> Fact:
    """By the resistors on the pin, whatever pulses are stated, and buttons open."""
    net = block.net("trigger")
    if net is None:
        return Fact(name, Unknown(f"{block.path} has no trigger pin", ("trigger pin",)))
    found = region(book, net, without=frozenset({f"{block.path} trigger"}))
    closed = tuple(each for each in found.obstacles if not open_contact(book, each))
    around = equivalent(found._replace(obstacles=closed), net.name)
    if isinstance(around, Unknown):
        return Fact(name, around)
    volts, ohm, supply = around.voltage, around.resistance, supply_voltage(book, block)
    statement = about_net(book, Signal, net)
    if isinstance(volts, States) or (statement is not None and statement.voltage is not None):
        return Fact(name, "moved", f"something drives {net.name}")
    ground = ground_voltage(book, block)
    if isinstance(volts, Unknown) or isinstance(supply, Unknown) or isinstance(ground, Unknown):
        unknown = next(each for each in (volts, supply, ground) if isinstance(each, Unknown))
        return Fact(name, unknown)
    if isinstance(ohm, Dependence) and ohm.nominal == 0 and anchor(book, net) in own_rails(book, block):
        return Fact(name, "tied", f"{net.name} is joined to a net that is held")
    if supply.nominal <= 0:
        return Fact(name, Unknown(f"the supply of {block.path} is not above its ground", ("supply.voltage",)))
    share = (volts.nominal - ground.nominal) / supply.nominal
    rest = "low" if share < 1 / 3 else "high" if share > 2 / 3 else "moved"
    return Fact(name, rest, f"the resistors on {net.name} leave it there")


def _trigger_edge(_: Book, block: Block, name: str) -> Fact:
    """Of the part."""
    trigger = block.part.trigger
    if trigger is None or trigger.edge is None:
        because = f"part {block.part.name} does not give trigger.edge"
        return Fact(name, Unknown(because, (f"{block.part.name} trigger.edge",)))
    return Fact(name, trigger.edge, "the part file's trigger")
