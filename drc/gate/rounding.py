"""Rounding, once, when the review is made: so that every report prints the same digits."""

import math

from drc.facts.model import Case, Cases, Fact, Value
from drc.quantity.span import Span

DIGITS = 9
"""Significant digits that a review keeps: far more than any part's figures, fewer than a float's noise."""


def rounded(number: float) -> float:
    """`number` to nine significant digits; infinities stay, and minus zero becomes zero."""
    if not math.isfinite(number):
        return number
    return float(f"{number:.{DIGITS}g}") + 0.0


def rounded_span(span: Span) -> Span:
    """The span with its three numbers rounded."""
    nominal = None if span.nominal is None else rounded(span.nominal)
    return Span(rounded(span.low), nominal, rounded(span.high), span.unit)


def rounded_value(value: Value) -> Value:
    """The value with every number in it rounded."""
    if isinstance(value, Span):
        return rounded_span(value)
    if isinstance(value, Cases):
        return Cases(tuple(Case(case.label, rounded_span(case.value)) for case in value.cases))
    return value


def rounded_fact(fact: Fact) -> Fact:
    """The fact with its value rounded; its derivation stays as it is."""
    return fact._replace(value=rounded_value(fact.value))
