"""Voltages in the names of rails: common practice, no source; the letter V stands for the decimal point."""

import pytest

from drc.facts.railname import voltage_in_name
from tests.facts.strap_boards import PLAIN
from tests.facts.timing_boards import book, fact, span


@pytest.mark.parametrize(
    ("name", "volts"),
    [
        ("5V", 5.0), ("3V3", 3.3), ("1V05", 1.05), ("12V", 12.0), ("0V9", 0.9), ("24V0", 24.0),
        ("3v3", 3.3), ("vcc_1v8", 1.8), ("+3v3_aux", 3.3),
        ("3.3V", 3.3), ("3.3", 3.3), ("+1.25V", 1.25), ("-12V", -12.0), ("-3.3V", -3.3), ("-5V0", -5.0),
        ("P5V", 5.0), ("A3V3", 3.3), ("D1V8", 1.8), ("V5V", 5.0), ("VCC3V3", 3.3), ("VDD_1V2", 1.2),
        ("AVDD_3V3", 3.3), ("DVCC_1V8", 1.8), ("VIN_12V", 12.0), ("5V_SB", 5.0), ("3V3MAIN", 3.3),
        ("3V3_DIG", 3.3), ("-VSS_5V", -5.0), ("123V", None), ("3V333", None), ("V", None), ("VCC", None),
        ("3", None), ("N12", None), ("ADC_3V3", None), ("3V3_EN", None), ("", None),
    ],
)  # fmt: skip
def test_which_names_state_a_voltage(name: str, volts: float | None) -> None:
    """A prefix and a suffix of a rail are allowed for, what enables or senses one is not."""
    assert voltage_in_name(name) == (None if volts is None else pytest.approx(volts))


@pytest.mark.parametrize(
    ("name", "volts"),
    [
        ("X1.3V3", 3.3), ("X1.X2.3V3", 3.3), ("X1.+3.3V", 3.3), ("X1.1.8V", 1.8), ("XA.P5V", 5.0),
        ("X1.-5V", -5.0), ("X1.sense", None), ("3V3.sense", None), ("X3V3.out", None),
    ],
)  # fmt: skip
def test_a_rail_inside_a_subcircuit_is_named_by_its_last_part(name: str, volts: float | None) -> None:
    """What stands before it is the way there; a point in the number belongs to the number."""
    assert voltage_in_name(name) == (None if volts is None else pytest.approx(volts))


def test_a_block_in_a_subcircuit_stands_on_the_rail_there() -> None:
    """Its supply is 3.3 V +/- 5 %, read in the name, which is an assumption."""
    inside = """X1 out lamp
.subckt lamp out
R1 3V3 cfg 22k tol=1%
R2 cfg 0 10k tol=1%
R3 rt 0 100k tol=1%
XU1 3V3 cfg out 0 rt 3V3 PL1
.ends
"""
    of = book(inside, PLAIN)
    supply = span(of, "supply.voltage", "X1.XU1")
    assert (supply.low, supply.middle, supply.high) == pytest.approx((3.135, 3.3, 3.465))
    assert fact(of, "supply.stated", "X1.XU1").value is False
