"""Period, time high and time low: two of them give the third, with the spans of both."""

import pytest

from drc.facts.pulse_train import PulseTrain, completed
from drc.quantity.span import Span
from drc.quantity.unit import SECOND

PERIOD = Span(9e-3, 10e-3, 11e-3, SECOND)
HIGH = Span(2e-3, 3e-3, 4e-3, SECOND)
LOW = Span(5e-3, 7e-3, 8e-3, SECOND)


def ends(span: Span | None) -> tuple[float, float, float]:
    """Low, middle, high of a span that must be there."""
    assert span is not None
    return span.low, span.middle, span.high


def test_the_sum_and_the_differences() -> None:
    """High and low add; what is left of a period is least for the shortest period and the longest part."""
    assert ends(completed(PulseTrain(None, HIGH, LOW)).period) == pytest.approx((7e-3, 10e-3, 12e-3))
    assert ends(completed(PulseTrain(PERIOD, HIGH, None)).low) == pytest.approx((5e-3, 7e-3, 9e-3))
    assert ends(completed(PulseTrain(PERIOD, None, LOW)).high) == pytest.approx((1e-3, 3e-3, 6e-3))


def test_what_is_known_stays_and_nothing_is_below_zero() -> None:
    """All three given are kept; a part that may outlast its period leaves 0; one alone says nothing more."""
    whole = PulseTrain(PERIOD, HIGH, LOW)
    assert completed(whole) == whole
    long = Span(8e-3, 12e-3, 14e-3, SECOND)
    assert ends(completed(PulseTrain(PERIOD, long, None)).low) == pytest.approx((0, 0, 3e-3))
    assert completed(PulseTrain(PERIOD)) == PulseTrain(PERIOD)
    assert completed(PulseTrain(None, HIGH)) == PulseTrain(None, HIGH)
