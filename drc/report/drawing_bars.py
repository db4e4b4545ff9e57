"""Quantities against what the part is rated for, a bar a quantity."""

import math
from typing import NamedTuple

from drc.outcome import BlockOutcome
from drc.quantity.span import Span
from drc.quantity.text import format_span, format_value
from drc.report.svg import CHAR, Sheet

WIDTH = 360.0
"""Length of a bar's scale, px."""

_LABEL = 125.0
_PITCH = 31.0


class Bar(NamedTuple):
    """A quantity, the span it is rated for, and the limit that damages; None where not known or not given."""

    label: str
    actual: Span | None
    rated: Span | None
    limit: float | None = None


def bars(outcome: BlockOutcome, name: str) -> str:
    """The drawing; empty where no quantity of the block has a rating."""
    rows = [bar for bar in ratings(outcome) if bar.actual is not None and bar.rated is not None]
    if not rows:
        return ""
    sheet = Sheet()
    for number, bar in enumerate(rows):
        _bar(sheet, bar, _PITCH * number)
    y = _PITCH * len(rows) + 4
    sheet.text(_LABEL, y, "outline: rated; solid: worst cases; triangle: nominal; X: limit", "start", "small")
    return sheet.drawing(name, f"Ratings of {outcome.block.path}", " ".join(f"{told(bar)}." for bar in rows))


def ratings(outcome: BlockOutcome) -> list[Bar]:
    """Every quantity of the block that a part file may rate."""
    facts = outcome.facts

    def span(name: str) -> Span | None:
        return facts[name].span if name in facts else None

    def least(name: str) -> Span | None:
        most = span(name)
        return None if most is None else Span(0.0, None, most.high, most.unit)

    limit = span("supply.limit")
    return [
        Bar("supply", span("supply.voltage"), span("supply.rated"), None if limit is None else limit.high),
        Bar("ambient", span("ambient.board"), span("ambient.rated")),
        Bar("output, source", span("output.source"), least("output.source_rated")),
        Bar("output, sink", span("output.sink"), least("output.sink_rated")),
        Bar("rate resistance", span("rate.resistance"), span("rate.resistance_rated")),
        Bar("rate current", span("rate.current"), span("rate.current_rated")),
        Bar("strap source", span("strap.source_resistance"), least("strap.source_resistance_rated")),
    ]


def told(bar: Bar) -> str:
    """A bar in words: what it is, what it may be, and whether it keeps to it."""
    if bar.actual is None or bar.rated is None:
        return f"{bar.label}: not known"
    limit = "" if bar.limit is None else f", limit {format_value(bar.limit, bar.actual.unit)}"
    return f"{bar.label} {format_span(bar.actual)}, rated {format_span(bar.rated)}{limit}: {verdict(bar)}"


def verdict(bar: Bar) -> str:
    """Within the rating, partly outside it, or outside; above the limit where it is."""
    if bar.actual is None or bar.rated is None:
        return "not known"
    if bar.limit is not None and bar.actual.high > bar.limit:
        return "above the limit"
    if bar.rated.low <= bar.actual.low and bar.actual.high <= bar.rated.high:
        return "within"
    if bar.actual.high < bar.rated.low or bar.actual.low > bar.rated.high:
        return "outside"
    return "partly outside"


def _bar(sheet: Sheet, bar: Bar, y: float) -> None:
    """One quantity on a scale of its own."""
    actual, rated = bar.actual, bar.rated
    if actual is None or rated is None:
        return
    ends = [n for n in (actual.low, actual.high, rated.low, rated.high, bar.limit) if n is not None]
    finite = [n for n in ends if math.isfinite(n)]
    low, high = min([*finite, 0.0]), max([*finite, 0.0])
    room = 0.06 * ((high - low) or 1.0)
    high += room
    low -= room if low < 0 else 0.0

    def across(value: float) -> float:
        return _LABEL + WIDTH * (min(max(value, low), high) - low) / (high - low)

    sheet.text(_LABEL - 10, y + 13, bar.label, "end", "name")
    sheet.line((_LABEL, y + 9), (_LABEL + WIDTH, y + 9), kind="rule")
    sheet.box(across(rated.low), y, across(rated.high) - across(rated.low), 18, "rated")
    width = max(across(actual.high) - across(actual.low), 3.0)
    sheet.box(across(actual.low), y + 5, width, 8, "column")
    middle = across(actual.middle)
    sheet.area((middle, y + 4), (middle - 4, y - 4), (middle + 4, y - 4), kind="solid")
    if bar.limit is not None:
        x = across(bar.limit)
        sheet.line((x - 6, y + 3), (x + 6, y + 15), kind="cross")
        sheet.line((x - 6, y + 15), (x + 6, y + 3), kind="cross")
    judged = verdict(bar)
    spans = [format_span(span._replace(nominal=None)) for span in (actual, rated)]
    sheet.text(_LABEL + WIDTH + 12, y + 13, judged, "start", "name")
    text = f"{spans[0]}, rated {spans[1]}"
    sheet.text(_LABEL + WIDTH + 12 + CHAR * (len(judged) + 2), y + 13, text, "start", "small", most=66)
