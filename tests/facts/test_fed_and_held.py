"""What regulators, fuses and conditions hold, seen from expectations and joints; by hand."""

import pytest

from drc.circuit.material import Material
from drc.facts.elements import capacitor
from drc.facts.model import Unknown
from drc.facts.options import FactOptions
from drc.trouble import Place
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span


def test_a_regulator_s_spread_is_set_to_its_ends_by_every_method() -> None:
    """A supply's spread is a bias: root-sum-square keeps its whole +/- 2 %, as extreme value does."""
    board = CENTRED.replace("100k tol=1%", "100k tol=0%").replace(
        "V1 vdd 0 4", "V1 vin 0 5\nXREG vin 0 vdd RG3"
    )
    drift = PLAIN.replace('supply_error = "0%/V"', 'supply_error = "10%/V"').replace(
        'error = "1%"', 'error = "0%"'
    )
    of = book(board, drift, "ambient 25degC .. 25degC")
    extreme, rss = span(of, "timing.period"), span(of, "timing.period.rss")
    assert extreme.high / extreme.low == pytest.approx(1.006 / 0.994, rel=1e-6)
    assert (rss.low, rss.high) == pytest.approx((extreme.low, extreme.high))


def test_the_class_of_a_capacitor_is_read_wherever_it_is_written() -> None:
    """In its part name, its bill of materials' part or rating: X7R moves 15 % over -55 .. 125 degC.

    Also where the capacitor has no tolerance of its own.
    """
    for line, material in (
        ("C9 out 0 1n X7R tol=0%", None),
        ("C9 out 0 1n tol=0%", Material(Place("bay.csv", 2), part="CAP-X7R-0603")),
        ("C9 out 0 1n tol=0%", Material(Place("bay.csv", 2), rating="X7R 16V")),
    ):
        options = FactOptions(materials={"c9": material} if material else {})
        of = book(f"{CENTRED}{line}\n", PLAIN, "ambient -55degC .. 125degC", options)
        element = of.board.circuit.element("C9")
        assert element is not None
        found = capacitor(of, element)
        assert not isinstance(found, Unknown)
        wide = span(of, "output.capacitance")
        assert wide.high / 1e-9 == pytest.approx(1.15, rel=1e-6), line


def test_a_condition_may_name_nets_by_a_star() -> None:
    """`when ct* = 1V` holds every net that matches; one that matches nothing is named."""
    board = CENTRED.replace("R3 rt 0 100k tol=1%", "R3 rt 0 100k tol=0%\nR4 rt ctl 100k tol=0%")
    held = "signal ctl 0V .. 1V\nexpect XU1 frequency 1Hz when {} = 0V"
    for name in ("ctl", "ct*"):
        of = book(board, PLAIN, held.format(name))
        found = of.fact(of.subjects("statement")[0], "expect.actual")
        assert found.name == "expect.actual"
        assert found.span is not None
        assert found.span.middle == pytest.approx(1 / (2e-6 * 10 * 20e-6 / 10e-6), rel=1e-6)
    of = book(board, PLAIN, held.format("no*"))
    assert isinstance(of.fact(of.subjects("statement")[0], "expect.actual").value, Unknown)


def test_a_link_with_a_spread_joins_nothing() -> None:
    """0 ohm joins; a resistor that may be 0 ohm does not: the output is tied by the one alone."""
    assert fact(book(CENTRED + "R9 out vdd 0\n", PLAIN), "output.tied").value is True
    assert (
        fact(book(CENTRED + "R9 out vdd 1k\n", PLAIN, "assume R9 value 0ohm .. 1kohm"), "output.tied").value
        is False
    )
