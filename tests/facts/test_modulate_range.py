"""A modulator's level against its full scale, the duty it can give, and the ripple behind its filter."""

from math import exp

import pytest

from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.test_pulse_modulator import ABSOLUTE, board, modulator
from tests.facts.timing_boards import book, span, unknown

EXACT = ABSOLUTE.replace('error = "2points"', 'error = "0points"')
PERIOD_S = 80e-6
"""2 us at 25 kohm, 100 kohm, times 10."""


@pytest.mark.parametrize(
    ("volts", "share"), [("0.2", 0), ("0.4", 0.25), ("1.0", 1), ("1.2", 1.25), ("0", -0.25)]
)
def test_level_as_a_share_of_full_scale(volts: str, share: float) -> None:
    """(V - 0.2) / (1.0 - 0.2), beyond either end too."""
    assert span(book(board(f"V2 m 0 {volts}"), ABSOLUTE), "modulate.share").middle == pytest.approx(share)


def test_a_law_by_points_has_the_full_scale_of_its_ends() -> None:
    """Three points from 0.1 V to 2.1 V: 0.6 V is a quarter of the way."""
    law = modulator('points = [["0.1V", "10%"], ["0.6V", "20%"], ["2.1V", "90%"]], error = "0points"')
    of = book(board("V2 m 0 0.6"), law)
    assert span(of, "modulate.share").middle == pytest.approx(0.25)
    assert span(of, "timing.duty").middle == pytest.approx(20)


def test_the_duty_that_a_part_can_give() -> None:
    """Between its clamps; turned round by inverted polarity."""
    law = modulator('full_scale = "0.2V .. 1.0V", duty = "10% .. 80%", error = "2points"')
    normal = span(book(board("V2 m 0 0.4"), law), "modulate.duty_range")
    inverted = span(book(board("V2 m 0 0.4", "inverted"), law), "modulate.duty_range")
    assert (normal.low, normal.high) == pytest.approx((10, 80))
    assert (inverted.low, inverted.high) == pytest.approx((20, 90))


@pytest.mark.parametrize(("ohm", "farad"), [(1e3, 100e-9), (10e3, 100e-9), (470.0, 1e-6)])
def test_ripple_behind_a_filter(ohm: float, farad: float) -> None:
    """Steady state of one RC on pulses between 0 and 1 (circuit theory): the swing of the exponentials.

    Up from a to b in D T, down again in (1 - D) T: b - a = (1 - e^-x)(1 - e^-y) / (1 - e^-(x+y)).
    """
    duty = 0.3
    lines = f"V2 m 0 0.4\nR9 out f {ohm} 0%\nC9 f 0 {farad} 0%"
    of = book(board(lines), EXACT, "ambient 25degC .. 25degC")
    x, y = duty * PERIOD_S / (ohm * farad), (1 - duty) * PERIOD_S / (ohm * farad)
    low = exp(-y) * (1 - exp(-x)) / (1 - exp(-x - y))
    high = (1 - exp(-x)) / (1 - exp(-x - y))
    assert span(of, "filter.ripple").middle == pytest.approx(high - low, rel=1e-6)


@pytest.mark.parametrize(
    "lines",
    [
        "",
        "R9 out f 1k\nC9 f 0 10n",
        "R9 out f 10k\nR8 f 0 10k",
        "R9 out f 10k\nC9 f x 1u",
        "R9 out vdd 10k\nC9 vdd 0 1u",
        "C9 out 0 1u",
    ],
)
def test_what_is_no_averaging_filter(lines: str) -> None:
    """No resistor, no capacitor to ground, a net that is held, or an RC below half a period."""
    of = book(board(f"V2 m 0 0.4\n{lines}"), EXACT)
    assert unknown(of, "filter.ripple").missing == ("filter",)


def test_parts_of_a_filter_that_are_not_fitted_filter_nothing() -> None:
    """Neither without its resistor nor without its capacitor."""
    lines = "V2 m 0 0.4\nR9 out f 10k\nC9 f 0 1u"
    assert span(book(board(lines), EXACT), "filter.ripple").middle > 0
    for gone in ("R9", "C9"):
        assert unknown(book(board(lines), EXACT, f"fit {gone} no"), "filter.ripple").missing == ("filter",)


def test_the_worse_of_two_filters_is_told() -> None:
    """10k and 100n ripple ten times as much as 10k and 1u."""
    one, two = "R9 out f 10k 0%\nC9 f 0 100n 0%\n", "R8 out g 10k 0%\nC8 g 0 1u 0%\n"
    both = span(book(board(f"V2 m 0 0.4\n{two}{one}"), EXACT), "filter.ripple").middle
    assert both == pytest.approx(span(book(board(f"V2 m 0 0.4\n{one}"), EXACT), "filter.ripple").middle)
    assert both > span(book(board(f"V2 m 0 0.4\n{two}"), EXACT), "filter.ripple").middle


def test_other_blocks_have_no_modulate_law() -> None:
    """An oscillator names what its part file does not give."""
    of = book(CENTRED, PLAIN)
    assert unknown(of, "modulate.share").missing == ("modulate",)
    assert unknown(of, "modulate.duty_range").missing == ("modulate",)
    assert "no pulse modulator" in unknown(of, "filter.ripple").because


def test_tolerance_of_the_timing_resistance() -> None:
    """Half the spread over the nominal: 1 % of one resistor, 1 % of two in series, 2 % of a 2 % one."""
    one = CENTRED.replace("R3 rt 0 100k tol=1%", "R3 rt m 40k tol=1%\nR4 m 0 60k tol=1%")
    assert span(book(CENTRED, PLAIN), "rate.tolerance").middle == pytest.approx(0.01)
    assert span(book(one, PLAIN), "rate.tolerance").middle == pytest.approx(0.01)
    assert span(book(CENTRED.replace("100k tol=1%", "100k tol=2%"), PLAIN, "ambient -40degC .. 85degC"),
                "rate.tolerance").middle == pytest.approx(0.02)  # fmt: skip
    bare = CENTRED.replace("R3 rt 0 100k tol=1%\n", "")
    assert unknown(book(bare, PLAIN), "rate.tolerance").missing == ("rate.resistance",)


def test_the_least_error_of_a_part() -> None:
    """Of its rows the smallest; a part that gives none says so."""
    rows = PLAIN.replace(
        'error = "1%"', 'error = [{ error = "2%", current = "10uA .. 20uA" }, { error = "1.5%" }]'
    )
    assert span(book(CENTRED, rows), "timing.part_error").middle == pytest.approx(0.015)
    none = PLAIN.replace('error = "1%", ', "")
    assert unknown(book(CENTRED, none), "timing.part_error").missing == ("PL1 timing.error",)
