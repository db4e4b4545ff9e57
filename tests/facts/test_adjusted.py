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
    """12 kHz is 104.17 kohm: beside 80 kohm the trimmer goes to 24.17 kohm, and the part's 1 % is left."""
    found = actual("adjust RV1 0ohm .. 50kohm\nexpect XU1 frequency 12kHz +/- 3%")
    assert ends(found) == pytest.approx((12e3 / 1.01, 12e3 / 0.99), rel=2e-3)
    assert "RV1 set to 24." in found.law


def test_no_setting_does() -> None:
    """With a travel of 10 kohm the nearest is 90 kohm, 13.9 kHz: the end of the travel."""
    found = actual("adjust RV1 0ohm .. 10kohm\nexpect XU1 frequency 12kHz +/- 3%")
    assert found.span is not None
    assert found.span.nominal == pytest.approx(1.25e9 / 90e3, rel=1e-3)
    assert "RV1 set to 10 kohm" in found.law


def test_all_settings_must_do() -> None:
    """`assume RV1 value` spans the whole travel: 80 to 130 kohm."""
    low, high = ends(actual("assume RV1 value 0ohm .. 50kohm\nexpect XU1 frequency 12kHz +/- 3%"))
    assert low == pytest.approx(1.25e9 / 130e3 / 1.01)
    assert high == pytest.approx(1.25e9 / 80e3 / 0.99)


def test_a_one_sided_wish_turns_it_to_the_end() -> None:
    """`at most 10kHz` is best met at the end of the travel."""
    found = actual("adjust RV1 0ohm .. 50kohm\nexpect XU1 frequency at most 10kHz")
    assert "RV1 set to 50 kohm" in found.law


def test_two_trimmers_are_turned_in_turn() -> None:
    """With RT a trimmer too, both together reach what neither does alone."""
    found = actual("adjust RV1 0ohm .. 10kohm\nadjust RT 60kohm .. 95kohm\nexpect XU1 frequency 12kHz +/- 2%")
    assert ends(found) == pytest.approx((12e3 / 1.01, 12e3 / 0.99), rel=2e-3)
