"""The catalogue's lines of an RC timer's network: thresholds, currents, and its discharge switch."""

from collections.abc import Callable

import numpy as np

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, constant, fact, input_of, lift
from drc.facts.model import Entry, Fact, Subject, Unknown
from drc.facts.rails import ground_voltage
from drc.quantity.span import exact
from drc.quantity.text import format_value
from drc.quantity.unit import AMPERE, FARAD, OHM, VOLT, Unit


def rc_entries() -> tuple[Entry, ...]:
    """All of them; unknown for a block that is no RC timer."""
    return (
        Entry("rc.wiring", "block", "name", "astable or one-shot, by its wiring", _of(_wiring, "rc.wiring")),
        _line("rc.capacitance", FARAD, "timing capacitance of an RC timer", _capacitance),
        _line("rc.upper_threshold", VOLT, "upper threshold of an RC timer", _upper),
        _line("rc.lower_threshold", VOLT, "lower threshold of an RC timer", _lower),
        _line("rc.settles", VOLT, "voltage that the charging network heads for", _settles),
        _line("rc.charging_current", AMPERE, "current into the capacitor at the upper threshold", _charging),
        _line("rc.leakage", AMPERE, "leakage of the pins on the timing capacitor", _leakage),
        _line("rc.discharge_current", AMPERE, "steady current of the discharge switch", _steady),
        _line("rc.discharge_surge", AMPERE, "current of the discharge switch as it turns on", _surge),
        Entry(
            "rc.discharge_rated", "block", AMPERE, "current that the discharge switch stands",
            _of(_discharge_rated, "rc.discharge_rated"),
        ),
    )  # fmt: skip


def _of(compute: Callable[[Book, Block, str], Fact], name: str) -> Callable[[Book, Subject], Fact]:
    """A fact of the subject's block; unknown for a block that is no RC timer."""

    def line(book: Book, subject: Subject) -> Fact:
        block = subject.block
        assert block is not None
        if block.part.function != "rc-timer":
            return Fact(name, Unknown(f"{block.path} is no RC timer"))
        return compute(book, block, name)

    return line


def _line(name: str, unit: Unit, meaning: str, quantity: Callable[[Book, Block], Quantity]) -> Entry:
    """A line whose fact is a quantity by extreme value."""

    def compute(book: Book, block: Block, label: str) -> Fact:
        return fact(label, quantity(book, block), book.options)

    return Entry(name, "block", unit, meaning, _of(compute, name))


def _wiring(book: Book, block: Block, name: str) -> Fact:
    from drc.facts.rc_timer import wired

    found = wired(book, block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    return Fact(name, found.kind, "by what joins threshold, trigger and discharge")


def _capacitance(book: Book, block: Block) -> Quantity:
    from drc.facts.rc_timer import wired

    found = wired(book, block)
    return found if isinstance(found, Unknown) else found.capacitance


def _upper(book: Book, block: Block) -> Quantity:
    from drc.facts.rc_timer import thresholds

    return thresholds(book, block).upper


def _lower(book: Book, block: Block) -> Quantity:
    from drc.facts.rc_timer import thresholds

    return thresholds(book, block).lower


def _settles(book: Book, block: Block) -> Quantity:
    """V_inf of the charging phase."""
    return _charging_source(book, block)[0]


def _charging_source(book: Book, block: Block) -> tuple[Quantity, Quantity]:
    """Open-circuit voltage and resistance that charge the capacitor."""
    from drc.facts.equivalent import equivalent
    from drc.facts.rc_timer import wired
    from drc.facts.rc_wiring import of_level

    found = wired(book, block)
    if isinstance(found, Unknown):
        return found, found
    around = equivalent(found.charge.region, found.node.name)
    if isinstance(around, Unknown):
        return around, around
    return of_level(around.voltage, block, "high"), of_level(around.resistance, block, "high")


def _charging(book: Book, block: Block) -> Quantity:
    """(V_inf - V_upper) / R_th: the least that still charges the capacitor."""
    volts, ohm = _charging_source(book, block)
    return lift(
        lambda final, upper, r: (final - upper) / r,
        volts,
        _upper(book, block),
        ohm,
        unit=AMPERE,
        text="I = (V_inf - V_upper) / R_th",
    )


def _leakage(book: Book, block: Block) -> Quantity:
    """The leakages that the part file gives of the pins on the capacitor, added."""
    roles = ["threshold"]
    if block.net("trigger") == block.net("threshold"):
        roles.append("trigger")
    total, inputs = 0.0, []
    for role in roles:
        pin = block.part.inputs.get(role)
        if pin is None or pin.leakage is None:
            because = f"part {block.part.name} gives no leakage of its {role} pin"
            return Unknown(because, (f"{block.part.name} input.{role}.leakage",))
        total += pin.leakage
        label = f"{block.part.name} {role} leakage"
        inputs.append(input_of(label, format_value(pin.leakage, AMPERE), "part file", block.part.place))
    return constant(total, AMPERE, *inputs, text="leakage of the pins on the capacitor, added")


def _steady(book: Book, block: Block) -> Quantity:
    """Through the switch once the capacitor is empty: I = (V_oc - V_ground) / (R_th + R_switch)."""
    return _switch_current(book, block, {})


def _surge(book: Book, block: Block) -> Quantity:
    """Through the switch with the capacitor at the upper threshold."""
    upper, net = _upper(book, block), block.net("threshold")
    if isinstance(upper, Unknown):
        return upper
    if net is None or not isinstance(upper, Dependence):
        return Unknown(f"the upper threshold of {block.path} takes states")
    return _switch_current(book, block, {net.name: upper})


def _switch_current(book: Book, block: Block, held: dict[str, Dependence]) -> Quantity:
    """Current into the discharge pin with the switch on, with nets held at voltages."""
    from drc.facts.region import thevenin

    net, given = block.net("discharge"), block.part.discharge
    if net is None or given is None or given.resistance is None:
        because = f"part {block.part.name} gives no resistance of its discharge switch"
        return Unknown(because, (f"{block.part.name} discharge.resistance",))
    around = thevenin(book, net, held, without=frozenset({f"{block.path} discharge"}))
    if isinstance(around, Unknown):
        return around
    evidence = input_of(
        f"{block.part.name} discharge", format_value(given.resistance, OHM), "part file", block.part.place
    )
    switch = constant(given.resistance, OHM, evidence)
    return lift(
        lambda volts, ohm, on, ground: np.divide(volts - ground, ohm + on),
        around.voltage,
        around.resistance,
        switch,
        ground_voltage(book, block),
        unit=AMPERE,
        text="I = (V_oc - V_ground) / (R_th + R_switch) at the discharge pin",
    )


def _discharge_rated(_: Book, block: Block, name: str) -> Fact:
    given = block.part.discharge
    if given is None or given.current is None:
        because = f"part {block.part.name} gives no current of its discharge switch"
        return Fact(name, Unknown(because, (f"{block.part.name} discharge.current",)))
    return Fact(name, exact(given.current, AMPERE), f"discharge current of {block.part.name}")
