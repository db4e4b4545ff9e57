"""Statements against what is drawn."""

from collections.abc import Iterator
from math import isclose

from drc.circuit.model import Circuit, Element, Net
from drc.intent.match import is_exact, matches
from drc.intent.model import Adjust, Assume, Intent, Pattern, Signal, Statement, Supply
from drc.judge.conflicts import shortened
from drc.quantity.span import Span
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import VOLT
from drc.trouble import Place, Trouble


def against_drawing(intent: Intent, circuit: Circuit) -> tuple[Trouble, ...]:
    """Statements that say another value than the drawing does."""
    found = []
    for statement in intent.statements:
        drawn = _drawn(statement, circuit)
        if drawn:
            what, place = drawn
            message = f'found "{shortened(statement.text)}", but {what}; expected the two to agree'
            kind = "statement-against-drawing"
            line = " " * (statement.place.column - 1) + statement.text
            found.append(Trouble(kind, "warning", statement.place, message, line, (place,)))
    return tuple(found)


def _drawn(statement: Statement, circuit: Circuit) -> tuple[str, Place] | None:
    """What the drawing says against a statement, and where."""
    if isinstance(statement, (Supply, Signal)) and statement.voltage is not None:
        return _driven_otherwise(statement.net, statement.voltage, circuit)
    if isinstance(statement, (Assume, Adjust)):
        return _valued_otherwise(statement, circuit)
    return None


def _driven_otherwise(pattern: Pattern, stated: Span, circuit: Circuit) -> tuple[str, Place] | None:
    """A source that holds the net outside the stated voltage."""
    for net in _nets(pattern, circuit):
        for source, volts in _sources(net):
            if not _inside(volts, stated):
                return f"{source.path} drives {net.name} at {format_value(volts, VOLT)}", source.place
    return None


def _valued_otherwise(statement: Assume | Adjust, circuit: Circuit) -> tuple[str, Place] | None:
    """An element drawn outside the stated settings, or with another tolerance than the stated one."""
    for element in _elements(statement.element, circuit):
        why = _outside(element, statement.value)
        if not why and isinstance(statement, Assume) and is_exact(statement.element):
            why = _other_tolerance(element, statement.tolerance)
        if why:
            return f"{element.path} is drawn {why}", element.place
    return None


def _outside(element: Element, settings: Span | None) -> str:
    """How an element's drawn value lies outside its stated settings, "" where it does not."""
    value = element.value
    if settings is None or value is None or _inside(value, settings):
        return ""
    return f"as {format_value(value, settings.unit)}, outside {format_span(settings)}"


def _other_tolerance(element: Element, stated: tuple[float, float] | None) -> str:
    """How an element's line speaks against a tolerance stated for it alone: the line's own wins."""
    drawn = element.reading.tolerance
    if stated is None or drawn is None or all(isclose(a, b) for a, b in zip(drawn, stated, strict=True)):
        return ""
    low, high = (f"{100 * end:+.4g} %" for end in drawn)
    return f"with {low}, {high}, which is taken"


def _nets(pattern: Pattern, circuit: Circuit) -> Iterator[Net]:
    """The nets that a pattern means."""
    if is_exact(pattern):
        net = circuit.net(pattern.text)
        if net is not None:
            yield net
    else:
        yield from (net for net in circuit.nets() if matches(pattern, net.name))


def _elements(pattern: Pattern, circuit: Circuit) -> Iterator[Element]:
    """The elements that a pattern means."""
    if is_exact(pattern):
        element = circuit.element(pattern.text)
        if element is not None:
            yield element
    else:
        yield from (element for element in circuit.elements() if matches(pattern, element.path))


def _sources(net: Net) -> Iterator[tuple[Element, float]]:
    """Voltage sources from a net to ground, and the level that each settles at."""
    for pin in net.pins():
        element = pin.element
        wave = element.waveform if element.kind == "V" else None
        if wave is not None and wave.settled is not None and element.nets[1 - pin.position].is_ground:
            yield element, wave.settled if pin.position == 0 else -wave.settled


def _inside(value: float, span: Span) -> bool:
    """Whether a value lies in a span, rounding forgiven."""
    slack = 1e-9 * abs(value)
    return span.low - slack <= value <= span.high + slack
