"""Regulators in detail: enable pins, grounds that are lifted, feedback without a divider; by hand."""

import pytest

from drc.facts.book import Book
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span, unknown

MORE = """
[part.RGE]
like = "RG3"
pins = ["supply", "ground", "output", "enable"]

[part.RGN]
like = "RGE"
input.enable = { active = "low" }

[part.RGM]
like = "RG3"
regulator = { output = "-3.0V +/- 2%", dropout = "0.5V" }

[part.RGX]
title = "regulator of which nothing is given"
source = "this test"
function = "regulator"
pins = ["supply", "ground", "output"]
regulator = { dropout = "0.5V" }

[part.REF]
title = "reference"
source = "this test"
function = "reference"
pins = ["supply", "ground", "output"]
regulator = { output = "2.5V +/- 1%" }
"""


def fed(lines: str, intent: str = "") -> Book:
    """The centred board with something else in place of its source."""
    return book(CENTRED.replace("V1 vdd 0 4", lines), PLAIN + MORE, intent)


@pytest.mark.parametrize(
    ("lines", "volts"),
    [
        ("XREG vin 0 vdd vin RGE", 3.0),
        ("XREG vin 0 vdd 0 RGE", 0.0),
        ("V9 en 0 2\nXREG vin 0 vdd en RGE", 3.0),
        ("V9 en 0 0\nXREG vin 0 vdd en RGE", 0.0),
        ("XREG vin 0 vdd vin RGN", 0.0),
        ("XREG vin 0 vdd 0 RGN", 3.0),
        ("XREG vin 0 vdd x RGE", 3.0),
    ],
)
def test_an_enable_pin_switches_a_regulator(lines: str, volts: float) -> None:
    """On while high, or low where the part file says so; a pin that nothing holds is assumed to enable."""
    of = fed(f"V1 vin 0 5\n{lines}")
    assert span(of, "supply.voltage").middle == pytest.approx(volts)
    assumed = "XREG is enabled" in fact(of, "supply.voltage").assumptions
    assert assumed is (" x RG" in lines)


def test_a_lifted_ground_lifts_the_output() -> None:
    """3.0 V above a ground pin at 0.5 V."""
    of = fed("V1 vin 0 5\nV8 g 0 0.5\nXREG vin g vdd RG3")
    assert span(of, "supply.voltage").middle == pytest.approx(3.5)


@pytest.mark.parametrize(("volts", "output"), [(3.5, 3.0), (3.4, 2.9), (3.0, 2.5), (9.0, 3.0)])
def test_a_regulator_needs_its_dropout(volts: float, output: float) -> None:
    """Its input less 0.5 V, at most 3.0 V."""
    of = fed(f"V1 vin 0 {volts}\nXREG vin 0 vdd RG3")
    assert span(of, "supply.voltage").middle == pytest.approx(output)


@pytest.mark.parametrize(
    ("volts", "output"),
    [(-9.0, -3.0), (-3.5, -3.0), (-3.4, -2.9), (-0.3, 0.0), (9.0, -3.0), (3.4, -2.9), (0.3, 0.0)],
)
def test_a_regulator_of_a_negative_output_needs_its_dropout(volts: float, output: float) -> None:
    """The size of its input less 0.5 V, at most 3.0 V, below ground: from below, or turned round."""
    of = fed(f"V1 vin 0 {volts}\nXREG vin 0 vdd RGM")
    assert span(of, "supply.voltage").middle == pytest.approx(output)


@pytest.mark.parametrize(
    ("supply", "low", "high"),
    [
        ("-6V .. -3.57V", -3.06, -2.94),
        ("-6V .. -3.4V", -3.06, -2.9),
        ("-6V .. 1V", -3.06, 0.0),
        ("3.57V .. 6V", -3.06, -2.94),
        ("3.4V .. 6V", -3.06, -2.9),
    ],
)
def test_a_negative_output_over_the_range_of_its_input(supply: str, low: float, high: float) -> None:
    """3 V +/- 2 % below ground where 3.56 V are left at least; what is left of it less 0.5 V where not."""
    of = fed("XREG vin 0 vdd RGM", f"supply vin {supply}")
    found = span(of, "supply.voltage")
    assert (found.low, found.high) == pytest.approx((low, high))
    # What feeds it is evidence only where it takes part.
    assert ("vin" in {each.label for each in fact(of, "supply.voltage").inputs}) is (high != -2.94)


def test_feedback_straight_from_the_output_gives_its_own_voltage() -> None:
    """1.2 V +/- 1 % with the feedback pin on the output."""
    supply = span(fed("V1 vin 0 5\nXREG vin 0 vdd vdd RGA"), "supply.voltage")
    assert (supply.low, supply.middle, supply.high) == pytest.approx((1.188, 1.2, 1.212))


def test_a_third_resistor_at_the_feedback_pin_is_solved_with_it() -> None:
    """From 0.6 V through 20k into fb: (V - 1.2)/20k = 1.2/10k + (1.2 - 0.6)/20k, so V = 4.2 V."""
    lines = "V1 vin 0 6\nV9 trim 0 0.6\nXREG vin 0 vdd fb RGA\nR8 vdd fb 20k\nR9 fb 0 10k\nR7 trim fb 20k"
    assert span(fed(lines), "supply.voltage").middle == pytest.approx(4.2)


def test_what_is_not_given_is_named() -> None:
    """The output of the part file, and what is at the ground pin."""
    assert unknown(fed("V1 vin 0 5\nXREG vin 0 vdd RGX"), "supply.voltage").missing == (
        "RGX regulator output",
    )
    assert unknown(fed("V1 vin 0 5\nXREG vin g vdd RG3"), "supply.voltage").missing == ("voltage of g",)


def test_a_reference_holds_a_net_as_a_regulator_does() -> None:
    """2.5 V +/- 1 %, with no dropout given from whatever is above."""
    supply = span(fed("V1 vin 0 2.6\nXREF vin 0 vdd REF"), "supply.voltage")
    assert (supply.low, supply.high) == pytest.approx((2.475, 2.525))


def test_a_name_behind_a_regulator_stays_an_assumption() -> None:
    """Fed from a net of which only the name tells the voltage, the output rests on that name."""
    of = fed("XREG +5V 0 vdd RG3")
    assert fact(of, "supply.voltage").assumptions
    assert not fact(fed("V1 vin 0 5\nXREG vin 0 vdd RG3"), "supply.voltage").assumptions
