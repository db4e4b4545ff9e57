"""Facts about what the output works on: a transistor's load, a coil, an LED."""

import re
from collections.abc import Iterator
from typing import NamedTuple

from drc.blocks.model import Block
from drc.circuit.model import Element, Net
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.conduction import Stage, hops, is_held
from drc.facts.elements import fitted, rough_ohm
from drc.facts.feed import joined_nets, joined_voltage, known
from drc.facts.lead import own_pins
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.rest import rest
from drc.facts.stated import about_net, statements
from drc.intent.match import matches
from drc.intent.model import Expect
from drc.intent.model import Load as Stated

LED = re.compile(r"LED", re.IGNORECASE)

LOAD_OHM = 1000.0
"""A resistor up to here behind a transistor is a load; a larger one pulls a signal (common practice)."""

COIL_H = 100e-6
"""An inductance up to here, where it is stated, is a bead or a filter and no coil (common practice)."""

FURTHEST = 4
"""Steps from the output to the transistor that works its load."""


class Load(NamedTuple):
    """A transistor or switch that works a load, and whether it conducts while the output is high."""

    stage: Stage
    on_while_high: bool


def behind_output_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about what the output works on."""
    return (
        line("load.at_rest", "name", "load behind the output's transistor at rest: on or off", _at_rest),
        line(
            "load.inverted",
            "truth",
            "whether the load behind the transistor is on while the output is low",
            _inverted,
        ),
        line(
            "rest.intended", "truth", "whether an expectation speaks of its rest or polarity", _rest_intended
        ),
        line(
            "output.unclamped",
            "name",
            "coil on the output or its transistor without a diode, or `none`",
            _unclamped,
        ),
        line(
            "output.bare_led",
            "name",
            "LED between the output and a rail without a resistor, or `none`",
            _bare_led,
        ),
        line("output.used", "truth", "whether anything is on the output", _used),
    )


def loads(book: Book, block: Block) -> tuple[Load, ...]:
    """The transistors and switches that the output works, out of which a load and no signal comes."""
    found = book.once(("loads", block.path), lambda: tuple(_loads(book, block)))
    return () if isinstance(found, Unknown) else found


def _loads(book: Book, block: Block) -> Iterator[Load]:
    """Through resistors and gates, up to the first transistor or switch."""
    start = block.net("output")
    waiting = [(start, False, 0)] if start is not None and not is_held(book, start) else []
    seen = {start.name} if start is not None else set()
    while waiting:
        net, turned, steps = waiting.pop(0)
        for worked in (*_transistors(book, net), *_switches(book, net)):
            if _is_load(book, worked):
                yield Load(worked, _conducts_high(book, worked) != turned)
        for hop in hops(book, net):
            stage = hop.stage
            if stage is None or stage.kind == "gate":
                onward = hop.inverts is not None and steps < FURTHEST
                if onward and hop.net.name not in seen and (stage is not None or _series(book, hop.through)):
                    seen.add(hop.net.name)
                    waiting.append((hop.net, turned != hop.inverts, steps + 1))


def _transistors(book: Book, net: Net) -> Iterator[Stage]:
    """Those with their base or gate on the net, which pull to a net that stands still.

    A line names collector, base, emitter; or drain, gate, source.
    """
    for element, position in book.pins(net):
        if element.kind in "QM" and position == 1 and fitted(book, element):
            upper, _, lower = element.nets[:3]
            if is_held(book, lower) and known(book, upper) is None:
                yield Stage(element.path, "transistor", upper, lower)


def _switches(book: Book, net: Net) -> Iterator[Stage]:
    """The switches of part files that the net works."""
    for hop in hops(book, net):
        if hop.stage is not None and hop.stage.kind == "switch" and net in _inputs(book, hop.stage.path):
            yield hop.stage


def _inputs(book: Book, path: str) -> tuple[Net, ...]:
    """The input nets of a helper."""
    return tuple(net for helper in book.at(path) for net in helper.pins.get("input", ()))


def _series(book: Book, path: str) -> bool:
    """A resistor, link or bead, or a statement that joins two nets; a diode may hold off."""
    element = book.board.circuit.element(path)
    return element is None or element.kind in "RL"


def _conducts_high(book: Book, stage: Stage) -> bool:
    """Whether a high level at its input makes a transistor or switch conduct."""
    helpers = book.at(stage.path)
    if helpers:
        switch = helpers[0].part.switch
        pin = helpers[0].part.inputs.get("input")
        return (pin is None or pin.active != "low") and not (
            switch is not None and switch.side == "high" and switch.inverts
        )
    element = book.board.circuit.element(stage.path)
    kind = element.model.kind if element is not None and element.model is not None else ""
    if kind:
        return not kind.startswith("p")
    return stage.toward is not None and stage.toward.is_ground


def _is_load(book: Book, stage: Stage) -> bool:
    """A coil, a small resistor to a rail, or a part that nobody knows; not another block's input."""
    net = stage.output
    if any(
        pin.role not in ("supply", "ground") for pin in own_pins(book, net) if pin.block.path != stage.path
    ):
        return False
    return any(_loading(book, pin.element, net) for pin in book.pins(net) if pin.element.path != stage.path)


def _loading(book: Book, element: Element, net: Net) -> bool:
    """Whether an element takes power."""
    if not fitted(book, element):
        return False
    if element.kind == "X":
        return not book.of(element)
    if element.kind == "R":
        ohm = rough_ohm(book, element)
        return ohm is not None and ohm <= LOAD_OHM
    return element.kind == "L" or (element.kind == "D" and bool(LED.search(element.part or "")))


def _at_rest(book: Book, block: Block, name: str) -> Fact:
    """By the output's rest and the transistor's kind."""
    found, level = loads(book, block), rest(book, block, "output.rest").value
    if not found:
        return Fact(name, Unknown(f"no transistor with a load is behind {block.path}", ("load",)))
    if isinstance(level, Unknown):
        return Fact(name, level)
    if level not in ("low", "high"):
        return Fact(name, Unknown(f"the output of {block.path} is left open at rest", ("output.rest",)))
    burning = [load for load in found if load.on_while_high == (level == "high")]
    law = f"the output rests {level}, and {burning[0].stage.path} conducts then" if burning else ""
    return Fact(name, "on" if burning else "off", law if burning else f"the output rests {level}")


def _inverted(book: Book, block: Block, name: str) -> Fact:
    """Any of the loads."""
    found = loads(book, block)
    if not found:
        return Fact(name, Unknown(f"no transistor with a load is behind {block.path}", ("load",)))
    return Fact(name, any(not load.on_while_high for load in found), "by the kind of the transistor")


def _rest_intended(book: Book, block: Block, name: str) -> Fact:
    """An `expect` of rest, polarity or code names the block."""
    named = any(
        each.quantity in ("rest", "polarity", "code") and matches(each.block, block.path)
        for each in statements(book, Expect)
    )
    return Fact(name, named, "an expect statement names its rest, polarity or code")


def _own_nets(book: Book, block: Block) -> tuple[Net, ...]:
    """The output's net and what is joined to it; no rail that it meets through a coil."""
    own = block.net("output")
    nets = joined_nets(book, own) if own is not None else ()
    return tuple(net for net in nets if net == own or known(book, net) is None)


def _unclamped(book: Book, block: Block, name: str) -> Fact:
    """A coil on the output's own net or its transistor's, where no diode stands."""
    for net in (*_own_nets(book, block), *(load.stage.output for load in loads(book, block))):
        elements = [pin.element for pin in book.pins(net) if fitted(book, pin.element)]
        coils = [each for each in elements if each.kind == "L" and _coil(each) and _to_rail(book, each, net)]
        clamps = [each for each in elements if each.kind in "DZ" or "TVS" in (each.part or "").upper()]
        if coils and not clamps:
            return Fact(name, coils[0].path, f"no diode is on {net.name} beside {coils[0].path}")
    return Fact(name, "none", "no coil is switched without a diode")


def _coil(element: Element) -> bool:
    """Whether an inductor may be a relay's or a motor's coil."""
    return element.value is None or element.value > COIL_H


def _to_rail(book: Book, element: Element, net: Net) -> bool:
    """Whether the coil's other end is held."""
    return any(other != net and joined_voltage(book, other) is not None for other in element.nets)


def _bare_led(book: Book, block: Block, name: str) -> Fact:
    """An LED with one end on the output and the other on a net that is held."""
    for net in _own_nets(book, block):
        for element, position in book.pins(net):
            led = element.kind == "D" and LED.search(element.part or "") and fitted(book, element)
            if led and joined_voltage(book, element.nets[1 - position]) is not None:
                return Fact(name, element.path, f"{element.path} stands between {net.name} and a rail")
    return Fact(name, "none", "no LED stands between the output and a rail")


def _used(book: Book, block: Block, name: str) -> Fact:
    """More than the block's own pin is on the net, or a statement says what hangs on it elsewhere."""
    net = block.net("output")
    if net is None:
        return Fact(name, Unknown(f"{block.path} has no output pin", (f"{block.path} output pin",)))
    drawn = any(pin.element != block.element for pin in book.pins(net))
    return Fact(name, drawn or about_net(book, Stated, net) is not None, f"what else is on {net.name}")
