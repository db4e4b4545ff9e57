"""What the part alone adds to a time when its resistor is ideal. Common practice, no source."""

import pytest

from tests.facts.timing_boards import book, span

IDEAL = "assume R* tolerance 0%, tempco 0ppm\nambient -40degC .. 125degC"


def test_an_oscillator_of_two_point_two_percent() -> None:
    """Over -40 to 125 degC the period of the part alone stays within 2.2 %, and reaches it."""
    parts = """
[part.T5]
title = "test part"
source = "this test"
function = "oscillator"
pins = ["supply", "rate", "ground", "output"]
ambient = "-40degC .. 125degC"
rate = { voltage = "0.75V +/- 3%", current = "1uA .. 60uA", law = "ratio" }
timing = { period = "5us", at_current = "60uA", at_supply = "3.6V", supply_error = "0%/V", \
error = [ { error = "2.2%", ambient = "-40degC .. 125degC" } ] }
"""
    period = span(book("V1 vdd 0 3.6\nXU1 vdd rt 0 out T5\nRT rt 0 25k", parts, IDEAL), "timing.period")
    assert period.nominal == pytest.approx(10e-6)
    assert (period.low, period.high) == pytest.approx((9.78e-6, 10.22e-6))


@pytest.mark.parametrize(
    ("function", "pin", "quantity", "law"),
    [
        ("one-shot", "trigger", "timing.pulse_width", 'trigger = { edge = "rising" }'),
        ("edge-delay", "signal", "timing.delay", 'signal = { edges = "both" }'),
    ],
)
def test_a_pulse_or_delay_of_three_percent(function: str, pin: str, quantity: str, law: str) -> None:
    """Error at 25 degC and tempco to the far end make 3 %: 1.01683 * (1 + 129.5 ppm * 100 K) = 1.03."""
    parts = f"""
[part.T6]
title = "test part"
source = "this test"
function = "{function}"
pins = ["ground", "supply", "output", "rate", "{pin}"]
rate = {{ voltage = "1.1V", current = "2uA .. 44uA", law = "current" }}
timing = {{ period = "8us", at_current = "44uA", at_supply = "2.8V", supply_error = "0%/V", \
error = "1.683%", tempco = "+/- 129.5ppm" }}
{law}
"""
    made = span(book("V1 vdd 0 2.8\nXU1 0 vdd out rt in T6\nRT rt 0 50k", parts, IDEAL), quantity)
    assert made.nominal == pytest.approx(16e-6)
    assert made.high / 16e-6 - 1 == pytest.approx(0.03, rel=2e-3)
    assert 1 - made.low / 16e-6 == pytest.approx(0.03, rel=0.02)
