"""What hands a changing level from net to net: resistors, capacitors, diodes, transistors, gates."""

from collections.abc import Iterator
from typing import Literal, NamedTuple

from drc.blocks.model import Block
from drc.circuit.model import Element, Net, Pin
from drc.facts.book import Book
from drc.facts.dependence import Dependence, States
from drc.facts.elements import fitted
from drc.facts.feed import joined_voltage, rail
from drc.facts.stated import same_nets

GATE_INVERTS: dict[str, bool] = {
    "buffer": False, "and": False, "or": False, "inverter": True, "nand": True, "nor": True,
}  # fmt: skip
"""Whether a gate turns the level of one input round, the others letting it through; xor may do either."""


class Stage(NamedTuple):
    """An active element of a chain: its path and kind, its output net, and the net that it pulls that to."""

    path: str
    kind: Literal["transistor", "switch", "follower", "gate", "regulator"]
    output: Net
    toward: Net | None = None


class Hop(NamedTuple):
    """One step of a level: the net that it reaches, by what element, whether turned round (None: either).

    `blocks_dc`: through a capacitor. `stage`: through something that drives the net anew.
    """

    net: Net
    through: str
    inverts: bool | None = False
    blocks_dc: bool = False
    stage: Stage | None = None


def is_held(book: Book, net: Net) -> bool:
    """Whether a net stands still: a ground, a stated or sourced voltage, a rail, or joined to one."""
    return book.once(("stands still", net.name), lambda: _is_held(book, net)) is True


def _is_held(book: Book, net: Net) -> bool:
    if net.is_ground or joined_voltage(book, net) is not None:
        return True
    return isinstance(rail(book, net), Dependence | States)


def hops(book: Book, net: Net) -> Iterator[Hop]:
    """Every step from a net, in source order; none to a net that stands still."""
    for pin in book.pins(net):
        if fitted(book, pin.element):
            yield from (hop for hop in _of_pin(book, net, pin) if hop.net != net)
    for other, _ in same_nets(book, net):
        if not is_held(book, other):
            yield Hop(other, f"same {net.name} {other.name}")


def _of_pin(book: Book, net: Net, pin: Pin) -> Iterator[Hop]:
    """The steps through one element."""
    element = pin.element
    helpers = [block for block in book.of(element) if _hands_on(block)]
    if helpers:
        for helper in helpers:
            yield from _through_helper(net, helper)
    elif element.kind in "RLCD":
        other = element.nets[1 - pin.position]
        if not is_held(book, other):
            yield Hop(other, element.path, blocks_dc=element.kind == "C")
    elif element.kind in "QM" and pin.position == 1:
        yield from _through_transistor(book, element)


def _through_transistor(book: Book, element: Element) -> Iterator[Hop]:
    """From base or gate: out of the collector turned round, or out of the emitter where that is free.

    A line names collector, base, emitter; or drain, gate, source.
    """
    upper, _, lower = element.nets[:3]
    if _stands(book, lower) and not is_held(book, upper):
        yield Hop(upper, element.path, True, stage=Stage(element.path, "transistor", upper, lower))
    elif is_held(book, upper) and not is_held(book, lower):
        yield Hop(lower, element.path, stage=Stage(element.path, "follower", lower, upper))


def _stands(book: Book, net: Net) -> bool:
    """Whether an emitter or source stands still, by itself or behind a resistor of its own."""
    if is_held(book, net):
        return True
    others = [e.nets[1 - n] for e, n in book.pins(net) if e.kind == "R" and fitted(book, e)]
    return len(others) == 1 and is_held(book, others[0])


def _hands_on(block: Block) -> bool:
    """Whether a helper's output answers its input."""
    return block.part.function in ("gate", "transistor-switch", "regulator")


def _through_helper(net: Net, helper: Block) -> Iterator[Hop]:
    """From an input of a gate or switch, or from what feeds a switch or regulator, to its output."""
    part, pins = helper.part, helper.pins
    ways: list[bool | None] = []
    kind: Literal["gate", "switch", "regulator"] = "gate"
    if part.function == "gate":
        if net in pins.get("input", ()):
            ways.append(_gate_inverts(helper))
    elif part.function == "transistor-switch":
        kind = "switch"
        if net in pins.get("input", ()):
            ways.append(part.switch.inverts if part.switch else None)
    else:
        kind = "regulator"
    if kind != "gate" and net in (*pins.get("supply", ()), *pins.get("enable", ())):
        ways.append(False)
    for inverts in ways:
        for output in pins.get("output", ()):
            toward = helper.net("ground" if part.switch and part.switch.side == "low" else "supply")
            yield Hop(output, helper.path, inverts, stage=Stage(helper.path, kind, output, toward))


def _gate_inverts(helper: Block) -> bool | None:
    """As the part file says, else by its function."""
    gate = helper.part.gate
    if gate is None:
        return None
    return gate.inverts if gate.inverts is not None else GATE_INVERTS.get(gate.logic or "")
