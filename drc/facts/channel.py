"""The channel of a MOSFET whose gate stands still: open, or as many ohm as a statement says."""

import re

from drc.circuit.model import Element, Net, Pin
from drc.facts.book import Book
from drc.facts.dependence import Dependence, combine, input_of, spread, varying
from drc.facts.elements import fitted
from drc.facts.forward import SLOPE_OHM
from drc.facts.lead import Diode, Lead, Obstacle, Resistive
from drc.facts.stiff import held
from drc.facts.travel import setting
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.quantity.unit import VOLT

DRAIN, GATE, SOURCE, BULK = range(4)
"""Positions on an element's line."""

SIGNS = {"nmos": 1, "pmos": -1}
"""Which way round a channel is, by the kind of its model."""

BODY = Span(0.4, 0.7, 1.0, VOLT)
"""Drop of the diode from bulk to drain: common practice, no source."""

_PROBE = re.compile(r"X?TP_?\d*$", re.IGNORECASE)


def channel(book: Book, pin: Pin) -> tuple[Lead, ...]:
    """What drain or source of an enhancement MOSFET is to a current; empty where the gate may move.

    Off, its body diode is left. On, it is the resistance that `assume M1 value 5ohm` states, and an
    obstacle without: what a model says of it holds for a drawing's sake.
    """
    element = pin.element
    sign = _sign(element)
    if sign == 0 or pin.position == GATE:
        return ()
    on = _on(book, element, sign)
    if on is None:
        return ()
    if not on:
        return (_body(element, sign),)
    ohm = setting(book, element)
    if ohm is None:
        stated = f"assume {element.path} value 5ohm"
        return (Obstacle(element.path, f"{element.path} is on, and nothing states its ohm, as in: {stated}"),)
    other = element.nets[SOURCE if pin.position == DRAIN else DRAIN]
    return (Resistive(element.path, other, ohm, path=element.path),)


def _sign(element: Element) -> int:
    """1 for an n-channel, -1 for a p-channel; 0 for what is no enhancement MOSFET, its bulk on its source."""
    model, nets = element.model, element.nets
    if element.kind != "M" or model is None or model.kind not in SIGNS:
        return 0
    sign = SIGNS[model.kind]
    if model.parameters.get("vto", float(sign)) * sign <= 0:
        return 0
    return sign if len(nets) == BULK or nets[SOURCE] in nets[BULK:] else 0


def _on(book: Book, element: Element, sign: int) -> bool | None:
    """Whether the gate turns the channel on; None where it moves, or stands between."""
    gate, source = _holds(book, element.nets[GATE]), element.nets[SOURCE]
    if gate is None:
        return None
    if gate == source:
        return False
    above, below = held(book, gate), held(book, source)
    if not isinstance(above, Dependence) or not isinstance(below, Dependence):
        return None
    volts = combine(lambda g, s: sign * (g - s), above, below, unit=VOLT)
    found = spread(volts, "extreme", book.options, "gate")
    if found.high <= 0:
        return False
    least = sign * element.model.parameters.get("vto", 0.0) if element.model else 0.0
    return True if found.low > least else None


def _holds(book: Book, gate: Net) -> Net | None:
    """The net whose voltage a gate has: its own if that is held, or the one that its resistors lead to."""
    if held(book, gate) is not None:
        return gate
    ends: dict[str, Net] = {}
    for element, position in book.pins(gate):
        light = element.kind == "C" or (element.kind == "M" and position == GATE)
        if light or not fitted(book, element) or _PROBE.match(element.path.rpartition(".")[2]):
            continue
        if element.kind != "R":
            return None
        ends[element.nets[1 - position].name] = element.nets[1 - position]
    return next(iter(ends.values())) if len(ends) == 1 else None


def _body(element: Element, sign: int) -> Diode:
    """What is left of a channel that is off: the diode from bulk to drain."""
    path = element.path
    anode, cathode = (element.nets[SOURCE], element.nets[DRAIN])[::sign]
    evidence = input_of(f"{path} body diode", format_span(BODY), "common practice", element.place)
    drop = varying(f"{path} body drop", BODY, evidence, assumptions=(f"{path} is off and leaks nothing",))
    return Diode(f"{path} body diode", anode, cathode, None, drop, SLOPE_OHM)
