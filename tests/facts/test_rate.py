"""The current out of the rate pin, against values worked out by hand."""

import pytest

from drc.facts.dependence import States, label
from drc.facts.model import Cases
from drc.facts.rate import rate_current
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import block, book, fact, span, unknown


def rated(netlist: str) -> str:
    """The centred board with other things on its rate pin."""
    return CENTRED.replace("R3 rt 0 100k tol=1%", netlist)


def test_current_is_the_pins_voltage_over_its_resistance() -> None:
    """0.5 V +/- 2 % over 100k +/- 1 %: 5 uA, 0.49/101k to 0.51/99k."""
    current = span(book(CENTRED, PLAIN), "rate.current")
    assert (current.low, current.middle, current.high) == pytest.approx((0.49 / 101e3, 5e-6, 0.51 / 99e3))


def test_a_control_voltage_behind_a_resistor_steers_the_current() -> None:
    """R3 100k to ground, R4 200k to vctl: I = 0.5/100k + (0.5 - Vctl)/200k: 7.5 uA at 0 V, 2.5 uA at 1 V."""
    exactly = PLAIN.replace("0.5V +/- 2%", "0.5V")
    board = rated("R3 rt 0 100k tol=0%\nR4 rt vctl 200k tol=0%")
    of = book(board, exactly, "signal vctl 0V .. 1V")
    current = span(of, "rate.current")
    assert (current.low, current.high) == pytest.approx((2.5e-6, 7.5e-6))
    assert span(of, "rate.resistance").nominal == pytest.approx(1e5 * 2e5 / 3e5)


def test_a_control_voltage_beyond_the_pins_reverses_the_current() -> None:
    """At 2.5 V: 0.5/100k + (0.5 - 2.5)/200k = 5 - 10 = -5 uA: negative, and said so by its sign."""
    board = rated("R3 rt 0 100k tol=0%\nR4 rt vctl 200k tol=0%\nV2 vctl 0 2.5")
    assert span(book(board, PLAIN), "rate.current").nominal == pytest.approx(-5e-6)


def test_a_pulse_source_gives_two_currents_and_nothing_between() -> None:
    """A control source between 0 V and 1 V steers to 7.5 uA and to 2.5 uA."""
    board = rated("R3 rt 0 100k tol=0%\nR4 rt vctl 200k tol=0%\nV2 vctl 0 PULSE(0 1 0 1u 1u 1m 2m)")
    of = book(board, PLAIN)
    value = fact(of, "rate.current").value
    assert isinstance(value, Cases)
    assert {case.label: case.value.middle for case in value.cases} == pytest.approx(
        {"vctl = 0 V": 7.5e-6, "vctl = 1 V": 2.5e-6}
    )
    current = rate_current(of, block(of))
    assert isinstance(current, States)
    assert [label(conditions) for conditions, _ in current.states] == ["vctl = 0 V", "vctl = 1 V"]


def test_another_blocks_output_steers_by_its_two_levels() -> None:
    """XU2 behind 25 ohm and 200k: high 4 V gives 5 uA + (0.5 - 4)/200.025k, low 5 uA + 0.5/200.025k."""
    board = (
        rated("R3 rt 0 100k tol=0%\nR4 rt out2 200k tol=0%") + "R5 rt2 0 100k\nXU2 vdd 0 out2 0 rt2 vdd PL1\n"
    )
    value = fact(book(board, PLAIN), "rate.current").value
    assert isinstance(value, Cases)
    found = {case.label: case.value.middle for case in value.cases}
    assert found["XU2 = high"] == pytest.approx(5e-6 - 3.5 / 200025)
    assert found["XU2 = low"] == pytest.approx(5e-6 + 0.5 / 200025)


def test_an_open_rate_pin_is_open() -> None:
    """A resistor on another net leaves the pin open, its resistance unknown."""
    of = book(rated("R3 rtx 0 100k\nC9 rt 0 1p"), PLAIN)
    assert fact(of, "rate.open").value is True
    assert unknown(of, "rate.resistance").missing == ("XU1 timing resistor",)


def test_a_link_on_the_rate_pin_is_a_short() -> None:
    """0 ohm to ground."""
    of = book(rated("R3 rt 0 0"), PLAIN)
    assert fact(of, "rate.shorted").value is True
    assert fact(of, "rate.open").value is False


def test_a_bridge_on_the_rate_pin_is_solved() -> None:
    """A balanced bridge (1:1, detector 47k) from rt to ground with 100k arms is 100k: 5 uA."""
    bridge = "R3 rt a 100k\nR4 rt b 100k\nR5 a 0 100k\nR6 b 0 100k\nR7 a b 47k"
    assert span(book(rated(bridge), PLAIN), "rate.current").nominal == pytest.approx(5e-6)


def test_capacitance_counts_only_where_no_resistance_is_before_it() -> None:
    """10 pF on the pin count, 1 nF behind 1k do not."""
    of = book(rated("R3 rt m 99k\nR4 m 0 1k\nC1 m 0 1n\nC2 rt 0 10p"), PLAIN)
    assert span(of, "rate.capacitance").nominal == pytest.approx(10e-12)


def test_an_unknown_part_on_the_rate_pin_blocks_and_is_named() -> None:
    """What flows into an unknown part is not known: the current is unproven, and the part is named."""
    found = unknown(book(rated("R3 rt 0 100k\nX9 rt 0 MYSTERY"), PLAIN), "rate.current")
    assert "X9" in " ".join(found.missing)


def test_connectors_and_unfitted_parts_do_not_block() -> None:
    """A test point on the pin and an unfitted resistor leave 5 uA."""
    of = book(rated("R3 rt 0 100k\nXTP1 rt PAD\nR4 rt 0 100k"), PLAIN, "fit R4 no")
    assert span(of, "rate.current").nominal == pytest.approx(5e-6)


def test_a_value_that_cannot_be_read_blocks_and_is_named() -> None:
    """A timing resistor without a value leaves the current unknown, and names the resistor's value."""
    found = unknown(book(rated("R3 rt 0 DNK"), PLAIN), "rate.current")
    assert found.missing == ("R3 value",)


def test_the_same_circuit_drawn_differently_gives_the_same_current() -> None:
    """To a 0 V source, through a link, through an inductor, and split in two with a filter capacitor."""
    straight = span(book(rated("R3 rt 0 100k tol=1%"), PLAIN), "rate.current")
    for drawing in (
        "V9 g 0 0\nR3 rt g 100k tol=1%",
        "R9 rt m 0\nR3 m 0 100k tol=1%",
        "L9 rt m 1u\nR3 m 0 100k tol=1%",
        "R8 rt m 50k tol=1%\nR9 m 0 50k tol=1%\nC9 m 0 1n",
        ".subckt leg a\nR3 a 0 100k tol=1%\n.ends\nXL rt leg",
    ):
        found = span(book(rated(drawing), PLAIN), "rate.current")
        assert tuple(found[:3]) == pytest.approx(tuple(straight[:3]), rel=1e-9), drawing


def test_a_current_source_takes_its_share() -> None:
    """1 uA drawn out of the pin's net to ground adds to the resistor's 5 uA; pushed in, it takes away."""
    drawn = span(book(rated("R3 rt 0 100k tol=0%\nI1 rt 0 1u"), PLAIN), "rate.current")
    assert drawn.nominal == pytest.approx(6e-6)
    pushed = span(book(rated("R3 rt 0 100k tol=0%\nI1 0 rt 1u"), PLAIN), "rate.current")
    assert pushed.nominal == pytest.approx(4e-6)


def test_a_controlled_source_is_no_fuse() -> None:
    """F with a controlling source is not known; F with a rating is a fuse and joins."""
    found = unknown(book(rated("R3 rt 0 100k\nF1 rt 0 V1 2"), PLAIN), "rate.current")
    assert found.missing == ("F1",)
    fused = span(book(rated("F1 rt m 1A\nR3 m 0 100k"), PLAIN), "rate.current")
    assert fused.nominal == pytest.approx(5e-6)


def test_an_output_that_can_be_off_has_a_third_state() -> None:
    """A three-state output on the steering resistor: high, low, and open, where only R3's 5 uA flow."""
    parts = PLAIN + '\n[part.PL1T]\nlike = "PL1"\noutput = { kind = "three-state" }\n'
    board = (
        rated("R3 rt 0 100k tol=0%\nR4 rt out2 200k tol=0%")
        + "R5 rt2 0 100k\nXU2 vdd 0 out2 0 rt2 vdd PL1T\n"
    )
    value = fact(book(board, parts), "rate.current").value
    assert isinstance(value, Cases)
    assert {case.label: case.value.middle for case in value.cases}["XU2 = open"] == pytest.approx(5e-6)
