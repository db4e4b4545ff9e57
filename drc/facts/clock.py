"""The time that a single-resistor block counts: its part's clock, paced by the rate current."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Literal

import numpy as np

from drc.blocks.model import Block, Code, Timing
from drc.circuit.laws import counted_time, part_drift
from drc.facts.ambient import REFERENCE, ambient
from drc.facts.book import Book
from drc.facts.dependence import (
    Dependence,
    Quantity,
    States,
    combine,
    constant,
    input_of,
    missing,
    spread,
    varying,
)
from drc.facts.model import Input, Unknown
from drc.facts.part_error import PartError, WorkingPoint, part_error
from drc.facts.rails import rate_voltage, supply_voltage
from drc.facts.rate import rate_current
from drc.facts.strap import code_row
from drc.quantity.span import Span
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import AMPERE, PER_KELVIN, PER_VOLT, RATIO, SECOND, VOLT

if TYPE_CHECKING:
    from drc.circuit.laws import Array

Edge = Literal["rising", "falling"]


def settings_in_force(book: Book, block: Block) -> Code | Unknown:
    """The row of the code table in force; a part without a strap has one, or prescale 1, normal."""
    if block.part.strap is None and len(block.part.codes) <= 1:
        return block.part.codes[0] if block.part.codes else Code(0, 1)
    return code_row(book, block)


def edge_timing(block: Block, edge: Edge | None = None) -> Timing | Unknown:
    """The part's timing; of one edge as the part file gives it for that edge, which is whole."""
    timing = block.part.timing
    if timing is None:
        return Unknown(f"part {block.part.name} gives no timing", (f"{block.part.name} timing",))
    return {"rising": timing.rising, "falling": timing.falling, None: None}[edge] or timing


def counted(book: Book, block: Block, edge: Edge | None = None, current: Quantity | None = None) -> Quantity:
    """The prescaled time with the part's own error, s, without offset.

    `current` stands in for the rate pin's own. Causes added: `PATH timing error`, `PATH timing tempco`.
    Infinite where the rate current stops.
    """
    timing, row = edge_timing(block, edge), settings_in_force(book, block)
    pace = rate_current(book, block) if current is None else current
    unknown = missing(timing, row, pace)
    if unknown is not None:
        return unknown
    assert not isinstance(timing, Unknown)
    assert not isinstance(row, Unknown)
    return each(pace, lambda amperes: _counted(book, block, timing, row, amperes))


def each(quantity: Quantity, law: Callable[[Dependence], Dependence | Unknown]) -> Quantity:
    """`law` for a quantity, or for every one of its states; unknown for one state is unknown."""
    if isinstance(quantity, Unknown):
        return quantity
    if isinstance(quantity, Dependence):
        return law(quantity)
    results = [(conditions, law(state)) for conditions, state in quantity.states]
    unknown = missing(*(result for _, result in results))
    if unknown is not None:
        return unknown
    return States(tuple((c, result) for c, result in results if isinstance(result, Dependence)))


def _counted(
    book: Book, block: Block, timing: Timing, row: Code, current: Dependence
) -> Dependence | Unknown:
    """The time at one rate current."""
    ratio = _rate_ratio(block)
    drift = part_factor(book, block, timing, _asked(book, timing, "current", current), row)
    unknown = missing(ratio, drift, *_lacking(block, timing))
    if unknown is not None:
        return unknown
    assert not isinstance(ratio, Unknown)
    assert not isinstance(drift, Unknown)
    period, at_current = timing.period, timing.at_current
    assert period is not None
    assert at_current is not None

    def law(amperes: "Array", rate: "Array", factor: "Array") -> "Array":
        return counted_time(period, row.prescale, at_current, amperes, rate) * factor

    paced = "T = period * prescale * at_current / I"
    if ratio.text:
        paced += " * V_rate / V_nom"
    return combine(
        law,
        current,
        ratio,
        drift,
        unit=SECOND,
        text=f"{paced}{drift.text}; {current.text}" if current.text else f"{paced}{drift.text}",
        inputs=(
            _of_part(block, "period", format_value(period, SECOND)),
            _of_part(block, "at_current", format_value(at_current, AMPERE)),
            input_of("prescale", format_value(row.prescale, RATIO), "strap.code"),
            input_of("I", format_value(current.nominal, AMPERE), "rate.current"),
        ),
    )


def _lacking(block: Block, timing: Timing) -> tuple[Unknown, ...]:
    """What the part file leaves out of a clock."""
    return tuple(
        Unknown(f"part {block.part.name} gives no timing {name}", (f"{block.part.name} timing.{name}",))
        for name in ("period", "at_current")
        if getattr(timing, name) is None
    )


def _rate_ratio(block: Block) -> Dependence | Unknown:
    """V_rate / V_nominal for a part that follows the ratio, 1 for one that follows the current."""
    law = block.part.rate.law if block.part.rate is not None else None
    if law is None:
        return Unknown(f"part {block.part.name} gives no rate law", (f"{block.part.name} rate.law",))
    if law == "current":
        return constant(1.0, RATIO, _of_part(block, "law", "current"))
    volts = rate_voltage(block)
    if isinstance(volts, Unknown):
        return volts
    nominal = volts.nominal
    return combine(lambda v: v / nominal, volts, unit=RATIO, text="V_rate / V_nom")


def part_factor(
    book: Book, block: Block, timing: Timing, current: Span | None, row: Code | None
) -> Dependence | Unknown:
    """The factor (1 + error)(1 + tempco dT)(1 + supply_error dV) on the part's time; `text` begins with ` *`.

    Unknown where the board leaves the temperature or the supply that the error is given at and the part
    file does not say what that does.
    """
    warm, supply = ambient(book), supply_voltage(book, block)
    if isinstance(supply, Unknown):
        return supply
    found = error_in_force(book, block, timing, current, row)
    if isinstance(found, Unknown):
        return found
    temperature = _tempco(block, timing, warm, stated=found.ambient)
    volts = _supply_error(block, timing, supply, stated=found.supply)
    unknown = missing(temperature, volts)
    if unknown is not None:
        return unknown
    assert not isinstance(temperature, Unknown)
    assert not isinstance(volts, Unknown)
    size = found.error
    # What is stated over ambient or supply is in part drift: no error that a trimmer finds when it is set.
    name = f"{block.path} timing error" + " over its range" * (found.ambient or found.supply)
    shown = _of_part(block, "timing error", f"+/- {100 * size:.4g} %")
    own: Dependence = constant(0.0, RATIO, shown)
    if size:
        own = varying(name, Span(-size, 0.0, size, RATIO), shown)
        temperature = temperature._replace(
            ties=tuple((c.name, name) for c in temperature.causes if c.name.endswith("timing tempco"))
        )
    return combine(
        lambda error, warmed, supplied: part_drift(error, warmed, np.ones_like(error), 1.0, supplied),
        own,
        temperature,
        volts,
        unit=RATIO,
        text=f" * (1 + error){temperature.text}{volts.text}",
    )


def error_in_force(
    book: Book, block: Block, timing: Timing, current: Span | None, row: Code | None
) -> PartError | Unknown:
    """The part's own error at a rate current (A) and a row of its code table, on this board."""
    warm, supply = ambient(book), supply_voltage(book, block)
    if isinstance(supply, Unknown):
        return supply
    where = WorkingPoint(
        current,
        _asked(book, timing, "supply", supply),
        _asked(book, timing, "ambient", warm),
        row.prescale if row is not None else None,
        row.code if row is not None and block.part.strap is not None else None,
    )
    found = part_error(timing.errors, where)
    if isinstance(found, Unknown):
        return Unknown(f"{block.part.name}: {found.because}", found.missing)
    return found


def _asked(book: Book, timing: Timing, axis: str, quantity: Dependence) -> Span | None:
    """The span of a quantity that a row of the timing error depends on, None where none does."""
    if all(getattr(row, axis) is None for row in timing.errors):
        return None
    return spread(quantity, "extreme", book.options, axis)


def _tempco(block: Block, timing: Timing, warm: Dependence, *, stated: bool) -> Dependence | Unknown:
    """Relative change of the part's time from 25 degC."""
    cold = not warm.causes and warm.nominal == REFERENCE
    if cold or (timing.tempco is None and stated):
        return constant(0.0, RATIO)._replace(inputs=warm.inputs, assumptions=warm.assumptions)
    if timing.tempco is None:
        because = f"part {block.part.name} gives its timing error at 25 degC and no tempco"
        return Unknown(because, (f"{block.part.name} timing.tempco",))
    steep = timing.tempco
    shown = format_value(steep, PER_KELVIN)
    if timing.tempco_signed:
        evidence = _of_part(block, "timing tempco", shown)
        rise = constant(steep, PER_KELVIN, evidence)
        return combine(
            lambda k, celsius: k * (celsius - REFERENCE),
            rise,
            warm,
            unit=RATIO,
            text=" * (1 + tempco * (T_amb - 25 degC))",
        )
    evidence = _of_part(block, "timing tempco", f"+/- {shown}")
    rise = varying(f"{block.path} timing tempco", Span(-steep, 0.0, steep, PER_KELVIN), evidence)
    return combine(
        lambda k, celsius: k * np.abs(celsius - REFERENCE),
        rise,
        warm,
        unit=RATIO,
        text=" * (1 + tempco * |T_amb - 25 degC|)",
    )


def _supply_error(block: Block, timing: Timing, supply: Dependence, *, stated: bool) -> Dependence | Unknown:
    """Relative change of the part's time from the supply at which its error is given."""
    at, steep = timing.at_supply, timing.supply_error
    still = not supply.causes and supply.nominal == at
    if still or steep == 0 or (steep is None and stated):
        return constant(0.0, RATIO)._replace(inputs=supply.inputs, assumptions=supply.assumptions)
    if at is None or steep is None:
        name = "at_supply" if at is None else "supply_error"
        because = f"part {block.part.name} does not say what its supply does to its time: no {name}"
        return Unknown(because, (f"{block.part.name} timing.{name}",))
    per_volt = steep
    return combine(
        lambda volts: per_volt * (volts - at),
        supply,
        unit=RATIO,
        text=" * (1 + supply_error * (V - at_supply))",
        inputs=(
            _of_part(block, "supply_error", format_value(steep, PER_VOLT)),
            _of_part(block, "at_supply", format_value(at, VOLT)),
        ),
    )


def with_offset(block: Block, timing: Timing, time: Dependence, *, single: bool = True) -> Dependence:
    """The output's time: what was counted, plus the part's offset and, for a `single` time, its jitter."""
    parts = [time]
    text, semicolon, rest = time.text.partition("; ")
    jitter = _both_ways(timing.jitter) if single else None
    for name, span in (("offset", timing.offset), ("jitter", jitter)):
        if span is not None:
            cause = f"{block.path} {name}"
            parts.append(varying(cause, span, _of_part(block, name, format_span(span))))
            text += f" + {name}"
    return combine(
        lambda *seconds: np.sum(seconds, axis=0), *parts, unit=SECOND, text=f"{text}{semicolon}{rest}"
    )


def _both_ways(size: float | None) -> Span | None:
    """+/- size around nothing."""
    return None if not size else Span(-size, 0.0, size, SECOND)


def _of_part(block: Block, label: str, value: str) -> Input:
    """A line of evidence out of the part file."""
    return input_of(f"{block.part.name} {label}", value, "part file", block.part.place)
