"""Facts about a pulse modulator's level against its full scale, and about a filter behind its output."""

from typing import TYPE_CHECKING

import numpy as np

from drc.blocks.model import Block
from drc.circuit.model import Element, Net
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.clock import settings_in_force
from drc.facts.conduction import is_held
from drc.facts.dependence import Dependence, Quantity, fact, input_of, lift
from drc.facts.elements import fitted, resistance
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.oscillator import period
from drc.facts.pulse_modulator import duty, modulate_level
from drc.facts.region import capacitance
from drc.quantity.span import Span
from drc.quantity.unit import POINT, RATIO

if TYPE_CHECKING:
    from drc.circuit.network import Array

AVERAGING = 0.5
"""A filter whose RC is at least this share of the period is there to average: common practice, no source."""


def modulate_range_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about full scale and ripple."""
    return (
        line("modulate.share", RATIO, "modulate level as a share of full scale", _share),
        line("modulate.duty_range", POINT, "duty that the part can give, between its clamps", _duty_range),
        line("filter.ripple", RATIO, "ripple behind an averaging filter, of the supply", _ripple),
    )


def _share(book: Book, block: Block, name: str) -> Fact:
    """(level - lower end) / (upper end - lower end)."""
    law = block.part.modulate
    if law is None:
        return Fact(name, Unknown(f"part {block.part.name} gives no modulate law", ("modulate",)))
    low, high = law.points[0][0], law.points[-1][0]
    share = lift(
        lambda level: (level - low) / (high - low),
        modulate_level(book, block, law),
        unit=RATIO,
        text=f"(level - {low:.4g}) / ({high:.4g} - {low:.4g})",
    )
    return fact(name, share, book.options)


def _duty_range(book: Book, block: Block, name: str) -> Fact:
    """Both ends of the part's law, turned round by inverted polarity."""
    law, row = block.part.modulate, settings_in_force(book, block)
    if law is None:
        return Fact(name, Unknown(f"part {block.part.name} gives no modulate law", ("modulate",)))
    if isinstance(row, Unknown):
        return Fact(name, row)
    ends = sorted(
        100 * (1 - point[1] if row.inverted else point[1]) for point in (law.points[0], law.points[-1])
    )
    evidence = input_of(f"{block.part.name} duty", f"{ends[0]:.4g} .. {ends[1]:.4g} points", "part file")
    value = Span(ends[0], None, ends[1], POINT)
    return Fact(name, value, "the clamps of the part's duty, turned round by inverted polarity", (evidence,))


def _ripple(book: Book, block: Block, name: str) -> Fact:
    """(1 - e^(-DT/RC)) (1 - e^(-(1-D)T/RC)) / (1 - e^(-T/RC)): steady state of one RC, circuit theory."""
    if block.part.function != "pulse-modulator":
        return Fact(name, Unknown(f"{block.path} is no pulse modulator"))
    filters = _filters(book, block)
    if not filters:
        return Fact(name, Unknown(f"no averaging filter is behind {block.path}", ("filter",)))
    time, share = period(book, block), duty(book, block)

    def law(seconds: "Array", points: "Array", ohm: "Array", farad: "Array") -> "Array":
        beat, high = seconds / (ohm * farad), points / 100
        return np.asarray(-np.expm1(-high * beat) * np.expm1(-(1 - high) * beat) / np.expm1(-beat))

    ripples = []
    for ohm, farad in filters:
        found = fact(
            name,
            lift(law, time, share, ohm, farad, unit=RATIO, text="ripple of one RC on pulses"),
            book.options,
        )
        if found.span is None:
            return found
        slow = lift(lambda t, r, c: r * c / t, time, ohm, farad, unit=RATIO)
        if isinstance(slow, Dependence) and slow.nominal >= AVERAGING:
            ripples.append((found.span.middle, found))
    if not ripples:
        return Fact(name, Unknown(f"no averaging filter is behind {block.path}", ("filter",)))
    return max(ripples, key=lambda each: each[0])[1]


def _filters(book: Book, block: Block) -> tuple[tuple[Quantity, Quantity], ...]:
    """Resistors from the output to a net with capacitance to ground: resistance and capacitance of each."""
    net = block.net("output")
    found = []
    for pin in book.pins(net) if net is not None else ():
        if pin.element.kind != "R" or len(pin.element.nets) != 2 or not fitted(book, pin.element):
            continue
        farad = _to_ground(book, pin.element.nets[1 - pin.position])
        if farad is not None:
            found.append((resistance(book, pin.element), farad))
    return tuple(found)


def _to_ground(book: Book, net: Net) -> Quantity | None:
    """The capacitance of a net with a capacitor to ground; None where it has none."""
    grounded = [pin.element for pin in book.pins(net) if _grounded(book, pin.element)]
    return capacitance(book, net) if grounded and not is_held(book, net) else None


def _grounded(book: Book, element: Element) -> bool:
    """A fitted capacitor with an end on ground."""
    return element.kind == "C" and any(net.is_ground for net in element.nets) and fitted(book, element)
