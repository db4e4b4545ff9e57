"""A strap over its whole range: code, neighbour, margin and middle by the converter's definition.

A converter of eight levels reads code floor(8 r); its thresholds are at k/8, each 0.5 % of full scale wrong.
"""

import math

import pytest

from tests.facts.strap_boards import PLAIN
from tests.facts.timing_boards import book, fact, span, unknown

EXACT = PLAIN.replace('leakage = "20nA", ', "")
ROWS = {0: (1, "normal"), 2: (10, "normal"), 3: (10, "inverted")}
REST = "V1 vdd 0 4\nR3 rt 0 100k tol=0%\nXU1 vdd cfg out 0 rt vdd PL1\n"


@pytest.mark.parametrize("share", [k / 48 for k in range(1, 48) if k % 6])
def test_every_place_of_the_range(share: float) -> None:
    """Between the thresholds: 10 kohm divided as the share says, without spread."""
    lines = f"R1 vdd cfg {10e3 * (1 - share):.13g} tol=0%\nR2 cfg 0 {10e3 * share:.13g} tol=0%\n"
    of = book(REST + lines, EXACT, "ambient 25degC .. 25degC")
    code = math.floor(8 * share)
    below = share - code / 8 if code > 0 else math.inf
    above = (code + 1) / 8 - share if code < 7 else math.inf
    assert span(of, "strap.ratio").middle == pytest.approx(share)
    assert span(of, "strap.code").middle == code
    if not math.isclose(below, above):
        assert span(of, "strap.neighbour").middle == (code - 1 if below < above else code + 1)
    margin = span(of, "strap.margin")
    assert (margin.low, margin.middle, margin.high) == pytest.approx(((min(below, above) - 0.005) * 8,) * 3)
    centre = span(of, "strap.off_centre")
    assert (centre.low, centre.high) == pytest.approx((8 * share - code - 0.5,) * 2, abs=1e-9)
    assert fact(of, "strap.reserved").value is (code not in ROWS)
    if code in ROWS:
        assert span(of, "strap.prescale").middle == ROWS[code][0]
        assert fact(of, "strap.polarity").value == ROWS[code][1]
    else:
        assert unknown(of, "strap.prescale").because
    assert span(of, "strap.source_resistance").middle == pytest.approx(10e3 * share * (1 - share))
    assert fact(of, "strap.ratiometric").value is True


@pytest.mark.parametrize(
    ("lines", "is_open", "shorted", "ratiometric", "ratio"),
    [
        ("", True, False, None, None),
        ("C9 cfg 0 1n", True, False, None, None),
        ("R1 cfg far 10k", True, False, None, None),
        ("R1 cfg 0 0", False, False, True, 0.0),
        ("R1 vdd cfg 0", False, False, True, 1.0),
        ("R1 vdd cfg 10k", False, False, True, 1.0),
        ("R1 cfg 0 10k", False, False, True, 0.0),
        ("V9 other 0 1\nR1 cfg other 0", False, True, False, 0.25),
        ("V9 other 0 1\nR1 cfg other 10k", False, False, False, 0.25),
        ("V9 other 0 1\nR1 cfg other 10k\nR2 vdd cfg 10k", False, False, False, 0.625),
        ("V9 cfg 0 1", False, True, False, 0.25),
        ("V9 other 0 4\nR1 cfg other 10k", False, False, False, 1.0),
    ],
)
def test_what_sets_a_strap(
    lines: str, is_open: bool, shorted: bool, ratiometric: bool | None, ratio: float | None
) -> None:
    """Open: no way to what is held. Shorted: joined to another rail. Ratiometric: on its own rails alone."""
    of = book(f"{REST}{lines}\n", EXACT)
    assert fact(of, "strap.open").value is is_open
    assert fact(of, "strap.shorted").value is shorted
    if ratiometric is not None:
        assert fact(of, "strap.ratiometric").value is ratiometric
    if ratio is None:
        assert unknown(of, "strap.ratio").because
    else:
        assert span(of, "strap.ratio").middle == pytest.approx(ratio)


@pytest.mark.parametrize(
    ("lines", "names"),
    [
        ("C9 cfg 0 1n", "strap"),
        ("R1 cfg far 10k\nC9 far 0 1n", "strap"),
    ],
)
def test_an_open_strap_has_no_settling_time(lines: str, names: str) -> None:
    """A capacitor on a strap that nothing sets charges toward nothing: unknown, and named."""
    of = book(f"{REST}{lines}\n", EXACT)
    for name in ("strap.settling", "strap.margin", "strap.off_centre", "strap.neighbour", "strap.code"):
        assert names in str(unknown(of, name)), name
