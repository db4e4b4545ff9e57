"""Tolerances and temperature coefficients on a line, as drawings write them."""

import pytest

from drc.netlist.read import read_text


@pytest.mark.parametrize(
    ("tail", "expected"),
    [
        ("TC=3000ppm", (3e-3, 0.0)),
        ("TC1=3000PPM", (3e-3, 0.0)),
        ("TC=-50ppm", (-50e-6, 0.0)),
        ("TC=3m,1u", (3e-3, 1e-6)),
        ("TC=100ppm,1e-7", (1e-4, 1e-7)),
        ("TC = 3000 ppm", (3e-3, 0.0)),
    ],
)
def test_ppm_is_parts_per_million_and_not_pico(tail: str, expected: tuple[float, float]) -> None:
    """Read as a number's suffix, `3000ppm` would be 3e-9 and the drift over temperature would vanish."""
    element = read_text(f"t\nR1 a 0 100k {tail}\n.end\n").element("R1")
    assert element is not None
    assert element.reading.tempco == pytest.approx(expected)


@pytest.mark.parametrize(
    ("tail", "expected"),
    [
        ("tol=5%", 0.05),
        ("tol=0.05", 0.05),
        ("tol=5", 0.05),
        ("tol=1", 0.01),
        ("tol=0.8", None),
        ("tol=80", None),
    ],
)
def test_a_tolerance_of_a_bare_number(tail: str, expected: float | None) -> None:
    """From 1 on it can only be percent; what could be read two ways is none, and the default is marked."""
    element = read_text(f"t\nR1 a 0 100k {tail}\n.end\n").element("R1")
    assert element is not None
    found = element.reading.tolerance
    assert found == (None if expected is None else pytest.approx((-expected, expected)))
