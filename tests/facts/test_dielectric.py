"""Capacitors' class codes mean what EIA-198 says they mean."""

import pytest

from drc.facts.dielectric import dielectric_of


@pytest.mark.parametrize(
    ("letter", "low", "high"),
    [
        ("A", -1.0, 1.0), ("B", -1.5, 1.5), ("C", -2.2, 2.2), ("D", -3.3, 3.3), ("E", -4.7, 4.7),
        ("F", -7.5, 7.5), ("P", -10, 10), ("R", -15, 15), ("S", -22, 22), ("T", -33, 22),
        ("U", -56, 22), ("V", -82, 22),
    ],
)  # fmt: skip
def test_the_last_letter_is_the_change(letter: str, low: float, high: float) -> None:
    """Percent over temperature by the third character of the code (EIA-198, class 2 and 3 table)."""
    found = dielectric_of(f"100n X7{letter}")
    assert found is not None
    assert found.change == pytest.approx((low / 100, high / 100))
    assert (found.code, found.tempco) == (f"X7{letter}", 0)


@pytest.mark.parametrize(("code", "celsius"), [("X7R", -55), ("Y5V", -30), ("Z5U", 10)])
def test_the_first_letter_is_the_coldest(code: str, celsius: float) -> None:
    """X, Y, Z: -55, -30, +10 degC (EIA-198)."""
    found = dielectric_of(code.lower())
    assert found is not None
    assert found.coldest == celsius


@pytest.mark.parametrize(
    ("digit", "celsius"), [("4", 65), ("5", 85), ("6", 105), ("7", 125), ("8", 150), ("9", 200)]
)
def test_the_digit_is_the_hottest(digit: str, celsius: float) -> None:
    """4 to 9: 65, 85, 105, 125, 150, 200 degC (EIA-198)."""
    found = dielectric_of(f"X{digit}R")
    assert found is not None
    assert found.hottest == celsius


@pytest.mark.parametrize("text", ["C0G", "10n NP0 5%", "cog", "NPO"])
def test_class_1_has_a_tempco_and_no_band(text: str) -> None:
    """C0G: 0 +/- 30 ppm/K from -55 to 125 degC (EIA-198), written with a zero or an O."""
    found = dielectric_of(text)
    assert found is not None
    assert (found.code, found.change, found.tempco) == ("C0G", (0, 0), 30e-6)
    assert (found.coldest, found.hottest) == (-55, 125)


@pytest.mark.parametrize("text", ["", "100n", "X7RX", "AX7R", "X3R", "X7G", "DC0GX", "MAX5R5"])
def test_other_words_are_no_class(text: str) -> None:
    """A code is a word of its own, and made of the letters that the standard has."""
    assert dielectric_of(text) is None
