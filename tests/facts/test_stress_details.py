"""Voltage and dissipation of the parts round a block in every state, and what is named where unknown."""

import pytest

from drc.circuit.material import Material
from drc.facts.book import Book
from drc.facts.dependence import Dependence, States
from drc.facts.model import Cases, Fact, Subject, Unknown
from drc.facts.options import FactOptions
from drc.facts.stress import across, attached, rated_parts
from drc.trouble import Place
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import block, book

STILL = "ambient 25degC .. 25degC"
EXACT = CENTRED.replace("tol=1%", "tol=0%")
QUIET = PLAIN.replace('leakage = "20nA", ', "")


def about(of: Book, name: str, path: str = "C9") -> Fact:
    """A fact about an element."""
    element = of.board.circuit.element(path)
    assert element is not None
    return of.fact(Subject("part", element.path, element.place), name)


def lacking(of: Book, name: str, path: str = "C9") -> tuple[str, ...]:
    """What is missing of a fact that must be unknown."""
    value = about(of, name, path).value
    assert isinstance(value, Unknown), value
    assert value.because
    return value.missing


def volts(of: Book, path: str) -> float | tuple[float, ...]:
    """The voltage from an element's first pin to its second, in each state."""
    element = of.board.circuit.element(path)
    assert element is not None
    found = across(of, element)
    if isinstance(found, States):
        return tuple(state.nominal for _, state in found.states)
    assert isinstance(found, Dependence), found
    return found.nominal


@pytest.mark.parametrize(
    ("lines", "path", "expected"),
    [
        ("C9 vdd 0 1n", "C9", 4.0),
        ("C9 0 vdd 1n", "C9", -4.0),
        ("C9 cfg 0 1n", "C9", 1.25),
        ("C9 0 cfg 1n", "C9", -1.25),
        ("C9 vdd cfg 1n", "C9", 2.75),
        ("R8 vdd a 1k\nR7 a 0 3k\nC9 a cfg 1n", "C9", 1.75),
        ("R8 vdd a 1k\nR7 a 0 3k\nC9 cfg a 1n", "C9", -1.75),
        ("R8 vdd a 1k\nR7 a b 1k\nR6 b 0 2k\nC9 a b 1n", "C9", 1.0),
        ("R8 vdd a 1k\nR7 a b 1k\nR6 b 0 2k\nC9 b a 1n", "C9", -1.0),
        ("R9 cfg x 1k\nI9 0 x 100u", "R9", -0.1),
        ("R8 vdd a 1k\nI8 a 0 1m\nC9 a cfg 1n", "C9", 3.0 - 1.25),
        ("R8 vdd a 1k\nI8 a 0 1m\nC9 cfg a 1n", "C9", 1.25 - 3.0),
    ],
)
def test_the_voltage_across_a_part_has_its_sign(lines: str, path: str, expected: float) -> None:
    """From the first pin to the second, between rails, dividers and currents."""
    of = book(f"{EXACT}{lines}\n", QUIET, STILL)
    assert volts(of, path) == pytest.approx(expected)


def test_the_voltage_in_each_state_of_an_output() -> None:
    """An output of 25 ohm over 75 ohm: 3 V or nothing across them; against the divider both ways."""
    of = book(f"{EXACT}R9 out 0 75 tol=0%\nC9 out cfg 1n\nC8 cfg out 1n\n", QUIET, STILL)
    assert volts(of, "R9") == pytest.approx((3.0, 0.0))
    assert volts(of, "C9") == pytest.approx((1.75, -1.25))
    assert volts(of, "C8") == pytest.approx((-1.75, 1.25))
    both = about(of, "part.voltage", "C9").value
    assert isinstance(both, Cases)
    assert {c.label: c.value.middle for c in both.cases} == pytest.approx(
        {"XU1 = high": 1.75, "XU1 = low": 1.25}
    )
    power = about(of, "part.dissipation", "R9").value
    assert isinstance(power, Cases)
    assert {c.label: c.value.middle for c in power.cases} == pytest.approx(
        {"XU1 = high": 0.12, "XU1 = low": 0}
    )


def test_two_sides_that_share_a_state_keep_it() -> None:
    """Both ends behind one output: both high or both low, never one of each."""
    of = book(f"{EXACT}R8 out a 75 tol=0%\nR7 a 0 100 tol=0%\nC9 out a 1n\n", QUIET, STILL)
    assert volts(of, "C9") == pytest.approx((4 * 75 / 200, 0.0))


@pytest.mark.parametrize(
    ("lines", "path", "missing"),
    [
        ("C9 cfg x 1n", "C9", ("voltage of x",)),
        ("C9 x cfg 1n", "C9", ("voltage of x",)),
        ("C9 x y 1n", "C9", ("voltage of x",)),
        ("C9 x y 1n\nR8 x y 1k", "C9", ("voltage of y",)),
        ("C9 vdd x 1n", "C9", ("voltage of x",)),
        ("C9 x vdd 1n", "C9", ("voltage of x",)),
        ("R8 vdd a ?\nR7 a 0 1k\nC9 a 0 1n", "C9", ("R8 value",)),
        ("X8 cfg OTHER\nC9 cfg 0 1n", "C9", ("X8",)),
        ("C9 aux 0 1n\nR4 r2 0 1k\nXU2 aux 0 o2 0 r2 aux PL1", "C9", ("voltage of aux",)),
        ("C9 cfg aux 1n\nR4 r2 0 1k\nXU2 aux 0 o2 0 r2 aux PL1", "C9", ("voltage of aux",)),
    ],
)
def test_what_leaves_a_part_s_voltage_unknown_is_named(
    lines: str, path: str, missing: tuple[str, ...]
) -> None:
    """A net that nothing sets, a value, a part whose currents nobody knows, a rail without a word."""
    of = book(f"{EXACT}{lines}\n", QUIET, STILL)
    assert lacking(of, "part.voltage", path) == missing


def test_a_resistor_s_dissipation_rests_on_value_and_voltage() -> None:
    """16 V^2 over 2 kohm +/- 1 %: 8 mW; the resistor counts once in the divider and in the law."""
    of = book(f"{EXACT}R9 vdd 0 2k tol=1%\n", QUIET, STILL)
    found = about(of, "part.dissipation", "R9")
    assert found.span is not None
    assert (found.span.low, found.span.middle, found.span.high) == pytest.approx((16 / 2020, 8e-3, 16 / 1980))
    assert found.law == "P = V^2 / R"
    assert {"R9", "V1"} <= {each.label for each in found.inputs}
    link = about(book(f"{EXACT}R9 vdd v2 0\n", QUIET, STILL), "part.dissipation", "R9")
    assert link.span is not None
    assert (link.span.middle, link.span.unit.symbol, link.law) == (0, "W", "a link turns nothing to heat")
    assert lacking(book(f"{EXACT}R9 vdd 0 ?\n", QUIET, STILL), "part.dissipation", "R9") == ("R9 value",)
    assert lacking(of, "part.dissipation", "V1") == ()


@pytest.mark.parametrize(
    ("line", "expected"),
    [("D9 vdd 0 DD", 0.0), ("D9 0 vdd DD", 4.0), ("D9 cfg vdd DD", 2.75), ("D9 0 cfg DD", 1.25)],
)
def test_the_voltage_against_a_diode(line: str, expected: float) -> None:
    """From cathode to anode, nothing while it conducts; leakage and source resistance aside."""
    of = book(f"{EXACT}{line}\n.model DD d(is=1f)\n", QUIET, STILL)
    found = about(of, "part.voltage", "D9")
    assert found.span is not None
    assert found.span.middle == pytest.approx(expected, abs=1e-6)
    assert found.law.startswith("V(cathode) - V(anode)")


DIODE = "R8 vdd a 1k\nD9 0 a DZ\n.model DZ d(is=1n {})\n"


@pytest.mark.parametrize(
    ("model", "rated", "because"),
    [
        ("bv=30", 30.0, ""),
        ("bv=4.3", 4.3, ""),
        ("bv=4.09", 4.09, ""),
        ("bv=3", None, "breaks down by design"),
        ("bv=4.05", None, "breaks down by design"),
        ("bv=0", None, "nothing gives a rating"),
        ("", None, "nothing gives a rating"),
    ],
)
def test_the_breakdown_voltage_of_a_model_is_a_rating_unless_it_is_at_work(
    model: str, rated: float | None, because: str
) -> None:
    """On 4 V: from 0.98 of its breakdown voltage on a diode works as a zener (4 / 4.05 is 0.988)."""
    of = book(EXACT + DIODE.format(model), QUIET, STILL)
    found = about(of, "part.voltage_rated", "D9")
    if rated is None:
        assert isinstance(found.value, Unknown)
        assert because in found.value.because
        assert found.value.missing == ("D9 rating",)
    else:
        assert found.span is not None
        assert (found.span.middle, found.law) == (rated, "breakdown voltage of its model")
        assert [(i.label, i.value, i.origin) for i in found.inputs] == [("D9", f"{rated:g} V", "model DZ")]
        assert found.inputs[0].place is not None


@pytest.mark.parametrize(
    ("lines", "works"),
    [
        ("R8 vdd a 10 tol=0%\nD9 0 a DZ", True),
        ("R8 vdd a 1 tol=0%\nD9 0 a DZ", False),
        ("R8 out a 1k\nD9 0 a DZ", True),
        ("R8 out a 1k\nD9 a 0 DZ", False),
        ("R8 vdd a 1k\nD9 a 0 DZ", False),
    ],
)
def test_a_zener_at_work_stands_near_its_voltage_in_some_state(lines: str, works: bool) -> None:
    """3 V and 1 ohm: 3.09 V behind 10 ohm is within 1.1 of it, 3.5 V behind 1 ohm is not.

    On an output it works while that is high; the other way round it never does.
    """
    of = book(f"{EXACT}{lines}\n.model DZ d(is=1n bv=3)\n", QUIET, STILL)
    found = about(of, "part.voltage_rated", "D9")
    assert isinstance(found.value, Unknown) is works
    assert works or (found.span is not None and found.span.middle == 3)


def test_a_rating_of_the_bill_goes_before_the_model_s() -> None:
    """And a capacitor has none by a model."""
    options = FactOptions(materials={"d9": Material(Place("bay.csv", 2), rating="20V")})
    found = about(book(EXACT + DIODE.format("bv=30"), QUIET, STILL, options), "part.voltage_rated", "D9")
    assert found.span is not None
    assert (found.span.middle, found.law) == (20, "rating")
    assert [(i.label, i.value, i.origin, i.place) for i in found.inputs] == [
        ("D9", "20V", "bill of materials", Place("bay.csv", 2))
    ]
    assert lacking(book(f"{EXACT}C9 cfg 0 1n\n", QUIET, STILL), "part.voltage_rated") == ("C9 rating",)
    assert lacking(book(EXACT + DIODE.format("bv=30"), QUIET), "part.dissipation_rated", "D9") == (
        "D9 rating",
    )


@pytest.mark.parametrize(
    ("text", "volts_rated", "watts_rated"),
    [
        ("50V", 50.0, None),
        ("X7R 50V", 50.0, None),
        ("X7R,50V", 50.0, None),
        ("X7R; 50V", 50.0, None),
        ("50V, 100mW", 50.0, 0.1),
        ("100mW 50V", 50.0, 0.1),
        ("1/8W", None, 0.125),
        ("1/8 W", None, 0.125),
        ("1/8w", None, 0.125),
        ("1/4W 50V", 50.0, 0.25),
        ("0W", None, None),
        ("3/0W", None, None),
        ("-5V", None, None),
        ("0603", None, None),
        ("", None, None),
        ("50", None, None),
    ],
)
def test_how_a_rating_is_written(text: str, volts_rated: float | None, watts_rated: float | None) -> None:
    """A quantity of the unit asked for, anywhere among other words; a fraction of a watt; never nothing."""
    options = FactOptions(materials={"r1": Material(Place("bay.csv", 2), rating=text)})
    of = book(EXACT, QUIET, STILL, options)
    for name, rated in (("part.voltage_rated", volts_rated), ("part.dissipation_rated", watts_rated)):
        found = about(of, name, "R1")
        if rated is None:
            assert isinstance(found.value, Unknown)
        else:
            assert found.span is not None
            assert found.span.middle == pytest.approx(rated)


def test_which_parts_are_round_a_block() -> None:
    """On every pin but the rails, through the whole network, each once, in the order met; fitted ones."""
    lines = (
        "C9 cfg 0 1n\nR8 cfg a 1k\nD8 a 0 DD\nC8 vdd 0 1u\nR7 out 0 1k\nL9 out b 1u\nC7 b 0 1n\nR6 cfg 0 1k\n"
    )
    of = book(f"{EXACT}{lines}.model DD d(is=1n)\n", QUIET, f"{STILL}\nfit R6 no")
    found = [each.path for each in attached(of, block(of))]
    assert set(found) == {"R1", "R2", "R3", "R7", "R8", "C7", "C9", "D8"}
    assert len(found) == len(set(found))
    assert found[:3] == ["R1", "R2", "C9"]


def test_parts_of_several_blocks_are_met_once() -> None:
    """The rated ones alone: power of a resistor, voltage of a capacitor."""
    second = "R4 r2 0 100k\nXU2 vdd cfg o2 0 r2 vdd PL1\nC9 cfg 0 1n\nC8 o2 0 1n\n"
    ratings = {"r1": "1/8W", "r2": "50V", "c9": "16V", "c8": "1W", "r4": "100mW"}
    options = FactOptions(materials={k: Material(Place("bay.csv", 2), rating=v) for k, v in ratings.items()})
    of = book(EXACT + second, QUIET, STILL, options)
    assert [each.path for each in rated_parts(of)] == ["R1", "C9", "R4"]
    assert [subject.path for subject in of.subjects("part")] == ["R1", "C9", "R4"]
    assert all(subject.place.path == "board.cir" for subject in of.subjects("part"))


def test_two_sides_that_one_output_drives_by_two_pins_are_not_told_apart() -> None:
    """A block with two output pins: what stands between them is unknown, and named."""
    twice = QUIET.replace('"rate", "enable"]', '"rate", "enable", "output"]')
    board = EXACT.replace("rt vdd PL1", "rt vdd o2 PL1") + "C9 out o2 1n\nR9 out 0 1k\nR8 o2 0 1k\n"
    assert lacking(book(board, twice, STILL), "part.voltage") == ("C9 voltage",)
