"""Which of a part's timing errors holds where it works."""

from drc.blocks.model import ErrorRow
from drc.facts.model import Unknown
from drc.facts.part_error import PartError, WorkingPoint, part_error
from drc.quantity.span import Span, exact
from drc.quantity.unit import AMPERE, CELSIUS, VOLT

WARM = Span(-40, 25, 85, CELSIUS)
POINT = WorkingPoint(Span(4.9e-6, 5e-6, 5.1e-6, AMPERE), Span(3.0, 3.3, 3.6, VOLT), WARM, 10, 2)


def found(*rows: ErrorRow, where: WorkingPoint = POINT) -> float:
    """The error that must be found."""
    error = part_error(rows, where)
    assert isinstance(error, PartError), error
    return error.error


def why(*rows: ErrorRow, where: WorkingPoint = POINT) -> str:
    """Why no error is known, where none must be."""
    error = part_error(rows, where)
    assert isinstance(error, Unknown), error
    return error.because


def test_the_first_row_that_holds_wins() -> None:
    """A later row without conditions does not matter where an earlier one holds throughout."""
    assert found(ErrorRow(0.01, prescale=exact(10)), ErrorRow(0.05)) == 0.01
    assert found(ErrorRow(0.01, prescale=exact(20)), ErrorRow(0.05)) == 0.05


def test_no_row_is_unknown() -> None:
    """No row at all, or none that holds, gives no error rather than a guess."""
    assert "no timing error" in why()
    assert "prescale 10" in why(ErrorRow(0.01, prescale=exact(1)))
    assert "code 2" in why(ErrorRow(0.01, code=exact(3)))


def test_the_worst_row_met_over_the_span_counts() -> None:
    """An ambient that runs from one row into the next takes the larger error."""
    cool = ErrorRow(0.01, ambient=Span(0, None, 50, CELSIUS))
    wide = ErrorRow(0.03, ambient=Span(-40, None, 125, CELSIUS))
    assert found(cool, wide) == 0.03
    assert found(cool, wide, where=POINT._replace(ambient=Span(10, 25, 40, CELSIUS))) == 0.01


def test_a_narrow_row_inside_the_span_is_met() -> None:
    """A row that holds only between two ends of the span is not jumped over."""
    narrow = ErrorRow(0.09, ambient=Span(60, None, 61, CELSIUS))
    assert found(narrow, ErrorRow(0.01)) == 0.09


def test_an_ambient_beyond_every_row_is_unknown() -> None:
    """What the rows do not cover at the cold end is not covered by the nominal."""
    assert "ambient -40" in why(ErrorRow(0.01, ambient=Span(0, None, 125, CELSIUS)))


def test_a_current_at_the_rated_end_is_judged_at_its_nominal() -> None:
    """A resistor at the end of the rated range does not lose its error by its tolerance."""
    row = ErrorRow(0.01, current=Span(1e-6, None, 5e-6, AMPERE))
    assert found(row) == 0.01
    assert "current" in why(row, where=POINT._replace(current=Span(5.1e-6, 5.2e-6, 5.3e-6, AMPERE)))


def test_a_condition_on_what_is_not_known_is_unknown() -> None:
    """Rows by rate current cannot be chosen from without one."""
    row = ErrorRow(0.01, current=Span(1e-6, None, 5e-6, AMPERE))
    assert "not known" in why(row, where=POINT._replace(current=None))


def test_rows_say_what_they_cover() -> None:
    """An error stated over ambient needs no tempco; one at a supply none of its effect."""
    error = part_error((ErrorRow(0.01, ambient=Span(-40, None, 125, CELSIUS)),), POINT)
    assert isinstance(error, PartError)
    assert (error.ambient, error.supply) == (True, False)


def test_a_gap_between_rows_is_unknown() -> None:
    """Rows up to 60 and from 61 degC on leave a degree that no row covers, on either side of nothing."""
    below = ErrorRow(0.01, ambient=Span(-40, None, 60, CELSIUS))
    above = ErrorRow(0.02, ambient=Span(61, None, 125, CELSIUS))
    assert "ambient 60" in why(below, above)
    cold = ErrorRow(0.01, ambient=Span(-40, None, -20, CELSIUS))
    rest = ErrorRow(0.02, ambient=Span(-19, None, 125, CELSIUS))
    assert "ambient -" in why(cold, rest)


def test_rows_that_meet_leave_no_gap() -> None:
    """One row to 50 degC and one from there cover both sides of it; the larger error counts."""
    below = ErrorRow(0.01, ambient=Span(-40, None, 50, CELSIUS))
    above = ErrorRow(0.02, ambient=Span(50, None, 125, CELSIUS))
    assert found(below, above) == 0.02


def test_the_end_of_a_row_belongs_to_it() -> None:
    """A board whose ambient is just the row's is covered, and so is a supply at the row's ends."""
    row = ErrorRow(0.01, supply=Span(3.0, None, 3.6, VOLT), ambient=Span(-40, None, 85, CELSIUS))
    assert found(row) == 0.01
    assert found(row, where=POINT._replace(ambient=Span(85, 85, 85, CELSIUS))) == 0.01
