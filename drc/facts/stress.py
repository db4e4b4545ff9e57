"""What the resistors, capacitors and diodes round the blocks stand: dissipation and voltage."""

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from drc.blocks.model import Block
from drc.circuit import dc
from drc.circuit.model import Element
from drc.facts.book import Book
from drc.facts.dependence import (
    Dependence,
    Quantity,
    States,
    combine,
    each_state,
    fact,
    input_of,
    lift,
    missing,
)
from drc.facts.elements import fitted, rating_of, resistance
from drc.facts.equivalent import Arithmetic, parts_of
from drc.facts.model import Entry, Fact, Kind, Subject, Unknown
from drc.facts.rails import rail
from drc.facts.region import region
from drc.facts.walk import Region
from drc.quantity.span import exact
from drc.quantity.text import QuantityError, format_value, parse_quantity
from drc.quantity.unit import VOLT, WATT, Unit

if TYPE_CHECKING:
    from drc.circuit.network import Array

OfElement = Callable[[Book, Element, str], Fact]

KINDS = {"R": "resistor", "C": "capacitor", "D": "diode"}

_BEFORE_DIGIT = re.compile(r"(?<![,; ])[,; ]++(?=\d)")
_FRACTION = re.compile(r"(\d+)\s*/\s*(\d+)\s*W", re.IGNORECASE)


def stress_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about the parts round the blocks."""
    return (
        _line("part.kind", "name", "what it is: resistor, capacitor or diode", _kind),
        _line("part.dissipation", WATT, "power that a resistor turns to heat", _dissipation),
        _line("part.dissipation_rated", WATT, "power that the resistor is rated for", _rated(WATT)),
        _line("part.voltage", VOLT, "direct voltage on a capacitor, or against a diode", _voltage),
        _line("part.voltage_rated", VOLT, "voltage that it is rated for", _rated(VOLT)),
    )


def _line(name: str, kind: Kind, meaning: str, compute: OfElement) -> Entry:
    """A catalogue line about an element."""

    def of_subject(book: Book, subject: Subject) -> Fact:
        element = book.board.circuit.element(subject.path)
        assert element is not None
        return compute(book, element, name)

    return Entry(name, "part", kind, meaning, of_subject)


def rated_parts(book: Book) -> tuple[Element, ...]:
    """The parts round all blocks of which something says what they stand, in order of first meeting."""
    found = {e.path: e for block in book.board.blocks for e in attached(book, block)}
    return tuple(element for element in found.values() if _says(book, element))


def _says(book: Book, element: Element) -> bool:
    """Whether a rating of power or voltage is given."""
    unit = WATT if element.kind == "R" else VOLT
    return not isinstance(_rated(unit)(book, element, "").value, Unknown)


def attached(book: Book, block: Block) -> tuple[Element, ...]:
    """The fitted resistors, capacitors and diodes in the networks on the block's pins, rails apart."""
    found: dict[str, Element] = {}
    for role, nets in block.pins.items():
        for net in nets if role != "ground" and not role.startswith("supply") else ():
            for name in region(book, net).nets:
                inner = book.board.circuit.net(name)
                for pin in book.pins(inner) if inner is not None else ():
                    if pin.element.kind in KINDS and fitted(book, pin.element):
                        found.setdefault(pin.element.path, pin.element)
    return tuple(found.values())


def across(book: Book, element: Element) -> Quantity:
    """The direct voltage from an element's first pin to its second, V, in every state of what drives it."""
    first, second = element.nets[:2]
    a, b = rail(book, first), rail(book, second)
    if a is not None and b is not None:
        return lift(np.subtract, a, b, unit=VOLT, text=f"V({first.name}) - V({second.name})")
    found = region(book, first if a is None else second)
    nodes = {*found.nets, *found.stiff}
    other = second if a is None else first
    if other.name in nodes:
        return _difference(found, first.name, second.name)
    beside = region(book, other)
    shared = {branch.label for branch, _ in found.branches} & {branch.label for branch, _ in beside.branches}
    if shared:
        return Unknown(f"the two sides of {element.path} are not told apart", (f"{element.path} voltage",))
    both = found._replace(
        branches=(*found.branches, *beside.branches),
        stiff={**found.stiff, **beside.stiff},
        junctions=(*found.junctions, *beside.junctions),
        injections=(*found.injections, *beside.injections),
        obstacles=(*found.obstacles, *beside.obstacles),
    )
    return _difference(both, first.name, second.name)


def _difference(found: Region, first: str, second: str) -> Quantity:
    """V(first) - V(second) in a region."""
    blocked = missing(*found.obstacles, *parts_of(found))
    if blocked is not None:
        return blocked
    arithmetic = Arithmetic(found)
    nodes = arithmetic.network.nodes
    if not found.stiff or first not in nodes or second not in nodes:
        lost = first if first not in nodes else second
        return Unknown(f"nothing sets the voltage of {lost}", (f"voltage of {lost}",))
    ends = nodes.index(first), nodes.index(second)

    def law(*columns: "Array") -> "Array":
        ohms, volts, drops, amperes = arithmetic.tables(columns)
        point = dc.operating(arithmetic.network, ohms, volts, drops=drops, injections=amperes)
        return np.asarray(point.volts[:, ends[0]] - point.volts[:, ends[1]])

    text = f"V({first}) - V({second}) by nodal analysis"
    return each_state(lambda *each: combine(law, *each, unit=VOLT, text=text), *parts_of(found))


def _kind(_: Book, element: Element, name: str) -> Fact:
    """By its letter."""
    return Fact(name, KINDS[element.kind])


def _dissipation(book: Book, element: Element, name: str) -> Fact:
    """P = V^2 / R."""
    if element.kind != "R":
        return Fact(name, Unknown(f"{element.path} is no resistor"))
    ohm = resistance(book, element)
    if isinstance(ohm, Dependence) and ohm.nominal == 0:
        return Fact(name, exact(0.0, WATT), "a link turns nothing to heat")
    power = lift(lambda volt, r: volt**2 / r, across(book, element), ohm, unit=WATT, text="P = V^2 / R")
    return fact(name, power, book.options)


def _voltage(book: Book, element: Element, name: str) -> Fact:
    """On a capacitor either way round; on a diode from cathode to anode, 0 while it conducts."""
    if element.kind == "C":
        return fact(name, lift(np.abs, across(book, element), unit=VOLT, text="|V|"), book.options)
    if element.kind == "D":
        against = lift(
            lambda volt: np.maximum(0.0, -volt),
            across(book, element),
            unit=VOLT,
            text="V(cathode) - V(anode)",
        )
        return fact(name, against, book.options)
    return Fact(name, Unknown(f"{element.path} is neither capacitor nor diode"))


_AT_BREAKDOWN = (0.98, 1.1)
"""Share of its breakdown voltage that is on a diode which holds a voltage as a zener does."""


def _breaks_down(book: Book, element: Element, volts: float) -> bool:
    """Whether a diode stands at its breakdown voltage at nominal: a zener at work."""
    found = across(book, element)
    low, high = (share * volts for share in _AT_BREAKDOWN)
    states = [each for _, each in found.states] if isinstance(found, States) else [found]
    return any(isinstance(each, Dependence) and low <= -each.nominal <= high for each in states)


def _rated(unit: Unit) -> OfElement:
    """What the bill of materials, the line or the model says that the element stands."""

    def compute(book: Book, element: Element, name: str) -> Fact:
        text, origin, place = rating_of(book, element)
        for word in _BEFORE_DIGIT.split(text):
            value = _quantity(word, unit)
            if value is not None:
                return Fact(
                    name, exact(value, unit), "rating", (input_of(element.path, word, origin, place),)
                )
        model = element.model
        if unit == VOLT and element.kind == "D" and model is not None and model.parameters.get("bv", 0) > 0:
            volts = model.parameters["bv"]
            if _breaks_down(book, element, volts):
                because = f"{element.path} breaks down by design: its voltage is no limit"
                return Fact(name, Unknown(because, (f"{element.path} rating",)))
            evidence = input_of(element.path, format_value(volts, VOLT), f"model {model.name}", model.place)
            return Fact(name, exact(volts, VOLT), "breakdown voltage of its model", (evidence,))
        return Fact(name, Unknown(f"nothing gives a rating of {element.path}", (f"{element.path} rating",)))

    return compute


def _quantity(text: str, unit: Unit) -> float | None:
    """A rating in SI if the text is one of that unit: `50V`, `0.1W`, `1/8W`."""
    fraction = _FRACTION.fullmatch(text.strip())
    if fraction is not None:
        return int(fraction[1]) / int(fraction[2]) if unit == WATT and int(fraction[2]) else None
    try:
        quantity = parse_quantity(text.strip())
    except QuantityError:
        return None
    return quantity.value if quantity.unit == unit and quantity.value > 0 else None
