"""Statements that contradict each other, or what is drawn."""

from collections.abc import Iterator

from drc.circuit.model import Circuit, Element, Net
from drc.intent.match import matches
from drc.intent.model import (
    Adjust,
    Ambient,
    Assume,
    Expect,
    Fit,
    Intent,
    NotSupply,
    Pattern,
    Statement,
    Supply,
)
from drc.quantity.span import Span
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import VOLT
from drc.trouble import Place, Trouble


def contradictory(intent: Intent) -> tuple[Trouble, ...]:
    """Statements that cannot both be meant: each later one, with the place of the earliest on its subject."""
    found = []
    first: dict[tuple[str, ...], Statement] = {}
    for later in intent.statements:
        for key in _subjects(later):
            earlier = first.setdefault(key, later)
            why = "" if earlier is later else _against(earlier, later)
            if why:
                both = f'found "{_short(later.text)}" against "{_short(earlier.text)}" ({why})'
                kind, message = "contradictory-statements", f"{both}, expected one of them"
                line = " " * (later.place.column - 1) + later.text
                found.append(Trouble(kind, "error", later.place, message, line, (earlier.place,)))
    return tuple(found)


def against_drawing(intent: Intent, circuit: Circuit) -> tuple[Trouble, ...]:
    """Statements that say another value than the drawing does."""
    found = []
    for statement in intent.statements:
        drawn = _drawn(statement, circuit)
        if drawn:
            what, place = drawn
            message = f'found "{_short(statement.text)}", but {what}; expected the two to agree'
            kind = "statement-against-drawing"
            line = " " * (statement.place.column - 1) + statement.text
            found.append(Trouble(kind, "warning", statement.place, message, line, (place,)))
    return tuple(found)


def _subjects(statement: Statement) -> Iterator[tuple[str, ...]]:
    """What a statement fixes, where a second one could say otherwise; names with stars fix nothing alone."""
    if isinstance(statement, (Supply, NotSupply)):
        name, kind = statement.net, "rail"
    elif isinstance(statement, Adjust) or (isinstance(statement, Assume) and statement.value is not None):
        name, kind = statement.element, "value"
    elif isinstance(statement, Fit):
        name, kind = statement.element, "fit"
    elif isinstance(statement, Expect):
        name, kind = statement.block, f"{statement.quantity} {statement.condition}"
    else:
        if isinstance(statement, Ambient):
            yield ("ambient",)
        return
    if name.literal or "*" not in name.text:
        yield (kind, name.text.casefold())


def _against(earlier: Statement, later: Statement) -> str:
    """Why two statements about one thing cannot both be meant, "" where they can."""
    if type(earlier) is not type(later):
        return (
            "a rail and no rail" if isinstance(later, (Supply, NotSupply)) else "some setting, and every one"
        )
    if isinstance(earlier, Expect) and isinstance(later, Expect):
        return _expected_otherwise(earlier.wanted, later.wanted)
    if isinstance(earlier, Fit) and isinstance(later, Fit):
        return "fitted and not fitted" if earlier.fitted != later.fitted else ""
    return "two different values" if _said(earlier) != _said(later) else ""


def _said(statement: Statement) -> Span | None:
    """The span that a statement gives."""
    if isinstance(statement, Supply):
        return statement.voltage
    if isinstance(statement, Ambient):
        return statement.span
    return statement.value if isinstance(statement, (Assume, Adjust)) else None


def _expected_otherwise(one: Span | str, other: Span | str) -> str:
    """Whether no value meets both of two expectations."""
    if isinstance(one, Span) and isinstance(other, Span):
        apart = one.high < other.low or other.high < one.low
    else:
        apart = one != other
    return "no value meets both" if apart else ""


def _drawn(statement: Statement, circuit: Circuit) -> tuple[str, Place] | None:
    """What the drawing says against a statement, and where."""
    if isinstance(statement, Supply):
        for net in _nets(statement.net, circuit):
            for source, volts in _sources(net):
                if not _inside(volts, statement.voltage):
                    return f"{source.path} drives {net.name} at {format_value(volts, VOLT)}", source.place
    if isinstance(statement, (Assume, Adjust)) and statement.value is not None:
        for element in _elements(statement.element, circuit):
            value = element.value
            if value is not None and not _inside(value, statement.value):
                shown = format_value(value, statement.value.unit)
                return (
                    f"{element.path} is drawn as {shown}, outside {format_span(statement.value)}",
                    element.place,
                )
    return None


def _nets(pattern: Pattern, circuit: Circuit) -> Iterator[Net]:
    """The nets that a pattern means."""
    if pattern.literal or "*" not in pattern.text:
        net = circuit.net(pattern.text)
        if net is not None:
            yield net
    else:
        yield from (net for net in circuit.nets() if matches(pattern, net.name))


def _elements(pattern: Pattern, circuit: Circuit) -> Iterator[Element]:
    """The elements that a pattern means."""
    if pattern.literal or "*" not in pattern.text:
        element = circuit.element(pattern.text)
        if element is not None:
            yield element
    else:
        yield from (element for element in circuit.elements() if matches(pattern, element.path))


def _sources(net: Net) -> Iterator[tuple[Element, float]]:
    """Voltage sources from a net to ground, and the level that each settles at."""
    for pin in net.pins():
        element = pin.element
        if element.kind == "V" and len(element.nets) >= 2 and element.waveform is not None:
            settled = element.waveform.settled
            other = element.nets[1 - pin.position] if pin.position in (0, 1) else None
            if settled is not None and other is not None and other.is_ground:
                yield element, settled if pin.position == 0 else -settled


def _inside(value: float, span: Span) -> bool:
    """Whether a value lies in a span, rounding forgiven."""
    slack = 1e-9 * abs(value)
    return span.low - slack <= value <= span.high + slack


def _short(text: str) -> str:
    """A statement's text, cut where it is long."""
    return text if len(text) <= 60 else f"{text[:57]}..."
