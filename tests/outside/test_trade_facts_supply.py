"""Supplies of 2.25 V to 5.5 V, and outputs of 20 mA either way. Common practice, no source."""

import pytest

from tests.facts.timing_boards import book, fact, span


@pytest.mark.parametrize(("volts", "inside"), [(2.25, True), (5.5, True), (2.2, False), (5.6, False)])
def test_a_supply_of_two_and_a_quarter_to_five_and_a_half_volts(volts: float, inside: bool) -> None:
    """The ends belong to the rated range; what lies beyond them does not."""
    parts = """
[part.T7]
title = "test part"
source = "this test"
function = "oscillator"
pins = ["output", "rate", "supply", "ground"]
supply = { rated = "2.25V .. 5.5V" }
rate = { voltage = "0.4V", current = "1uA .. 40uA", law = "ratio" }
timing = { period = "6us", at_current = "40uA", at_supply = "4V", error = "1%", supply_error = "0.2%/V" }
"""
    board = book(f"V1 vdd 0 {volts}\nXU1 out rt vdd 0 T7\nRT rt 0 20k", parts)
    supply, rated = span(board, "supply.voltage"), span(board, "supply.rated")
    assert (rated.low <= supply.low and supply.high <= rated.high) is inside


@pytest.mark.parametrize(("ohm", "within"), [(251, True), (249, False)])
@pytest.mark.parametrize(("to", "drive"), [("0", "output.source"), ("vdd", "output.sink")])
def test_an_output_of_twenty_milliamperes(ohm: float, within: bool, to: str, drive: str) -> None:
    """5 V over just more than 250 ohm keeps to 20 mA, over just less it does not, sourcing and sinking."""
    parts = """
[part.T8]
title = "test part"
source = "this test"
function = "oscillator"
pins = ["rate", "output", "ground", "supply"]
rate = { voltage = "0.8V", current = "3uA .. 30uA", law = "ratio" }
timing = { period = "7us", at_current = "30uA", at_supply = "5V", error = "1%" }
output = { kind = "push-pull", source = "20mA", sink = "20mA", resistance = "0ohm" }
"""
    board = book(f"V1 vdd 0 5\nXU1 rt out 0 vdd T8\nRT rt 0 40k\nRL out {to} {ohm} 0%", parts)
    drawn, rated = span(board, drive), fact(board, f"{drive}_rated").span
    assert rated is not None
    assert rated.low == pytest.approx(20e-3)
    assert (drawn.high <= rated.low) is within
