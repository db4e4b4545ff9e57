"""What the output delivers, against values worked out by hand."""

import math

import pytest

from drc.facts.model import Cases
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span, unknown


def loaded(load: str, part: str = "PL1") -> str:
    """The centred board with a load on its output."""
    return CENTRED.replace("PL1", part) + load + "\n"


def test_a_resistor_to_ground_takes_current_when_high() -> None:
    """4 V over 25 ohm and 375 ohm: 10 mA out when high, none when low."""
    of = book(loaded("R9 out 0 375 tol=0%"), PLAIN)
    assert span(of, "output.source").middle == pytest.approx(10e-3)
    assert span(of, "output.sink").high == 0
    assert span(of, "output.source_rated").middle == pytest.approx(10e-3)


def test_a_resistor_to_another_rail_drives_current_in_when_low() -> None:
    """10 V over 25 + 975 ohm: 10 mA in when low; high, 6 V push 6 mA back, which is no source current."""
    of = book(loaded("R9 out v10 975 tol=0%\nV9 v10 0 10"), PLAIN)
    assert span(of, "output.sink").middle == pytest.approx(10e-3)
    assert span(of, "output.source").middle == 0
    assert span(of, "output.sink_rated").middle == pytest.approx(8e-3)


def test_current_is_worst_at_the_high_end_of_the_supply() -> None:
    """3 to 5 V over 400 ohm: up to 12.5 mA."""
    source = span(book(loaded("R9 out 0 375 tol=0%"), PLAIN, "supply vdd 3V .. 5V"), "output.source")
    assert (source.low, source.high) == pytest.approx((7.5e-3, 12.5e-3))


def test_a_modelled_led_drops_what_its_model_says() -> None:
    """IS 1e-18, N 2 at I: V = 2 * 25.865 mV * ln(I/IS + 1); from 4 V behind 125 ohm, to 0.1 %."""
    of = book(loaded("R9 out a 100 tol=0%\nD9 a 0 LD\n.model LD d(is=1e-18 n=2)"), PLAIN)
    current = 10e-3
    for _ in range(60):
        current = (4 - 2 * 0.025865 * math.log(current / 1e-18 + 1)) / 125
    assert span(of, "output.source").middle == pytest.approx(current, rel=1e-3)


def test_an_led_without_a_model_has_the_usual_drop_of_its_colour() -> None:
    """Red drops 1.8 to 2.2 V: 4 V leave as much over 125 ohm (and the LED's 1 ohm), as an assumption."""
    found = fact(book(loaded("R9 out a 100 tol=0%\nD9 a 0 LED_RED"), PLAIN), "output.source")
    assert found.span is not None
    assert (found.span.low, found.span.high) == pytest.approx((1.8 / 126, 2.2 / 126), rel=1e-6)
    assert any("D9 drop" in note for note in found.assumptions)


def test_an_led_to_the_supply_loads_the_low_state() -> None:
    """From 4 V through the LED and 100 ohm into the low output."""
    of = book(loaded("D9 vdd a LED_RED\nR9 a out 100 tol=0%"), PLAIN)
    assert span(of, "output.sink").middle == pytest.approx(2.0 / 126, rel=1e-6)
    assert span(of, "output.source").high == 0


def test_an_led_without_a_resistor_is_held_back_by_the_output_alone() -> None:
    """(4 - 2.0) V over 25 + 1 ohm: about 77 mA, far above the rating."""
    assert span(book(loaded("D9 out 0 LED_RED"), PLAIN), "output.source").middle == pytest.approx(2 / 26)


def test_a_transistors_base_takes_its_junctions_drop() -> None:
    """(4 - 0.6 .. 0.8) V over 25 + 1000 ohm and the junction's 1 ohm; the collector does not matter."""
    of = book(loaded("R9 out b 1k tol=0%\nQ9 c b 0 QN\nR8 vdd c 100\n.model QN npn(bf=100)"), PLAIN)
    assert span(of, "output.source").middle == pytest.approx(3.3 / 1026, rel=1e-6)


def test_a_gate_takes_nothing() -> None:
    """A MOSFET's gate behind 100 ohm draws no direct current."""
    of = book(loaded("R9 out g 100\nM9 d g 0 0 MN\nR8 vdd d 10\n.model MN nmos"), PLAIN)
    assert span(of, "output.source").high == pytest.approx(0, abs=1e-12)


def test_an_open_drain_output_only_sinks() -> None:
    """0.4 V at 8 mA is 50 ohm: 4 V over 350 + 50 ohm sinks 10 mA; the high state drives nothing."""
    of = book(loaded("R9 out vdd 350 tol=0%", "PL1D"), PLAIN)
    assert span(of, "output.sink").middle == pytest.approx(10e-3)
    assert span(of, "output.source").high == 0


def test_a_load_statement_counts_as_load() -> None:
    """`load horn 5mA` behind 0 ohm adds 5 mA to what the output delivers."""
    of = book(loaded("R9 out horn 0"), PLAIN, "load horn 5mA")
    assert span(of, "output.source").middle == pytest.approx(5e-3)


def test_an_output_on_a_rail_fights_it() -> None:
    """Tied to its own supply, a low output sinks 4 V over 25 ohm: 160 mA."""
    of = book(CENTRED.replace("cfg out 0", "cfg vdd 0"), PLAIN)
    assert span(of, "output.sink").middle == pytest.approx(0.16)


def test_two_outputs_on_one_net_fight() -> None:
    """One high, one low: 4 V over 25 + 25 ohm = 80 mA; both alike: nothing."""
    board = loaded("R5 rt2 0 100k\nXU2 vdd 0 out 0 rt2 vdd PL1")
    value = fact(book(board, PLAIN), "output.source").value
    assert isinstance(value, Cases)
    assert {case.label: case.value.middle for case in value.cases} == pytest.approx(
        {"XU2 = high": 0.0, "XU2 = low": 0.08}
    )


def test_an_unknown_part_on_the_output_is_named() -> None:
    """What it takes is not known."""
    assert unknown(book(loaded("X9 out 0 MYSTERY"), PLAIN), "output.source").missing == ("X9",)
