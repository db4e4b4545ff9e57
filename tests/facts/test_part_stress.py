"""What the parts round a block stand: voltage, dissipation, and ratings; by hand."""

import pytest

from drc.circuit.material import Material
from drc.facts.book import Book
from drc.facts.model import Fact, Subject, Unknown
from drc.facts.options import FactOptions
from drc.trouble import Place
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book


def about(of: Book, name: str, path: str) -> Fact:
    """A fact about an element."""
    element = of.board.circuit.element(path)
    assert element is not None
    return of.fact(Subject("part", element.path, element.place), name)


def volts(lines: str, path: str, name: str = "part.voltage") -> float:
    """The nominal of a fact about an element on the centred board."""
    found = about(book(f"{CENTRED}{lines}\n", PLAIN), name, path)
    assert found.span is not None, found
    return found.span.middle


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("C9 vdd 0 1n", 4.0),
        ("C9 0 vdd 1n", 4.0),
        ("V9 v9 0 9\nC9 v9 vdd 1n", 5.0),
        ("C9 cfg 0 1n", 1.25),
        ("C9 vdd cfg 1n", 2.75),
        ("C9 cfg vdd 1n", 2.75),
        ("R8 vdd a 1k\nR7 a 0 3k\nC9 a cfg 1n", 1.75),
        ("R8 vdd a 1k\nR7 a 0 3k\nC9 cfg a 1n", 1.75),
        ("R8 vdd a 1k\nR7 a b 1k\nR6 b 0 2k\nC9 a b 1n", 1.0),
    ],
)
def test_voltage_on_a_capacitor(lines: str, expected: float) -> None:
    """Between rails, from a rail to a divider, between two dividers, and within one: by the divider law."""
    assert volts(lines, "C9") == pytest.approx(expected)


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("R9 vdd 0 2k tol=0%", 8e-3),
        ("R8 vdd a 1k tol=0%\nR9 a 0 3k tol=0%", 3e-3),
        ("R9 vdd vdd2 0\nR8 vdd2 0 1k", 0.0),
    ],
)
def test_power_in_a_resistor(lines: str, expected: float) -> None:
    """P = V^2 / R: 16/2k, 9/3k; a link turns nothing to heat."""
    assert volts(lines, "R9", "part.dissipation") == pytest.approx(expected)


def test_a_conducting_diode_has_no_reverse_voltage() -> None:
    """From the supply through 1k down to ground: none against it; turned round, the whole 4 V."""
    model = ".model DD d(is=1n n=1.8)"
    assert volts(f"R8 vdd a 1k\nD9 a 0 DD\n{model}", "D9") == 0
    assert volts(f"R8 vdd a 1k\nD9 0 a DD\n{model}", "D9") == pytest.approx(4, rel=1e-3)


def test_what_floats_has_no_voltage() -> None:
    """A capacitor to a net that nothing holds is not known, and the net is named."""
    found = about(book(f"{CENTRED}C9 cfg x 1n\nC8 x 0 1n\n", PLAIN), "part.voltage", "C9").value
    assert isinstance(found, Unknown)
    assert found.missing == ("voltage of x",)


def test_each_fact_is_of_its_own_kind_of_part() -> None:
    """A resistor has no voltage rating to judge, a capacitor no dissipation; the kind is said in words."""
    of = book(f"{CENTRED}C9 cfg 0 1n\nD9 0 cfg DD\n.model DD d(is=1n)\n", PLAIN)
    assert [about(of, "part.kind", path).value for path in ("R1", "C9", "D9")] == [
        "resistor",
        "capacitor",
        "diode",
    ]
    assert isinstance(about(of, "part.dissipation", "C9").value, Unknown)
    assert isinstance(about(of, "part.voltage", "R1").value, Unknown)


@pytest.mark.parametrize(
    ("text", "path", "name", "rated"),
    [
        ("16V", "C9", "part.voltage_rated", 16.0),
        ("X7R, 25V", "C9", "part.voltage_rated", 25.0),
        ("0V", "C9", "part.voltage_rated", None),
        ("1/4W", "C9", "part.voltage_rated", None),
        ("1/4W", "R1", "part.dissipation_rated", 0.25),
        ("1/0W", "R1", "part.dissipation_rated", None),
        ("1% 125mW", "R1", "part.dissipation_rated", 0.125),
    ],
)
def test_a_rating_is_read_in_its_unit(text: str, path: str, name: str, rated: float | None) -> None:
    """Volts for a capacitor, watts for a resistor, also as a fraction; nothing is a rating of zero."""
    options = FactOptions(materials={path.lower(): Material(Place("bay.csv", 2), rating=text)})
    found = about(book(f"{CENTRED}C9 cfg 0 1n\n", PLAIN, options=options), name, path)
    assert (found.span.middle if found.span else None) == rated


def test_a_working_zener_is_rated_by_nothing() -> None:
    """At its breakdown voltage a diode works as meant, and that voltage is no limit; below, it is one."""
    model = ".model DZ d(is=1n bv=3)"
    working = about(book(f"{CENTRED}R8 vdd a 1k\nD9 0 a DZ\n{model}\n", PLAIN), "part.voltage_rated", "D9")
    assert isinstance(working.value, Unknown)
    resting = model.replace("bv=3", "bv=30")
    found = about(book(f"{CENTRED}R8 vdd a 1k\nD9 0 a DZ\n{resting}\n", PLAIN), "part.voltage_rated", "D9")
    assert found.span is not None
    assert found.span.middle == 30


def test_the_parts_that_are_judged_are_rated_and_near_a_block() -> None:
    """In the networks on its pins, fitted, with a rating; what hangs on rails alone is no block's."""
    ratings = {key: Material(Place("bay.csv", 2), rating="16V") for key in ("c7", "c8", "c9")}
    ratings["c7"] = ratings["c7"]._replace(fitted=False)
    netlist = f"{CENTRED}C9 cfg 0 1n\nC8 vdd 0 1n\nC7 cfg 0 1n\n"
    of = book(netlist, PLAIN, options=FactOptions(materials=ratings))
    assert [subject.path for subject in of.subjects("part")] == ["C9"]
