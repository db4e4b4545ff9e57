"""Period and frequency of oscillators: by hand, by property, by deletion."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drc.facts.model import Cases
from tests.facts.timing_boards import book, fact, part, span, unknown

PART = part("TO1", "oscillator")
BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt TO1
RT rt 0 100k 0%
RA vdd cfg 30k 0%
RB cfg 0 10k 0%
"""


def test_nominal_by_hand() -> None:
    """2 us at 20 uA, that is 25 kohm at 0.5 V; 100 kohm and prescale 10: 2 us * 4 * 10 = 80 us, 12.5 kHz."""
    board = book(BOARD, PART)
    assert span(board, "timing.period").nominal == pytest.approx(80e-6)
    assert span(board, "timing.frequency").nominal == pytest.approx(12.5e3)


def test_extremes_by_hand() -> None:
    """RT 1 %, part 1 %, 50 ppm/K to 85 degC, 100 ppm/K of RT: 1.01 * 1.006 * 1.01 * 1.003 and its mirror."""
    board = book(
        BOARD.replace("100k 0%", "100k 1%"), PART, "ambient 25degC .. 85degC\nassume R* tempco 100ppm"
    )
    period = span(board, "timing.period")
    assert period.high == pytest.approx(80e-6 * 1.01 * 1.006 * 1.01 * 1.003)
    assert period.low == pytest.approx(80e-6 * 0.99 * 0.994 * 0.99 * 0.997)
    frequency = span(board, "timing.frequency")
    assert (frequency.low, frequency.high) == pytest.approx((1 / period.high, 1 / period.low))


def test_root_sum_square_by_hand() -> None:
    """Two independent causes of 1 % together move the period by sqrt(2) %."""
    period = span(book(BOARD.replace("100k 0%", "100k 1%"), PART), "timing.period.rss")
    assert period.high / 80e-6 - 1 == pytest.approx(2**0.5 / 100, rel=0.01)


def test_monte_carlo_lies_inside_the_extremes() -> None:
    """Random draws are narrower than extreme value, and hold the nominal."""
    board = book(BOARD.replace("100k 0%", "100k 1%"), PART, "ambient -20degC .. 60degC")
    outer, inner = span(board, "timing.period"), span(board, "timing.period.monte_carlo")
    assert outer.low < inner.low < inner.middle < inner.high < outer.high


def test_the_rate_pin_tolerance_cancels_at_the_ratio_law_only() -> None:
    """A rate voltage of +/- 2 % moves nothing with law ratio, and everything with law current."""
    exact_part = PART.replace('error = "1%"', 'error = "0%"')
    assert span(book(BOARD, exact_part), "timing.period").high == pytest.approx(80e-6)
    current = book(BOARD, exact_part.replace('law = "ratio"', 'law = "current"'))
    assert span(current, "timing.period").high == pytest.approx(80e-6 / 0.98)


def test_the_supply_is_a_bias() -> None:
    """0.1 %/V from 3 V: a battery of 2 V to 5 V makes -0.1 % and +0.2 %, the same by every method."""
    netlist = BOARD.replace("V1 vdd 0 3.0\n", "")
    board = book(netlist, PART.replace('error = "1%"', 'error = "0%"'), "supply vdd 2V .. 5V")
    for suffix in ("", ".rss", ".monte_carlo"):
        period = span(board, f"timing.period{suffix}")
        assert (period.low, period.high) == pytest.approx((80e-6 * 0.999, 80e-6 * 1.002))


def test_a_tempco_of_known_sign_goes_one_way() -> None:
    """+50 ppm/K from 25 to 85 degC only lengthens: 1.003 and 1."""
    tested = PART.replace('"+/- 50ppm"', '"50ppm"').replace('error = "1%"', 'error = "0%"')
    period = span(book(BOARD, tested, "ambient 25degC .. 85degC\nassume R* tempco 0ppm"), "timing.period")
    assert (period.low, period.high) == pytest.approx((80e-6, 80e-6 * 1.003))


def test_two_levels_are_two_cases() -> None:
    """A pulse source on the steering resistor gives two frequencies and nothing between."""
    board = book(f"{BOARD}RC rt ctl 100k 0%\nV2 ctl 0 PULSE(0 0.4 0 1u 1u 1m 2m)\n", PART)
    value = fact(board, "timing.frequency").value
    assert isinstance(value, Cases)
    nominal = sorted(case.value.middle for case in value.cases)
    assert nominal == pytest.approx([12.5e3 * 1.2, 25e3])
    assert span(board, "timing.steering_low").nominal == pytest.approx(15e3)
    assert span(board, "timing.steering_high").nominal == pytest.approx(25e3)


def test_steering_by_hand() -> None:
    """0.5 V over 100 kohm, and over 100 kohm to the control: at 0 V 10 uA, at 0.8 V 5 - 3 = 2 uA."""
    board = book(f"{BOARD}RC rt ctl 100k 0%\n", PART, "signal ctl 0V .. 0.8V")
    assert span(board, "timing.steering_high").nominal == pytest.approx(25e3)
    assert span(board, "timing.steering_low").nominal == pytest.approx(5e3)
    assert span(board, "steering.zero").nominal == pytest.approx(1.0)


def test_a_control_beyond_the_rate_pin_stops_it() -> None:
    """Above 1 V the current is zero and reversed: 0 Hz, no period, and the law says so."""
    board = book(f"{BOARD}RC rt ctl 100k 0%\n", PART, "signal ctl 0V .. 1.4V")
    low = fact(board, "timing.steering_low")
    assert low.span is not None
    assert low.span.high == 0
    assert "stopped" in low.law
    stopped = book(f"{BOARD}RC rt ctl 100k 0%\n", PART, "signal ctl 1.4V")
    assert "stands still" in unknown(stopped, "timing.period").because


def test_nothing_steers_a_plain_resistor() -> None:
    """Without a declared control there is no steering range."""
    assert "nothing steers" in unknown(book(BOARD, PART), "timing.steering_low").because


@pytest.mark.parametrize(
    ("netlist", "parts", "missing"),
    [
        (BOARD.replace("V1 vdd 0 3.0\n", ""), PART, "voltage of vdd"),
        (BOARD, PART.replace('error = "1%", ', ""), "timing.error"),
        (BOARD, PART.replace('period = "2us", ', ""), "TO1 timing.period"),
        (BOARD, PART.replace(', law = "ratio"', ""), "TO1 rate.law"),
        (BOARD, PART.replace('tempco = "+/- 50ppm", ', ""), "TO1 timing.tempco"),
        (BOARD.replace("V1 vdd 0 3.0", "V1 vdd 0 4"), PART.replace(', supply_error = "0.1%/V"', ""),
         "TO1 timing.supply_error"),
        (BOARD.replace("100k 0%", ""), PART, "RT value"),
    ],
)  # fmt: skip
def test_what_is_taken_away_is_named(netlist: str, parts: str, missing: str) -> None:
    """Without supply, error, period, law, tempco, supply effect or value the frequency is unknown."""
    board = book(netlist, parts, "ambient 0degC .. 50degC")
    assert missing in unknown(board, "timing.frequency").missing


def test_no_timing_resistor_is_no_frequency() -> None:
    """An open rate pin gives no frequency that could pass."""
    unknown(book(BOARD.replace("RT rt 0 100k 0%\n", ""), PART), "timing.frequency")


def test_an_assumed_tolerance_is_marked() -> None:
    """A resistor without tolerance takes 1 % and the fact carries that as an assumption."""
    found = fact(book(BOARD.replace("RT rt 0 100k 0%", "RT rt 0 100k"), PART), "timing.period")
    assert "RT tolerance +/- 1 % assumed" in found.assumptions


def test_hierarchical_and_flattened_give_the_same_numbers() -> None:
    """The timing resistor and the strap drawn inside a subcircuit: the same spans to the last bit."""
    inside = """V1 vdd 0 3.0
X9 vdd out lamp
.subckt lamp vdd out
XU1 vdd cfg out 0 rt TO1
RT rt 0 100k 1%
RA vdd cfg 30k 1%
RB cfg 0 10k 1%
.ends
"""
    flat = BOARD.replace(" 0%", " 1%")
    stated = "ambient -20degC .. 70degC"
    for suffix in ("", ".rss", ".monte_carlo"):
        name = f"timing.frequency{suffix}"
        deep = span(book(inside, PART, stated), name, "X9.XU1")
        assert deep == span(book(flat, PART, stated), name)


@settings(max_examples=20)
@given(st.floats(3e4, 4e5), st.floats(1.01, 1.2))
def test_more_resistance_is_slower(ohm: float, more: float) -> None:
    """The period rises with the timing resistor, all of its span with it."""
    small, large = (
        span(book(BOARD.replace("100k", f"{value!r}"), PART), "timing.period") for value in (ohm, ohm * more)
    )
    assert small.low < large.low
    assert small.middle * more == pytest.approx(large.middle)
    assert small.high < large.high


@pytest.mark.parametrize(
    ("upper", "lower", "prescale"), [("90k", "10k", 1), ("30k", "10k", 10), ("10k", "20k", 100)]
)
def test_prescale_multiplies_exactly(upper: str, lower: str, prescale: int) -> None:
    """The span of the period at a prescale is that at prescale 1, times it."""
    one = span(book(BOARD.replace("RA vdd cfg 30k", "RA vdd cfg 90k"), PART), "timing.period")
    netlist = BOARD.replace("RA vdd cfg 30k", f"RA vdd cfg {upper}").replace(
        "RB cfg 0 10k", f"RB cfg 0 {lower}"
    )
    period = span(book(netlist, PART), "timing.period")
    assert period[:3] == pytest.approx(
        [prescale * each for each in (one.low, one.middle, one.high)], rel=1e-12
    )


def test_a_range_that_reaches_zero_says_so() -> None:
    """Where the declared control takes the current to zero the frequency's law says that it stands still."""
    board = book(f"{BOARD}RC rt ctl 100k 0%\n", PART, "signal ctl 0V .. 1.4V")
    found = fact(board, "timing.frequency")
    assert found.span is not None
    assert found.span.low == 0
    assert "stands still" in found.law
