"""Preferred values against IEC 60063, through the reference library `eseries` and its published tables."""

import eseries
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.quantity.preferred import SERIES, is_preferred, mantissas, nearest

# IEC 60063, as quoted by g4usp, "Component preferred values".
E24 = "10 11 12 13 15 16 18 20 22 24 27 30 33 36 39 43 47 51 56 62 68 75 82 91"

REFERENCE = {
    3: eseries.E3, 6: eseries.E6, 12: eseries.E12, 24: eseries.E24,
    48: eseries.E48, 96: eseries.E96, 192: eseries.E192,
}  # fmt: skip


@pytest.mark.parametrize("series", SERIES)
def test_every_series_is_the_reference_library_s(series: int) -> None:
    """Each series has the values that eseries 1.2.1 lists, as many as its name says."""
    assert list(mantissas(series)) == list(eseries.series(REFERENCE[series]))
    assert len(mantissas(series)) == series


def test_e24_is_the_standard_s_table() -> None:
    """E24 as IEC 60063 prints it."""
    assert " ".join(map(str, mantissas(24))) == E24


@pytest.mark.parametrize(("series", "total"), [(48, 18313), (96, 37070), (192, 74599)])
def test_the_fine_series_add_up(series: int, total: int) -> None:
    """The sums of E48, E96 and E192 (computed from eseries 1.2.1)."""
    assert sum(mantissas(series)) == total


def test_only_these_values_leave_the_rounded_rule() -> None:
    """27 to 47 and 82 of E24, and 920 of E192, differ from the rounded geometric step; nothing else does.

    Computed; that IEC 60063:2015 lists 920 is from memory.
    """
    kept = {
        series: {v for k, v in enumerate(mantissas(series)) if v != round(scale * 10 ** (k / series))}
        for series, scale in ((24, 10), (48, 100), (96, 100), (192, 100))
    }
    assert kept == {24: {27, 30, 33, 36, 39, 43, 47, 82}, 48: set(), 96: set(), 192: {920}}


def test_the_fine_series_hold_each_other_and_little_of_e24() -> None:
    """E48 lies in E96 lies in E192; of E24 only six values are in E96 and eleven in E192 (computed)."""
    e24 = {10 * v for v in mantissas(24)}
    e96, e192 = set(mantissas(96)), set(mantissas(192))
    assert set(mantissas(48)) <= e96 <= e192
    assert e24 & e96 == {100, 110, 130, 150, 200, 750}
    assert e24 & e192 == {100, 110, 120, 130, 150, 160, 180, 200, 240, 470, 750}
    assert is_preferred(4700.0)
    assert not is_preferred(4700.0, (96,))


@given(st.floats(1e-3, 1e9), st.sampled_from(SERIES))
def test_the_nearest_value_is_as_near_as_the_reference_library_s(value: float, series: int) -> None:
    """eseries' nearest value (it measures by difference, we by ratio) is never nearer by ratio than ours."""
    ours, theirs = nearest(value, (series,)), float(eseries.find_nearest(REFERENCE[series], value))
    assert max(ours / value, value / ours) <= max(theirs / value, value / theirs) * (1 + 1e-9)
    assert is_preferred(theirs, (series,))


def test_the_best_divider_is_the_reference_tables_best() -> None:
    """The E24 pair nearest to a strap ratio of 5.5/16 is the same from both tables."""
    reference = list(eseries.series(eseries.E24))

    def best(table: list[int]) -> float:
        return min(abs(b / (a + b) - 5.5 / 16) for a in table for b in table)

    assert best(list(mantissas(24))) == best(reference)
