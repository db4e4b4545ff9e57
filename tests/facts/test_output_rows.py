"""Outputs that are rated by supply, that are paralleled, and rows of timing error; by hand."""

import pytest

from drc.facts.model import Unknown
from drc.facts.pins import drive_at
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import block, book, fact, span, unknown

ROWS = PLAIN.replace(
    'output   = { kind = "push-pull", source = "10mA", sink = "8mA", resistance = "25ohm" }',
    'output   = [ { kind = "push-pull", source = "6mA", sink = "5mA", resistance = "50ohm", '
    'at_supply = "2.0V .. 3.0V" }, { kind = "push-pull", source = "10mA", sink = "8mA", '
    'resistance = "25ohm", at_supply = "3.0V .. 5.0V" } ]',
    1,
)


@pytest.mark.parametrize(
    ("volts", "ohm"), [(1.9, None), (2.0, 50), (2.5, 50), (3.0, 50), (3.1, 25), (5.0, 25), (5.1, None)]
)
def test_the_row_that_holds_at_a_supply(volts: float, ohm: float | None) -> None:
    """Both ends of a row belong to it, the first that holds counts, beyond all rows there is none."""
    drive = drive_at(block(book(CENTRED, ROWS)), volts)
    assert (None if drive is None else drive.resistance) == ohm


@pytest.mark.parametrize(
    ("supply", "source"),
    [
        ("4V", 10e-3),
        ("2.5V", 6e-3),
        ("2.5V .. 4V", 6e-3),
        ("3.5V .. 4.5V", 10e-3),
        ("3V .. 4V", 6e-3),
        ("2V .. 3V", 6e-3),
    ],
)
def test_the_least_rating_over_the_supply_holds(supply: str, source: float) -> None:
    """Every row that holds somewhere in the supply's span counts, also at a single end."""
    of = book(CENTRED, ROWS, f"supply vdd {supply}")
    assert span(of, "output.source_rated").middle == pytest.approx(source)


def test_a_rating_outside_all_rows_is_unknown() -> None:
    """At 6 V no row holds; without a supply none can be told; a row without a rating gives none."""
    assert unknown(book(CENTRED, ROWS, "supply vdd 6V"), "output.source_rated").missing
    assert unknown(book(CENTRED.replace("V1 vdd 0 4\n", ""), ROWS), "output.source_rated").missing
    part = ROWS.replace('source = "6mA", ', "", 1)
    assert unknown(book(CENTRED, part, "supply vdd 2.5V .. 4V"), "output.source_rated").missing
    assert span(book(CENTRED, part, "supply vdd 4V"), "output.source_rated").middle == pytest.approx(10e-3)


@pytest.mark.parametrize(
    ("supply", "changed", "unrated"),
    [
        ("2V .. 5V", "", False),
        ("4V .. 5.1V", "", True),
        ("1.9V .. 4V", "", True),
        ("6V", "", True),
        ("2.5V .. 4.5V", "3.2V .. 5.0V", True),
        ("3.2V .. 4.5V", "3.2V .. 5.0V", False),
    ],
)
def test_a_rating_that_leaves_out_some_of_the_supply_is_none(
    supply: str, changed: str, unrated: bool
) -> None:
    """Beyond the rows, or in a gap between them, the rating is unknown, and known to be lacking there.

    Without a supply nobody knows; where the part file rates nothing, no other supply is rated either.
    """
    part = ROWS.replace("3.0V .. 5.0V", changed) if changed else ROWS
    of = book(CENTRED, part, f"supply vdd {supply}")
    for name in ("output.source", "output.sink"):
        assert isinstance(fact(of, f"{name}_rated").value, Unknown) == unrated
        assert fact(of, f"{name}_unrated").value is unrated
    assert unknown(book(CENTRED.replace("V1 vdd 0 4\n", ""), part), "output.source_unrated").missing
    bare = part.replace('source = "6mA", ', "").replace('source = "10mA", ', "")
    assert fact(book(CENTRED, bare, f"supply vdd {supply}"), "output.source_unrated").value is False


SECOND = "R7 {top} cfg2 22k\nR8 cfg2 0 10k\nXU2 vdd {cfg} {out} 0 {rate} {en} PL1\nR9 {out} out 0\n"


@pytest.mark.parametrize(
    ("pins", "contention"),
    [
        ({"cfg": "cfg", "rate": "rt", "en": "vdd"}, False),
        ({"cfg": "cfg2", "rate": "rt", "en": "vdd"}, True),
        ({"cfg": "cfg", "rate": "rt2", "en": "vdd"}, True),
        ({"cfg": "cfg", "rate": "rt", "en": "0"}, True),
    ],
)
def test_halves_with_all_inputs_in_common_do_not_fight(pins: dict[str, str], contention: bool) -> None:
    """Two blocks in parallel drive the same way only where every input is on the same net."""
    of = book(CENTRED + SECOND.format(top="vdd", out="o2", **pins) + "R6 rt2 0 100k\n", PLAIN)
    assert fact(of, "output.contention").value is contention


ERRORS = PLAIN.replace(
    'error = "1%"',
    'error = [ { error = "1%", current = "4uA .. 20uA" }, { error = "3%", current = "1uA .. 4uA" } ]',
)


@pytest.mark.parametrize(
    ("resistor", "error"),
    [("100k tol=0%", 0.01), ("200k tol=0%", 0.03), ("125k tol=0%", 0.03), ("120k tol=0%", 0.01)],
)
def test_the_error_row_at_the_rate_current(resistor: str, error: float) -> None:
    """0.5 V +/- 2 % over 100k is 5 uA: the first row; 125k is 4 uA give or take 2 %: both rows, the worse."""
    board = CENTRED.replace("100k tol=1%", resistor)
    period = span(book(board, ERRORS, "ambient 25degC .. 25degC\nsupply vdd 3V"), "timing.period")
    assert period.nominal is not None
    assert period.high / period.nominal == pytest.approx(1 + error, rel=1e-6)


def test_a_current_between_two_rows_ends_in_the_worse_inside_its_span() -> None:
    """A control voltage that steers from 5 uA to 2.5 uA crosses the bound at 4 uA: 3 % holds for all."""
    board = CENTRED.replace("R3 rt 0 100k tol=1%", "R3 rt 0 100k tol=0%\nR4 rt vctl 200k tol=0%")
    inside = span(book(board, ERRORS, "signal vctl 0.5V .. 1V"), "timing.period")
    outside = span(book(board, ERRORS, "signal vctl 0.5V .. 0.6V"), "timing.period")
    assert inside.high > 1.03 * 0.97 * 2e-6 * 20 / 2.5 * 10
    assert outside.high < inside.high


def test_a_frequency_that_may_stop_is_no_span() -> None:
    """A control voltage that may stop the current leaves no lowest period, and it is said."""
    board = CENTRED.replace("R3 rt 0 100k tol=1%", "R3 rt vctl 100k tol=0%")
    found = fact(book(board, PLAIN, "signal vctl 0V .. 1V"), "timing.period")
    assert isinstance(found.value, Unknown) or found.span is None or found.span.high == float("inf")
    steady = fact(book(board, PLAIN, "signal vctl 0V .. 0.1V"), "timing.frequency")
    assert steady.span is not None
    assert steady.span.low > 0
