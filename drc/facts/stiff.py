"""Nets whose voltage a statement or a source holds, and nets that feed supply pins."""

import math

from drc.circuit.model import Element, Net
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, States, constant, input_of, lift, varying
from drc.facts.lead import own_pins
from drc.facts.model import Unknown
from drc.facts.stated import about_net, same_nets
from drc.intent.model import Signal, Supply
from drc.quantity.span import Span
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import VOLT

COMES_UP_S = 0.01
"""A pulse on a supply that stays up so long, or for good, shows how it comes up: common practice, s."""

SUPPLY_NAMES = frozenset({"VDD", "VCC", "V+", "VS", "VIN", "AVDD", "DVDD", "AVCC", "VDDA", "VBAT"})
"""Header names that mark the supply pin of a part that no part file knows (common practice)."""


def held(book: Book, net: Net) -> Quantity | None:
    """The voltage of a net that a statement or a source holds, V; None if none does."""
    return book.once(("held", net.name), lambda: _held(book, net, frozenset()))


def _held(book: Book, net: Net, seen: frozenset[str]) -> Quantity | None:
    """In the order of trust; `seen` are nets that lean on this one."""
    if net.is_ground:
        return constant(0.0, VOLT, input_of(net.name, "0 V", "node 0"))
    return _stated(book, net) or _sourced(book, net, seen) or _same(book, net, seen)


def _stated(book: Book, net: Net) -> Quantity | None:
    """By a `supply` statement or a `signal` statement with a voltage."""
    supply = about_net(book, Supply, net)
    if supply is not None:
        return _span(f"net {net.name}", net.name, supply.voltage, "statement", supply)
    signal = about_net(book, Signal, net)
    if signal is not None and signal.voltage is not None:
        return _span(f"net {net.name}", net.name, signal.voltage, "statement", signal)
    return None


def _span(name: str, label: str, span: Span, origin: str, statement: Supply | Signal) -> Dependence:
    """A voltage between limits that no draw samples."""
    text = format_span(span) + (" (no nominal: the middle stands in)" if span.nominal is None else "")
    evidence = input_of(label, text, origin, statement.place)
    if span.low == span.high:
        return constant(span.low, VOLT, evidence, text=label)
    return varying(name, span, evidence, bias=True)


def _sourced(book: Book, net: Net, seen: frozenset[str]) -> Quantity | None:
    """By a voltage source to ground, or to a net that is held itself."""
    sources = [pin for pin in book.pins(net) if pin.element.kind == "V" and len(pin.element.nets) == 2]
    ends = [(pin, pin.element.nets[1 - pin.position]) for pin in sources]
    for pin, other in sorted(ends, key=lambda end: not end[1].is_ground):
        if other == net or other.name in seen:
            continue
        below = _held(book, other, seen | {net.name})
        if below is not None:
            rise = _source_voltage(book, pin.element, net)
            sign = 1.0 if pin.position == 0 else -1.0
            if other.is_ground and sign > 0:
                return rise
            return lift(lambda base, step, s=sign: base + s * step, below, rise, unit=VOLT, text=net.name)
    return None


def zero_sources(book: Book, net: Net) -> tuple[Net, ...]:
    """The nets that sources of 0 V join to this one."""
    return tuple(
        pin.element.nets[1 - pin.position]
        for pin in book.pins(net)
        if pin.element.kind == "V" and pin.element.waveform and pin.element.waveform.levels == (0.0,)
    )


def _source_voltage(book: Book, element: Element, net: Net) -> Quantity:
    """What a V element makes: its settled value on a net that feeds something, else its levels."""
    wave = element.waveform
    if wave is None or not all(map(math.isfinite, wave.levels)):
        return Unknown(f"{element.path} has no voltage that can be", (f"{element.path} value",))
    stays = wave.period_s is None or (wave.high_s or 0.0) >= COMES_UP_S
    if wave.kind == "pulse" and stays and len(wave.levels) == 2 and feeds(book, net):
        # A supply drawn as a pulse shows how it comes up: it is judged at the level that it comes up to.
        full = max(wave.levels, key=abs)
        evidence = input_of(element.path, f"{format_value(full, VOLT)} once up", "line", element.place)
        return constant(full, VOLT, evidence, text=net.name)
    if wave.settled is not None and (len(wave.levels) <= 1 or feeds(book, net)):
        evidence = input_of(element.path, format_value(wave.settled, VOLT), "line", element.place)
        return constant(wave.settled, VOLT, evidence, text=net.name)
    if feeds(book, net) or not wave.levels:
        return Unknown(f"{element.path} never settles", (f"voltage of {net.name}",))
    states = []
    for level in dict.fromkeys(wave.levels):
        text = format_value(level, VOLT)
        evidence = input_of(element.path, text, "line", element.place)
        states.append((((net.name, text),), constant(level, VOLT, evidence, text=net.name)))
    return States(tuple(states)) if len(states) > 1 else states[0][1]


def _same(book: Book, net: Net, seen: frozenset[str]) -> Quantity | None:
    """By a `same` statement that joins it to a net that is held."""
    for other, _ in same_nets(book, net):
        if other.name not in seen:
            found = _held(book, other, seen | {net.name})
            if found is not None:
                return found
    return None


def feeds(book: Book, net: Net) -> bool:
    """Whether a supply pin is on the net: of a block, a helper, or a part whose header names one."""
    return book.once(("feeds", net.name), lambda: _feeds(book, net)) is True


def _feeds(book: Book, net: Net) -> bool:
    """By its pins: looked at once, for every walk that comes by a rail asks."""
    for pin in book.pins(net):
        blocks = book.of(pin.element)
        if any(
            net in block.pins.get(role, ()) for block in blocks for role in block.pins if _is_supply(role)
        ):
            return True
        header = pin.element.header or ()
        named = not blocks and pin.position < len(header) and header[pin.position].upper() in SUPPLY_NAMES
        if named:
            return True
    return False


def _is_supply(role: str) -> bool:
    """Whether a role is a supply, the first or a second."""
    return role == "supply" or role.startswith("supply-")


def driven(book: Book, net: Net) -> bool:
    """Whether the output of a timing block is on the net."""
    return any(pin.role == "output" and pin.block.part.regulator is None for pin in own_pins(book, net))
