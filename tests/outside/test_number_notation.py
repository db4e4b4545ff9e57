"""Numbers on netlist lines against the texts that define them: scale suffixes, and IEC 60062.

Sources: SPICE user's guide, "Input format" (scale factors and the equalities it lists); resistor values
read back from a general-purpose circuit simulator, ngspice 39.3; IEC 60062 as quoted in a general
encyclopedia's article on it and as a reference library of its codes reads them.
"""

import math

import pytest

from drc.quantity.notation import TOLERANCE_LETTERS, pointed_number, read_value, scaled_number


@pytest.mark.parametrize(
    "same",
    [
        ("10", "10V", "10VOLTS", "10HZ"),
        ("1M", "1MA", "1MSEC", "1MMHOS"),
        ("1000", "1000.0", "1000HZ", "1E3", "1.0E3", "1KHZ", "1K"),
    ],
)
def test_letters_that_are_no_scale_factor_are_ignored(same: tuple[str, ...]) -> None:
    """The user's guide lists these as one number each."""
    assert len({scaled_number(text) for text in same}) == 1


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1K", 1e3),
        ("1MEG", 1e6),
        ("1M", 1e-3),
        ("1mil", 2.54e-5),
        ("1kohm", 1e3),
        ("1megohm", 1e6),
        ("10F", 1e-14),
        ("1G", 1e9),
        ("1T", 1e12),
        ("1u", 1e-6),
        ("1n", 1e-9),
        ("1p", 1e-12),
        ("1e3Ohm", 1e3),
        ("2.2e3k", 2.2e6),
        ("10mA", 0.01),
        ("10uF", 1e-5),
        ("10U", 1e-5),
        ("1a", 1.0),
    ],
)
def test_suffixes_read_as_a_simulator_reads_them(text: str, value: float) -> None:
    """Values read back from the simulator; `a` is no scale factor there."""
    found = scaled_number(text)
    assert found is not None
    assert math.isclose(found, value, rel_tol=1e-12)


@pytest.mark.parametrize(
    ("code", "kind", "value"),
    [
        ("R47", "R", 0.47),
        ("4R7", "R", 4.7),
        ("470R", "R", 470),
        ("4K7", "R", 4700),
        ("47K", "R", 47e3),
        ("47K3", "R", 47.3e3),
        ("470K", "R", 470e3),
        ("4M7", "R", 4.7e6),
        ("2R2", "R", 2.2),
        ("1G0", "R", 1e9),
        ("0R", "R", 0),
        ("10p", "C", 10e-12),
        ("4n7", "C", 4.7e-9),
        ("1µ0", "C", 1e-6),
        ("1μ0", "C", 1e-6),
        ("1u0", "C", 1e-6),
    ],
)
def test_the_letter_stands_at_the_decimal_point(code: str, kind: str, value: float) -> None:
    """IEC 60062: L R K M G for resistors, p n micro m F for capacitors."""
    found = read_value(code, kind, "mega").value
    assert found is not None
    assert math.isclose(found, value, rel_tol=1e-12)


def test_a_pointed_code_differs_from_the_plain_rule() -> None:
    """By the plain rule the digits behind the letter are dropped without a word."""
    found = pointed_number("4K7", "R")
    assert found is not None
    assert found.pointed
    assert found.value == 4700


@pytest.mark.parametrize(
    ("letter", "percent"),
    [("A", 0.05), ("B", 0.1), ("C", 0.25), ("D", 0.5), ("F", 1), ("G", 2), ("J", 5), ("K", 10), ("M", 20)],
)
def test_tolerance_letters(letter: str, percent: float) -> None:
    """IEC 60062's letters, second-hand from published code tables."""
    assert TOLERANCE_LETTERS[letter] == pytest.approx(percent / 100)
    assert read_value(f"4K7{letter}", "R").tolerance == pytest.approx((-percent / 100, percent / 100))


def test_k_is_kilo_at_the_point_and_ten_percent_at_the_end() -> None:
    """`4K7K` is 4.7 kilohm, 10 %."""
    found = read_value("4K7K", "R")
    assert (found.value, found.tolerance) == (4700, (-0.1, 0.1))
