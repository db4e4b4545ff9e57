"""Of what a quantity depends: its causes by name, their ends by hand, which are sampled, which are tied.

A tolerance is sampled; where a rail stands within its limits, and how warm the board is, is circumstance: a
bias that every method sets to its ends. A tempco pushes the same way as the tolerance (worst case).
"""

import pytest

from drc.circuit.material import Material
from drc.circuit.spread import Cause
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity
from drc.facts.elements import capacitor, resistance
from drc.facts.feed import known
from drc.facts.options import FactOptions
from drc.trouble import Place
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book

AMBIENT = Cause("ambient", 25.0, 0.0, 60.0, bias=True)
"""The nominal temperature is 25 degC where that lies within."""


def board(lines: str, intent: str = "", options: FactOptions | None = None, parts: str = PLAIN) -> Book:
    """The centred board and more, at 0 degC to 60 degC."""
    return book(f"{CENTRED}{lines}\n", parts, f"ambient 0degC .. 60degC\n{intent}", options)


def causes(found: Quantity | None) -> dict[str, Cause]:
    """The causes of what must be known, by name."""
    assert isinstance(found, Dependence), found
    assert len({cause.name for cause in found.causes}) == len(found.causes)
    return {cause.name: cause for cause in found.causes}


def same(found: Cause, expected: Cause) -> None:
    """Ends within rounding; name and kind exactly."""
    assert (found.name, found.bias) == (expected.name, expected.bias)
    assert found[1:4] == pytest.approx(expected[1:4], rel=1e-12)


def of_part(of: Book, path: str = "R9") -> Quantity:
    """The value of a resistor or capacitor."""
    element = of.board.circuit.element(path)
    assert element is not None
    return resistance(of, element) if element.kind == "R" else capacitor(of, element)


WIDE = Cause("R9", 1e3, 980.0, 1020.0, bias=False)
TEMPCO = Cause("R9 tempco", 0.0, -1e-4, 1e-4, bias=False)


@pytest.mark.parametrize(
    ("line", "intent", "expected", "ties"),
    [
        ("R9 a 0 1k tol=2%", "assume R9 tempco 100ppm", [WIDE, TEMPCO, AMBIENT], True),
        ("R9 a 0 1k tol=0%", "assume R9 tempco 100ppm", [TEMPCO, AMBIENT], False),
        ("R9 a 0 1k", "assume R9 tolerance 2%, tempco 100ppm", [WIDE, TEMPCO, AMBIENT], True),
        ("R9 a 0 1k tol=2%", "assume R9 tempco 0ppm", [WIDE], False),
        ("R9 a 0 1k tol=2% tc=100u", "", [WIDE, AMBIENT], False),
        ("R9 a 0 0", "", [], False),
    ],
)
def test_what_a_resistor_moves_with(line: str, intent: str, expected: list[Cause], ties: bool) -> None:
    """Tolerance and tempco, the first leading the second; a known slope leaves ambient alone."""
    found = of_part(board(line, intent))
    given = causes(found)
    assert set(given) == {cause.name for cause in expected}
    for cause in expected:
        same(given[cause.name], cause)
    assert isinstance(found, Dependence)
    assert found.ties == ((("R9 tempco", "R9"),) if ties else ())


@pytest.mark.parametrize(
    ("tolerance", "path", "ties"),
    [("2%", "R9", (("R9 ageing", "R9"),)), ("0%", "R9", ())],
)
def test_ageing_follows_the_tolerance(tolerance: str, path: str, ties: tuple[tuple[str, str], ...]) -> None:
    """Half a percent of the settings, pushing the way of the tolerance where there is one."""
    options = FactOptions(resistor_ageing=0.005)
    found = of_part(board(f"R9 a 0 1k tol={tolerance} tc=0", "", options), path)
    same(causes(found)["R9 ageing"], Cause("R9 ageing", 0.0, -0.005, 0.005, bias=False))
    assert isinstance(found, Dependence)
    assert found.ties == ties


@pytest.mark.parametrize(
    ("line", "low", "high", "ties"),
    [
        ("C9 a 0 1n X7R tol=5%", -0.15, 0.15, (("C9 class", "C9"),)),
        ("C9 a 0 1n X7R tol=0%", -0.15, 0.15, ()),
        ("C9 a 0 1n Y5V tol=5%", -0.82, 0.22, (("C9 class", "C9"),)),
        ("C9 a 0 1n C0G tol=5%", -30e-6, 30e-6, (("C9 class", "C9"),)),
    ],
)
def test_a_class_follows_the_tolerance(
    line: str, low: float, high: float, ties: tuple[tuple[str, str], ...]
) -> None:
    """EIA-198: X7R +/- 15 %, Y5V +22 % / -82 % (-30 .. 85 degC), C0G +/- 30 ppm/K."""
    found = of_part(board(line), "C9")
    same(causes(found)["C9 class"], Cause("C9 class", 0.0, low, high, bias=False))
    assert isinstance(found, Dependence)
    tied = [tie for tie in found.ties if tie[0] == "C9 class"]
    assert tied == list(ties)


def test_whose_word_counts() -> None:
    """The bill of materials over the line, the line over a statement, a statement over what is usual."""
    material = Material(Place("bay.csv", 2), tolerance=(-0.001, 0.001), tempco=25e-6)
    options = FactOptions(materials={"r9": material})
    intent = "assume R9 tolerance 5%, tempco 200ppm"
    bought = causes(of_part(board("R9 a 0 1k tol=2%", intent, options)))
    assert bought["R9"][2:4] == pytest.approx((999.0, 1001.0))
    assert bought["R9 tempco"][2:4] == pytest.approx((-25e-6, 25e-6))
    line = causes(of_part(board("R9 a 0 1k tol=2%", intent)))
    assert line["R9"][2:4] == pytest.approx((980.0, 1020.0))
    stated = causes(of_part(board("R9 a 0 1k", intent)))
    assert stated["R9"][2:4] == pytest.approx((950.0, 1050.0))
    assert stated["R9 tempco"][2:4] == pytest.approx((-200e-6, 200e-6))


REGULATED = CENTRED.replace("V1 vdd 0 4", "V1 vin 0 6\n{}")


@pytest.mark.parametrize(
    ("lines", "cause"),
    [
        ("XREG vin 0 vdd RG3", Cause("XREG output", 3.0, 2.94, 3.06, bias=True)),
        ("XREG vin 0 vdd vdd RGA", Cause("XREG output", 1.2, 1.188, 1.212, bias=True)),
        (
            "XREG vin 0 vdd fb RGA\nR8 vdd fb 20k tol=1%\nR9 fb 0 10k tol=1%",
            Cause("XREG feedback", 1.2, 1.188, 1.212, bias=True),
        ),
    ],
)
def test_where_a_regulator_stands_is_circumstance(lines: str, cause: Cause) -> None:
    """Its output, or its feedback voltage, is a bias; the divider's resistors are sampled."""
    of = book(REGULATED.format(lines), PLAIN)
    net = of.board.circuit.net("vdd")
    assert net is not None
    found = causes(known(of, net))
    same(found[cause.name], cause)
    assert {name: each.bias for name, each in found.items() if name != cause.name} == {
        name: False for name in ("R8", "R9") if name in found
    }
    assert len(found) == (3 if "R8" in lines else 1)


@pytest.mark.parametrize(
    ("intent", "cause"),
    [
        ("supply vdd 3V .. 5V", Cause("net vdd", 4.0, 3.0, 5.0, bias=True)),
        ("supply vdd 4.2V +/- 5%", Cause("net vdd", 4.2, 3.99, 4.41, bias=True)),
        ("supply vdd 4V .. 4V", None),
    ],
)
def test_where_a_stated_rail_stands_is_circumstance(intent: str, cause: Cause | None) -> None:
    """Between its limits, at the middle where no nominal is given; without a width it is a constant."""
    of = book(CENTRED, PLAIN, intent)
    net = of.board.circuit.net("vdd")
    assert net is not None
    found = causes(known(of, net))
    assert set(found) == ({cause.name} if cause else set())
    if cause:
        same(found[cause.name], cause)
