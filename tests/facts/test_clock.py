"""The part's own clock: rows of codes and errors by their conditions."""

import pytest

from tests.facts.timing_boards import book, fact, part, span, unknown

BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt sel TC1
RT rt 0 100k 0%
RA vdd cfg 30k 0%
RB cfg 0 10k 0%
"""
SELECT = 'input.select = { low = "0.3 supply", high = "0.7 supply" }'


def selectable(more: str = SELECT) -> str:
    """A part whose code 1 is prescale 10 or 1000 by its select pin."""
    base = part("TC1", "oscillator", "select", more)
    low, high = (
        f'{{ code = 1, prescale = {n}, when = {{ select = "{s}" }} }}'
        for n, s in ((10, "low"), (1000, "high"))
    )
    return base.replace("{ code = 1, prescale = 10 }", f"{low}, {high}")


@pytest.mark.parametrize(("tied", "period"), [("0", 80e-6), ("vdd", 8e-3)])
def test_another_pin_picks_the_row(tied: str, period: float) -> None:
    """A code row with `when` holds where that pin is at its level."""
    board = book(f"{BOARD}RS sel {tied} 10k\n", selectable())
    assert span(board, "timing.period").nominal == pytest.approx(period)


@pytest.mark.parametrize(
    "drive", ["", "RS sel vdd 10k\nRS2 sel 0 10k\n", "V2 sel 0 PULSE(0 3 0 1u 1u 1m 2m)\n"]
)
def test_a_pin_at_no_level_picks_none(drive: str) -> None:
    """Floating, half way, or switched: the prescale is not guessed."""
    unknown(book(f"{BOARD}{drive}", selectable()), "timing.period")


def test_an_error_by_prescale_and_ambient() -> None:
    """The first row that holds: 3 % at prescale 10 over the cold, 0.5 % from 0 degC up."""
    warm = '{ error = "0.5%", prescale = "10", ambient = "0degC .. 70degC" }'
    rows = f'error = [ {warm}, {{ error = "3%", prescale = "10" }} ]'
    tested = part("TC1", "oscillator", "select").replace('error = "1%"', rows)
    tested = tested.replace("+/- 50ppm", "+/- 0ppm")
    for ambient, error in (("0degC .. 70degC", 0.005), ("-20degC .. 70degC", 0.03)):
        board = book(BOARD, tested, f"ambient {ambient}\nassume R* tempco 0ppm")
        assert span(board, "timing.period").high == pytest.approx(80e-6 * (1 + error))
    other = book(BOARD.replace("RA vdd cfg 30k", "RA vdd cfg 90k"), tested)
    assert "prescale 1" in unknown(other, "timing.period").because


def test_a_part_without_strap_counts_by_its_only_row() -> None:
    """One row and no strap: that row; no row and no strap: prescale 1."""
    bare = """
[part.TC2]
title = "test part"
source = "this test"
function = "oscillator"
pins = ["supply", "output", "ground", "rate"]
rate = { voltage = "0.5V", current = "1uA .. 20uA", law = "ratio" }
timing = { period = "2us", at_current = "20uA", at_supply = "3V", error = "1%" }
"""
    netlist = "V1 vdd 0 3\nXU1 vdd out 0 rt TC2\nRT rt 0 25k"
    assert span(book(netlist, bare), "timing.period").nominal == pytest.approx(2e-6)
    one = f"{bare}codes = [ {{ code = 0, prescale = 64 }} ]\n"
    assert span(book(netlist, one), "timing.period").nominal == pytest.approx(128e-6)


def choice(ohm: str, errors: str = 'error = "1%"') -> tuple[float | None, object]:
    """The better prescale, and what it gains, of a part rated for 25 kohm to 500 kohm, at prescale 10."""
    tested = part("TC1", "oscillator", "select").replace('error = "1%"', errors)
    tested = tested.replace("prescale = 100 }", "prescale = 50 }")
    board = book(BOARD.replace("100k 0%", ohm), tested, "ambient 25degC .. 25degC")
    return span(board, "strap.better_prescale").nominal, fact(board, "strap.prescale_gain").value


def test_another_prescale_is_better_where_the_resistor_leaves_its_range() -> None:
    """499 kohm of 1 % reaches 503.99 kohm, past the rated 500; of 0.1 % it stays inside."""
    prescale, gain = choice("499k 1%")
    assert prescale == 50
    assert str(gain).endswith("as far as 504 kohm")
    assert choice("499k 0.1%") == (10, "nothing")


def test_another_prescale_is_better_where_the_part_is_more_exact() -> None:
    """A part of 3 % below 2 uA and 1 % above: 450 kohm (1.11 uA) is better as 90 kohm at prescale 50."""
    rows = 'error = [ { error = "1%", current = "2uA .. 20uA" }, { error = "3%", current = "1uA .. 2uA" } ]'
    assert choice("450k 0%", rows) == (50, "the part's own error would go from 3 % to 1 %")
    assert choice("200k 0%", rows) == (10, "nothing")
