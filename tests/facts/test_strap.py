"""What the strap pin reads, against values worked out by hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drc.facts.options import FactOptions
from drc.quantity.span import exact
from drc.quantity.unit import RATIO
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span, unknown


def test_a_centred_strap_has_half_a_step_less_the_threshold_error() -> None:
    """r = 10/32 is 2.5 of 8 steps: code 2, margin 0.5 - 0.5 % of 8 steps = 0.46 step, off centre 0."""
    of = book(CENTRED, PLAIN)
    assert span(of, "strap.ratio").nominal == pytest.approx(10 / 32, rel=1e-12)
    assert fact(of, "strap.code").value == exact(2.0, RATIO)
    assert span(of, "strap.margin").nominal == pytest.approx(0.46)
    assert span(of, "strap.off_centre").nominal == pytest.approx(0.0, abs=1e-12)
    assert fact(of, "strap.prescale").value == exact(10.0, RATIO)
    assert fact(of, "strap.polarity").value == "normal"


def test_the_ratio_spans_both_resistors_corners_and_the_leakage() -> None:
    """Low: 9.9k under 22.22k, less 20 nA times both in parallel over 4 V; high the other way round."""
    of = book(CENTRED, PLAIN)
    low = 9.9 / (9.9 + 22.22) - 20e-9 * (9.9e3 * 22.22e3 / 32.12e3) / 4
    high = 10.1 / (10.1 + 21.78) + 20e-9 * (10.1e3 * 21.78e3 / 31.88e3) / 4
    ratio = span(of, "strap.ratio")
    assert ratio.low == pytest.approx(low, rel=1e-9)
    assert ratio.high == pytest.approx(high, rel=1e-9)
    nearer = min(low - 2 / 8, 3 / 8 - high)
    assert span(of, "strap.margin").low == pytest.approx((nearer - 0.005) * 8, rel=1e-9)


def test_the_supply_cancels_out_of_a_ratiometric_strap() -> None:
    """With no leakage to speak of, a supply of 3 to 5 V leaves the ratio's span as a supply of 4 V does."""
    quiet = PLAIN.replace('leakage = "20nA", ', "")
    fixed = span(book(CENTRED, quiet), "strap.ratio")
    moving = span(book(CENTRED, quiet, "supply vdd 3V .. 5V"), "strap.ratio")
    assert (moving.low, moving.high) == pytest.approx((fixed.low, fixed.high), rel=1e-12)


def test_a_divider_from_another_rail_moves_with_both_supplies() -> None:
    """From a 3.0 V rail against a supply of 3.6 to 4.4 V the ratio spans 3/4.4 to 3/3.6 of the divider's."""
    board = CENTRED.replace("R1 vdd", "V2 vref 0 3\nR1 vref").replace("tol=1%", "tol=0%")
    quiet = PLAIN.replace('leakage = "20nA", ', "")
    of = book(board, quiet, "supply vdd 3.6V .. 4.4V")
    ratio = span(of, "strap.ratio")
    assert ratio.low == pytest.approx(10 / 32 * 3 / 4.4)
    assert ratio.high == pytest.approx(10 / 32 * 3 / 3.6)
    assert fact(of, "strap.ratiometric").value is False
    assert fact(book(CENTRED, PLAIN), "strap.ratiometric").value is True


def test_a_strap_tied_to_a_rail_is_perfect() -> None:
    """Tied to ground, code 0 has a whole step in hand less the threshold error, whatever the tolerances."""
    board = CENTRED.replace("R1 vdd cfg 22k tol=1%\nR2 cfg 0 10k tol=1%\n", "R2 cfg 0 0\n")
    of = book(board, PLAIN)
    assert fact(of, "strap.code").value == exact(0.0, RATIO)
    margin = span(of, "strap.margin")
    assert margin.low == margin.high == pytest.approx(1 - 0.04)
    assert fact(of, "strap.shorted").value is False
    assert fact(of, "strap.neighbour").value == exact(1.0, RATIO)


def test_a_strap_joined_to_a_foreign_rail_is_shorted() -> None:
    """A link to a rail that is neither supply nor ground is no divider."""
    board = CENTRED.replace("R1 vdd cfg 22k tol=1%", "V2 v2 0 1\nR1 v2 cfg 0")
    assert fact(book(board, PLAIN), "strap.shorted").value is True


def test_an_open_strap_is_open_and_its_code_unknown() -> None:
    """Without both resistors nothing sets the pin; the code names what is missing."""
    board = CENTRED.replace("R1 vdd cfg", "R1 vdd nc1").replace("R2 cfg 0", "R2 nc2 0")
    of = book(board, PLAIN)
    assert fact(of, "strap.open").value is True
    assert unknown(of, "strap.code").missing == ("XU1 strap resistors",)
    assert unknown(of, "strap.prescale").missing == ("XU1 strap resistors",)


def test_a_code_without_a_row_is_reserved() -> None:
    """r = 10/17 is code 4, which the table leaves out: reserved, and neither prescale nor polarity known."""
    of = book(CENTRED.replace("22k", "7k"), PLAIN)
    assert fact(of, "strap.reserved").value is True
    assert unknown(of, "strap.prescale").missing == ("PL1 code 4",)
    assert fact(book(CENTRED, PLAIN), "strap.reserved").value is False


def test_a_capacitor_on_the_strap_takes_time_to_settle() -> None:
    """To ground it starts at 0: t = 6875 ohm * 10 nF * ln(0.3125 / (0.3125 - 0.25)) = 68.75 us * ln 5."""
    of = book(CENTRED + "C1 cfg 0 10n tol=0%\n", PLAIN)
    assert span(of, "strap.settling").nominal == pytest.approx(68.75e-6 * 1.6094379, rel=1e-6)
    assert span(book(CENTRED, PLAIN), "strap.settling").high == 0


def test_a_capacitor_to_the_supply_settles_from_above() -> None:
    """It starts at 1: t = 68.75 us * ln((1 - 0.3125) / (0.375 - 0.3125)) = 68.75 us * ln 11."""
    of = book(CENTRED + "C1 cfg vdd 10n tol=0%\n", PLAIN)
    assert span(of, "strap.settling").nominal == pytest.approx(68.75e-6 * 2.3978953, rel=1e-6)


def test_source_resistance_is_that_of_the_divider() -> None:
    """22k beside 10k is 6875 ohm, and moves by 1 % either way."""
    ohm = span(book(CENTRED, PLAIN), "strap.source_resistance")
    assert (ohm.low, ohm.middle, ohm.high) == pytest.approx((6806.25, 6875, 6943.75))


def test_no_draw_of_a_centred_strap_is_misread() -> None:
    """0 of 20,000 draws: below 0.015 % (1 - 0.05^(1/20000) = 0.0149776 %, Clopper and Pearson's interval)."""
    misread = span(book(CENTRED, PLAIN), "strap.misread")
    assert (misread.low, misread.nominal) == (0, 0)
    assert misread.high == pytest.approx(1.49776e-4, rel=1e-4)


def test_a_strap_on_a_threshold_is_misread_half_the_time() -> None:
    """r = 0.25 is the threshold between codes 1 and 2: half the draws fall on either side."""
    board = CENTRED.replace("22k", "30k")
    misread = span(book(board, PLAIN, options=FactOptions(draws=4000)), "strap.misread")
    assert misread.low < 0.5 < misread.high
    assert misread.high - misread.low < 0.04


@settings(max_examples=20, deadline=None)
@given(st.floats(0.1, 10))
def test_scaling_both_strap_resistors_leaves_the_ratio(factor: float) -> None:
    """Only the ratio of the two counts, leakage apart."""
    board = CENTRED.replace("22k", repr(22e3 * factor)).replace("10k", repr(10e3 * factor))
    assert span(book(board, PLAIN), "strap.ratio").nominal == pytest.approx(0.3125, rel=1e-9)


@settings(max_examples=20, deadline=None)
@given(st.floats(0.02, 0.98))
def test_the_code_is_the_interval_that_holds_the_ratio(ratio: float) -> None:
    """For any ratio the code is floor(8 r) and the margin is the distance to the nearer inner threshold."""
    board = CENTRED.replace("22k", repr(1e5 * (1 - ratio))).replace("10k", repr(1e5 * ratio))
    of = book(board, PLAIN)
    found = span(of, "strap.code").middle
    steps = 8 * span(of, "strap.ratio").middle
    assert found <= steps < found + 1
    ends = (
        [steps - found]
        if found == 7
        else [found + 1 - steps]
        if found == 0
        else [steps - found, found + 1 - steps]
    )
    assert span(of, "strap.margin").nominal == pytest.approx(min(ends) - 0.04, abs=1e-9)


def test_a_capacitor_behind_a_resistor_counts_with_what_it_sees() -> None:
    """10 nF at the divider, 47k on to the pin: it sees 6875 ohm as before; one on the pin sees 53.875k."""
    board = CENTRED.replace("R2 cfg 0", "R9 cfg div 47k\nR2 div 0").replace("R1 vdd cfg", "R1 vdd div")
    inner = span(book(board + "C1 div 0 10n tol=0%\n", PLAIN), "strap.settling").nominal
    assert inner == pytest.approx(68.75e-6 * 1.6094379, rel=1e-6)
    outer = span(book(board + "C1 cfg 0 10n tol=0%\n", PLAIN), "strap.settling").nominal
    assert outer == pytest.approx(538.75e-6 * 1.6094379, rel=1e-6)
    both = span(book(board + "C1 cfg 0 10n tol=0%\nC2 div 0 10n tol=0%\n", PLAIN), "strap.settling").nominal
    assert both == pytest.approx((68.75e-6 + 538.75e-6) * 1.6094379, rel=1e-6)


def test_a_leakage_that_the_part_file_does_not_give_is_an_assumption() -> None:
    """No leakage given is not none: the pin's own, and that of an input on the same network, are assumed."""
    shared = CENTRED + "R4 rt2 0 100k tol=1%\nXU2 vdd vdd out2 0 rt2 cfg PL1\n"
    silent = PLAIN.replace('leakage = "20nA", ', "")
    for netlist, parts, assumed in (
        (CENTRED, PLAIN, []),
        (CENTRED, silent, ["XU1 strap leakage assumed to be none"]),
        (shared, PLAIN, ["XU2 enable leakage assumed to be none"]),
    ):
        notes = fact(book(netlist, parts), "strap.ratio").assumptions
        assert [note for note in notes if "leakage" in note] == assumed
