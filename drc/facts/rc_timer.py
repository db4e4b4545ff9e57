"""RC timers: the times of the true network on the capacitor, between the thresholds of the ladder."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from drc.blocks.model import Block
from drc.circuit.charging import Array, rc_time
from drc.facts.book import Book
from drc.facts.clock import part_factor
from drc.facts.dependence import Dependence, Quantity, constant, input_of, lift, missing, varying
from drc.facts.equivalent import equivalent
from drc.facts.lead import OwnPin
from drc.facts.leads import leads
from drc.facts.model import Unknown
from drc.facts.rails import ground_voltage, supply_voltage
from drc.facts.rc_steered import steered_time
from drc.facts.rc_wiring import Phase, RcWiring, of_level, wiring
from drc.facts.region import node_voltage
from drc.facts.stiff import held
from drc.quantity.span import Span
from drc.quantity.text import format_value
from drc.quantity.unit import HERTZ, POINT, RATIO, SECOND, VOLT, Unit


class Thresholds(NamedTuple):
    """The two voltages between which the capacitor moves, against node 0, V."""

    lower: Quantity
    upper: Quantity


def period(book: Book, block: Block) -> Quantity:
    """Period of an astable, steady cycles: time high plus time low, s."""
    return _both(book, block, np.add, SECOND, "T = t_high + t_low")


def frequency(book: Book, block: Block) -> Quantity:
    """Frequency of an astable, Hz."""
    return _both(book, block, lambda high, low: 1 / (high + low), HERTZ, "f = 1 / (t_high + t_low)")


def duty(book: Book, block: Block) -> Quantity:
    """Share of the period that an astable's output is high, points."""
    return _both(book, block, duty_of, POINT, "D = t_high / (t_high + t_low)")


def duty_of(high_s: Array, low_s: Array) -> Array:
    """Share of the period that is high, points, (draws,); 100 or 0 where high or low never ends."""
    with np.errstate(invalid="ignore"):
        share = 100 * high_s / (high_s + low_s)
    return np.where(np.isinf(high_s), 100.0, np.where(np.isinf(low_s), 0.0, share))


def high_time(book: Book, block: Block) -> Quantity:
    """Time that an astable's output is high, its capacitor charging from the lower threshold, s."""
    return _moves(book, block, "charge", from_rest=False)


def low_time(book: Book, block: Block) -> Quantity:
    """Time that an astable's output is low, its capacitor discharging from the upper threshold, s."""
    return _moves(book, block, "discharge", from_rest=False)


def first_high_time(book: Book, block: Block) -> Quantity:
    """The first high time of an astable, its capacitor charging from empty, s."""
    return _moves(book, block, "charge", from_rest=True)


def pulse_width(book: Book, block: Block) -> Quantity:
    """Pulse of a one-shot: its capacitor charges from what the discharge switch leaves on it, s."""
    found = wired(book, block)
    if isinstance(found, Unknown):
        return found
    if found.kind != "one-shot":
        return Unknown(f"{block.path} is wired as an astable: it has no pulse width")
    levels = thresholds(book, block)
    empty = equivalent(found.discharge.region, found.node.name)
    start = empty if isinstance(empty, Unknown) else empty.voltage
    return _timed(book, block, _phase_time(book, block, found, found.charge, (start, levels.upper)))


def thresholds(book: Book, block: Block) -> Thresholds:
    """Upper: the control pin's voltage, its load on the ladder included; lower follows it by their ratio.

    Each threshold's own error is a cause of its own: `PATH upper threshold`, `PATH lower threshold`.
    """
    ladder = block.part.ladder
    if ladder is None or ladder.error is None:
        name = "ladder" if ladder is None else "ladder.error"
        unknown = Unknown(f"part {block.part.name} gives no {name}", (f"{block.part.name} {name}",))
        return Thresholds(unknown, unknown)
    ground = ground_voltage(book, block)
    tap = _control(book, block)
    evidence = input_of(
        f"{block.part.name} ladder error", f"+/- {100 * ladder.error:.4g} %", "part file", block.part.place
    )
    errors = [
        varying(f"{block.path} {which} threshold", Span(-ladder.error, 0.0, ladder.error, RATIO), evidence)
        if ladder.error
        else constant(0.0, RATIO, evidence)
        for which in ("upper", "lower")
    ]
    share = ladder.lower / ladder.upper
    upper = lift(lambda v, g, e: g + (v - g) * (1 + e), tap, ground, errors[0], unit=VOLT, text="V_upper")
    lower = lift(
        lambda v, g, e: g + (v - g) * share * (1 + e), tap, ground, errors[1], unit=VOLT, text="V_lower"
    )
    return Thresholds(lower, upper)


def _control(book: Book, block: Block) -> Quantity:
    """The voltage at the upper tap of the ladder, against node 0."""
    ladder, net = block.part.ladder, block.net("control")
    assert ladder is not None
    others = () if net is None else leads(book, net)
    loaded = [lead for lead in others if not (isinstance(lead, OwnPin) and lead.block.path == block.path)]
    if net is not None and (loaded or _stated(book, net.name)):
        return node_voltage(book, net)
    upper = ladder.upper
    return lift(
        lambda volts, ground: ground + upper * volts,
        supply_voltage(book, block),
        ground_voltage(book, block),
        unit=VOLT,
        text=f"V_upper = {upper:.4g} * V(supply)",
    )


def _stated(book: Book, name: str) -> bool:
    """Whether a statement gives the voltage of a net."""
    net = book.board.circuit.net(name)
    return net is not None and held(book, net) is not None


def wired(book: Book, block: Block) -> RcWiring | Unknown:
    """The wiring, found once."""
    return book.once(("rc wiring", block.path), lambda: wiring(book, block))


def _both(book: Book, block: Block, law: Callable[..., Array], unit: Unit, text: str) -> Quantity:
    """What an astable's high and low time make together."""
    high, low = high_time(book, block), low_time(book, block)
    found = missing(high, low)
    if found is not None or not isinstance(high, Dependence) or not isinstance(low, Dependence):
        return found or Unknown(f"the times of {block.path} take states")
    if not np.isfinite(high.nominal + low.nominal):
        because = f"the capacitor of {block.path} settles short of the threshold: its time never ends"
        return Unknown(because, (f"{block.path} timing network",))
    return lift(law, high, low, unit=unit, text=f"{text}; {high.text}; {low.text}")


def _moves(book: Book, block: Block, phase: str, *, from_rest: bool) -> Quantity:
    """The time of one phase of an astable."""
    found = wired(book, block)
    if isinstance(found, Unknown):
        return found
    if found.kind == "one-shot":
        return Unknown(f"{block.path} is wired as a one-shot: it makes no cycles")
    levels = thresholds(book, block)
    if phase == "discharge":
        return _timed(
            book, block, _phase_time(book, block, found, found.discharge, (levels.upper, levels.lower))
        )
    start = ground_voltage(book, block) if from_rest else levels.lower
    return _timed(book, block, _phase_time(book, block, found, found.charge, (start, levels.upper)))


def _phase_time(
    book: Book, block: Block, found: RcWiring, phase: Phase, ends: tuple[Quantity, Quantity]
) -> Quantity:
    """From one voltage to another on the network of a phase."""
    start, end = ends
    if phase.region.junctions:
        return steered_time(block, found, phase, ends)
    around = equivalent(phase.region, found.node.name)
    if isinstance(around, Unknown):
        return around
    ohm = of_level(around.resistance, block, phase.level)
    final = of_level(around.voltage, block, phase.level)
    shown = (("R_th", ohm), ("V_inf", final), ("V_0", start), ("V_1", end))
    return lift(
        rc_time,
        ohm,
        found.capacitance,
        start,
        end,
        final,
        unit=SECOND,
        inputs=tuple(
            input_of(f"{name}, output {phase.level}", format_value(value.nominal, value.unit), "solved")
            for name, value in shown
            if isinstance(value, Dependence)
        ),
        text=f"t_{phase.level} = R_th C ln((V_inf - V_0) / (V_inf - V_1))",
    )


def _timed(book: Book, block: Block, time: Quantity) -> Quantity:
    """With the part's own timing error, where its part file gives one beside the ladder's."""
    timing = block.part.timing
    if timing is None or not timing.errors:
        return time
    factor = part_factor(book, block, timing, None, None)
    return lift(np.multiply, time, factor, unit=SECOND, text=_text(time, factor))


def _text(time: Quantity, factor: Dependence | Unknown) -> str:
    """The law of a time with the part's factor on it."""
    base = time.text if isinstance(time, Dependence) else "t"
    return base + (factor.text if isinstance(factor, Dependence) else "")
