"""A modulate pin of 0 to 1 V, with and without clamps. Common practice, no source."""

import pytest

from tests.facts.timing_boards import book, span


def duty(scale: str, volts: float) -> tuple[float, float]:
    """Least and greatest duty in points at a modulate voltage, for a part of this test."""
    parts = f"""
[part.T10]
title = "test part"
source = "this test"
function = "pulse-modulator"
pins = ["modulate", "output", "rate", "supply", "ground"]
rate = {{ voltage = "0.65V", current = "4uA .. 80uA", law = "ratio" }}
timing = {{ period = "9us", at_current = "80uA", at_supply = "3V", error = "1%" }}
modulate = {{ {scale}, error = "1.5points" }}
"""
    board = book(f"V1 vdd 0 3\nXU1 m out rt vdd 0 T10\nRT rt 0 33k\nVM m 0 {volts}", parts)
    found = span(board, "timing.duty")
    return found.low, found.high


OPEN = 'full_scale = "0V .. 1V", duty = "0% .. 100%"'
CLAMPED = 'points = [["0.05V", "5%"], ["0.95V", "95%"]]'


def test_half_a_volt_is_half_the_time() -> None:
    """0 to 1 V sets the duty: at 0.5 V it is 50 points, give or take the part's error."""
    assert duty(OPEN, 0.5) == pytest.approx((48.5, 51.5))


@pytest.mark.parametrize(
    ("scale", "volts", "points"), [(OPEN, -0.1, 0), (OPEN, 1.1, 100), (CLAMPED, -0.1, 5), (CLAMPED, 1.1, 95)]
)
def test_beyond_full_scale_the_duty_is_exact(scale: str, volts: float, points: float) -> None:
    """Below ground exactly 0 % and above 1 V exactly 100 %; with both clamps exactly 5 % and 95 %."""
    assert duty(scale, volts) == (points, points)
