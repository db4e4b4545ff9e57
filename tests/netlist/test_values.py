"""Values of elements: notation, tolerance, temperature coefficients, multiplicity, models, exact tokens."""

import pytest

from drc.circuit.model import Reading
from drc.netlist.read import read_text


def _reading(line: str, *more: str) -> Reading:
    element = next(iter(read_text("\n".join(("title", line, *more, ""))).elements()))
    return element.reading


@pytest.mark.parametrize(
    ("line", "value"),
    [
        ("R1 a b 10kohm", 1e4),
        ("R1 a b 1MEGohm", 1e6),
        ("R1 a b 1mil", 25.4e-6),
        ("C1 a b 2.2uF", 2.2e-6),
        ("L1 a b 10uH", 1e-5),
        ("R1 a b 1.5Kohm", 1500),
        ("R1 a b .5", 0.5),
        ("R1 a b 1e3Ohm", 1000),
        ("C1 a b 10F", 1e-14),
        ("R1 a b R=10k", 1e4),
        ("C1 a b C=1n", 1e-9),
        ("R1 a b value=10k", 1e4),
        ("R1 a b 10k m=2", 5e3),
        ("C1 a b 1n m=2", 2e-9),
        ("R1 a b 10k scale=3", 3e4),
        ("R1 a b 1g", 1e9),
    ],
)
def test_values_are_read_in_si(line: str, value: float) -> None:
    """Suffixes with trailing units, named values and multiplicity give the SI value."""
    assert _reading(line).value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("line", "tolerance"),
    [
        ("R1 a b 10k 1%", 0.01),
        ("R1 a b 10k tol=1%", 0.01),
        ("R1 a b 10k tol=0.02", 0.02),
        ("R1 a b 4k7J", 0.05),
        ("R1 a b 4K7K", 0.1),
        ("R1 a b 10k/1%", 0.01),
        ("C1 a b 4n7 +/-5%", 0.05),
        ("R1 a b {RT} 5%", 0.05),
        ("R1 a b RM 10k", 0.03),
        ("R1 a b 10k", None),
        ("R1 a b 10k tol=5", 0.05),
        ("R1 a b 10k tol={T}", 0.1),
    ],
)
def test_tolerances_are_read_where_they_are_stated(line: str, tolerance: float | None) -> None:
    """Percent, `tol=`, the letters of IEC 60062 and a model's `dev`; a bare 5 can only be percent."""
    found = _reading(line, ".param RT=1k T=10%", ".model RM R(r=1 dev=3%)").tolerance
    assert found == (None if tolerance is None else pytest.approx((-tolerance, tolerance)))


@pytest.mark.parametrize(
    ("line", "tempco"),
    [
        ("R1 a b 1k tc=100u", (1e-4, 0.0)),
        ("R1 a b 1k tc=100u,1u", (1e-4, 1e-6)),
        ("R1 a b 1k tc1=1m tc2=1u", (1e-3, 1e-6)),
        ("R1 a b RM 1k", (5e-5, 0.0)),
        ("R1 a b 1k RM", (5e-5, 0.0)),
        ("R1 a b RM 1k tc1=1m", (1e-3, 0.0)),
        ("R1 a b 1k", None),
    ],
)
def test_temperature_coefficients_are_read(line: str, tempco: tuple[float, float] | None) -> None:
    """`tc=`, `tc1=` and `tc2=` on the line beat those of the resistor's model."""
    found = _reading(line, ".model RM R(tc1=50u)").tempco
    assert found == (None if tempco is None else pytest.approx(tempco))


def test_models_give_values_of_their_own() -> None:
    """A model's sheet resistance times squares, or its own value, stands where the line gives none."""
    assert _reading("R1 a b RS L=10u W=2u", ".model RS R(rsh=100)").value == pytest.approx(500)
    assert _reading("R1 a b RV", ".model RV R(r=220)").value == 220
    assert _reading("R1 a b RV 2", ".model RV R(r=220)").value == 440
    assert _reading("R1 a b RS L=1u W=1u", ".model RS R(rsh=100 narrow=1u)").value is None


@pytest.mark.parametrize("text", ["DNP", "dnf", "NF", "10k DNP", "DNP 10k", "10k/DNP"])
def test_parts_that_are_not_fitted_say_so(text: str) -> None:
    """The usual words for a part drawn and not assembled clear `fitted`."""
    reading = _reading(f"R1 a b {text}")
    assert not reading.fitted
    assert reading.value in (None, 1e4)


@pytest.mark.parametrize("text", ["", "R", "LED", "?", "RMOD"])
def test_no_value_is_none_and_says_why(text: str) -> None:
    """A symbol's name or nothing is no value, and the reason says so."""
    reading = _reading(f"R1 a b {text}")
    assert reading.value is None
    assert reading.because


@pytest.mark.parametrize(
    ("line", "token"),
    [
        ("R1 a b 10k 1%", "10k"),
        ("R1 a b R = 4k7", "4k7"),
        ("C1 a b 100n/50V/X7R", "100n"),
        ("R1 a b RM 10k", "10k"),
        ("R1 a b {2*RT}", "{2*RT}"),
        ("R1 a b {RT}", "1k"),
        ("R1 a b 10k ; 22k", "10k"),
    ],
)
def test_the_token_is_exactly_the_value(line: str, token: str) -> None:
    """The token names the characters of the value and no others, at their place in the file."""
    text = f"title\n{line}\n.param RT=1k\n.model RM R(r=1)\n"
    reading = next(iter(read_text(text).elements())).reading
    assert reading.token is not None
    assert reading.token.text == token
    assert text[reading.token.start : reading.token.end] == token
