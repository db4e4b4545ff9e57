"""Facts about what stands round an RC timer: its control pin, the kind of its capacitor, its recovery."""

import re

import numpy as np

from drc.blocks.model import Block
from drc.circuit.model import Element, Net
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.bypass import bypass_capacitors
from drc.facts.dependence import Dependence, Quantity, constant, fact, input_of, lift
from drc.facts.dielectric import dielectric_of
from drc.facts.elements import fitted, rating_of, reading_of
from drc.facts.feed import joined_voltage
from drc.facts.lead import Light, OwnPin
from drc.facts.leads import leads
from drc.facts.model import Entry, Fact, Subject, Unknown
from drc.facts.rails import supply_voltage
from drc.facts.region import capacitance, node_voltage
from drc.intent.model import Expect
from drc.quantity.span import Span, exact
from drc.quantity.text import format_value
from drc.quantity.unit import AMPERE, FARAD, OHM, RATIO, SECOND

POLARISED = re.compile(
    r"elec|elko|polari[sz]ed|tant|alumin|(?<![a-z])(?:cp|c_?pol|ce|elca)(?![a-z])", re.IGNORECASE
)
"""How drawings mark a capacitor with a plus side (common practice): CP, POL, ELKO, TANT, electrolytic."""

LARGE_F = 10e-6
"""From here on a capacitor of unstated kind may well be an electrolytic one: common practice, no source."""

LEAKAGE_PER_CV = 0.01
"""Leakage of an electrolytic capacitor, A per F and V: I = 0.01 C V, a usual rating; from memory."""

LEAST_LEAKAGE_A = 3e-6
"""What the same rating gives at least, A; from memory."""

SETTLED = float(np.log(20))
"""Time constants until 5 % are left: exponential discharge, any circuit-theory text."""


def rc_care_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about what stands round an RC timer."""
    return (
        line("control.capacitance", FARAD, "capacitance from the control pin of an RC timer", _control_farad),
        line("control.use", "name", "control pin: open, grounded, held or driven", _control_use),
        line("rc.capacitor_kind", "name", "timing capacitor: electrolytic, other, or unknown", _kind),
        line(
            "rc.capacitor_leakage", AMPERE, "leakage of an electrolytic timing capacitor", _capacitor_leakage
        ),
        line("rc.capacitor_width", RATIO, "half the spread of the timing capacitance", _width),
        line("rc.recovery", SECOND, "time that the discharge switch needs after a pulse", _recovery),
        line(
            "capacitor.reversed",
            "name",
            "polarised capacitor with its plus below its minus, or `none`",
            _reversed,
        ),
        line("trigger.held", SECOND, "how long a level trigger is held active", _held),
        line("trigger.level", "truth", "whether the trigger acts by its level", _by_level),
        Entry("expect.width", "statement", RATIO, "half the width of what is wanted", _wanted_width),
    )


def marked(book: Book, element: Element) -> bool:
    """Whether a drawing or a bill of materials marks a capacitor as polarised."""
    reading = reading_of(book, element)
    words = (element.part or "", rating_of(book, element)[0], reading.rating, *element.parameters.values())
    return any(POLARISED.search(word) for word in words)


def _control_farad(book: Book, block: Block, name: str) -> Fact:
    """Sum of the capacitors on the net."""
    net = block.net("control")
    if net is None:
        return Fact(name, Unknown(f"{block.path} has no control pin", (f"{block.path} control pin",)))
    return fact(name, capacitance(book, net), book.options, text="sum of the capacitors on the pin")


def _control_use(book: Book, block: Block, name: str) -> Fact:
    """By what is on the net beside capacitors."""
    net = block.net("control")
    if net is None:
        return Fact(name, Unknown(f"{block.path} has no control pin", (f"{block.path} control pin",)))
    held = joined_voltage(book, net)
    if held is not None:
        low = isinstance(held, Dependence) and held.nominal == 0
        return Fact(name, "grounded" if low else "held", f"{net.name} is held")
    others = [lead for lead in leads(book, net) if not (isinstance(lead, OwnPin) and lead.block is block)]
    lost = book.lost(net)
    if lost:
        return Fact(name, lost[0])
    drives = [lead.label for lead in others if not isinstance(lead, Light)]
    return Fact(name, "driven" if drives else "open", ", ".join(drives) or "nothing but capacitors is on it")


def timing_capacitors(book: Book, block: Block) -> tuple[Element, ...]:
    """The fitted capacitors on the threshold net."""
    net = block.net("threshold")
    pins = book.pins(net) if net is not None else ()
    return tuple(pin.element for pin in pins if pin.element.kind == "C" and fitted(book, pin.element))


def _kind(book: Book, block: Block, name: str) -> Fact:
    """By its marks, its class or its size."""
    found = timing_capacitors(book, block)
    if block.part.function != "rc-timer" or not found:
        return Fact(name, Unknown(f"{block.path} has no timing capacitor", ("capacitor",)))
    if any(marked(book, element) for element in found):
        return Fact(name, "electrolytic", "the drawing marks it as polarised")
    for element in found:
        words = (rating_of(book, element)[0], element.part or "", element.parameters.get("class", ""))
        large = (reading_of(book, element).value or 0.0) >= LARGE_F
        if large and all(dielectric_of(word) is None for word in words):
            return Fact(name, "unknown", f"{element.path} is large, and nothing says what kind it is")
    return Fact(name, "other", "nothing marks it as polarised")


def _capacitor_leakage(book: Book, block: Block, name: str) -> Fact:
    """I = 0.01 C V, at least 3 uA, at the supply."""
    net, supply = block.net("threshold"), supply_voltage(book, block)
    farad = capacitance(book, net) if net is not None else Unknown("no threshold pin")
    text = f"I = {LEAKAGE_PER_CV:g} C V, at least {format_value(LEAST_LEAKAGE_A, AMPERE)}"
    current: Quantity = lift(
        lambda c, v: np.maximum(LEAKAGE_PER_CV * c * v, LEAST_LEAKAGE_A),
        farad,
        supply,
        unit=AMPERE,
        text=text,
    )
    return fact(name, current, book.options)


def _width(book: Book, block: Block, name: str) -> Fact:
    """(high - low) / (high + low)."""
    net = block.net("threshold")
    if block.part.function != "rc-timer" or net is None:
        return Fact(name, Unknown(f"{block.path} is no RC timer"))
    found = fact(name, capacitance(book, net), book.options)
    if found.span is None:
        return found
    if found.span.high <= 0:
        return Fact(name, Unknown(f"{block.path} has no timing capacitor", ("capacitor",)))
    width = (found.span.high - found.span.low) / (found.span.high + found.span.low)
    law = "(high - low) / (high + low) of the timing capacitance"
    return found._replace(value=exact(width, RATIO), law=law)


def _wanted_width(_: Book, subject: Subject) -> Fact:
    """(high - low) / (high + low); unknown for a bound on one side, a name or a whole number."""
    name, statement = "expect.width", subject.statement
    assert isinstance(statement, Expect)
    wanted = statement.wanted
    if not isinstance(wanted, Span) or not np.isfinite([wanted.low, wanted.high]).all():
        return Fact(name, Unknown("what is wanted has no width"))
    if wanted.low + wanted.high <= 0:
        return Fact(name, Unknown("what is wanted lies round nothing"))
    width = (wanted.high - wanted.low) / (wanted.high + wanted.low)
    return Fact(name, exact(width, RATIO), "(high - low) / (high + low) of what is wanted")


def _recovery(book: Book, block: Block, name: str) -> Fact:
    """t = R_switch C ln 20: until 5 % are left on the capacitor."""
    given, net = block.part.discharge, block.net("threshold")
    if block.part.function != "rc-timer" or given is None or given.resistance is None or net is None:
        return Fact(
            name, Unknown(f"the discharge switch of {block.path} is not known", ("discharge resistance",))
        )
    evidence = input_of(
        f"{block.part.name} discharge", format_value(given.resistance, OHM), "part file", block.part.place
    )
    switch = constant(given.resistance, OHM, evidence)
    time = lift(
        lambda c, r: SETTLED * r * c, capacitance(book, net), switch, unit=SECOND, text="t = ln 20 R C"
    )
    return fact(name, time, book.options)


def _reversed(book: Book, block: Block, name: str) -> Fact:
    """Of the timing, control and bypass capacitors, those that are marked; the plus stands first."""
    control = block.net("control")
    beside = (
        [pin.element for pin in book.pins(control) if pin.element.kind == "C"] if control is not None else []
    )
    for element in dict.fromkeys((*timing_capacitors(book, block), *beside, *bypass_capacitors(book, block))):
        if marked(book, element) and _upside_down(book, element):
            return Fact(name, element.path, f"the plus of {element.path} is on {element.nets[0].name}")
    return Fact(name, "none", "every capacitor marked as polarised has its plus on the higher side")


def _upside_down(book: Book, element: Element) -> bool:
    """Whether the first net is the lower one."""
    plus, minus = element.nets[:2]
    if plus.is_ground:
        return True
    if minus.is_ground:
        return False
    ends = [node_voltage(book, net) for net in (plus, minus)]
    first, second = (end.nominal if isinstance(end, Dependence) else None for end in ends)
    return first is not None and second is not None and first < second


def _by_level(_: Book, block: Block, name: str) -> Fact:
    """Of the part."""
    trigger = block.part.trigger
    if trigger is None or trigger.level is None:
        because = f"part {block.part.name} does not give trigger.level"
        return Fact(name, Unknown(because, (f"{block.part.name} trigger.level",)))
    return Fact(name, trigger.level, "the part file's trigger")


def _held(book: Book, block: Block, name: str) -> Fact:
    """The time low of a trigger on the falling edge, else the time high; what a bounce adds is left out."""
    from drc.facts.pulse_train import pulse_train

    net: Net | None = block.net("trigger")
    trigger = block.part.trigger
    if net is None or trigger is None:
        return Fact(name, Unknown(f"{block.path} has no trigger pin", ("trigger pin",)))
    train = pulse_train(book, net)
    span = train.low if trigger.edge == "falling" else train.high
    if span is None:
        return Fact(name, Unknown(f"nothing states how long {net.name} is held", (f"signal {net.name}",)))
    return Fact(name, span, f"time that {net.name} is at its active level", train.inputs)
