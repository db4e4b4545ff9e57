"""Facts about supplies beyond the first voltage: what contradicts it, and a second supply of a block."""

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

import numpy as np

from drc.blocks.model import Block, SupplyRating
from drc.circuit.model import Net
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.dependence import fact, input_of, lift
from drc.facts.lead import Resistive
from drc.facts.leads import ways
from drc.facts.model import Entry, Fact, Input, Unknown
from drc.facts.rails import ground_voltage, rail
from drc.facts.ratings import rating
from drc.facts.stated import about_net
from drc.intent.model import Supply
from drc.quantity.span import Span, exact
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import VOLT


def supply_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about contradictions and second supplies."""
    return (
        line(
            "supply.contradicted",
            "truth",
            "whether a source lies outside what is stated of its net",
            _against,
        ),
        line(
            "supply.contested",
            "truth",
            "whether sources or statements hold the supply, or what it is joined to, at voltages that differ",
            _contested,
        ),
        line("second.voltage", VOLT, "voltage of the block's second supply pin", _voltage),
        line("second.rated", VOLT, "second supply at which the part keeps its figures", _rated),
        line("second.limit", VOLT, "second supply above which the part is damaged", _limit),
    )


class _Holder(NamedTuple):
    """What holds a net at a voltage against ground: a source, or a statement."""

    net: str
    span: Span
    evidence: Input

    def disagrees(self, other: "_Holder") -> bool:
        """Whether no voltage suits both; a statement against a source of its own net is told elsewhere."""
        slack = _ALIKE * max(abs(self.span.high), abs(other.span.high))
        apart = self.span.low > other.span.high + slack or other.span.low > self.span.high + slack
        return apart and (self.net != other.net or self.evidence.origin == other.evidence.origin)


_ALIKE = 1e-6
"""Relative difference up to which two voltages are one, written with other digits."""


def _contested(book: Book, block: Block, name: str) -> Fact:
    """Any two of what holds the rail, through joints, that no one voltage suits."""
    net = block.net("supply")
    if net is None:
        return Fact(name, Unknown(f"{block.path} has no supply pin", (f"{block.path} supply pin",)))
    found = book.once(("contested", net.name), lambda: _fight(book, net))
    if found is None or isinstance(found, Unknown):
        return Fact(name, False, "all that holds the supply agrees")
    first, second = found
    law = f"{first.evidence.label} and {second.evidence.label} hold the supply at voltages that differ"
    return Fact(name, True, law, (first.evidence, second.evidence))


def _fight(book: Book, net: Net) -> tuple[_Holder, _Holder] | None:
    """The first two holders of a rail that disagree."""
    holders = [holder for each in _one_rail(book, net) for holder in _holders(book, each)]
    return next((pair for pair in combinations(holders, 2) if pair[0].disagrees(pair[1])), None)


def _one_rail(book: Book, net: Net) -> Iterator[Net]:
    """The net and all that are joined to it without resistance, held ones passed, ground left out."""
    met, waiting = {net.name}, [net]
    while waiting:
        here = waiting.pop()
        yield here
        joints = [lead.other for lead in ways(book, here) if isinstance(lead, Resistive) and lead.joins]
        fresh = [other for other in joints if not other.is_ground and other.name not in met]
        met |= {other.name for other in fresh}
        waiting += fresh


def _holders(book: Book, net: Net) -> Iterator[_Holder]:
    """The statement about a net, and the sources that hold it against ground."""
    statement = about_net(book, Supply, net)
    if statement is not None:
        text = format_span(statement.voltage)
        yield _Holder(net.name, statement.voltage, input_of(net.name, text, "statement", statement.place))
    for pin in book.pins(net):
        wave = pin.element.waveform if pin.element.kind == "V" and len(pin.element.nets) == 2 else None
        if wave is not None and wave.settled is not None and pin.element.nets[1 - pin.position].is_ground:
            volts = wave.settled if pin.position == 0 else -wave.settled
            evidence = input_of(pin.element.path, format_value(volts, VOLT), "line", pin.element.place)
            yield _Holder(net.name, exact(volts, VOLT), evidence)


def _against(book: Book, block: Block, name: str) -> Fact:
    """A `supply` statement, and a source on the same net whose settled voltage it does not hold."""
    net = block.net("supply")
    statement = about_net(book, Supply, net) if net is not None else None
    if net is None or statement is None:
        return Fact(name, False, "no statement is about the supply's net")
    for pin in book.pins(net):
        wave = pin.element.waveform if pin.element.kind == "V" else None
        grounded = wave is not None and pin.element.nets[1 - pin.position].is_ground
        if wave is None or not grounded or wave.settled is None:
            continue
        volts = wave.settled if pin.position == 0 else -wave.settled
        if not statement.voltage.low <= volts <= statement.voltage.high:
            stated = input_of(net.name, format_span(statement.voltage), "statement", statement.place)
            drawn = input_of(pin.element.path, format_value(volts, VOLT), "line", pin.element.place)
            return Fact(name, True, f"{pin.element.path} holds {net.name} elsewhere", (stated, drawn))
    return Fact(name, False, "no source on the supply's net says otherwise")


def _second(block: Block) -> tuple[str, Net, SupplyRating] | Unknown:
    """The first second supply of the part that is connected: its role, its net and what it stands."""
    for given, limits in block.part.supplies.items():
        role = f"supply-{given.lower()}"
        net = block.net(role)
        if net is not None:
            return role, net, limits
    return Unknown(f"{block.path} has no second supply pin", (f"{block.path} second supply",))


def _voltage(book: Book, block: Block, name: str) -> Fact:
    """Against the block's ground."""
    found = _second(block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    role, net, _ = found
    nothing = Unknown(f"nothing says what {net.name} is at", (f"voltage of {net.name}",))
    text = f"V({role} pin) - V(ground pin)"
    above, ground = rail(book, net) or nothing, ground_voltage(book, block)
    return fact(name, lift(np.subtract, above, ground, unit=VOLT, text=text), book.options)


def _rated(_: Book, block: Block, name: str) -> Fact:
    """Of the part."""
    found = _second(block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    return rating(name, block, found[0], found[2].rated)


def _limit(_: Book, block: Block, name: str) -> Fact:
    """Of the part."""
    found = _second(block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    return rating(name, block, f"{found[0]} limit", found[2].limit, VOLT)
