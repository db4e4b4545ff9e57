"""Values of resistors and capacitors with all that is said of them: causes, evidence, gaps; by hand."""

import math

import numpy as np
import pytest

from drc.circuit.material import Material
from drc.facts.book import Book
from drc.facts.dependence import Dependence, spread
from drc.facts.elements import capacitor, fitted, rating_of, resistance, rough_ohm
from drc.facts.model import Unknown
from drc.facts.options import FactOptions
from drc.trouble import Place
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book

BOM = Place("bay.csv", 3)
WARM = "ambient -25degC .. 75degC\n"
STILL = "ambient 25degC .. 25degC\n"


def board(line: str, intent: str = "", options: FactOptions | None = None) -> Book:
    """The centred board with a line of its own."""
    return book(f"{CENTRED}{line}\n", PLAIN, intent, options)


def value(
    line: str, intent: str = "", options: FactOptions | None = None, path: str = ""
) -> Dependence | Unknown:
    """The value of the line's element."""
    of = board(line, intent, options)
    element = of.board.circuit.element(path or line.split(maxsplit=1)[0])
    assert element is not None
    return resistance(of, element) if element.kind == "R" else capacitor(of, element)


def known(line: str, intent: str = "", options: FactOptions | None = None) -> Dependence:
    """A value that must be known."""
    found = value(line, intent, options)
    assert isinstance(found, Dependence), found
    return found


def unknown(line: str, intent: str = "", options: FactOptions | None = None) -> Unknown:
    """The Unknown of a value that must be one."""
    found = value(line, intent, options)
    assert isinstance(found, Unknown), found
    return found


def ends(found: Dependence) -> tuple[float, float, float]:
    """Its low end, nominal and high end."""
    span = spread(found, "extreme", FactOptions(), "x")
    return span.low, span.middle, span.high


def told(found: Dependence) -> list[tuple[str, str, str]]:
    """Its evidence as label, value and origin."""
    return [(each.label, each.value, each.origin) for each in found.inputs]


def stock(**said: object) -> FactOptions:
    """Options with a bill of materials' line of R9 and of C9."""
    line = Material(BOM)._replace(**said)  # type: ignore[arg-type]
    return FactOptions(materials={"r9": line, "c9": line})


def test_everything_said_of_a_resistor_is_told_in_order() -> None:
    """Value, tolerance, tempco, ambient; the tempco follows the tolerance, for both push the same way."""
    found = known("R9 a b 1k", WARM)
    assert told(found)[:3] == [
        ("R9", "1 kohm", "line"),
        ("R9 tolerance", "+/- 1 %", "default"),
        ("R9 tempco", "+/- 100 ppm/K", "default"),
    ]
    assert [each[::2] for each in told(found)[3:]] == [("ambient", "statement")]
    assert [(each.name, each.bias) for each in found.causes] == [
        ("R9", False),
        ("R9 tempco", False),
        ("ambient", True),
    ]
    assert found.ties == (("R9 tempco", "R9"),)
    assert found.text == "R9"
    assert found.assumptions == ("R9 tolerance +/- 1 % assumed", "R9 tempco 100 ppm/K assumed")
    assert found.inputs[0].place is not None
    assert ends(found) == pytest.approx((990 * 0.995, 1000, 1010 * 1.005))


@pytest.mark.parametrize(
    ("line", "intent", "shown", "tied"),
    [
        ("R9 a b 1k tol=1%", WARM + "assume R9 tempco +/- 50ppm", ("+/- 50 ppm/K", "statement"), True),
        ("R9 a b 1k tol=1%", WARM + "assume R9 tempco +50ppm", ("50 ppm/K", "statement"), False),
        ("R9 a b 1k tol=1% tc1=50u", WARM, ("50 ppm/K", "line"), False),
        ("R9 a b 1k tol=0%", WARM + "assume R9 tempco +/- 50ppm", ("+/- 50 ppm/K", "statement"), False),
    ],
)
def test_a_tempco_of_either_sign_is_a_cause_and_one_of_known_sign_none(
    line: str, intent: str, shown: tuple[str, str], tied: bool
) -> None:
    """And what is stated is no assumption; without a tolerance it follows nothing."""
    found = known(line, intent)
    assert [each[1:] for each in told(found) if each[0] == "R9 tempco"] == [shown]
    assert ("R9 tempco" in [each.name for each in found.causes]) is shown[0].startswith("+/-")
    assert found.ties == ((("R9 tempco", "R9"),) if tied else ())
    assert found.assumptions == ()


def test_a_second_order_counts_from_25_degrees() -> None:
    """1 + tc1 dT + tc2 dT^2 with 1e-3 and 1e-5: 0.975 at -50 K, 1.075 at +50 K (SPICE manuals' TC1, TC2)."""
    found = known("R9 a b 1k tol=0% tc=1m,10u", WARM)
    assert found.law(np.array([[-25.0], [25.0], [45.0], [75.0]])) == pytest.approx([975, 1000, 1024, 1075])
    assert [each.name for each in found.causes] == ["ambient"]


@pytest.mark.parametrize(
    ("line", "intent", "fits"),
    [
        ("R9 a 0 1k tc=-0.1,0.0025", WARM, False),
        ("R9 a 0 1k tc=0.1,0.0025", WARM, False),
        ("R9 a 0 1k tc=-0.1,0.0026", WARM, True),
        ("R9 a 0 1k tc=0.1,0.0026", WARM, True),
        ("R9 a 0 1k tc=-0.1,0.0025", "ambient 25degC .. 40degC\n", True),
        ("R9 a 0 1k tc=0.1,0.0025", "ambient 10degC .. 25degC\n", True),
        ("R9 a 0 1k tc=-0.02", WARM, False),
        ("R9 a 0 1k tc=-0.0199", WARM, True),
        ("R9 a 0 1k tc=0.02", WARM, False),
        ("R9 a 0 1k tc=0.0199", WARM, True),
        ("R9 a 0 1k tc=0,-0.0004", WARM, False),
        ("R9 a 0 1k tc=0,-0.00039", WARM, True),
        ("R9 a 0 1k", WARM + "assume R9 tempco +/- 1.99%", True),
        ("R9 a 0 1k", WARM + "assume R9 tempco +/- 2%", False),
        ("R9 a 0 1k", "ambient -25degC .. 26degC\nassume R9 tempco +/- 2%", False),
        ("R9 a 0 1k", "ambient -25degC .. 26degC\nassume R9 tempco +2%", False),
        ("R9 a 0 1k", "ambient 24degC .. 75degC\nassume R9 tempco +2%", True),
    ],
)
def test_nothing_is_left_of_a_value_somewhere_over_ambient(line: str, intent: str, fits: bool) -> None:
    """1 + a dT + b dT^2 at both ends, and at the parabola's bottom -a / 2b where it lies between them.

    By hand: with a = -0.1 and b = 0.0025 the bottom is 0 at 20 K, where both ends of +/- 50 K are far above.
    """
    if fits:
        known(line, intent)
    else:
        assert unknown(line, intent).missing == ("R9 tempco",)


@pytest.mark.parametrize(
    ("tolerance", "shown", "low", "high"),
    [
        ((-0.2, 0.8), "-20 % .. +80 %", 800, 1800),
        ((-0.1, 0.1), "+/- 10 %", 900, 1100),
        ((0.0, 0.05), "+0 % .. +5 %", 1000, 1050),
        ((-1.0, 1.0), "+/- 100 %", 0, 2000),
    ],
)
def test_a_tolerance_may_be_uneven(
    tolerance: tuple[float, float], shown: str, low: float, high: float
) -> None:
    """As far as nothing at all, and told as it is."""
    found = known("R9 a b 1k", STILL, stock(tolerance=tolerance))
    assert ends(found) == pytest.approx((low, 1000, high))
    assert ("R9 tolerance", shown, "bill of materials") in told(found)
    assert found.assumptions == ()


@pytest.mark.parametrize("tolerance", [(-1.01, 0.0), (0.0, math.inf), (0.2, 0.1)])
def test_a_tolerance_without_sense_is_named(tolerance: tuple[float, float]) -> None:
    """Below nothing, without end, or upside down."""
    assert unknown("R9 a b 1k", STILL, stock(tolerance=tolerance)).missing == ("R9 tolerance",)
    assert unknown("C9 a b 1n", WARM, stock(tolerance=tolerance)).missing == ("C9 tolerance",)


def test_a_value_without_width_is_no_cause_but_its_assumption_stays() -> None:
    """Settings that take resistors as exact are an assumption as any other default."""
    found = known("R9 a b 1k", STILL, FactOptions(resistor_tolerance=0.0))
    assert (found.causes, found.nominal, found.text) == ((), 1000.0, "R9")
    assert found.assumptions == ("R9 tolerance +/- 0 % assumed",)
    assert told(found)[:2] == [("R9", "1 kohm", "line"), ("R9 tolerance", "+/- 0 %", "default")]
    assert known("R9 a b 1k tol=0%", STILL).assumptions == ()


def test_0_ohm_has_no_spread() -> None:
    """A link is a link, whatever the default tolerance and the ambient."""
    found = known("R9 a b 0", WARM)
    assert (found.causes, found.nominal, found.text) == ((), 0.0, "R9")
    assert told(found) == [("R9", "0 ohm", "line")]
    assert found.assumptions == ()


@pytest.mark.parametrize(
    ("line", "options", "because"),
    [
        ("C9 a b -1n", None, "C9 has no usable value: it is negative"),
        ("R9 a b -1k", None, "R9 has no usable value: it is negative"),
        ("R9 a b 1k", stock(value=-5.0), "R9 has no usable value: it is negative"),
    ],
)
def test_a_negative_value_is_none(line: str, options: FactOptions | None, because: str) -> None:
    """Named, and why."""
    for intent in (STILL, WARM):
        found = unknown(line, intent, options)
        assert found.missing == (f"{line[:2]} value",)
        assert found.because == because


def test_two_elements_of_one_name_have_no_value() -> None:
    """Which of them a name means nobody knows; a third keeps its own; another trouble is no reason."""
    of = board("R9 a b 1k\nR9 c d 2k\nR8 c d 3k\nR7 c d")
    twins = [each for each in of.board.circuit.elements() if each.path == "R9"]
    assert twins
    for twin in twins:
        found = resistance(of, twin)
        assert found == Unknown("two elements are called R9", ("R9 value",))
    other = of.board.circuit.element("R8")
    assert other is not None
    assert isinstance(resistance(of, other), Dependence)


def test_the_bill_of_materials_where_it_speaks_and_the_line_where_it_does_not() -> None:
    """Value of the one, tolerance of the other, tempco of a statement: each by whoever says it first."""
    found = known("R9 a b 1k tol=2%", WARM + "assume R* tempco +/- 20ppm", stock(value=2000.0))
    assert told(found)[:3] == [
        ("R9", "2 kohm", "bill of materials"),
        ("R9 tolerance", "+/- 2 %", "line"),
        ("R9 tempco", "+/- 20 ppm/K", "statement"),
    ]
    assert (found.inputs[0].place, ends(found)[1]) == (BOM, 2000)
    found = known("R9 a b 1k", WARM, stock(tolerance=(-0.05, 0.05), tempco=10e-6))
    assert told(found)[:3] == [
        ("R9", "1 kohm", "line"),
        ("R9 tolerance", "+/- 5 %", "bill of materials"),
        ("R9 tempco", "+/- 10 ppm/K", "bill of materials"),
    ]
    assert "R9 tempco" in [each.name for each in found.causes]


def test_a_statement_that_is_silent_leaves_the_word_to_the_next() -> None:
    """The first that gives a tolerance, and the first that gives a tempco."""
    stated = "assume R9 tolerance 5%\nassume R* tempco +/- 20ppm\nassume * tolerance 9%, tempco +/- 9ppm\n"
    found = known("R9 a b 1k", WARM + stated)
    assert told(found)[1:3] == [
        ("R9 tolerance", "+/- 5 %", "statement"),
        ("R9 tempco", "+/- 20 ppm/K", "statement"),
    ]


@pytest.mark.parametrize(
    ("intent", "options", "ohm"),
    [
        ("", None, 1000.0),
        ("", stock(value=2000.0), 2000.0),
        ("", stock(), 1000.0),
        ("assume R9 value 0ohm .. 10kohm", None, 5000.0),
        ("assume R9 value 0ohm .. 10kohm", stock(value=2000.0), 5000.0),
        ("adjust R9 1kohm .. 2kohm", None, 1500.0),
    ],
)
def test_a_rough_value_is_the_nominal_one(intent: str, options: FactOptions | None, ohm: float) -> None:
    """Of a setting, of the bill of materials, or of the line."""
    of = board("R9 a b 1k", intent, options)
    element = of.board.circuit.element("R9")
    assert element is not None
    assert rough_ohm(of, element) == ohm


def test_a_rough_value_that_is_not_given_is_none() -> None:
    """Neither by the line nor by a silent bill of materials."""
    for options in (None, stock()):
        of = board("R9 a b {NOPE}", "", options)
        element = of.board.circuit.element("R9")
        assert element is not None
        assert rough_ohm(of, element) is None


@pytest.mark.parametrize(
    ("line", "intent", "options", "there"),
    [
        ("R9 a b 1k", "", None, True),
        ("R9 a b 1k", "fit R9 no", None, False),
        ("R9 a b 1k", "fit R9 no\nfit R* yes", None, False),
        ("R9 a b 1k", "fit R8 no", None, True),
        ("R9 a b 1k", "fit R9 no", stock(), True),
        ("R9 a b 1k", "fit R9 yes", stock(fitted=False), False),
        ("R9 a b 1k DNP", "", None, False),
        ("R9 a b 1k DNP", "fit R9 yes", None, True),
    ],
)
def test_whether_assembly_fits_it(line: str, intent: str, options: FactOptions | None, there: bool) -> None:
    """The bill of materials, then the first statement, then the line."""
    of = board(line, intent, options)
    element = of.board.circuit.element("R9")
    assert element is not None
    assert fitted(of, element) is there


def test_whose_word_a_rating_is() -> None:
    """The bill of materials', or where it is silent the line's."""
    for options, expected in (
        (stock(rating="0.25W"), ("0.25W", "bill of materials", BOM)),
        (stock(), ("X7R 16V", "line", None)),
        (None, ("X7R 16V", "line", None)),
    ):
        of = board("C9 a b 1n X7R 16V", "", options)
        element = of.board.circuit.element("C9")
        assert element is not None
        text, origin, place = rating_of(of, element)
        assert (text, origin) == expected[:2]
        assert place == (expected[2] or element.place)


AGED = FactOptions(resistor_ageing=0.005, capacitor_ageing=0.02)


@pytest.mark.parametrize(("line", "share"), [("R9 a b 1k tol=1%", 0.005), ("C9 a b 1n tol=1%", 0.02)])
def test_ageing_follows_the_tolerance(line: str, share: float) -> None:
    """Each kind by its own setting, either way, tied to the tolerance; alone where there is none."""
    found = known(line, STILL, AGED)
    name = line.split(maxsplit=1)[0]
    size = found.nominal
    assert ends(found) == pytest.approx(
        (size * 0.99 * (1 - share), size, size * 1.01 * (1 + share)), rel=1e-9
    )
    assert (f"{name} ageing", f"+/- {100 * share:g} %", "settings") in told(found)
    assert found.ties == ((f"{name} ageing", name),)
    assert found.text == name
    exact = known(line.replace("1%", "0%"), STILL, AGED)
    assert ends(exact) == pytest.approx((size * (1 - share), size, size * (1 + share)), rel=1e-9)
    assert exact.ties == ()
    assert [each.bias for each in exact.causes] == [False]


def test_a_class_that_reaches_just_over_ambient() -> None:
    """X7R holds from -55 to 125 degC, ends included; a degree beyond either is not promised (EIA-198)."""
    for low, high, there in ((-55, 125, True), (-56, 125, False), (-55, 126, False)):
        found = value("C9 a b 1n 1% X7R", f"ambient {low}degC .. {high}degC")
        assert isinstance(found, Dependence) is there
        if not there:
            assert isinstance(found, Unknown)
            assert found.missing == ("C9 over ambient",)


def test_a_class_is_evidence_and_a_cause() -> None:
    """X7R +/- 15 %, uneven Z5U (-56 .. +22 %), C0G 30 ppm/K: tied to the tolerance where there is one."""
    found = known("C9 a b 1n 1% X7R", WARM)
    assert ("C9 class", "X7R, +/- 15 %", "class code") in told(found)
    assert [each.name for each in found.causes] == ["C9", "C9 class"]
    assert found.ties == (("C9 class", "C9"),)
    assert found.text == "C9"
    assert found.assumptions == ()
    uneven = known("C9 a b 1n 0% Z5U", "ambient 15degC .. 75degC")
    assert ends(uneven) == pytest.approx((0.44e-9, 1e-9, 1.22e-9))
    assert ("C9 class", "Z5U, -56 % .. +22 %", "class code") in told(uneven)
    assert uneven.ties == ()
    steady = known("C9 a b 1n 1% C0G", WARM)
    assert ("C9 class", "C0G, +/- 30 ppm/K", "class code") in told(steady)
    assert steady.ties == (("C9 class", "C9"),)
    assert steady.text == "C9"
    assert ends(steady) == pytest.approx((0.99e-9 * (1 - 0.0015), 1e-9, 1.01e-9 * (1 + 0.0015)), rel=1e-9)
    places = [each.place for each in steady.inputs if each.label == "C9 class"]
    assert all(place is not None for place in places)


def test_a_class_says_nothing_where_the_board_stays_at_25_degrees() -> None:
    """No ambient but 25 degC: the tolerance alone, and no word of being steady."""
    found = known("C9 a b 1n 1% X7R", STILL)
    assert [each.name for each in found.causes] == ["C9"]
    assert found.assumptions == ()
    bare = known("C9 a b 1n tol=1%", STILL)
    assert bare.assumptions == ()


@pytest.mark.parametrize(
    ("line", "intent", "options", "steady"),
    [
        ("C9 a b 1n tol=1%", WARM, None, True),
        ("C9 a b 1n tol=0%", WARM, None, False),
        ("C9 a b 1n tol=1%", WARM + "assume C9 tempco +/- 10ppm", None, False),
        ("C9 a b 1n tol=1% class=X7R", WARM, None, False),
        ("C9 a b 1n tol=1%", WARM, stock(tempco=1e-5), False),
        ("C9 a b 1n tol=1%", WARM, FactOptions(capacitor_tempco=1e-5), False),
    ],
)
def test_when_a_capacitor_is_taken_as_steady(
    line: str, intent: str, options: FactOptions | None, steady: bool
) -> None:
    """Where neither a class nor a tempco is given, of one that has a spread at all."""
    found = known(line, intent, options)
    assert ("C9 is steady over temperature" in found.assumptions) is steady


def test_the_defaults_of_a_capacitor_are_its_own() -> None:
    """Tolerance and tempco of the settings for capacitors, not those for resistors."""
    options = FactOptions(0.03, 300e-6, 0.2, 50e-6)
    found = known("C9 a b 1n", WARM, options)
    assert ends(found) == pytest.approx((0.8e-9 * 0.9975, 1e-9, 1.2e-9 * 1.0025), rel=1e-9)
    assert found.assumptions == ("C9 tolerance +/- 20 % assumed", "C9 tempco 50 ppm/K assumed")
    ohms = known("R9 a b 1k", WARM, options)
    assert ends(ohms) == pytest.approx((970 * 0.985, 1000, 1030 * 1.015))


def test_an_ambient_that_is_assumed_is_an_assumption_of_every_value() -> None:
    """Nothing says how warm the board gets: 25 degC, said so."""
    assert known("R9 a b 1k tol=1%").assumptions == ("ambient 25 degC assumed",)
    assert known("R9 a b 1k tol=1%", STILL).assumptions == ()
