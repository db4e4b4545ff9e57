"""Duty of pulse modulators: by hand, clamps, polarity, references, deletion."""

import pytest

from tests.facts.timing_boards import book, part, span, unknown

STRAPS = {
    "normal": "RA vdd cfg 30k 0%\nRB cfg 0 10k 0%\n",
    "inverted": "RA vdd cfg 10k 0%\nRB cfg 0 90k 0%\n",
}


def modulator(law: str) -> str:
    """A pulse modulator with a law of its modulate pin."""
    return part("TP1", "pulse-modulator", "modulate", f"modulate = {{ {law} }}")


ABSOLUTE = modulator('full_scale = "0.2V .. 1.0V", duty = "10% .. 90%", error = "2points"')


def board(drive: str, polarity: str = "normal") -> str:
    """A modulator whose modulate net `m` is driven by some lines."""
    return f"V1 vdd 0 3.0\nXU1 vdd cfg out 0 rt m TP1\nRT rt 0 100k 0%\n{STRAPS[polarity]}{drive}\n"


def test_duty_by_hand() -> None:
    """0.4 V is a quarter of the way from 0.2 V to 1 V: 10 + 0.25 * 80 = 30 points, 2 either way."""
    duty = span(book(board("V2 m 0 0.4"), ABSOLUTE), "timing.duty")
    assert (duty.low, duty.nominal, duty.high) == pytest.approx((28, 30, 32))


def test_inverted_polarity_turns_the_duty_round() -> None:
    """The same voltage at an inverted code leaves 100 - 30 points high."""
    duty = span(book(board("V2 m 0 0.4", "inverted"), ABSOLUTE), "timing.duty")
    assert (duty.low, duty.nominal, duty.high) == pytest.approx((68, 70, 72))


@pytest.mark.parametrize(("volts", "points"), [(-0.2, 10), (0.1, 10), (1.1, 90), (2.5, 90)])
def test_clamps_are_exact(volts: float, points: float) -> None:
    """Well beyond full scale the duty is the clamp's, its error nothing."""
    duty = span(book(board(f"V2 m 0 {volts}"), ABSOLUTE), "timing.duty")
    assert (duty.low, duty.high) == (points, points)


def test_near_the_clamp_the_error_still_counts() -> None:
    """10 mV below full scale is one point outside: an error of 2 points may bring 1 point back."""
    duty = span(book(board("V2 m 0 0.19"), ABSOLUTE), "timing.duty")
    assert (duty.low, duty.nominal, duty.high) == pytest.approx((10, 10, 11))


def test_a_divider_on_the_supply_carries_its_tolerances() -> None:
    """2 * 1 % on 22k over 4k7 at 3 V: 0.528 V; corners by the divider, then the line, then 2 points."""
    duty = span(book(board("R1 vdd m 22k 1%\nR2 m 0 4.7k 1%"), ABSOLUTE), "timing.duty")

    def at(upper: float, lower: float) -> float:
        return 10 + (3 * lower / (upper + lower) - 0.2) / 0.8 * 80

    assert duty.nominal == pytest.approx(at(22e3, 4.7e3))
    assert duty.low == pytest.approx(at(22e3 * 1.01, 4.7e3 * 0.99) - 2)
    assert duty.high == pytest.approx(at(22e3 * 0.99, 4.7e3 * 1.01) + 2)


def test_a_law_against_the_supply_cancels_it() -> None:
    """A fraction of the supply from a divider on it does not care what the supply is."""
    law = modulator('full_scale = "0.1 .. 0.9", duty = "0% .. 100%", error = "0points", reference = "supply"')
    netlist = board("R1 vdd m 10k 0%\nR2 m 0 10k 0%").replace("V1 vdd 0 3.0\n", "")
    duty = span(book(netlist, law, "supply vdd 2.7V .. 4.2V"), "timing.duty")
    assert (duty.low, duty.high) == pytest.approx((50, 50))


def test_a_law_against_the_rate_pin_divides_by_its_voltage() -> None:
    """0.25 V of a rate pin of 0.5 V +/- 2 % is half, give or take 1 point."""
    law = modulator('full_scale = "0 .. 1", duty = "0% .. 100%", error = "0points", reference = "rate"')
    duty = span(book(board("V2 m 0 0.25"), law), "timing.duty")
    assert (duty.low, duty.high) == pytest.approx((50 / 1.02, 50 / 0.98))


def test_the_carrier_is_an_oscillator() -> None:
    """The frequency does not depend on the modulate pin."""
    assert span(book(board("V2 m 0 0.4"), ABSOLUTE), "timing.frequency").nominal == pytest.approx(12.5e3)


@pytest.mark.parametrize(
    ("drive", "law", "missing"),
    [
        ("", ABSOLUTE, "voltage of m"),
        ("V2 m 0 0.4", modulator('full_scale = "0V .. 1V", duty = "0% .. 100%"'), "TP1 modulate.error"),
        ("V2 m 0 0.4", part("TP1", "pulse-modulator", "modulate"), "TP1 modulate"),
    ],
)
def test_what_is_taken_away_is_named(drive: str, law: str, missing: str) -> None:
    """Without a source, an error or a law of the modulate pin the duty is unknown."""
    assert missing in unknown(book(board(drive), law), "timing.duty").missing
