"""What a modulator's pin reads, the duty between its clamps, and the ripple behind its filter; by hand.

The carrier's period is 2 us * (100 kohm / 25 kohm) * 10 = 80 us.
"""

from math import expm1

import pytest

from drc.facts.modulate_range import AVERAGING
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.test_pulse_modulator import board, modulator
from tests.facts.timing_boards import book, fact, span, unknown

LAW = 'full_scale = "0.2V .. 1.0V", duty = "10% .. 80%", error = "2points"'
ABSOLUTE = modulator(LAW)
EXACT = modulator(LAW.replace("2points", "0points"))
STILL = "ambient 25degC .. 25degC"
PERIOD_S = 80e-6


def ripple(ohm: float, farad: float, duty: float, period: float = PERIOD_S) -> float:
    """(1 - e^-x)(1 - e^-y) / (1 - e^-(x+y)) of the supply: one RC in its steady state (circuit theory)."""
    beat = period / (ohm * farad)
    return -expm1(-duty * beat) * expm1(-(1 - duty) * beat) / expm1(-beat)


@pytest.mark.parametrize("polarity", ["normal", "inverted"])
def test_the_duty_by_its_law_and_its_evidence(polarity: str) -> None:
    """0.6 V is half way from 10 % to 80 %: 45 points, 2 either way; 55 inverted. Its error is evidence."""
    of = book(board("V2 m 0 0.6", polarity), ABSOLUTE)
    found = fact(of, "timing.duty")
    assert found.span is not None
    middle = 45.0 if polarity == "normal" else 55.0
    assert (found.span.low, found.span.middle, found.span.high) == pytest.approx(
        (middle - 2, middle, middle + 2)
    )
    (evidence,) = [each for each in found.inputs if each.label == "TP1 duty error"]
    assert evidence[1:3] == ("+/- 2 points", "part file")
    assert evidence.place == of.board.blocks[0].part.place
    assert "0.2 -> 10 %, 1 -> 80 %" in found.law
    assert ("turned round" in found.law) is (polarity == "inverted")


def test_an_error_of_nothing_moves_nothing() -> None:
    """Where the part file gives 0 points the duty has no width of its own."""
    duty = span(book(board("V2 m 0 0.6"), EXACT), "timing.duty")
    assert (duty.low, duty.high) == (duty.middle, duty.middle)


def test_levels_count_from_the_block_s_own_ground() -> None:
    """On a ground of 1 V a pin at 1.6 V is 0.6 V up; a fraction of the supply counts from there too."""
    lifted = board("V2 m 0 1.6").replace("V1 vdd 0 3.0", "V1 vdd 0 4.0\nV8 g 0 1")
    lifted = lifted.replace("out 0 rt", "out g rt").replace("rt 0", "rt g").replace("cfg 0", "cfg g")
    assert span(book(lifted, EXACT), "timing.duty").middle == pytest.approx(45)
    fraction = modulator(
        'full_scale = "0 .. 1", duty = "0% .. 100%", error = "0points", reference = "supply"'
    )
    assert span(book(lifted, fraction), "timing.duty").middle == pytest.approx(20)
    assert span(book(lifted, fraction), "modulate.share").middle == pytest.approx(0.2)
    rate = modulator('full_scale = "0 .. 1.5", duty = "0% .. 90%", error = "0points", reference = "rate"')
    assert span(book(lifted, rate), "timing.duty").middle == pytest.approx(72)
    assert span(book(lifted, rate), "modulate.share").low == pytest.approx(0.8 / 1.02)


def test_the_share_of_full_scale_is_told_with_its_ends() -> None:
    """(0.3 V .. 0.5 V - 0.2 V) / (1.0 V - 0.2 V)."""
    found = fact(book(board(""), ABSOLUTE, "signal m 0.3V .. 0.5V"), "modulate.share")
    assert found.span is not None
    assert (found.span.low, found.span.middle, found.span.high) == pytest.approx((0.125, 0.25, 0.375))
    assert found.law == "(level - 0.2) / (1 - 0.2)"
    assert found.inputs


@pytest.mark.parametrize(("polarity", "ends"), [("normal", (10, 80)), ("inverted", (20, 90))])
def test_the_range_of_duty_has_ends_and_no_middle(polarity: str, ends: tuple[float, float]) -> None:
    """The clamps, the lower first also where a law falls; from the part file."""
    for law in (LAW, 'points = [["0.2V", "10%"], ["0.6V", "30%"], ["1V", "80%"]], error = "1points"'):
        found = fact(book(board("V2 m 0 0.6", polarity), modulator(law)), "modulate.duty_range")
        assert found.span is not None
        assert (found.span.low, found.span.high) == pytest.approx(ends)
        assert found.span.nominal is None
        assert found.inputs[0][:3] == ("TP1 duty", f"{ends[0]} .. {ends[1]} points", "part file")
    falling = modulator('points = [["0.2V", "80%"], ["1V", "10%"]], error = "1points"')
    found = fact(book(board("V2 m 0 0.6", polarity), falling), "modulate.duty_range")
    assert found.span is not None
    assert (found.span.low, found.span.high) == pytest.approx(ends)


def test_without_a_strap_the_polarity_of_the_range_is_not_known() -> None:
    """The strap's own reason is given, for the duty and for its range."""
    loose = board("V2 m 0 0.6").replace("RA vdd cfg 30k 0%\n", "").replace("RB cfg 0 10k 0%\n", "")
    of = book(loose, ABSOLUTE)
    why = unknown(of, "strap.prescale")
    assert unknown(of, "modulate.duty_range") == why
    assert unknown(of, "timing.duty") == why


def test_what_the_duty_wants_is_named() -> None:
    """A law, its error, a modulate pin, a rate voltage to compare with, a supply to compare with."""
    none = modulator(LAW).replace(f"modulate = {{ {LAW} }}", "")
    of = book(board("V2 m 0 0.6"), none)
    assert unknown(of, "timing.duty").missing == ("TP1 modulate",)
    assert unknown(of, "modulate.share").missing == ("modulate",)
    assert unknown(of, "modulate.duty_range").missing == ("modulate",)
    lacking = modulator('full_scale = "0.2V .. 1.0V", duty = "10% .. 80%"')
    assert unknown(book(board("V2 m 0 0.6"), lacking), "timing.duty").missing == ("TP1 modulate.error",)
    pinless = ABSOLUTE.replace('"rate", "modulate"]', '"rate", "nc"]')
    for name in ("timing.duty", "modulate.share"):
        assert unknown(book(board("V2 m 0 0.6"), pinless), name).missing == ("modulate pin",)
    rate = modulator('full_scale = "0 .. 1", duty = "0% .. 90%", error = "0points", reference = "rate"')
    dark = rate.replace('voltage = "0.5V +/- 2%", ', "")
    assert unknown(book(board("V2 m 0 0.6"), dark), "timing.duty").missing == ("TP1 rate voltage",)
    assert unknown(book(board(""), rate), "timing.duty").missing == ("voltage of m",)


@pytest.mark.parametrize(
    ("ohm", "farad", "filters"),
    [(10e3, 1e-6, True), (10e3, 10e-9, True), (1e3, 41e-9, True), (1e3, 39e-9, False), (1e3, 1e-9, False)],
)
def test_an_rc_of_half_a_period_averages(ohm: float, farad: float, filters: bool) -> None:
    """80 us: from 40 us on a filter is there to average (common practice, no source)."""
    assert AVERAGING == 0.5
    of = book(board(f"V2 m 0 0.6\nR9 out f {ohm} 0%\nC9 f 0 {farad} 0%"), EXACT, STILL)
    if filters:
        assert span(of, "filter.ripple").middle == pytest.approx(ripple(ohm, farad, 0.45))
    else:
        assert unknown(of, "filter.ripple").missing == ("filter",)


def test_just_half_a_period_averages() -> None:
    """1 ohm and half the period as farads: an RC of just half the period counts."""
    of = book(board("V2 m 0 0.6\nR9 out f 1k 0%\nC9 f 0 1n 0%"), EXACT, STILL)
    time = span(of, "timing.period").middle
    lines = f"V2 m 0 0.6\nR9 out f 1 0%\nC9 f 0 {time / 2!r} 0%"
    assert span(book(board(lines), EXACT, STILL), "filter.ripple").middle > 0


@pytest.mark.parametrize(
    ("lines", "parts"),
    [
        ("R9 out f 10k 0%\nC9 f 0 1u 0%", [(10e3, 1e-6)]),
        ("R9 f out 10k 0%\nC9 0 f 1u 0%", [(10e3, 1e-6)]),
        ("R9 out f 10k 0%\nC9 f 0 1u 0%\nC8 f vdd 1u 0%", [(10e3, 2e-6)]),
        ("R9 out f 10k 0%\nC9 f 0 1u 0%\nR8 out h 1k 0%\nC8 h 0 1u 0%", [(10e3, 1e-6), (1e3, 1e-6)]),
        ("R8 out h 1k 0%\nC8 h 0 1u 0%\nR9 out f 10k 0%\nC9 f 0 1u 0%", [(10e3, 1e-6), (1e3, 1e-6)]),
        ("R8 out h 1k 0%\nC8 h 0 1n 0%\nR9 out f 10k 0%\nC9 f 0 1u 0%", [(10e3, 1e-6)]),
        ("R9 out f 10k 0%\nC9 f 0 1u 0%\nR8 f vdd 1meg 0%", [(10e3, 1e-6)]),
        ("R9 out f 10k 0%\nL9 out g 1m\nC9 f 0 1u 0%\nC8 g 0 1u 0%", [(10e3, 1e-6)]),
    ],
)
def test_which_filter_is_told_of(lines: str, parts: list[tuple[float, float]]) -> None:
    """A resistor to a net with a capacitor to ground, either way round; of several the worst."""
    of = book(board(f"V2 m 0 0.6\n{lines}"), EXACT, STILL)
    assert span(of, "filter.ripple").middle == pytest.approx(max(ripple(r, c, 0.45) for r, c in parts))


@pytest.mark.parametrize(
    "lines",
    [
        "R9 out f 10k\nC9 f vdd 1u",
        "R9 out f 10k\nR8 f 0 1k\nC9 out 0 1u",
        "D9 out f DX\nC9 f 0 1u\n.model DX d(is=1e-12)",
        "R9 out f 10k\nC9 f 0 1u\nV9 f 0 1",
        "V9 out 0 1",
    ],
)
def test_what_is_no_averaging_filter(lines: str) -> None:
    """A capacitor to the supply alone, none behind the resistor, a diode, a net that is held."""
    assert unknown(book(board(f"V2 m 0 0.6\n{lines}"), EXACT), "filter.ripple").missing == ("filter",)


def test_a_capacitor_to_ground_that_is_not_fitted_makes_no_filter_of_another() -> None:
    """What is left goes to the supply."""
    lines = "V2 m 0 0.6\nR9 out f 10k\nC9 f 0 1u\nC8 f vdd 1u"
    assert span(book(board(lines), EXACT), "filter.ripple").middle > 0
    assert unknown(book(board(lines), EXACT, "fit C9 no"), "filter.ripple").missing == ("filter",)


def test_a_filter_whose_figures_are_not_known_says_why() -> None:
    """A resistor or a capacitor without a value, a duty that is not known, an output that is not there."""

    def why(lines: str, file: str = EXACT) -> tuple[str, ...]:
        return unknown(book(board(lines), file, STILL), "filter.ripple").missing

    assert why("V2 m 0 0.6\nR9 out f DNK\nC9 f 0 1u") == ("R9 value",)
    assert why("V2 m 0 0.6\nR9 out f 10k\nC9 f 0 DNK") == ("C9 value",)
    assert why("R9 out f 10k\nC9 f 0 1u") == ("voltage of m",)
    outless = EXACT.replace('"strap", "output"', '"strap", "nc"')
    assert why("V2 m 0 0.6\nR9 out f 10k\nC9 f 0 1u", outless) == ("filter",)
    assert "no pulse modulator" in unknown(book(CENTRED, PLAIN), "filter.ripple").because


def test_a_filter_of_a_carrier_of_two_speeds_says_that_it_takes_states() -> None:
    """The ripple is told by cases, and none of them is passed as one."""
    lines = (
        "V2 m 0 0.6\nR9 out f 10k 0%\nC9 f 0 1u 0%\nRC rt ctl 100k 0%\nV3 ctl 0 PULSE(0 0.4 0 1u 1u 1m 2m)"
    )
    found = fact(book(board(lines), EXACT, STILL), "filter.ripple")
    assert found.span is None
