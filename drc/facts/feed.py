"""What each net that feeds something is at: held, regulated, fed from such a net, or read in its name."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.blocks.model import Block
from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.dependence import (
    Dependence,
    Quantity,
    constant,
    input_of,
    lift,
    varying,
)
from drc.facts.lead import Diode, Resistive, own_pins
from drc.facts.leads import leads, ways
from drc.facts.model import Unknown
from drc.facts.railname import voltage_in_name
from drc.facts.regulator import regulator_on, regulator_output
from drc.facts.stated import about_net
from drc.facts.stiff import driven, feeds, held, zero_sources
from drc.intent.model import Load, NotSupply, Signal, Supply
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.quantity.unit import AMPERE, VOLT

if TYPE_CHECKING:
    from drc.circuit.network import Array

INFERRED = "inferred from its name"

DIVIDER_PINS = 6
"""A net of more pins than this is no divider's middle but a rail."""


class _Step(NamedTuple):
    """One element between a supply pin and what feeds it: its resistance (ohm), or its forward drop (V)."""

    label: str
    above: Net
    value: Dependence
    resists: bool


class _Chain(NamedTuple):
    """A way from a net up to one that is known, nearest step first."""

    steps: tuple[_Step, ...]
    top: Net
    voltage: Quantity


def known(book: Book, net: Net) -> Quantity | None:
    """The voltage of a net that a statement, a source or a regulator holds, V; None if none does."""
    found = held(book, net)
    if found is not None:
        return found
    regulator = regulator_on(book, net)
    if regulator is None:
        return None
    return book.once(("regulator", regulator.path), lambda: regulator_output(book, regulator, rail))


def rail(book: Book, net: Net) -> Quantity | None:
    """The voltage of a net that holds itself, V: stated, sourced, regulated, fed, named.

    None where only the network around it sets it; Unknown where it feeds supply pins and nothing says.
    """
    return book.once(("rail", net.name), lambda: _rail(book, net))


def _rail(book: Book, net: Net) -> Quantity | None:
    """In the order of trust."""
    found = known(book, net)
    if found is None and any(pin.role == "ground" for pin in own_pins(book, net)):
        found = joined_voltage(book, net)
    if found is not None or not _feeds_through(book, net):
        return found
    chains = _chains(book, net, frozenset({net.name}))
    fed = _fed(book, net, chains)
    if fed is not None and not isinstance(fed, Unknown):
        return fed
    named = _named(book, net)
    if named is not None:
        return named
    return fed or Unknown(f"nothing says what {net.name} is at", (f"voltage of {net.name}",))


def _feeds_through(book: Book, net: Net, seen: frozenset[str] = frozenset()) -> bool:
    """Whether a supply pin is on the net, or behind a joint, a filter resistor or a diode."""
    if driven(book, net):
        return False
    if feeds(book, net):
        return True
    seen = seen | {net.name}
    return any(
        _feeds_through(book, below, seen)
        for below in _below(book, net)
        if below.name not in seen and known(book, below) is None
    )


def _below(book: Book, net: Net) -> tuple[Net, ...]:
    """The nets that this one may feed."""
    found = []
    for lead in ways(book, net):
        if isinstance(lead, Resistive):
            found.append(lead.other)
        elif lead.anode == net:
            found.append(lead.cathode)
    return tuple(found)


def _ohm(lead: Resistive) -> Dependence:
    """The resistance of a way, which is known."""
    assert isinstance(lead.ohm, Dependence)
    return lead.ohm


def _chains(book: Book, net: Net, seen: frozenset[str]) -> tuple[_Chain, ...]:
    """Every way up from a net to one that is held, or whose name says its voltage."""
    found: list[_Chain] = []
    for lead in ways(book, net):
        if isinstance(lead, Diode):
            if lead.anode == net:
                continue
            step = _Step(lead.label, lead.anode, lead.drop, resists=False)
        else:
            step = _Step(lead.label, lead.other, _ohm(lead), resists=True)
        if step.above.name in seen:
            continue
        above = known(book, step.above)
        if above is None:
            further = _chains(book, step.above, seen | {step.above.name})
            found += [_Chain((step, *chain.steps), chain.top, chain.voltage) for chain in further]
            above = None if further else _named(book, step.above)
        if above is not None and not (isinstance(above, Dependence) and above.nominal == 0):
            found.append(_Chain((step,), step.above, above))
    return tuple(found)


def _fed(book: Book, net: Net, chains: tuple[_Chain, ...]) -> Quantity | None:
    """The voltage at the end of its feeds: one chain, or several that diodes join (the highest wins)."""
    if not chains:
        return None
    joined = [chain for chain in chains if not any(_drops(step) for step in chain.steps)]
    if joined:
        return joined[0].voltage
    ends = [_end(book, net, chain) for chain in chains]
    if len(ends) == 1:
        return ends[0]
    if not any(all(step.resists for step in chain.steps) for chain in chains):
        return lift(_highest, *ends, unit=VOLT, text=f"the highest of what feeds {net.name}")
    tops = ", ".join(sorted(chain.top.name for chain in chains))
    return Unknown(f"{net.name} is fed from several nets at once ({tops})", (f"voltage of {net.name}",))


def _drops(step: _Step) -> bool:
    """Whether voltage can be lost in a step."""
    return not step.resists or bool(step.value.causes) or step.value.nominal != 0


def _highest(*volts: "Array") -> "Array":
    """The highest of several voltages."""
    return np.asarray(np.max(np.stack(volts), axis=0))


def _end(book: Book, net: Net, chain: _Chain) -> Quantity:
    """What arrives through a chain: the source less what is lost on the way."""
    lost = [_lost(book, net, chain, number) for number in range(len(chain.steps))]
    way = ", ".join(step.label for step in reversed(chain.steps))
    text = f"{chain.top.name} less the drop through {way}"
    return lift(lambda top, *each: top - sum(each), chain.voltage, *lost, unit=VOLT, text=text)


def _lost(book: Book, net: Net, chain: _Chain, number: int) -> Quantity:
    """The voltage lost in a step of a chain, V: a forward drop, or R I with what all that it feeds draws."""
    step = chain.steps[number]
    if not step.resists or not _drops(step):
        return step.value
    passed = (net, *(each.above for each in chain.steps[:number]))
    joined = (each for one in passed for each in joined_nets(book, one))
    below = {each.name: each for each in joined if known(book, each) is None}
    way = frozenset({each.label for each in chain.steps})
    load = _load(book, tuple(below.values()), way, chain.voltage)
    return lift(np.multiply, load, step.value, unit=VOLT, text=f"the drop through {step.label}")


def _load(book: Book, nets: tuple[Net, ...], way: frozenset[str], top: Quantity) -> Quantity:
    """The current that nets draw through the elements of a way, A: parts, `load` statements, resistors."""
    parts = [part for net in nets for part in _drawn_by(book, net, nets, way, top)]
    text = f"load of {nets[0].name}"
    return lift(lambda *each: sum(each), constant(0.0, AMPERE), *parts, unit=AMPERE, text=text)


def _drawn_by(
    book: Book, net: Net, nets: tuple[Net, ...], way: frozenset[str], top: Quantity
) -> Iterator[Quantity]:
    """What one of several nets draws, A; nothing of what lies between them."""
    stated = about_net(book, Load, net)
    if stated is not None:
        evidence = input_of(f"load {net.name}", format_span(stated.current), "statement", stated.place)
        yield varying(f"load {net.name}", stated.current, evidence)
    for pin in own_pins(book, net):
        if pin.role == "supply":
            yield _drawn(book, pin.block, covered=stated is not None)
    for lead in leads(book, net):
        if isinstance(lead, Resistive | Diode) and lead.label in way:
            continue
        if isinstance(lead, Resistive) and lead.other not in nets:
            yield _through(book, lead, top)
        elif isinstance(lead, Diode) and lead.anode == net and lead.forward_of is not None:
            yield Unknown(f"the current through {lead.label} is not known", (f"{lead.label} current",))


def consumption(block: Block) -> Dependence | None:
    """What a block draws by its part file, A; None where the file does not say."""
    span, name = block.part.consumption, f"{block.path} consumption"
    if span is None:
        return None
    evidence = input_of(name, format_span(span), "part file", block.part.place)
    return constant(span.low, AMPERE, evidence) if span.low == span.high else varying(name, span, evidence)


def _drawn(book: Book, block: Block, covered: bool) -> Dependence:
    """What a block draws, A; none of its own where a `load` statement on its supply covers it."""
    given = consumption(block)
    if given is not None:
        return given
    if covered:
        return constant(0.0, AMPERE)
    usual, name = book.options.consumption, f"{block.path} consumption"
    note = f"{block.part.name} consumption {format_span(usual)} assumed"
    return varying(name, usual, input_of(name, format_span(usual), "default"), assumptions=(note,))


def _through(book: Book, lead: Resistive, top: Quantity) -> Quantity:
    """The current into a resistor on a fed net, A: all to ground, else anything from none to that."""
    grounded = lead.other.is_ground

    def law(volt: "Array", ohm: "Array", share: "Array") -> "Array":
        return volt / ohm * share

    share: Dependence = constant(1.0, AMPERE)
    if not grounded:
        share = varying(f"{lead.label} share", Span(0.0, 0.5, 1.0))
    return lift(law, top, lead.ohm, share, unit=AMPERE, text=f"current into {lead.label}")


def _middle(book: Book, net: Net) -> bool:
    """Whether a net is a divider's middle: few pins, a resistor to ground and one to a net that is held."""
    pins = book.pins(net)
    ends = [pin.element.nets[1 - pin.position] for pin in pins if pin.element.kind == "R"]
    if len(pins) > DIVIDER_PINS or not any(end.is_ground for end in ends):
        return False
    return any(known(book, end) is not None for end in ends if not end.is_ground)


def _named(book: Book, net: Net) -> Dependence | None:
    """The voltage that the net's name states, wide as the options say."""
    volts = voltage_in_name(net.name)
    if volts is not None and _middle(book, net):
        return None
    if volts is None or about_net(book, NotSupply, net) is not None or driven(book, net):
        return None
    half = abs(volts) * book.options.inferred
    span = Span(volts - half, volts, volts + half, VOLT)
    evidence = input_of(net.name, format_span(span), INFERRED)
    return varying(
        f"net {net.name}", span, evidence, bias=True,
        assumptions=(f"{net.name} is at {volts:g} V by its name",),
    )  # fmt: skip


def anchor(book: Book, net: Net) -> str:
    """One name for a net and whatever holds it without resistance, so that alike nets compare equal."""
    found = book.once(("anchor", net.name), lambda: _anchor(book, net, frozenset()))
    return net.name if isinstance(found, Unknown) or found is None else found


def _anchor(book: Book, net: Net, seen: frozenset[str]) -> str | None:
    """The name of the net at the end of the joints, or of itself if it is held by something else."""
    if net.is_ground:
        return "0"
    if about_net(book, Supply, net) is not None or about_net(book, Signal, net) is not None:
        return net.name
    seen, here = seen | {net.name}, known(book, net)
    whole_rail = isinstance(here, Dependence) and here.nominal != 0
    for other in zero_sources(book, net) if whole_rail else _joined(book, net):
        if other.name not in seen:
            found = _anchor(book, other, seen)
            if found is not None:
                return found
    return net.name if here is not None else None


def joined_nets(book: Book, net: Net) -> tuple[Net, ...]:
    """The net and all that are joined to it without resistance, held ones included but not passed."""
    found = {net.name: net}
    waiting = [net]
    while waiting:
        here = waiting.pop()
        for other in _joined(book, here) if known(book, here) is None else ():
            if other.name not in found:
                found[other.name] = other
                waiting.append(other)
    return tuple(found.values())


def _joined(book: Book, net: Net) -> tuple[Net, ...]:
    """The nets that a net is joined to without resistance."""
    return tuple(lead.other for lead in ways(book, net) if isinstance(lead, Resistive) and lead.joins)


def joined_voltage(book: Book, net: Net, seen: frozenset[str] = frozenset()) -> Quantity | None:
    """The voltage of a net that is held, or joined without resistance to one that is; None if neither."""
    found = known(book, net)
    if found is not None:
        return found
    seen = seen | {net.name}
    for other in _joined(book, net):
        if other.name not in seen:
            found = joined_voltage(book, other, seen)
            if found is not None:
                return found
    return None


def before_filters(book: Book, net: Net) -> frozenset[str]:
    """The anchors of the net and of those that feed it through joints and filter resistors."""
    names = {anchor(book, net)}
    if known(book, net) is None:
        for chain in _chains(book, net, frozenset({net.name})):
            if all(step.resists for step in chain.steps):
                names |= {anchor(book, chain.top), *(anchor(book, step.above) for step in chain.steps)}
    return frozenset(names)
