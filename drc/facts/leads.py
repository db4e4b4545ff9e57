"""What each pin on a net is to a direct current: a joint, a resistance, a diode, light, or an obstacle."""

import re

from drc.circuit.model import Element, Net, Pin
from drc.facts.book import Book
from drc.facts.channel import channel
from drc.facts.dependence import Dependence, constant, input_of
from drc.facts.elements import fitted, resistance, rough_ohm, shares_name
from drc.facts.forward import SLOPE_OHM, forward
from drc.facts.lead import Diode, Driving, Lead, Light, Obstacle, OwnPin, Resistive
from drc.facts.model import Unknown
from drc.facts.stated import same_nets
from drc.quantity.text import format_value
from drc.quantity.unit import AMPERE, OHM, VOLT

HARMLESS = re.compile(r"X?(?:J|P|TP|CN|CON|CONN|MP|MH|FID)_?\d+[A-Z]?\d*$", re.IGNORECASE)
"""Names of connectors, test points, mounting holes and fiducials, as drawings use them (common practice)."""

FEED_OHM = 1000.0
"""A resistor up to here, between a held net and a supply pin, is taken as a filter: more feeds no part."""

CROWDED = 1000
"""A net of more pins is a rail whose resistors are not read one by one."""

LIGHT_ROLES = frozenset(
    {"strap", "control", "enable", "reset", "modulate", "trigger", "signal", "threshold", "select", "nc"}
    | {"select2", "select3", "feedback", "input"}
)
"""Roles of pins that take next to no current: their leakage if the part file gives it."""


def leads(book: Book, net: Net) -> tuple[Lead, ...]:
    """Every pin on a net that matters at DC, in source order, and joints made by `same` statements."""
    result = book.once(("leads", net.name), lambda: _leads(book, net))
    return (Obstacle(net.name, result.because),) if isinstance(result, Unknown) else result


def ways(book: Book, net: Net) -> tuple[Resistive | Diode, ...]:
    """The joints, diodes and resistors of at most FEED_OHM on a net: what one net may feed another by.

    Asked of whole rails, so that other pins cost no more than a look.
    """
    result = book.once(("ways", net.name), lambda: _ways(book, net))
    return () if isinstance(result, Unknown) else result


def _ways(book: Book, net: Net) -> tuple[Resistive | Diode, ...]:
    """By the element's letter, and a resistor's rough value, before anything is worked out.

    On a net of very many pins only resistors to ground are looked at: what feeds such a rail is a source,
    a regulator, a bead or a fuse, and what joins it to ground ends there.
    """
    found: list[Lead] = list(_same(book, net))
    pins = book.pins(net)
    crowded = len(pins) > CROWDED
    for pin in pins:
        kind = pin.element.kind
        if kind == "R":
            if crowded and (net.is_ground or not any(end.is_ground for end in pin.element.nets)):
                continue
            ohm = rough_ohm(book, pin.element)
            if ohm is None or ohm > FEED_OHM:
                continue
        elif kind not in ("L", "F", "V", "D"):
            continue
        found += _pin(book, net, pin)
    return tuple(
        lead
        for lead in found
        if (isinstance(lead, Resistive) and lead.emf_v == 0 and isinstance(lead.ohm, Dependence))
        or (isinstance(lead, Diode) and lead.forward_of is not None)
    )


def _leads(book: Book, net: Net) -> tuple[Lead, ...]:
    # A part with two pins on the net is met twice; each of its leads counts once.
    met = {(type(lead), lead.label): lead for pin in book.pins(net) for lead in _pin(book, net, pin)}
    return (*met.values(), *_same(book, net))


def _same(book: Book, net: Net) -> tuple[Resistive, ...]:
    """The joints that statements make."""
    found = []
    for other, statement in same_nets(book, net):
        label = f"same {' '.join(sorted((net.name, other.name)))}"
        joint = constant(0.0, OHM, input_of(label, "0 ohm", "statement", statement.place))
        found.append(Resistive(label, other, joint))
    return tuple(found)


def _pin(book: Book, net: Net, pin: Pin) -> tuple[Lead, ...]:
    """What one pin is."""
    element = pin.element
    if element.kind == "C" or not fitted(book, element):
        return ()
    others = [other for position, other in enumerate(element.nets) if position != pin.position]
    if others and all(other == net for other in others):
        return ()
    if element.kind == "R":
        return (Resistive(element.path, others[0], resistance(book, element), path=element.path),)
    blocks = book.of(element)
    if blocks:
        return tuple(
            OwnPin(f"{block.path} {role}", block, role)
            for block in blocks
            for role, nets in block.pins.items()
            if net in nets
        )
    if shares_name(book, element):
        return (Obstacle(element.path, f"two elements are called {element.path}"),)
    if element.kind in ("L", "F") and len(element.nets) == 2:
        return (_link(element, others[0]),)
    if element.kind == "V":
        return (_battery(pin, others[0]),)
    if element.kind == "I":
        return (_current(pin),)
    return _semiconductor(book, pin) or channel(book, pin) or _other(pin)


def _link(element: Element, other: Net) -> Lead:
    """An inductor or bead; a fuse, where the board uses the letter F so and not for a controlled source."""
    reading = element.reading
    if element.kind == "F" and reading.value is None and "gives no value" not in reading.because:
        return Obstacle(element.path, f"{element.path} may be a fuse or a controlled source")
    evidence = input_of(element.path, "0 ohm at DC", "line", element.place)
    return Resistive(element.path, other, constant(0.0, OHM, evidence), path=element.path)


def _battery(pin: Pin, other: Net) -> Lead:
    """A source between two nets: a joint at 0 V."""
    element = pin.element
    levels = element.waveform.levels if element.waveform else ()
    if len(levels) != 1:
        return Obstacle(element.path, f"source {element.path} lies between two nets and does not stand still")
    emf = levels[0] if pin.position == 0 else -levels[0]
    evidence = input_of(element.path, format_value(levels[0], VOLT), "line", element.place)
    return Resistive(element.path, other, constant(0.0, OHM, evidence), emf, element.path)


def _current(pin: Pin) -> Lead:
    """A current source: it takes out of its first net and puts into its second."""
    element = pin.element
    levels = element.waveform.levels if element.waveform else ()
    if len(levels) != 1:
        return Obstacle(element.path, f"current source {element.path} does not stand still")
    evidence = input_of(element.path, format_value(levels[0], AMPERE), "line", element.place)
    return Driving(element.path, constant(-levels[0] if pin.position == 0 else levels[0], AMPERE, evidence))


def _semiconductor(book: Book, pin: Pin) -> tuple[Lead, ...]:
    """Diodes; a transistor's base as its junction, a gate as light."""
    element, nets = pin.element, pin.element.nets
    if element.kind == "D" and len(nets) >= 2:
        drop, slope = forward(book, element)
        ahead = Diode(element.path, nets[0], nets[1], element, drop, slope)
        return (ahead, *_breakdown(element))
    if element.kind == "M" and pin.position == 1:
        # An oxide lets picoamperes through: nothing beside any network here (common practice, no source).
        return (Light(f"{element.path} gate", 0.0),)
    if element.kind == "Q" and pin.position == 1 and len(nets) >= 3 and element.model:
        drop, slope = forward(book, element)
        if element.model.kind == "pnp":
            return (Diode(f"{element.path} base", nets[2], nets[1], element, drop, slope),)
        return (Diode(f"{element.path} base", nets[1], nets[2], element, drop, slope),)
    return ()


def _breakdown(element: Element) -> tuple[Diode, ...]:
    """A diode's reverse breakdown, where its model gives BV: a junction the other way round."""
    volts = element.model.parameters.get("bv", 0.0) if element.model else 0.0
    if volts <= 0:
        return ()
    label = f"{element.path} breakdown"
    evidence = input_of(label, format_value(volts, VOLT), f"model {element.part}", element.place)
    drop = constant(volts, VOLT, evidence, text=label)
    return (Diode(label, element.nets[1], element.nets[0], None, drop, SLOPE_OHM),)


def _other(pin: Pin) -> tuple[Lead, ...]:
    """Connectors and nc pins are nothing; anything else is an obstacle."""
    element = pin.element
    name = element.path.rpartition(".")[2]
    if HARMLESS.match(name) and element.model is None:
        return ()
    header = element.header or ()
    if pin.position < len(header) and header[pin.position].upper() in ("NC", "N/C", "DNC"):
        return ()
    what = f" ({element.part})" if element.part else ""
    return (Obstacle(element.path, f"{element.path}{what} is not a part whose currents are known"),)
