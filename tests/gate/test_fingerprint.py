"""What makes two findings the same."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.facts.model import Case, Cases, Fact, Unknown, Value
from drc.gate.fingerprint import fingerprint
from drc.gate.rounding import rounded, rounded_value
from drc.judge.model import Finding
from drc.quantity.span import Span, exact
from drc.quantity.unit import OHM, VOLT
from drc.trouble import Place

FINDING = Finding(
    "strap-open",
    "error",
    "fail",
    "XU3",
    Place("a.cir", 3, 1, 3),
    "XU3 is odd",
    block="XU3",
    part="ZZ10",
    evidence={"strap.ratio": Fact("strap.ratio", Span(0.1, 0.2, 0.3))},
)


def with_value(value: Value) -> Finding:
    """The finding with another value in its evidence."""
    return FINDING._replace(evidence={"strap.ratio": Fact("strap.ratio", value)})


@pytest.mark.parametrize(
    "same",
    [
        FINDING._replace(place=Place("moved/b.cir", 99, 7)),
        FINDING._replace(message="said in other words"),
        FINDING._replace(level="warning"),
        FINDING._replace(others=(Place("c.cir", 1),)),
        with_value(Span(0.15, 0.2, 0.25)),
    ],
)
def test_place_wording_level_and_spread_leave_it_alone(same: Finding) -> None:
    """A finding that means the same has the same fingerprint."""
    assert fingerprint(same) == fingerprint(FINDING)


@pytest.mark.parametrize(
    "other",
    [
        FINDING._replace(rule="strap-shorted"),
        FINDING._replace(verdict="unproven"),
        FINDING._replace(block="XU4"),
        FINDING._replace(part="ZZ20"),
        with_value(Span(0.1, 0.21, 0.3)),
        with_value(Unknown("no divider")),
        with_value(exact(0.2, VOLT)),
        with_value(Cases((Case("EN high", exact(0.2)),))),
    ],
)
def test_a_changed_meaning_changes_it(other: Finding) -> None:
    """Rule, verdict, block, part and nominal values make the fingerprint."""
    assert fingerprint(other) != fingerprint(FINDING)


@given(st.floats(allow_nan=False))
def test_rounding_twice_changes_nothing(number: float) -> None:
    """A rounded number is its own rounding, and lies within five parts in ten to the nine."""
    once = rounded(number)
    assert rounded(once) == once
    assert once == pytest.approx(number, rel=5e-9, abs=1e-300)


def test_minus_zero_becomes_zero() -> None:
    """No report ever prints -0.0."""
    assert str(rounded(-0.0)) == "0.0"


def test_every_number_of_a_value_is_rounded() -> None:
    """Spans and labelled cases are rounded through and through; names and unknowns stay."""
    third = 1 / 3
    assert rounded_value(Span(third, third, third, OHM)) == Span(0.333333333, 0.333333333, 0.333333333, OHM)
    case = Cases((Case("low", exact(third)),))
    assert rounded_value(case) == Cases((Case("low", exact(0.333333333)),))
    assert rounded_value("inverted") == "inverted"
