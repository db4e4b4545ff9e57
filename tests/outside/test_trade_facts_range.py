"""How far a clock, a resistor range and a prescale reach. Common practice, no source."""

import pytest

from tests.facts.timing_boards import book, span

FAST = """
[part.T1]
title = "test part"
source = "this test"
function = "oscillator"
pins = ["supply", "ground", "output", "rate", "strap"]
rate = { voltage = "1.2V", current = "2uA .. 32uA", law = "ratio" }
timing = { period = "1us", at_current = "32uA", at_supply = "3V", error = "0%" }
strap = { levels = 2, threshold_error = "0%" }
"""


@pytest.mark.parametrize(("prescale", "expected_hz"), [(1, 62500), (128, 488), (16384, 3.8)])
def test_a_megahertz_bottoms_out(prescale: int, expected_hz: float) -> None:
    """1 MHz, a 16:1 resistor range and a prescale of 128 end at 488 Hz, of 16384 at 3.8 Hz."""
    parts = f"{FAST}codes = [ {{ code = 0, prescale = {prescale} }} ]\n"
    top = book("V1 vdd 0 3\nXU1 vdd 0 out rt 0 T1\nRT rt 0 37.5k 0%", parts, options=None)
    bottom = book("V1 vdd 0 3\nXU1 vdd 0 out rt 0 T1\nRT rt 0 600k 0%", parts)
    assert span(top, "timing.frequency").nominal == pytest.approx(1e6 / prescale)
    assert span(bottom, "timing.frequency").nominal == pytest.approx(expected_hz, rel=5e-3)


@pytest.mark.parametrize(
    ("period", "expected_s", "printed"),
    [("1us", 34, "about half a minute"), ("1.024ms", 9.54 * 3600, "nine and a half hours")],
)
def test_a_slow_clock_reaches_hours(period: str, expected_s: float, printed: str) -> None:
    """1 us, 16:1 and a prescale of 2 to the 21 reach 34 s; 1.024 ms reach nine and a half hours."""
    parts = f"""
[part.T2]
title = "test part"
source = "this test"
function = "slow-oscillator"
pins = ["rate", "strap", "ground", "output", "supply"]
rate = {{ voltage = "0.9V", current = "0.5uA .. 8uA", law = "current" }}
timing = {{ period = "{period}", at_current = "8uA", at_supply = "4V", error = "0%" }}
strap = {{ levels = 2 }}
codes = [ {{ code = 1, prescale = 2097152 }} ]
"""
    slowest = book("V1 vdd 0 4\nXU1 rt vdd 0 out vdd T2\nRT rt 0 1.8MEG 0%", parts)
    assert span(slowest, "timing.period").nominal == pytest.approx(expected_s, rel=0.015), printed


def test_nine_and_a_half_hours_are_29_microhertz() -> None:
    """1.024 ms * 16 * 2 to the 21 is a frequency of 29 uHz."""
    parts = """
[part.T3]
title = "test part"
source = "this test"
function = "slow-oscillator"
pins = ["output", "supply", "rate", "ground", "strap"]
rate = { voltage = "1.5V", current = "1uA .. 16uA", law = "ratio" }
timing = { period = "1.024ms", at_current = "16uA", at_supply = "5V", error = "0%" }
strap = { levels = 4 }
codes = [ { code = 3, prescale = 2097152 } ]
"""
    slowest = book("V1 vdd 0 5\nXU1 out vdd rt 0 vdd T3\nRT rt 0 1.5MEG 0%", parts)
    assert span(slowest, "timing.frequency").nominal == pytest.approx(29e-6, rel=5e-3)
