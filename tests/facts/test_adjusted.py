"""Trimmers: `adjust` asks that some setting does, `assume ... value` that all do."""

import pytest

from drc.facts.book import Book
from drc.facts.model import Fact
from drc.quantity.span import Span
from tests.facts.timing_boards import book, part

PART = part("TO1", "oscillator")
BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt TO1
RT rt mid 80k 0%
RV1 mid 0 20k
RA vdd cfg 30k 0%
RB cfg 0 10k 0%
"""


def actual(intent: str) -> Fact:
    """What the first expectation's block does."""
    of: Book = book(BOARD, PART, intent)
    return of.fact(of.subjects("statement")[0], "expect.actual")


def ends(found: Fact) -> tuple[float, float]:
    """The ends of a fact that must be a span."""
    assert isinstance(found.value, Span), found
    return found.value.low, found.value.high


def test_some_setting_does() -> None:
    """12 kHz is 104.167 kohm: RV1 takes up the part's 1 %, 104.167 / (1 +/- 0.01) - 80 kohm."""
    found = actual("adjust RV1 0ohm .. 50kohm\nexpect XU1 frequency 12kHz +/- 3%")
    assert ends(found) == pytest.approx((12e3, 12e3), rel=3e-4)
    assert "each board set at 25 degC" in found.law
    assert "RV1 to 23.1" in found.law
    assert ".. 25.2" in found.law


def test_the_tolerance_of_a_resistor_is_taken_up_too() -> None:
    """80 kohm of 5 % and the part's 1 %: 104.167 / 0.99 - 76 = 29.2 and 104.167 / 1.01 - 84 = 19.1 kohm."""
    of = book(
        BOARD.replace("80k 0%", "80k 5%"), PART, "adjust RV1 0ohm .. 50kohm\nexpect XU1 frequency 12kHz"
    )
    found = of.fact(of.subjects("statement")[0], "expect.actual")
    assert ends(found) == pytest.approx((12e3, 12e3), rel=3e-4)
    assert "RV1 to 19.1" in found.law
    assert ".. 29.2" in found.law


@pytest.mark.parametrize("method", ["extreme", "rss", "monte-carlo"])
def test_what_comes_after_the_setting_is_left(method: str) -> None:
    """The part's 50 ppm/K over 20 K is 0.1 %, either way, by each method; RT and RV1 have no tempco here."""
    stated = f"ambient 5degC .. 45degC\nassume R* tempco 0ppm\nexpect XU1 frequency 12kHz using {method}"
    found = actual(f"adjust RV1 0ohm .. 50kohm\n{stated}")
    low, high = ends(found)
    assert low == pytest.approx(12e3 / 1.001, rel=3e-4)
    assert high == pytest.approx(12e3 / 0.999, rel=3e-4)


def test_an_error_stated_over_ambient_is_not_taken_up() -> None:
    """1 % from 0 degC to 70 degC is drift and tolerance: nobody knows how much of it a setting finds."""
    rows = 'error = [ { error = "1%", ambient = "0degC .. 70degC" } ]'
    of = book(
        BOARD, PART.replace('error = "1%"', rows), "adjust RV1 0ohm .. 50kohm\nexpect XU1 frequency 12kHz"
    )
    found = of.fact(of.subjects("statement")[0], "expect.actual")
    assert ends(found) == pytest.approx((12e3 / 1.01, 12e3 / 0.99), rel=3e-4)


def test_the_setting_leaves_room_for_what_comes_after_it() -> None:
    """A rail of 3 V that rises to 4 V makes every period 0.1 % longer, none shorter: set to the middle."""
    text = BOARD.replace("V1 vdd 0 3.0", "V1 vdd 0 3.0\n*@ supply vdd 3.0V .. 4.0V (nominal 3.0V)")
    of = book(text, PART, "adjust RV1 0ohm .. 50kohm\nexpect XU1 period 83.333us +/- 1%")
    low, high = ends(of.fact(of.subjects("statement")[0], "expect.actual"))
    assert (low + high) / 2 == pytest.approx(83.333e-6, rel=1e-4)
    assert high / low == pytest.approx(1.001, rel=3e-4)


def test_a_travel_that_is_too_short_leaves_the_rest() -> None:
    """25 kohm are too few where the part is 1 % fast: 105 kohm there is 12 kHz * 104.167 / 105 / 0.99."""
    found = actual("adjust RV1 0ohm .. 25kohm\nexpect XU1 frequency 12kHz +/- 3%")
    assert ends(found) == pytest.approx((12e3, 12e3 * 104.1667 / 105 / 0.99), rel=3e-4)


def test_no_setting_does() -> None:
    """With a travel of 10 kohm the nearest is 90 kohm, 13.9 kHz: the end of the travel."""
    found = actual("adjust RV1 0ohm .. 10kohm\nexpect XU1 frequency 12kHz +/- 3%")
    assert found.span is not None
    assert found.span.nominal == pytest.approx(1.25e9 / 90e3, rel=1e-3)
    assert "RV1 to 10 kohm" in found.law


def test_one_setting_must_do_for_all_that_is_expected() -> None:
    """12 kHz and 80 us (12.5 kHz) each have a setting of their own, and none together: it stands between."""
    wants = "expect XU1 frequency 12kHz +/- 1%\nexpect XU1 period 80us +/- 1%"
    of = book(BOARD, PART, f"adjust RV1 0ohm .. 50kohm\n{wants}")
    first, second = (of.fact(each, "expect.actual") for each in of.subjects("statement"))
    assert 1.01 * 12e3 < ends(first)[0] < ends(first)[1] < 12.5e3 / 1.01
    assert ends(second) == pytest.approx((1 / ends(first)[1], 1 / ends(first)[0]))


def test_one_setting_may_do_for_several_levels_of_a_control() -> None:
    """I = 0.5 V / R at 0 V and 0.4 V / R at 0.1 V: the setting for 12 kHz there is that for 9.6 kHz here."""
    wants = "".join(
        f"expect XU1 frequency {kilo}kHz +/- 1% when vctl = {volts}V\n"
        for kilo, volts in ((12, 0), (9.6, 0.1))
    )
    text = BOARD.replace("RV1 mid 0 20k", "RV1 mid vctl 20k")
    of = book(text, PART, f"adjust RV1 0ohm .. 50kohm\nassume R* tempco 0ppm\n{wants}")
    at_none, at_some = (ends(of.fact(each, "expect.actual")) for each in of.subjects("statement"))
    assert at_none[0] < 12e3 < at_none[1]
    assert at_some[0] < 9.6e3 < at_some[1]
    assert at_none[1] / at_none[0] < at_some[1] / at_some[0]


def test_a_trimmer_on_the_strap_is_set_for_code_and_time_together() -> None:
    """RA beside 10 kohm: 3.3 kohm to 10 kohm is code 2, prescale 100, and the time follows from it."""
    wants = "expect XU1 prescale 100\nexpect XU1 period 640us +/- 5%"
    text = BOARD.replace("RV1 mid 0 20k", "RV1 mid 0 0")
    of = book(text, PART, f"adjust RA 1kohm .. 50kohm\nassume R* tempco 0ppm\n{wants}")
    code, period = (of.fact(each, "expect.actual") for each in of.subjects("statement"))
    assert ends(code) == (100, 100)
    assert ends(period) == pytest.approx((640e-6 * 0.99, 640e-6 * 1.01))
    assert "RA set to" in period.law


def test_all_settings_must_do() -> None:
    """`assume RV1 value` spans the whole travel: 80 to 130 kohm."""
    low, high = ends(actual("assume RV1 value 0ohm .. 50kohm\nexpect XU1 frequency 12kHz +/- 3%"))
    assert low == pytest.approx(1.25e9 / 130e3 / 1.01)
    assert high == pytest.approx(1.25e9 / 80e3 / 0.99)


def test_a_one_sided_wish_turns_it_to_the_end() -> None:
    """`at most 10kHz` is best met at the end of the travel."""
    found = actual("adjust RV1 0ohm .. 50kohm\nexpect XU1 frequency at most 10kHz")
    assert "RV1 to 50 kohm" in found.law


def test_two_trimmers_are_turned_in_turn() -> None:
    """With RT a trimmer too, both together reach what neither does alone."""
    found = actual("adjust RV1 0ohm .. 10kohm\nadjust RT 60kohm .. 95kohm\nexpect XU1 frequency 12kHz +/- 2%")
    assert ends(found) == pytest.approx((12e3, 12e3), rel=3e-3)


HALVES = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt TO1
RT rt 0 100k 0%
RA vdd cfg 30k 0%
RV1A cfg wiper 10k
RV1B wiper 0 10k
"""


def ratio(intent: str, text: str) -> tuple[float, float]:
    """The ends of the strap's ratio."""
    of = book(text, PART, intent)
    return ends(of.fact(of.subjects("block")[0], "strap.ratio"))


def test_the_halves_of_a_potentiometer_move_together() -> None:
    """Both in series are always 10 kohm beside 30 kohm; the wiper alone goes from a quarter to nothing."""
    pot = "assume RV1* value 0ohm .. 10kohm"
    assert ratio(pot, HALVES) == pytest.approx((0.25, 0.25))
    assert ratio(pot, HALVES.replace("XU1 vdd cfg", "XU1 vdd wiper")) == pytest.approx((0, 0.25), abs=1e-12)


def test_potentiometers_that_are_two_are_turned_each_by_itself() -> None:
    """Names that are not those of one part: 0 ohm to 20 kohm below 30 kohm."""
    two = HALVES.replace("RV1A", "RV1").replace("RV1B", "RVX2")
    assert ratio("assume RV* value 0ohm .. 10kohm", two) == pytest.approx((0, 0.4), abs=1e-12)


def test_what_one_adjust_speaks_of_is_ganged() -> None:
    """RV1 and RV2 in series under one statement are turned alike: 12.08 kohm each beside 80 kohm."""
    text = BOARD.replace("RV1 mid 0 20k", "RV1 mid low 20k\nRV2 low 0 20k")
    of = book(
        text,
        PART.replace('error = "1%"', 'error = "0%"'),
        "adjust RV* 0ohm .. 50kohm\nexpect XU1 frequency 12kHz",
    )
    found = of.fact(of.subjects("statement")[0], "expect.actual")
    assert "RV* to 12.08 kohm" in found.law
    assert ends(found) == pytest.approx((12e3, 12e3), rel=3e-4)


def test_an_adjusted_potentiometer_on_the_strap_keeps_its_whole() -> None:
    """At a wiper of 0.2 of the supply RV1A is 8 kohm and RV1B 2: code 0 of four, prescale 1."""
    text = HALVES.replace("XU1 vdd cfg", "XU1 vdd wiper")
    of = book(text, PART, "adjust RV1* 0ohm .. 10kohm\nexpect XU1 prescale 1")
    assert ends(of.fact(of.subjects("statement")[0], "expect.actual")) == (1, 1)
