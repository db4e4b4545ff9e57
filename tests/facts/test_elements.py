"""Value, tolerance and tempco of an element: first found wins, and the evidence says who said it."""

import pytest

from drc.circuit.material import Material
from drc.facts.dependence import Dependence, spread
from drc.facts.elements import capacitor, fitted, resistance
from drc.facts.model import Unknown
from drc.facts.options import FactOptions
from drc.trouble import Place
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book

AMBIENT = "ambient -25degC .. 75degC\n"
BOM = Place("bay.csv", 3)


def value(netlist: str, intent: str = "", options: FactOptions | None = None) -> Dependence:
    """The resistance of R9 on a board."""
    of = book(CENTRED + netlist, PLAIN, intent, options)
    element = of.board.circuit.element("R9")
    assert element is not None
    found = resistance(of, element)
    assert isinstance(found, Dependence), found
    return found


def ends(found: Dependence) -> tuple[float, float]:
    """Its extremes."""
    span = spread(found, "extreme", FactOptions(), "x")
    return span.low, span.high


def origin(found: Dependence, label: str) -> str:
    """Who said it."""
    return next(i.origin for i in found.inputs if i.label == label)


def test_nothing_said_is_the_default_and_assumed() -> None:
    """1 % by default, listed as an assumption, as is the ambient."""
    found = value("R9 a b 1k")
    assert ends(found) == pytest.approx((990, 1010))
    assert origin(found, "R9 tolerance") == "default"
    assert set(found.assumptions) == {"R9 tolerance +/- 1 % assumed", "ambient 25 degC assumed"}


def test_tempco_counts_from_25_degrees_to_each_end_of_ambient() -> None:
    """100 ppm/K over 50 K either way: 0.5 % on top of 1 %; 1010 * 1.005 and 990 * 0.995."""
    assert ends(value("R9 a b 1k", AMBIENT)) == pytest.approx((990 * 0.995, 1010 * 1.005))
    assert ends(value("R9 a b 1k", "ambient 25degC .. 45degC")) == pytest.approx((990 * 0.998, 1010 * 1.002))


def test_a_statement_goes_before_the_default() -> None:
    """`assume R* tolerance 5%, tempco 0ppm`."""
    found = value("R9 a b 1k", AMBIENT + "assume R* tolerance 5%, tempco +/- 0ppm")
    assert ends(found) == pytest.approx((950, 1050))
    assert origin(found, "R9 tolerance") == "statement"
    assert not found.assumptions


def test_the_line_goes_before_a_statement() -> None:
    """`tol=2%` on the line beats `assume`."""
    found = value("R9 a b 1k tol=2%", "assume R* tolerance 5%")
    assert ends(found) == pytest.approx((980, 1020))
    assert origin(found, "R9 tolerance") == "line"


def test_the_bill_of_materials_goes_before_all() -> None:
    """Value 2k and 0.1 % of the bill of materials beat the line's, in any letter case."""
    options = FactOptions(materials={"r9": Material(BOM, 2000.0, (-0.001, 0.001), 0.0)})
    found = value("R9 a b 1k tol=2%", AMBIENT, options)
    assert ends(found) == pytest.approx((1998, 2002))
    assert {i.origin for i in found.inputs} == {"bill of materials"}
    assert found.inputs[0].place == BOM


def test_a_tempco_of_known_sign_is_a_bias() -> None:
    """tc1 = +1e-3/K over -50 .. +50 K: 950 .. 1050 of an exact 1k, and no cause but ambient."""
    found = value("R9 a b 1k tol=0% tc1=1m", AMBIENT)
    assert ends(found) == pytest.approx((950, 1050))
    assert [(cause.name, cause.bias) for cause in found.causes] == [("ambient", True)]


def test_a_trimmer_must_hold_at_all_settings() -> None:
    """`assume R9 value 0ohm .. 10kohm` spans them all, as a bias that no draw samples."""
    found = value("R9 a b 10k", "assume R9 value 0ohm .. 10kohm")
    assert ends(found) == (0, 10e3)
    assert found.causes[0].bias


def test_no_value_names_the_element() -> None:
    """A resistor whose value is a word has none, and the Unknown says whose."""
    of = book(CENTRED + "R9 a b DNX", PLAIN)
    element = of.board.circuit.element("R9")
    assert element is not None
    found = resistance(of, element)
    assert isinstance(found, Unknown)
    assert found.missing == ("R9 value",)


def test_capacitors_are_10_percent_by_default() -> None:
    """1 nF within 10 %, assumed."""
    of = book(CENTRED + "C9 a b 1n", PLAIN)
    element = of.board.circuit.element("C9")
    assert element is not None
    found = capacitor(of, element)
    assert isinstance(found, Dependence)
    assert ends(found) == pytest.approx((0.9e-9, 1.1e-9))
    assert "C9 tolerance +/- 10 % assumed" in found.assumptions


def test_fitted_by_statement_and_by_bill_of_materials() -> None:
    """`fit R9 no` leaves it out; the bill of materials overrules both."""
    of = book(CENTRED + "R9 a b 1k", PLAIN, "fit R9 no")
    element = of.board.circuit.element("R9")
    assert element is not None
    assert not fitted(of, element)
    stocked = book(CENTRED + "R9 a b 1k", PLAIN, "fit R9 no", FactOptions(materials={"r9": Material(BOM)}))
    assert fitted(stocked, element)


def farads(value: str, intent: str, options: FactOptions | None = None) -> Dependence | Unknown:
    """The capacitance of C9 with what stands behind its nets."""
    of = book(CENTRED + f"C9 a b {value}", PLAIN, intent, options)
    element = of.board.circuit.element("C9")
    assert element is not None
    return capacitor(of, element)


def test_a_capacitors_class_adds_to_its_tolerance_over_ambient() -> None:
    """X7R: 15 % on top of 10 % within -55 .. 125 degC (EIA-198): 0.9 * 0.85 to 1.1 * 1.15 of 100 nF."""
    found = farads("100n 10% X7R", "ambient -40degC .. 85degC")
    assert isinstance(found, Dependence)
    assert ends(found) == pytest.approx((100e-9 * 0.9 * 0.85, 100e-9 * 1.1 * 1.15))
    assert not found.assumptions


def test_c0g_has_30_ppm_either_way() -> None:
    """60 K below 25 degC: 0.18 % on top of 5 % (EIA-198)."""
    found = farads("1n 5% C0G", "ambient -35degC .. 25degC")
    assert isinstance(found, Dependence)
    assert ends(found) == pytest.approx((0.95e-9 * 0.9982, 1.05e-9 * 1.0018))


def test_a_class_that_does_not_reach_over_ambient_leaves_the_value_unknown() -> None:
    """Z5U begins at +10 degC: at -20 degC nothing is promised."""
    found = farads("100n 20% Z5U", "ambient -20degC .. 60degC")
    assert isinstance(found, Unknown)
    assert "Z5U" in found.because


def test_a_capacitor_without_class_is_taken_as_steady_and_that_is_said() -> None:
    """An assumption, unless a tempco is stated or the ambient is not."""
    found = farads("100n 10%", "ambient -20degC .. 60degC")
    assert isinstance(found, Dependence)
    assert found.assumptions == ("C9 is steady over temperature",)
    stated = farads("100n 10%", "ambient -20degC .. 60degC\nassume C9 tempco +/- 50ppm")
    assert isinstance(stated, Dependence)
    assert not stated.assumptions


def test_ageing_by_settings_is_a_cause_of_its_own() -> None:
    """1 % of tolerance and 0.5 % of ageing: 990 * 0.995 to 1010 * 1.005."""
    found = value("R9 a b 1k", options=FactOptions(resistor_ageing=0.005))
    assert ends(found) == pytest.approx((990 * 0.995, 1010 * 1.005))
    assert origin(found, "R9 ageing") == "settings"


def test_a_tolerance_that_leaves_less_than_nothing_is_named() -> None:
    """More than 100 per cent below the value is no value."""
    of = book(CENTRED + "R9 a 0 10k tol=10000000000000%\n", PLAIN)
    element = of.board.circuit.element("R9")
    assert element is not None
    found = resistance(of, element)
    assert isinstance(found, Unknown)
    assert found.missing == ("R9 tolerance",)


@pytest.mark.parametrize(
    ("line", "intent"),
    [
        ("R9 a 0 10k\n", AMBIENT + "assume R9 tempco +/- 2%\n"),
        ("R9 a 0 10k\n", "ambient 0degC .. 20000degC\n"),
        ("R9 a 0 10k tc=0.02\n", AMBIENT),
        ("R9 a 0 10k tc=-0.1,0.001\n", AMBIENT),
    ],
)
def test_a_tempco_that_leaves_nothing_of_the_value_is_named(line: str, intent: str) -> None:
    """By hand: 1 - 0.02 * 50 = 0; 1 - 100e-6 * 19975 < 0; 1 - 0.1 * 50 + 0.001 * 50^2 = -1.5 at 75 degC."""
    of = book(CENTRED + line, PLAIN, intent)
    element = of.board.circuit.element("R9")
    assert element is not None
    found = resistance(of, element)
    assert isinstance(found, Unknown)
    assert found.missing == ("R9 tempco",)
