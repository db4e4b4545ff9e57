"""Facts in few characters, for tables."""

from collections.abc import Mapping
from math import inf

from drc.facts.model import Cases, Fact, Unknown
from drc.outcome import BlockOutcome
from drc.quantity.span import Span
from drc.quantity.text import format_value

UNKNOWN = "?"

TIMES: Mapping[str, tuple[str, ...]] = {
    "oscillator": ("frequency",),
    "slow-oscillator": ("period",),
    "pulse-modulator": ("frequency", "duty"),
    "one-shot": ("pulse_width",),
    "edge-delay": ("delay", "delay_rising", "delay_falling"),
    "rc-timer": ("frequency", "pulse_width", "duty"),
}
"""The times shown of each function."""


def known_times(outcome: BlockOutcome) -> list[str]:
    """The names of the times to show of a block, as far as they are known."""
    facts = outcome.facts
    names = [name for name in TIMES[outcome.block.part.function] if f"timing.{name}" in facts]
    known = [name for name in names if not isinstance(facts[f"timing.{name}"].value, Unknown)]
    return ["delay"] if "delay" in known else known


def spread(fact: Fact) -> str:
    """A nominal value with its spread, as `10 kHz -2.1 +2.3 %`."""
    value = fact.value
    if isinstance(value, Cases):
        return " | ".join(nominal(case.value) for case in value.cases)
    if not isinstance(value, Span):
        return UNKNOWN
    middle = value.middle
    if value.unit.symbol == "points":
        shown = f"{nominal(value)} {value.low - middle:+.1f} {value.high - middle:+.1f}"
        return shown.replace(" points", " %")
    if not 0 < middle < inf or value.low == value.high or inf in (-value.low, value.high):
        return nominal(value)
    low, high = (100 * (end / middle - 1) for end in (value.low, value.high))
    return f"{nominal(value)} {low:+.1f} {high:+.1f} %"


def short(fact: Fact) -> str:
    """A fact in few characters: the nominal of a span, the ends of one that has none."""
    value = fact.value
    if isinstance(value, Cases):
        return " | ".join(nominal(case.value) for case in value.cases)
    return nominal(value) if isinstance(value, Span) else UNKNOWN


def nominal(span: Span) -> str:
    """The nominal value, or `2.7..4.2 V` where there is none."""
    if span.nominal is not None:
        return format_value(span.nominal, span.unit)
    low, high = format_value(span.low, span.unit, 3), format_value(span.high, span.unit, 3)
    if low.partition(" ")[2] == high.partition(" ")[2]:
        low = low.partition(" ")[0]
    return f"{low}..{high}"
