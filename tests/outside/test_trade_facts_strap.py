"""A four-bit ratiometric strap and resistors of one percent. Common practice, no source."""

from itertools import product

import pytest
from eseries import E96, series

from drc.quantity.span import Span
from tests.facts.timing_boards import book, fact, span

ROWS = ", ".join(
    f"{{ code = {code}, prescale = {2 ** (3 * (code % 8))}, inverted = {str(code >= 8).lower()} }}"
    for code in range(16)
)
PARTS = f"""
[part.T4]
title = "test part"
source = "this test"
function = "oscillator"
pins = ["strap", "supply", "rate", "output", "ground"]
rate = {{ voltage = "0.7V", current = "1uA .. 50uA", law = "ratio" }}
timing = {{ period = "3us", at_current = "50uA", at_supply = "3V", error = "1%" }}
strap = {{ levels = 16, threshold_error = "0%", leakage = "0nA" }}
codes = [ {ROWS} ]
"""


def nearest_pair(ratio: float) -> tuple[float, float]:
    """Upper and lower resistor of the series of 1 %, ohm, whose divider comes nearest to a ratio."""
    values = [number * 10**decade for number, decade in product(series(E96), (2, 3))]
    pairs = ((upper, lower) for lower in values for upper in (lower * (1 - ratio) / ratio,))
    standard = ((min(values, key=lambda v: abs(v - upper)), lower) for upper, lower in pairs)
    return min(standard, key=lambda pair: abs(pair[1] / (pair[0] + pair[1]) - ratio))


@pytest.mark.parametrize("code", range(16))
def test_every_code_is_read_right(code: int) -> None:
    """The top bit is the polarity, the low three pick a prescale; no corner of two 1 % resistors misreads."""
    upper, lower = nearest_pair((2 * code + 1) / 32)
    netlist = f"""V1 vdd 0 3
XU1 cfg vdd rt out 0 T4
RT rt 0 20k 1%
RU vdd cfg {upper} 1%
RL cfg 0 {lower} 1%"""
    board = book(netlist, PARTS, "ambient -40degC .. 85degC\nassume R* tempco 100ppm")
    prescale = 2 ** (3 * (code % 8))
    assert fact(board, "strap.code").value == Span(code, code, code)
    assert fact(board, "strap.polarity").value == ("inverted" if code >= 8 else "normal")
    assert span(board, "strap.prescale").nominal == prescale
    assert span(board, "strap.margin").low > 0
