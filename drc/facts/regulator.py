"""What regulators and references hold their output net at."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from drc.blocks.model import Block, Regulator
from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, constant, input_of, lift, missing, spread, varying
from drc.facts.equivalent import equivalent
from drc.facts.lead import OwnPin, own_pins
from drc.facts.model import Unknown
from drc.facts.walk import PinAtDc, Taking, Terms, walk
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.quantity.unit import VOLT

if TYPE_CHECKING:
    from drc.circuit.network import Array

RailOf = Callable[[Book, Net], Quantity | None]


def regulator_on(book: Book, net: Net) -> Block | None:
    """The regulator or reference whose output pin is on a net."""
    for pin in own_pins(book, net):
        if pin.role == "output" and pin.block.part.regulator is not None:
            return pin.block
    return None


def regulator_output(book: Book, block: Block, rail: RailOf) -> Quantity:
    """The output of a regulator against node 0, V; unknown where its ground or what feeds it is.

    An input short of output and dropout voltage gives the input less the dropout; a negative output loses
    in size, whether what feeds it is negative too or is turned round. `rail` tells the voltage of other nets.
    """
    regulator = block.part.regulator
    assert regulator is not None
    ground = _pin_voltage(book, block, "ground", rail)
    feeding = _pin_voltage(book, block, "supply", rail)
    rise = _rise(book, block, regulator, rail)
    unknown = missing(ground, feeding, rise)
    if unknown is not None:
        return unknown
    found = rise if ground is None else lift(np.add, ground, rise, unit=VOLT, text=f"{block.path} output")
    if isinstance(feeding, Dependence) and feeding.assumptions:
        found = lift(_same, found, unit=VOLT, text=f"{block.path} output", assumptions=feeding.assumptions)
    dropout = regulator.dropout
    if feeding is None or dropout is None or not _starved(book, feeding, found, dropout):
        return _enabled(book, block, found, rail)
    text = f"what feeds {block.path} less its dropout voltage, at most its output voltage"
    law = _dropping(dropout)
    return _enabled(book, block, lift(law, found, feeding, unit=VOLT, text=text), rail)


def _dropping(dropout: float) -> "Callable[[Array, Array], Array]":
    """Output voltage of a regulator whose input may be short, V."""

    def law(output: "Array", feeding: "Array") -> "Array":
        below = np.minimum(dropout - np.abs(feeding), 0.0)
        return np.where(output < 0, np.maximum(output, below), np.minimum(output, feeding - dropout))

    return law


def _starved(book: Book, feeding: Quantity, output: Quantity, dropout: float) -> bool:
    """Whether somewhere in its range the input is short of output and dropout voltage."""
    if not isinstance(feeding, Dependence) or not isinstance(output, Dependence):
        return True
    fed = spread(feeding, "extreme", book.options, "input")
    given = spread(output, "extreme", book.options, "output")
    if given.high < 0:
        least = 0.0 if fed.low < 0 < fed.high else min(abs(fed.low), abs(fed.high))
        return least < dropout - given.low
    return fed.low < given.high + dropout


def _pin_voltage(book: Book, block: Block, role: str, rail: RailOf) -> Quantity | None:
    """The voltage of a pin; None where the part has no such pin, and for a ground pin on node 0."""
    net = block.net(role)
    if net is None or (role == "ground" and net.is_ground):
        return None
    found = rail(book, net)
    if found is None:
        return Unknown(
            f"nothing says what {net.name} ({block.path} {role}) is at", (f"voltage of {net.name}",)
        )
    return found


def _rise(book: Book, block: Block, regulator: Regulator, rail: RailOf) -> Quantity:
    """The output above the ground pin: fixed, or set by the divider on the feedback pin."""
    if regulator.feedback is not None and block.net("feedback") is not None:
        return _divided(book, block, regulator.feedback, rail)
    if regulator.output is None:
        needed = (f"{block.part.name} regulator output",)
        return Unknown(f"the part file of {block.part.name} does not give its output", needed)
    evidence = input_of(f"{block.path} output", format_span(regulator.output), "part file", block.part.place)
    return varying(f"{block.path} output", regulator.output, evidence, bias=True)


def _divided(book: Book, block: Block, feedback: Span, rail: RailOf) -> Quantity:
    """V_out = (V_fb - V_0) / (V_1 - V_0): V_0 and V_1 at the feedback pin with the output at 0 V and 1 V."""
    output, pin = block.net("output"), block.net("feedback")
    assert output is not None  # it was found by its output
    assert pin is not None
    if output == pin:
        return varying(f"{block.path} output", feedback, bias=True)
    seen: list[Quantity] = []
    for volts in (0.0, 1.0):
        held = {output.name: constant(volts, VOLT)}
        terms = Terms(rail, _light, held, without=frozenset({f"{block.path} feedback"}))
        found = equivalent(walk(book, pin, terms), pin.name)
        if isinstance(found, Unknown):
            return found
        seen.append(found.voltage)
    evidence = input_of(f"{block.path} feedback", format_span(feedback), "part file", block.part.place)
    wanted = varying(f"{block.path} feedback", feedback, evidence, bias=True)
    text = "V_out = (V_fb - V_0) / (V_1 - V_0) of the divider on the feedback pin"
    return lift(lambda fb, at_0, at_1: (fb - at_0) / (at_1 - at_0), wanted, *seen, unit=VOLT, text=text)


def _light(_: Book, pin: OwnPin) -> PinAtDc:
    """Pins met on the way to a feedback pin."""
    return Taking(None) if pin.role == "feedback" else Unknown(f"{pin.label} is on it", (pin.label,))


def _enabled(book: Book, block: Block, output: Quantity, rail: RailOf) -> Quantity:
    """The output of a regulator that may have an enable pin: held low it gives nothing."""
    net = block.net("enable")
    if net is None or isinstance(output, Unknown):
        return output
    level = constant(0.0, VOLT) if net.is_ground else rail(book, net)
    if isinstance(level, Dependence):
        given = block.part.inputs.get("enable")
        low_active = given is not None and given.active == "low"
        on = (level.nominal <= 0) == low_active
        return output if on else constant(0.0, VOLT, text=f"{block.path} is not enabled")
    note = f"{block.path} is enabled"
    return lift(_same, output, unit=VOLT, text=f"{block.path} output", assumptions=(note,))


def _same(volts: "Array") -> "Array":
    """The voltage itself: what is added to it are assumptions."""
    return volts
