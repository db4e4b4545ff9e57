"""A control voltage through a resistor into the rate pin. Common practice, no source."""

import pytest

from tests.facts.timing_boards import book, span

PARTS = """
[part.T9]
title = "test part"
source = "this test"
function = "oscillator"
pins = ["supply", "ground", "rate", "output"]
rate = { voltage = "0.9V", current = "2uA .. 70uA", law = "ratio" }
timing = { period = "4us", at_current = "60uA", at_supply = "3V", error = "0%" }
"""
RESISTORS = "V1 vdd 0 3\nXU1 vdd 0 rt out T9\nRT rt 0 60k 0%\n"


def test_control_at_ground_puts_the_resistors_in_parallel() -> None:
    """60 kohm with 30 kohm to a control net at 0 V is one resistor of 20 kohm to ground."""
    steered = book(f"{RESISTORS}RC rt ctl 30k 0%", PARTS, "signal ctl 0V")
    plain = book("V1 vdd 0 3\nXU1 vdd 0 rt out T9\nRT rt 0 20k 0%", PARTS)
    frequency = span(plain, "timing.frequency").nominal
    assert frequency is not None
    assert span(steered, "timing.frequency").nominal == pytest.approx(frequency)


def test_raising_the_control_lowers_the_frequency() -> None:
    """Each step up of the control voltage takes current from the rate pin."""
    found = [
        span(book(f"{RESISTORS}RC rt ctl 30k 0%", PARTS, f"signal ctl {volts}V"), "timing.frequency").middle
        for volts in (0, 0.2, 0.5, 0.9, 1.2)
    ]
    assert found == sorted(found, reverse=True)
    assert len(set(found)) == len(found)
