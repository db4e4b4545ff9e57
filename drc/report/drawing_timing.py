"""A block's output against time, to scale: nominal edges as a line, shaded where each may lie."""

import math
from typing import NamedTuple

from drc.outcome import BlockOutcome
from drc.quantity.span import Span
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import SECOND
from drc.report.svg import CHAR, Sheet, ticks

WIDTH = 560.0
"""Length of the time scale, px."""

_LEFT = 80.0
_HIGH = 34.0
_PITCH = 70.0


class Edge(NamedTuple):
    """A change of a line: the times it may come at (s), and the level after it (1 high)."""

    at: Span
    level: int


class Trace(NamedTuple):
    """A line of the diagram: its name, the level it starts at, its edges."""

    name: str
    start: int
    edges: tuple[Edge, ...]


class Measure(NamedTuple):
    """A length of time marked under the traces, from one time to another (s)."""

    name: str
    start: float
    span: Span


class Diagram(NamedTuple):
    """What is drawn: traces over `length` seconds, measures beneath, and remarks in words.

    `wanted` are the times asked for, marked as `measures` are.
    """

    traces: tuple[Trace, ...]
    measures: tuple[Measure, ...]
    length: float
    remarks: tuple[str, ...] = ()
    wanted: tuple[Measure, ...] = ()


def timing(outcome: BlockOutcome, name: str) -> str:
    """The drawing; empty where no time of the block is known, or none is finite."""
    diagram = diagram_of(outcome)
    if diagram is None:
        return ""
    diagram = with_wanted(diagram, outcome)
    sheet = Sheet()
    scale = WIDTH / diagram.length
    for number, trace in enumerate(diagram.traces):
        _trace(sheet, trace, diagram.length, _PITCH * number)
    foot = _PITCH * (len(diagram.traces) - 1) + _HIGH
    for number, measure in enumerate(diagram.measures):
        _measure(sheet, measure, scale, foot + 26 + 30 * number)
    for number, measure in enumerate(diagram.wanted, len(diagram.measures)):
        _window(sheet, measure, scale, foot + 26 + 30 * number)
    axis = foot + 22 + 30 * (len(diagram.measures) + len(diagram.wanted))
    sheet.line((_LEFT, axis), (_LEFT + WIDTH, axis), kind="rule")
    for place in ticks(0.0, diagram.length, 6):
        x = _LEFT + place * scale
        sheet.line((x, axis), (x, axis + 4), kind="rule")
        sheet.text(x, axis + 15, format_value(place, SECOND), "middle", "small")
    for number, remark in enumerate(diagram.remarks):
        sheet.text(_LEFT, axis + 34 + 14 * number, remark, "start", "small")
    told = "; ".join(f"{m.name} {format_span(m.span)}" for m in (*diagram.measures, *diagram.wanted))
    return sheet.drawing(
        name, f"Output timing of {outcome.block.path}", ". ".join((told, *diagram.remarks)) + "."
    )


def diagram_of(outcome: BlockOutcome) -> Diagram | None:
    """The diagram of what the block makes, None where a time it needs is unknown or without bound."""
    function = outcome.block.part.function
    if function == "edge-delay":
        return _delay(outcome)
    if function == "one-shot" or (function == "rc-timer" and _time(outcome, "pulse_width") is not None):
        return _pulse(outcome)
    return _cycle(outcome)


def with_wanted(diagram: Diagram, outcome: BlockOutcome) -> Diagram:
    """The diagram with what is wanted of its times; what would lie off the scale is told in words."""
    wanted: list[Measure] = []
    remarks = list(diagram.remarks)
    starts = {measure.name: measure.start for measure in diagram.measures}
    for expected in outcome.expected:
        name = _measured(outcome, expected.quantity)
        span = expected.wanted.span
        if name not in starts or span is None:
            continue
        if expected.quantity == "frequency":
            span = _turned(span)
        elif span.unit != SECOND:
            continue
        start = starts[name]
        if start + span.low < diagram.length and math.isfinite(span.low):
            wanted.append(Measure("wanted", start, span))
        else:
            remarks.append(f"wanted is {format_span(span)}, off this scale")
    return diagram._replace(wanted=tuple(wanted), remarks=tuple(remarks))


_MEASURED = {
    "frequency": "period",
    "period": "period",
    "pulse-width": "pulse",
    "delay-rising": "rising",
    "delay-falling": "falling",
}
"""Which measure of a diagram an expectation speaks of."""


def _measured(outcome: BlockOutcome, quantity: str) -> str | None:
    """The measure that an expectation speaks of: a delay is that of the edges which the part delays."""
    if quantity == "delay":
        signal = outcome.block.part.signal
        return "falling" if signal is not None and signal.edges == "falling" else "rising"
    return _MEASURED.get(quantity)


def _turned(frequency: Span) -> Span:
    """A frequency as the period it stands for."""
    low = 1 / frequency.high if frequency.high else math.inf
    nominal = None if not frequency.nominal else 1 / frequency.nominal
    return Span(low, nominal, 1 / frequency.low if frequency.low > 0 else math.inf, SECOND)


def _time(outcome: BlockOutcome, quantity: str) -> Span | None:
    """A time of the block, None where it is unknown, zero or without bound."""
    fact = outcome.facts.get(f"timing.{quantity}")
    span = None if fact is None else fact.span
    if span is None or not all(map(math.isfinite, (span.low, span.middle, span.high))):
        return None
    return span if span.middle > 0 and span.low >= 0 else None


def _inverted(outcome: BlockOutcome) -> bool:
    """Whether the strap turns the output round."""
    return "strap.polarity" in outcome.facts and outcome.facts["strap.polarity"].value == "inverted"


def _rest(outcome: BlockOutcome) -> int:
    """The level of an idle output; where it is not known, low unless the strap turns the output round."""
    rest = outcome.facts["output.rest"].value if "output.rest" in outcome.facts else None
    return 1 if rest == "high" or (rest != "low" and _inverted(outcome)) else 0


def _at(time: float) -> Span:
    return Span(time, time, time, SECOND)


def _cycle(outcome: BlockOutcome) -> Diagram | None:
    """Two periods of an output that goes on and on; each later edge is less sure."""
    period = _time(outcome, "period")
    if period is None:
        return None
    duty = _time(outcome, "duty")
    remarks = () if duty is not None else ("the period is to scale; the halves are drawn equal",)
    share = duty or Span(50.0, 50.0, 50.0)
    edges = []
    for turn in range(3):
        rise = _times(period, turn)
        fall = Span(
            rise.low + period.low * share.low / 100,
            rise.middle + period.middle * share.middle / 100,
            rise.high + period.high * share.high / 100,
            SECOND,
        )
        if duty is None:
            fall = _at(fall.middle)
        edges += [Edge(rise, 1), Edge(fall, 0)]
    measures = [Measure("period", 0.0, period)]
    if duty is not None:
        high = Span(edges[1].at.low, edges[1].at.middle, edges[1].at.high, SECOND)
        measures.insert(0, Measure("high", 0.0, high))
        remarks = (*remarks, f"duty {format_span(duty)}")
    return Diagram((Trace("output", 0, tuple(edges)),), tuple(measures), 2.3 * period.high, remarks)


def _times(span: Span, turns: int) -> Span:
    return Span(span.low * turns, span.middle * turns, span.high * turns, span.unit)


def _pulse(outcome: BlockOutcome) -> Diagram | None:
    """A trigger, and the pulse that follows."""
    width = _time(outcome, "pulse_width")
    if width is None:
        return None
    rest = _rest(outcome)
    lead = 0.25 * width.high
    ends = Span(lead + width.low, lead + width.middle, lead + width.high, SECOND)
    traces = (
        Trace("trigger", 0, (Edge(_at(lead), 1),)),
        Trace("output", rest, (Edge(_at(lead), 1 - rest), Edge(ends, rest))),
    )
    remark = "the trigger's edge alone is shown, whichever way the part wants it"
    return Diagram(traces, (Measure("pulse", lead, width),), 1.35 * width.high + lead, (remark,))


def _delay(outcome: BlockOutcome) -> Diagram | None:
    """An input pulse, and the output that follows each edge in its own time."""
    rising, falling = _time(outcome, "delay_rising"), _time(outcome, "delay_falling")
    if rising is None or falling is None:
        return None
    turned = 1 if _inverted(outcome) else 0
    longest = max(rising.high, falling.high)
    lead, length = 0.3 * longest, 1.6 * longest
    answers = [
        Edge(Span(at + span.low, at + span.middle, at + span.high, SECOND), level ^ turned)
        for at, span, level in ((lead, rising, 1), (lead + length, falling, 0))
    ]
    traces = (
        Trace("input", 0, (Edge(_at(lead), 1), Edge(_at(lead + length), 0))),
        Trace("output", turned, tuple(answers)),
    )
    measures = (Measure("rising", lead, rising), Measure("falling", lead + length, falling))
    return Diagram(traces, measures, lead + length + 1.4 * longest)


def _trace(sheet: Sheet, trace: Trace, length: float, y: float) -> None:
    """One line with its edges; behind each, where it may lie."""
    scale = WIDTH / length

    def across(time: float) -> float:
        return _LEFT + min(max(time, 0.0), length) * scale

    sheet.text(_LEFT - 12, y + _HIGH / 2 + 4, trace.name, "end", "name")
    sheet.text(_LEFT - 2, y + 4, "1", "end", "small")
    sheet.text(_LEFT - 2, y + _HIGH + 3, "0", "end", "small")
    level, points = trace.start, [(_LEFT, y + _HIGH * (1 - trace.start))]
    for edge in trace.edges:
        if edge.at.middle >= length:
            break
        if edge.at.high > edge.at.low:
            left, right = across(edge.at.low), across(edge.at.high)
            sheet.box(left, y - 5, max(right - left, 1.5), _HIGH + 10, "doubt")
        x = across(edge.at.middle)
        points += [(x, y + _HIGH * (1 - level)), (x, y + _HIGH * (1 - edge.level))]
        level = edge.level
    sheet.line(*points, (_LEFT + WIDTH, y + _HIGH * (1 - level)), kind="trace")


def _measure(sheet: Sheet, measure: Measure, scale: float, y: float) -> None:
    """A length with arrow heads, and its value beside it."""
    left = _LEFT + measure.start * scale
    right = left + measure.span.middle * scale
    sheet.line((left, y - 7), (left, y + 7), kind="rule")
    sheet.line((right, y - 7), (right, y + 7), kind="rule")
    sheet.line((left, y), (right, y), kind="rule")
    if right - left > 16:
        sheet.area((left, y), (left + 7, y - 3), (left + 7, y + 3), kind="solid")
        sheet.area((right, y), (right - 7, y - 3), (right - 7, y + 3), kind="solid")
    _beside(sheet, f"{measure.name} {format_span(measure.span)}", left, right, y)


def _window(sheet: Sheet, measure: Measure, scale: float, y: float) -> None:
    """The times that an edge is wanted within, as an outline that ends where the scale does."""
    end = _LEFT + WIDTH
    left = min(_LEFT + (measure.start + max(measure.span.low, 0.0)) * scale, end)
    right = min(_LEFT + (measure.start + measure.span.high) * scale, end)
    sheet.box(left, y - 5, max(right - left, 1.5), 10, "rated")
    _beside(sheet, f"{measure.name} {format_span(measure.span)}", left, right, y, inside=False)


def _beside(sheet: Sheet, text: str, left: float, right: float, y: float, *, inside: bool = True) -> None:
    """A text over a length if it fits there, else right of it, else left."""
    wide = CHAR * len(text)
    if inside and wide < right - left - 8:
        sheet.text((left + right) / 2, y - 5, text, "middle")
    elif right + 8 + wide < _LEFT + WIDTH + 60 or left - 8 - wide < 0:
        sheet.text(right + 8, y + 4, text)
    else:
        sheet.text(left - 8, y + 4, text, "end")
