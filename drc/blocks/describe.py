"""A part as lines of (label, value) for reading: pins, ratings, and the code table with its ratio windows."""

from collections.abc import Iterator

from drc.blocks.model import Code, Drive, ErrorRow, InputPin, Part, Relative, StrapPin, SupplyRating, Timing
from drc.quantity.span import Span
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import AMPERE, FARAD, OHM, PER_KELVIN, PER_VOLT, RATIO, SECOND, VOLT, Unit

Lines = Iterator[tuple[str, str]]


def describe(part: Part) -> list[tuple[str, str]]:
    """What a part file says of a part, line by line; what it does not give is left out."""
    return [
        ("part", part.name),
        *_texts(part),
        *_pins(part),
        *_supplies(part),
        *_rate(part),
        *_timing(part),
        *_strap(part.strap),
        *_codes(part),
        *_outputs(part),
        *_inputs(part),
        *_behaviour(part),
        *_rc_timer(part),
        *_helper(part),
    ]


def _texts(part: Part) -> Lines:
    for label, text in (("title", part.title), ("function", part.function), ("source", part.source)):
        if text:
            yield label, text
    yield "defined at", str(part.place)


def _pins(part: Part) -> Lines:
    yield "pins", " ".join(part.pins)
    for role, names in part.alias.items():
        if role in part.pins:
            yield f"pin names of {role}", " ".join(names)
    for name, pins in part.packages.items():
        yield f"pins in package {name}", " ".join(pins)
    for unit in part.units:
        yield f"pins of unit {unit.name}", " ".join(unit.pins)


def _supplies(part: Part) -> Lines:
    named = {"": part.supply, **part.supplies}
    for name, rating in named.items():
        yield from _supply(f" {name}" if name else "", rating)
    yield from _span("ambient", part.ambient)
    yield from _span("consumption", part.consumption)
    yield from _value("startup", part.startup, SECOND)


def _supply(name: str, rating: SupplyRating) -> Lines:
    yield from _span(f"supply{name}, rated", rating.rated)
    yield from _value(f"supply{name}, limit", rating.limit, VOLT)


def _rate(part: Part) -> Lines:
    rate = part.rate
    if rate is None:
        return
    yield from _span("rate pin voltage", rate.voltage)
    yield from _span("rate pin current", rate.current)
    yield from _span("timing resistor", rate.resistance)
    yield from _value("rate pin capacitance, at most", rate.capacitance, FARAD)
    laws = {
        "ratio": "period * prescale * (at_current / nominal voltage) * voltage / current",
        "current": "period * prescale * at_current / current",
    }
    if rate.law:
        yield "law", laws[rate.law]


def _timing(part: Part) -> Lines:
    timing = part.timing
    if timing is None:
        return
    yield from _clock("", timing)
    for name, edge in (("rising: ", timing.rising), ("falling: ", timing.falling)):
        if edge is not None:
            yield from _clock(name, edge)


def _clock(prefix: str, timing: Timing) -> Lines:
    yield from _value(f"{prefix}master period", timing.period, SECOND)
    yield from _value(f"{prefix}at current", timing.at_current, AMPERE)
    yield from _value(f"{prefix}at supply", timing.at_supply, VOLT)
    for row in timing.errors:
        yield f"{prefix}error", _error(row)
    if timing.tempco is not None:
        sign = "" if timing.tempco_signed else "+/- "
        yield f"{prefix}temperature coefficient", sign + format_value(timing.tempco, PER_KELVIN)
    if timing.supply_error is not None:
        yield f"{prefix}supply error", format_value(timing.supply_error, PER_VOLT)
    yield from _span(f"{prefix}offset", timing.offset)
    yield from _value(f"{prefix}jitter", timing.jitter, SECOND)


def _error(row: ErrorRow) -> str:
    conditions = [
        f"{name} {format_span(span)}"
        for name, span in zip(row._fields[1:], row[1:], strict=True)
        if isinstance(span, Span)
    ]
    return f"+/- {_percent(row.error)}" + (f" where {', '.join(conditions)}" if conditions else "")


def _strap(strap: StrapPin | None) -> Lines:
    if strap is None:
        return
    yield "strap levels", str(strap.levels)
    against = "its own supply" if strap.reference is None else format_span(strap.reference)
    yield "strap read against", against
    if strap.read:
        yield "strap read", strap.read
    if strap.threshold_error is not None:
        yield "strap threshold error", f"+/- {_percent(strap.threshold_error)} of full scale"
    yield from _value("strap leakage, at most", strap.leakage, AMPERE)
    yield from _value("strap source resistance, at most", strap.source_resistance, OHM)
    yield from _value("strap read after", strap.read_after, SECOND)


def _codes(part: Part) -> Lines:
    """The code table; a strap code that is not listed is reserved."""
    texts = [(row.code, _code(row)) for row in part.codes]
    if part.strap is not None and part.codes:
        texts += [
            (code, "reserved") for code in set(range(part.strap.levels)) - {row.code for row in part.codes}
        ]
    for code, text in sorted(texts, key=lambda pair: pair[0]):
        yield f"code {code}", f"{window(part.strap, code)}: {text}"


def window(strap: StrapPin | None, code: int) -> str:
    """The ideal window of the strap ratio that reads as a code, and its centre, in words."""
    if strap is None:
        return "any ratio"
    edges = (0.0, *strap.thresholds, 1.0)
    low, high = edges[code], edges[code + 1]
    return f"ratio {low:.5g} .. {high:.5g}, centre {(low + high) / 2:.5g}"


def _code(row: Code) -> str:
    pieces = [f"prescale {format_value(row.prescale, RATIO)}", "inverted" if row.inverted else "normal"]
    if row.rest:
        pieces.append(f"rests {row.rest}")
    pieces += [f"while {role} is {level}" for role, level in row.when.items()]
    return ", ".join(pieces)


def _outputs(part: Part) -> Lines:
    for drive in part.outputs:
        yield "output", ", ".join(_drive(drive))


def _drive(drive: Drive) -> Iterator[str]:
    yield drive.kind
    for label, value, unit in (
        ("source", drive.source, AMPERE),
        ("sink", drive.sink, AMPERE),
        ("resistance", drive.resistance, OHM),
        ("capacitance at most", drive.capacitance, FARAD),
    ):
        if value is not None:
            yield f"{label} {format_value(value, unit)}"
    for label, drop in (("high drop", drive.high_drop), ("low drop", drive.low_drop)):
        if drop is not None:
            yield f"{label} {format_value(drop[0], VOLT)} at {format_value(drop[1], AMPERE)}"
    if drive.disabled:
        yield f"{drive.disabled} when disabled"
    if drive.at_supply is not None:
        yield f"for supplies {format_span(drive.at_supply)}"


def _inputs(part: Part) -> Lines:
    for role, pin in part.inputs.items():
        text = ", ".join(_input(pin))
        if text and role in part.pins:
            yield f"input {role}", text


def _input(pin: InputPin) -> Iterator[str]:
    for label, level in (
        ("low under", pin.low),
        ("high over", pin.high),
        ("hysteresis", pin.hysteresis),
        ("limit", pin.limit),
    ):
        if level is not None:
            yield f"{label} {_relative(level)}"
    if pin.leakage is not None:
        yield f"leakage {format_value(pin.leakage, AMPERE)}"
    if pin.pull is not None:
        yield f"pulled {pin.pull[0]} by {format_value(pin.pull[1], OHM)}"
    if pin.active is not None:
        yield f"active {pin.active}"
    if pin.width is not None:
        yield f"shortest pulse {format_value(pin.width, SECOND)}"


def _relative(level: Relative) -> str:
    if level.of_supply == 0:
        return format_value(level.offset, VOLT)
    share = "supply" if level.of_supply == 1 else f"{level.of_supply:.4g} supply"
    if level.offset == 0:
        return share
    return f"{share} {'+' if level.offset > 0 else '-'} {format_value(abs(level.offset), VOLT)}"


def _behaviour(part: Part) -> Lines:
    modulate = part.modulate
    if modulate is not None:
        unit = " V" if modulate.reference == "absolute" else f" of {modulate.reference}"
        points = ", ".join(f"{_percent(duty)} at {level:.4g}{unit}" for level, duty in modulate.points)
        yield "duty by modulate pin", points
        if modulate.error is not None:
            yield "duty error", f"+/- {modulate.error * 100:.4g} points"
    if part.trigger is not None:
        yield from _words("trigger", part.trigger._asdict())
    if part.signal is not None:
        yield from _words("signal", part.signal._asdict())
    if part.reset_active is not None:
        yield "reset", f"active {part.reset_active}"


def _words(label: str, values: dict[str, object]) -> Lines:
    """Yes, no, words and times of a small record."""
    for key, value in values.items():
        if value is None:
            continue
        text = format_value(value, SECOND) if isinstance(value, float) else str(value)
        yield f"{label}, {key}", {"True": "yes", "False": "no"}.get(text, text)


def _rc_timer(part: Part) -> Lines:
    if part.ladder is not None:
        yield "thresholds", f"{part.ladder.lower:.5g} and {part.ladder.upper:.5g} of the supply"
        if part.ladder.error is not None:
            yield "threshold error", f"+/- {_percent(part.ladder.error)}"
        yield from _span("ladder, each resistor", part.ladder.resistance)
    if part.discharge is not None:
        yield from _value("discharge resistance", part.discharge.resistance, OHM)
        yield from _value("discharge current, at most", part.discharge.current, AMPERE)


def _helper(part: Part) -> Lines:
    regulator = part.regulator
    if regulator is not None:
        yield from _span("regulated output", regulator.output)
        yield from _span("feedback voltage", regulator.feedback)
        yield from _value("dropout", regulator.dropout, VOLT)
        yield from _value("output current, at most", regulator.current, AMPERE)
    if part.gate is not None:
        yield from _words("gate", {"logic": part.gate.logic, "inverts": part.gate.inverts})
        yield from _span("gate delay", part.gate.delay)
    if part.switch is not None:
        yield from _words("switch", {"side": part.switch.side, "inverts": part.switch.inverts})
        yield from _value("switch resistance", part.switch.resistance, OHM)
        yield from _value("switch current, at most", part.switch.current, AMPERE)


def _span(label: str, span: Span | None) -> Lines:
    if span is not None:
        yield label, format_span(span)


def _value(label: str, value: float | None, unit: Unit) -> Lines:
    if value is not None:
        yield label, format_value(value, unit)


def _percent(value: float) -> str:
    """A ratio in percent; format_value would write it as a plain number."""
    return f"{value * 100:.4g} %"
