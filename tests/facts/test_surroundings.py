"""Inputs' limits, what else is on the output's net, what is drawn, and what the parts round a block stand."""

import pytest

from drc.circuit.material import Material
from drc.facts.book import Book
from drc.facts.model import Cases, Fact, Subject
from drc.facts.options import FactOptions
from drc.trouble import Place
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span, unknown

LIMITED = PLAIN.replace('active = "high" }', 'active = "high", limit = "supply + 0.3V" }')


def part(of: Book, name: str, path: str) -> Fact:
    """A fact about an element."""
    element = of.board.circuit.element(path)
    assert element is not None
    return of.fact(Subject("part", element.path, element.place), name)


def test_an_input_on_its_own_supply_has_room() -> None:
    """Enable on the supply is 0.3 V below supply + 0.3 V, whatever the supply."""
    of = book(CENTRED, LIMITED, "supply vdd 3V .. 5V")
    room = span(of, "input.excess")
    assert (room.low, room.high) == pytest.approx((-0.3, -0.3))
    assert fact(of, "input.worst").value == "enable"


def test_an_input_from_a_higher_rail_is_over_its_limit() -> None:
    """Enable at 5 V on a 4 V block is 0.7 V over 4.3 V: it would power the block from its input."""
    board = CENTRED.replace("rt vdd PL1", "rt v5 PL1") + "V9 v5 0 5\n"
    assert span(book(board, LIMITED), "input.excess").middle == pytest.approx(0.7)


def test_an_output_of_a_higher_supply_overdrives_in_its_high_state() -> None:
    """XU2 at 6 V on XU1's enable: 1.7 V over when high, 4.3 V of room when low."""
    board = (
        CENTRED.replace("rt vdd PL1", "rt en PL1") + "V9 v6 0 6\nR9 rt2 0 100k\nXU2 v6 0 en 0 rt2 v6 PL1\n"
    )
    value = fact(book(board, LIMITED), "input.excess").value
    assert isinstance(value, Cases)
    assert {case.label: case.value.middle for case in value.cases} == pytest.approx(
        {"XU2 = high": 1.7, "XU2 = low": -4.3}
    )


def test_capacitance_on_the_output_is_summed() -> None:
    """1 nF and 220 pF straight on the pin; the part gives no rating, which is named."""
    of = book(CENTRED + "C8 out 0 1n\nC9 out vdd 220p\nR9 out f 1k\nC7 f 0 10u\n", PLAIN)
    assert span(of, "output.capacitance").nominal == pytest.approx(1.22e-9)
    assert unknown(of, "output.capacitance_rated").missing == ("PL1 output capacitance",)


def test_an_output_on_a_rail_is_tied() -> None:
    """Joined to the supply by a link: tied; behind 1k: not."""
    assert fact(book(CENTRED + "R9 out vdd 0\n", PLAIN), "output.tied").value is True
    assert fact(book(CENTRED + "R9 out vdd 1k\n", PLAIN), "output.tied").value is False


def test_two_push_pull_outputs_contend_and_open_drains_do_not() -> None:
    """On one net, also through a link; open drains make a wired function; a series resistor parts them."""
    second = "R5 rt2 0 100k\nXU2 vdd 0 {net} 0 rt2 vdd {part}\n"
    assert (
        fact(book(CENTRED + second.format(net="out", part="PL1"), PLAIN), "output.contention").value is True
    )
    joined = CENTRED + "R9 out o2 0\n" + second.format(net="o2", part="PL1")
    assert fact(book(joined, PLAIN), "output.contention").value is True
    wired = CENTRED.replace("PL1", "PL1D") + second.format(net="out", part="PL1D")
    assert fact(book(wired, PLAIN), "output.contention").value is False
    apart = CENTRED + "R9 out o2 1k\n" + second.format(net="o2", part="PL1")
    assert fact(book(apart, PLAIN), "output.contention").value is False


def test_strap_and_supply_current() -> None:
    """4 V over 32k is 125 uA; 2 mA +/- 10 % and 5 uA of rate current make 2.005 mA."""
    of = book(CENTRED.replace("PL1", "PL1H"), PLAIN)
    assert span(of, "strap.current").nominal == pytest.approx(125e-6)
    assert span(of, "supply.current").nominal == pytest.approx(2.005e-3)


def test_a_resistor_on_the_output_dissipates_in_the_driven_state() -> None:
    """350 ohm behind 25 ohm at 4 V, high: (4 * 350 / 375)^2 / 350 = 39.8 mW; low: nothing."""
    of = book(CENTRED + "R9 out 0 350 tol=0%\n", PLAIN)
    value = part(of, "part.dissipation", "R9").value
    assert isinstance(value, Cases)
    found = {case.label: case.value.middle for case in value.cases}
    assert found == pytest.approx({"XU1 = high": (4 * 350 / 375) ** 2 / 350, "XU1 = low": 0.0})


def test_a_strap_resistor_and_its_capacitor() -> None:
    """2.75 V over 22k is 343.75 uW; the capacitor at the tap stands 1.25 V."""
    of = book(CENTRED + "C9 cfg 0 1n\n", PLAIN)
    assert part(of, "part.dissipation", "R1").span is not None
    assert part(of, "part.dissipation", "R1").span.nominal == pytest.approx(2.75**2 / 22e3)  # type: ignore[union-attr]
    assert part(of, "part.voltage", "C9").span.nominal == pytest.approx(1.25)  # type: ignore[union-attr]


def test_a_diode_stands_its_reverse_voltage() -> None:
    """From out to the supply: 4 V against it when low, nothing when high; its model breaks down at 75 V."""
    of = book(CENTRED + "R9 out a 1k\nD9 a vdd DD\n.model DD d(is=1n n=1.8 bv=75)\n", PLAIN)
    value = part(of, "part.voltage", "D9").value
    assert isinstance(value, Cases)
    assert {case.label: case.value.middle for case in value.cases}["XU1 = low"] == pytest.approx(4, rel=1e-3)
    rated = part(of, "part.voltage_rated", "D9").span
    assert rated is not None
    assert rated.middle == 75
    assert [s.path for s in of.subjects("part")] == ["D9"]


@pytest.mark.parametrize(
    ("text", "watts"), [("0.1W", 0.1), ("1/8W", 0.125), ("50V, 0.25W", 0.25), ("50V", None)]
)
def test_ratings_are_read_from_the_bill_of_materials(text: str, watts: float | None) -> None:
    """A power is found among other words; without one the rating is unknown."""
    options = FactOptions(materials={"r1": Material(Place("bay.csv", 2), rating=text)})
    value = part(book(CENTRED, PLAIN, options=options), "part.dissipation_rated", "R1")
    assert (value.span.middle if value.span else None) == watts


def test_the_peak_into_capacitance_is_judged_apart_from_the_average() -> None:
    """1 nF straight on the pin: 4 V over 25 ohm is 160 mA at the edge; the average is C V f."""
    of = book(CENTRED + "C9 out 0 1n tol=0%\n", PLAIN)
    assert span(of, "output.peak").nominal == pytest.approx(0.16)
    assert span(of, "output.source").high == 0
    hertz = span(of, "timing.frequency").high
    assert span(of, "output.charging").nominal == pytest.approx(1e-9 * 4 * hertz)


def test_a_series_resistor_limits_the_peak() -> None:
    """4 V over 25 + 375 ohm."""
    of = book(CENTRED + "R9 out f 375 tol=0%\nC9 f 0 10u\n", PLAIN)
    assert span(of, "output.peak").nominal == pytest.approx(10e-3)


TWO = PLAIN.replace('"rate", "enable"]', '"rate", "enable", "supply-io"]').replace(
    "strap    = {", 'supplies.io = { rated = "1.6V .. 2.0V", limit = "2.5V" }\nstrap    = {', 1
)


def test_a_second_supply_has_a_voltage_and_ratings_of_its_own() -> None:
    """1.8 V on the second pin against its 1.6 .. 2.0 V and 2.5 V; a part with one supply has none."""
    of = book(CENTRED.replace("rt vdd PL1", "rt vdd vio PL1") + "V9 vio 0 1.8\n", TWO)
    assert span(of, "second.voltage").middle == pytest.approx(1.8)
    assert (span(of, "second.rated").low, span(of, "second.limit").middle) == (1.6, 2.5)
    assert unknown(book(CENTRED, PLAIN), "second.voltage").missing == ("XU1 second supply",)


def test_a_statement_that_its_source_contradicts_is_told() -> None:
    """`supply vdd 3V .. 3.6V` on a net that V1 holds at 4 V; 3.5 .. 4.5 V agrees."""
    wrong = fact(book(CENTRED, PLAIN, "supply vdd 3V .. 3.6V"), "supply.contradicted")
    assert wrong.value is True
    assert [each.label for each in wrong.inputs] == ["vdd", "V1"]
    assert fact(book(CENTRED, PLAIN, "supply vdd 3.5V .. 4.5V"), "supply.contradicted").value is False
    assert fact(book(CENTRED, PLAIN), "supply.contradicted").value is False


@pytest.mark.parametrize(
    ("lines", "intent", "expected"),
    [
        ("V2 vdd 0 5", "", True),
        ("V2 v5 0 5\nR9 v5 vdd 0", "", True),
        ("V2 v5 0 5\nL9 v5 mid 1u\nL8 mid vdd 1u", "", True),
        ("R9 v5 vdd 0", "supply v5 5V", True),
        ("V2 vdd 0 4", "", False),
        ("V2 v5 0 5\nR9 v5 vdd 10k", "", False),
        ("V2 v5 0 5\nD9 v5 vdd DX", "", False),
        ("R9 v4 vdd 0", "supply v4 3.9V .. 4.1V", False),
    ],
)
def test_two_voltages_on_one_rail_are_contested(lines: str, intent: str, expected: bool) -> None:
    """4 V of V1 and another, straight or through joints; a diode or a resistor parts two rails."""
    of = book(f"{CENTRED}{lines}\n", PLAIN, intent)
    assert fact(of, "supply.contested").value is expected
