import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.quantity.preferred import SERIES, decade, is_preferred, mantissas, nearest, neighbours, values

VALUES = st.floats(1e-12, 1e9)


def test_e24_is_not_in_e96_and_both_count_as_preferred() -> None:
    """4.7 kohm is preferred by E24 alone, 4.75 kohm by E96 alone; stock holds both."""
    assert nearest(4700.0, (96,)) == 4750.0
    assert is_preferred(4700.0)
    assert is_preferred(4750.0)
    assert not is_preferred(4700.0, (96,))
    assert not is_preferred(4720.0, (24,))


def test_neighbours_step_over_decades() -> None:
    """The neighbours of a decade's first value lie in two decades, and a value is never its own neighbour."""
    assert neighbours(10e3, (24,)) == (9.1e3, 11e3)
    assert neighbours(9.5e3, (24,)) == (9.1e3, 10e3)
    assert neighbours(100.0, (3,)) == (47.0, 220.0)


def test_the_ends_of_all_numbers_have_neighbours() -> None:
    """Beyond the largest preferred value that is a number there is none; the least number is met."""
    assert neighbours(1e308, (24,)) == (9.1e307, 1.1e308)
    assert neighbours(1.7e308, (24,)) == (1.6e308, float("inf"))
    assert is_preferred(5e-324)
    assert not is_preferred(1.7e308, (24,))


def test_values_between_two_ends_include_the_ends() -> None:
    """A range lists each preferred value once, ascending, its ends included."""
    assert values(9.1e3, 12e3, (24,)) == [9.1e3, 10e3, 11e3, 12e3]
    assert len(values(1.0, 9.99, (24, 96, 192))) == len(decade())


def test_there_is_no_series_outside_the_standard() -> None:
    """An unknown series is refused by name."""
    with pytest.raises(ValueError, match="E23"):
        mantissas(23)


def test_no_value_is_nearest_to_nothing() -> None:
    """Zero, negative and infinite values have no preferred neighbour."""
    for value in (0.0, -1.0, float("inf")):
        with pytest.raises(ValueError, match="no positive value"):
            nearest(value)
        assert not is_preferred(value)


@given(VALUES, st.sets(st.sampled_from(SERIES), min_size=1))
def test_the_nearest_value_is_preferred_and_no_neighbour_is_nearer(value: float, series: set[int]) -> None:
    """The nearest value is in the series, and its neighbours on both sides are farther by ratio."""
    found = nearest(value, sorted(series))
    assert is_preferred(found, sorted(series))
    distance = max(found / value, value / found)
    for other in neighbours(found, sorted(series)):
        assert max(other / value, value / other) >= distance * (1 - 1e-9)


@given(VALUES, st.sets(st.sampled_from(SERIES), min_size=1))
def test_neighbours_enclose_a_value(value: float, series: set[int]) -> None:
    """One neighbour lies below a value and one above it."""
    below, above = neighbours(value, sorted(series))
    assert below < value < above


@given(st.sampled_from(SERIES), st.integers(-12, 9), st.data())
def test_a_preferred_value_is_known_in_every_decade(series: int, power: int, data: st.DataObject) -> None:
    """A mantissa times any power of ten is preferred, written either way that floats allow."""
    mantissa = data.draw(st.sampled_from(mantissas(series)))
    assert is_preferred(mantissa * 10.0**power, (series,))
    assert is_preferred(mantissa / 10.0**-power, (series,))
