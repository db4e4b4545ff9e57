"""Rows of a part's timing error: what each condition covers, which rows are met, what is told of a gap."""

import pytest

from drc.blocks.model import ErrorRow
from drc.facts.model import Unknown
from drc.facts.part_error import AXES, PartError, WorkingPoint, part_error
from drc.quantity.span import Span
from drc.quantity.unit import AMPERE, CELSIUS, VOLT

POINT = WorkingPoint(
    Span(4.9e-6, 5e-6, 5.1e-6, AMPERE), Span(3.0, 3.3, 3.6, VOLT), Span(-40, 25, 85, CELSIUS), 10, 2
)
ALONG = {
    "current": (Span(1e-6, None, 4e-6, AMPERE), "current 5 uA"),
    "supply": (Span(2.0, None, 2.9, VOLT), "supply 3.3 V"),
    "ambient": (Span(90, None, 125, CELSIUS), "ambient 25 degC"),
    "prescale": (Span(1, None, 9), "prescale 10"),
    "code": (Span(3, None, 4), "code 2"),
}
COVERED = {
    "current": Span(1e-6, None, 20e-6, AMPERE),
    "supply": Span(2.0, None, 5.0, VOLT),
    "ambient": Span(-40, None, 125, CELSIUS),
    "prescale": Span(1, None, 100),
    "code": Span(0, None, 3),
}
INSIDE = ErrorRow(0.01, **COVERED)


def known(*rows: ErrorRow, where: WorkingPoint = POINT) -> PartError:
    """The error that must be known."""
    found = part_error(rows, where)
    assert isinstance(found, PartError), found
    return found


def lacking(*rows: ErrorRow, where: WorkingPoint = POINT) -> Unknown:
    """Why none is, where none must be."""
    found = part_error(rows, where)
    assert isinstance(found, Unknown), found
    return found


def warm(low: float, high: float, error: float = 0.01) -> ErrorRow:
    """A row by ambient."""
    return ErrorRow(error, ambient=Span(low, None, high, CELSIUS))


def test_all_conditions_must_hold() -> None:
    """A row that covers the point along every axis holds; one axis outside and it does not, and is named."""
    assert known(INSIDE) == PartError(0.01, True, True, (0,))
    for axis, (span, said) in ALONG.items():
        row = ErrorRow(0.01, **{**COVERED, axis: span})
        found = lacking(row)
        assert found.because == f"the part file gives no timing error for {said}"
        assert found.missing == ("timing.error",)
        assert known(row, ErrorRow(0.04)) == PartError(0.04, False, False, (1,))


def test_what_stands_in_the_way_is_told_in_one_order() -> None:
    """Each condition that fails of any row, once: current, supply, ambient, prescale, code."""
    assert AXES == ("current", "supply", "ambient", "prescale", "code")
    rows = [ErrorRow(0.01, **{axis: span}) for axis, (span, _) in reversed(ALONG.items())]
    whole = ", ".join(said for _, said in ALONG.values())
    assert lacking(*rows, *rows).because == f"the part file gives no timing error for {whole}"


@pytest.mark.parametrize("axis", AXES)
def test_a_condition_on_what_is_not_known_leaves_the_error_unknown(axis: str) -> None:
    """It is named; where no row asks for it, it does not matter."""
    where = POINT._replace(**{axis: None})
    found = lacking(ErrorRow(0.01), ErrorRow(0.02, **{axis: COVERED[axis]}), where=where)
    assert found.missing == (axis,)
    assert axis in found.because
    others = {other: span for other, span in COVERED.items() if other != axis}
    assert known(ErrorRow(0.01, **others), where=where).error == 0.01
    assert known(ErrorRow(0.01), where=WorkingPoint()).error == 0.01


def test_no_rows_at_all() -> None:
    """The part file's timing error is missing."""
    assert lacking().missing == ("timing.error",)


@pytest.mark.parametrize(
    ("low", "high", "holds"),
    [
        (5e-6, 6e-6, True),
        (5e-6 * (1 + 5e-10), 6e-6, True),
        (5e-6 * (1 + 3e-9), 6e-6, False),
        (4e-6, 5e-6, True),
        (4e-6, 5e-6 * (1 - 5e-10), True),
        (4e-6, 5e-6 * (1 - 3e-9), False),
    ],
)
def test_the_ends_of_a_condition_belong_to_it_but_for_rounding(low: float, high: float, holds: bool) -> None:
    """One part in 10^9 is rounding, three are not."""
    where = POINT._replace(current=Span(5e-6, 5e-6, 5e-6, AMPERE))
    found = part_error((ErrorRow(0.01, current=Span(low, None, high, AMPERE)),), where)
    assert isinstance(found, PartError) is holds


@pytest.mark.parametrize(
    ("low", "high", "holds"),
    [
        (-5 * (1 - 5e-10), 0, True),
        (-5 * (1 - 3e-9), 0, False),
        (-9, -5 * (1 + 5e-10), True),
        (-9, -5.1, False),
    ],
)
def test_rounding_below_zero_goes_the_same_way(low: float, high: float, holds: bool) -> None:
    """An ambient of -5 degC at the ends of a row."""
    where = POINT._replace(ambient=Span(-5, -5, -5, CELSIUS))
    assert isinstance(part_error((warm(low, high),), where), PartError) is holds


@pytest.mark.parametrize(
    ("rows", "between"),
    [
        ((warm(-40, 60), warm(61, 125)), "60.5 degC"),
        ((warm(61, 125), warm(-40, 60)), "60.5 degC"),
        ((warm(-40, -20), warm(-19, 125)), "-19.5 degC"),
        ((warm(-40, -1), warm(0, 125)), "-0.5 degC"),
        ((warm(-40, 0), warm(1, 125)), "0.5 degC"),
        ((warm(-40, 30), warm(40, 50), warm(45, 125)), "35 degC"),
        ((warm(-40, 60), warm(85, 125)), "72.5 degC"),
        ((warm(-55, -40), warm(-20, 125)), "-30 degC"),
        ((warm(-40, 84.5),), "85 degC"),
        ((warm(-39.5, 125),), "-40 degC"),
    ],
)
def test_a_gap_between_rows_is_found_and_told(rows: tuple[ErrorRow, ...], between: str) -> None:
    """However narrow, on either side of nothing; a temperature in it is named."""
    assert lacking(*rows).because == f"the part file gives no timing error for ambient {between}"


@pytest.mark.parametrize(
    ("rows", "met"),
    [
        ((warm(60, 61, 0.09), ErrorRow(0.01)), (0, 1)),
        ((warm(-61, -60, 0.09), ErrorRow(0.01)), (1,)),
        ((warm(86, 87, 0.09), ErrorRow(0.01)), (1,)),
        ((warm(-40, 50, 0.01), warm(50, 125, 0.02)), (0, 1)),
        ((warm(-40, 85, 0.01), ErrorRow(0.5)), (0,)),
        ((warm(-40, 125, 0.01), warm(0, 50, 0.5)), (0,)),
        ((warm(85, 125, 0.09), ErrorRow(0.01)), (0, 1)),
        ((warm(25, 25, 0.09), ErrorRow(0.01)), (0, 1)),
        ((warm(-40, -39, 0.02), warm(84, 85, 0.03), warm(-39, 84, 0.01)), (0, 1, 2)),
    ],
)
def test_every_row_over_the_span_is_met(rows: tuple[ErrorRow, ...], met: tuple[int, ...]) -> None:
    """The first that holds at each point; the largest error of those met counts."""
    found = known(*rows)
    assert found.rows == met
    assert found.error == max(rows[i].error for i in met)


def test_what_the_rows_met_state_all_of_them_must() -> None:
    """Over ambient and over supply only if every row in force does; one that is not met does not count."""
    both = ErrorRow(0.01, ambient=Span(-40, None, 50, CELSIUS), supply=Span(2.0, None, 5.0, VOLT))
    rest = warm(50, 125, 0.02)
    assert known(both, rest) == PartError(0.02, True, False, (0, 1))
    assert known(both, ErrorRow(0.02)) == PartError(0.02, False, False, (0, 1))
    assert known(both._replace(ambient=COVERED["ambient"]), ErrorRow(0.02)) == PartError(
        0.01, True, True, (0,)
    )
    volts = ErrorRow(0.01, supply=Span(2.0, None, 5.0, VOLT))
    assert known(volts) == PartError(0.01, False, True, (0,))


def test_spans_along_two_axes_are_crossed() -> None:
    """Cold at a high supply is covered by neither row, though each end is by one."""
    cold = ErrorRow(0.01, supply=Span(2.0, None, 3.4, VOLT))
    rest = ErrorRow(0.02, ambient=Span(0, None, 125, CELSIUS))
    assert (
        lacking(cold, rest).because
        == "the part file gives no timing error for supply 3.6 V, ambient -40 degC"
    )


def test_a_current_that_only_its_tolerance_takes_out_is_judged_at_its_nominal() -> None:
    """The row of the nominal must then cover the rest of the point; a nominal outside is outside."""
    row = ErrorRow(0.01, current=Span(1e-6, None, 5e-6, AMPERE))
    assert known(row).rows == (0,)
    narrow = row._replace(ambient=Span(0, None, 125, CELSIUS))
    assert "ambient -40 degC" in lacking(narrow).because
    beyond = POINT._replace(current=Span(4e-6, 5.1e-6, 6e-6, AMPERE))
    assert lacking(row, where=beyond).because == "the part file gives no timing error for current 5.1 uA"
