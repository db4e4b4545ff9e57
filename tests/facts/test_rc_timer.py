"""RC timers: the network really attached, by hand-computed values, properties and deletion."""

from math import log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drc.resources import data_root
from tests.facts.timing_boards import book, fact, part, span, unknown

PARTS = """
[part.TR1]
title = "test part"
source = "this test"
function = "rc-timer"
pins = ["supply", "output", "discharge", "threshold", "control", "trigger", "reset", "ground"]
ladder = {{ lower = "1/3", upper = "2/3", error = "{error}", resistance = "5kohm" }}
discharge = {{ resistance = "{discharge}" }}
output = {{ kind = "push-pull", source = "50mA", sink = "50mA", resistance = "0ohm" }}
{more}
"""
BOARD = """V1 vdd 0 6
XU1 vdd out dis th cv th vdd 0 TR1
RA vdd dis 10k 0%
RB dis th 20k 0%
C1 th 0 100n 0%
"""


def parts(error: str = "0%", discharge: str = "0ohm", more: str = "") -> str:
    """The part of these tests."""
    return PARTS.format(error=error, discharge=discharge, more=more)


def test_discharge_resistance_slows_the_fall() -> None:
    """RB to a node at 6 V * 1k/(10k+1k) = 0.5455 V behind 10k||1k: t = (RB + Rth) C ln(...), by hand."""
    board = book(BOARD, parts(discharge="1kohm"))
    ohm, final = 20e3 + 10e3 * 1e3 / 11e3, 6 * 1 / 11
    by_hand = ohm * 100e-9 * log((4 - final) / (2 - final))
    assert span(board, "timing.low").nominal == pytest.approx(by_hand)
    assert span(board, "timing.high").nominal == pytest.approx(log(2) * 30e3 * 100e-9)


def test_a_loaded_control_pin_pulls_both_thresholds() -> None:
    """10 kohm from control to ground beside the ladder's 2 * 5 kohm: 6 V * 5/(5 + 5) = 3 V and 1.5 V."""
    board = book(f"{BOARD}RCV cv 0 10k 0%\n", parts())
    rise = 30e3 * 100e-9 * log((6 - 1.5) / (6 - 3))
    assert span(board, "timing.high").nominal == pytest.approx(rise)
    assert span(board, "timing.low").nominal == pytest.approx(20e3 * 100e-9 * log(2))


def test_a_driven_control_pin_sets_both_thresholds() -> None:
    """At 4.5 V on the control pin the capacitor moves between 2.25 V and 4.5 V."""
    board = book(BOARD, parts(), "signal cv 4.5V")
    rise = 30e3 * 100e-9 * log((6 - 2.25) / (6 - 4.5))
    assert span(board, "timing.high").nominal == pytest.approx(rise)


def test_a_threshold_out_of_reach_never_ends() -> None:
    """A divider that charges to 3 V never reaches 4 V: said so, and no number is given."""
    board = book(f"{BOARD}RX th 0 30k 0%\n", parts())
    assert "short of the threshold" in unknown(board, "timing.frequency").because
    assert "short of the threshold" in unknown(board, "timing.high").because


def test_timing_resistor_on_another_rail() -> None:
    """Charging from 9 V towards thresholds of a 6 V timer: ln((9 - 2)/(9 - 4)) in place of ln 2."""
    board = book(f"V2 vhi 0 9\n{BOARD.replace('RA vdd', 'RA vhi')}", parts())
    assert span(board, "timing.high").nominal == pytest.approx(30e3 * 100e-9 * log(7 / 5))


def test_leakage_moves_the_high_time_both_ways() -> None:
    """1 uA of either sign through 30 kohm is 30 mV on the 6 V that the capacitor heads for."""
    board = book(BOARD, parts(more='input.threshold = { leakage = "1uA" }'))
    high = span(board, "timing.high")
    assert high.low == pytest.approx(30e3 * 100e-9 * log((6.03 - 2) / (6.03 - 4)))
    assert high.high == pytest.approx(30e3 * 100e-9 * log((5.97 - 2) / (5.97 - 4)))


def test_the_supply_cancels_on_its_own_ladder() -> None:
    """With ladder and resistors on one supply the span of the supply moves nothing."""
    board = book(BOARD.replace("V1 vdd 0 6\n", ""), parts(), "supply vdd 5V .. 9V")
    frequency = span(board, "timing.frequency")
    assert frequency.low == pytest.approx(frequency.high)


def test_an_astable_driven_from_its_output_is_symmetric() -> None:
    """One resistor from an output of no drop: ln 2 R C both ways, 50 points."""
    board = book("V1 vdd 0 6\nXU1 vdd out d th cv th vdd 0 TR1\nR1 out th 15k 0%\nC1 th 0 10n 0%", parts())
    assert span(board, "timing.high").nominal == pytest.approx(log(2) * 150e-6)
    assert span(board, "timing.duty").nominal == pytest.approx(50)


def test_a_one_shot_starts_from_what_the_switch_leaves() -> None:
    """1 kohm of discharge switch under 10 kohm leaves 6/11 V on the capacitor: ln((6 - 6/11)/2)."""
    netlist = "V1 vdd 0 6\nXU1 vdd out th th cv trg vdd 0 TR1\nR1 vdd th 10k 0%\nC1 th 0 100n 0%"
    board = book(netlist, parts(discharge="1kohm"))
    assert span(board, "timing.pulse_width").nominal == pytest.approx(1e-3 * log((6 - 6 / 11) / 2))
    assert fact(board, "output.rest").value == "low"


def test_a_resistor_before_the_discharge_pin_leaves_a_one_shot() -> None:
    """1 kohm from capacitor to discharge pin: the same wiring, starting from 6/11 V."""
    netlist = (
        "V1 vdd 0 6\nXU1 vdd out dis th cv trg vdd 0 TR1\nRS dis th 1k 0%\nR1 vdd th 10k 0%\nC1 th 0 100n 0%"
    )
    assert span(book(netlist, parts()), "timing.pulse_width").nominal == pytest.approx(
        1e-3 * log((6 - 6 / 11) / 2)
    )


def test_a_diode_past_the_lower_resistor_halves_the_high_time() -> None:
    """With a near-ideal diode the high time is that of RA alone, ln 2 RA C: below 50 % duty."""
    diode = "D1 dis th DX\n.model DX d(is=1e-6 n=0.01)\n"
    board = book(f"{BOARD}{diode}", parts())
    assert span(board, "timing.high").nominal == pytest.approx(log(2) * 10e3 * 100e-9, rel=0.01)
    assert span(board, "timing.low").nominal == pytest.approx(log(2) * 20e3 * 100e-9, rel=1e-6)


def test_capacitor_tolerance_reaches_the_span() -> None:
    """A capacitor of 5 % gives a period of 5 % where nothing else moves."""
    period = span(book(BOARD.replace("100n 0%", "100n 5%"), parts()), "timing.period")
    assert period.nominal is not None
    assert (period.low / period.nominal, period.high / period.nominal) == pytest.approx((0.95, 1.05))


@pytest.mark.parametrize(
    ("gone", "tested", "names"),
    [
        ("V1 vdd 0 6\n", parts(), "voltage of vdd"),
        ("C1 th 0 100n 0%\n", parts(), "capacitor"),
        ("RA vdd dis 10k 0%\n", parts(), "voltage of th"),
        ("", parts().replace('error = "0%", ', ""), "TR1 ladder.error"),
        ("", parts().replace('discharge = { resistance = "0ohm" }', ""), "TR1 discharge.resistance"),
    ],
)
def test_taking_one_input_away_is_named(gone: str, tested: str, names: str) -> None:
    """Without supply, capacitor, resistor, ladder error or discharge resistance the period is unknown."""
    assert names in unknown(book(BOARD.replace(gone, ""), tested), "timing.period").missing


def test_a_second_capacitor_is_not_guessed_at() -> None:
    """A capacitor at the discharge node makes a network of second order: unknown, and named."""
    assert unknown(book(f"{BOARD}C2 dis 0 1n\n", parts()), "timing.period").missing == ("C2",)


def test_an_unknown_wiring_is_said() -> None:
    """Neither astable nor one-shot: unknown, with the two wirings that would be."""
    apart = BOARD.replace("th cv th vdd", "th cv tr vdd").replace("RB dis th", "RB vdd th")
    board = book(apart, parts())
    assert "neither as an astable" in unknown(board, "timing.frequency").because


@settings(max_examples=25)
@given(st.floats(1e3, 1e6), st.floats(1e3, 1e6), st.floats(1.01, 3))
def test_more_resistance_takes_longer(upper: float, lower: float, more: float) -> None:
    """The period rises with either resistor."""

    def period(ra: float, rb: float) -> float:
        netlist = (
            f"V1 vdd 0 6\nXU1 vdd out dis th cv th vdd 0 TR1\nRA vdd dis {ra}\nRB dis th {rb}\nC1 th 0 10n"
        )
        return span(book(netlist, parts()), "timing.period").middle

    base = period(upper, lower)
    assert period(upper * more, lower) > base
    assert period(upper, lower * more) > base


def test_two_timers_in_one_package_are_timed_apart() -> None:
    """Unit A as an astable, unit B as a one-shot, each on its own pins: ln 2 and ln 3."""
    dual = """
[part.TR2]
title = "test part"
source = "this test"
function = "rc-timer"
ladder = { lower = "1/3", upper = "2/3", error = "0%" }
discharge = { resistance = "0ohm" }
pins = ["supply", "ground", "nc", "nc", "nc", "nc", "nc", "nc", "nc", "nc"]
[part.TR2.unit.A]
pins = ["supply", "ground", "output", "discharge", "threshold", "trigger", "nc", "nc", "nc", "nc"]
[part.TR2.unit.B]
pins = ["supply", "ground", "nc", "nc", "nc", "nc", "output", "discharge", "threshold", "trigger"]
"""
    netlist = """V1 vdd 0 6
XU3 vdd 0 outa da ta ta outb tb tb trg TR2
RA vdd da 10k 0%
RB da ta 10k 0%
CA ta 0 10n 0%
RC vdd tb 47k 0%
CB tb 0 100n 0%"""
    board = book(netlist, dual)
    assert span(board, "timing.period", "XU3/A").nominal == pytest.approx(log(2) * 30e3 * 10e-9)
    assert span(board, "timing.pulse_width", "XU3/B").nominal == pytest.approx(log(3) * 47e3 * 100e-9)


def test_what_the_discharge_switch_carries() -> None:
    """Steady 6 V / (10k + 60) through RA; as it turns on, 4 V over 20k adds: 0.8 mA of 6.67k and 60."""
    board = book(BOARD, parts(discharge="60ohm").replace('"60ohm"', '"60ohm", current = "5mA"'))
    assert span(board, "rc.discharge_current").nominal == pytest.approx(6 / 10060)
    norton, ohm = 6 / 10e3 + 4 / 20e3, 1 / (1 / 10e3 + 1 / 20e3)
    assert span(board, "rc.discharge_surge").nominal == pytest.approx(norton * ohm / (ohm + 60))
    assert span(board, "rc.discharge_rated").nominal == pytest.approx(5e-3)


def test_the_network_by_its_facts() -> None:
    """Thresholds of 6 V, the voltage charged to, and what still flows at the upper threshold: 2 V / 30k."""
    board = book(
        BOARD, parts(more='input.threshold = { leakage = "1uA" }\ninput.trigger = { leakage = "2uA" }')
    )
    assert fact(board, "rc.wiring").value == "astable"
    assert span(board, "rc.upper_threshold").nominal == pytest.approx(4)
    assert span(board, "rc.lower_threshold").nominal == pytest.approx(2)
    assert span(board, "rc.settles").nominal == pytest.approx(6)
    assert span(board, "rc.charging_current").nominal == pytest.approx(2 / 30e3)
    assert span(board, "rc.leakage").nominal == pytest.approx(3e-6)
    assert span(board, "rc.capacitance").nominal == pytest.approx(100e-9)


def test_other_blocks_are_no_rc_timers() -> None:
    """The facts of an RC timer's network are unknown of an oscillator, not an error."""
    board = book("V1 vdd 0 3\nXU1 vdd vdd out 0 rt TO1\nRT rt 0 100k", part("TO1", "oscillator"))
    assert "is no RC timer" in unknown(board, "rc.wiring").because


@pytest.mark.parametrize("name", ["QB12", "QC12"])
def test_the_sample_maker_s_timers_are_described_in_full(name: str) -> None:
    """Both kinds give every figure that a period over supply and ambient needs."""
    file = data_root() / "rules" / "parts" / "quay.toml"
    netlist = f"""XU1 vdd out d t cv t vdd 0 {name}
RA vdd d 10k 1%
RB d t 22k 1%
C1 t 0 47n 5%"""
    board = book(
        netlist, file.read_text(encoding="utf-8"), "supply vdd 4.75V .. 5.25V\nambient 0degC .. 60degC"
    )
    frequency = span(board, "timing.frequency")
    assert frequency.nominal == pytest.approx(1 / (log(2) * 54e3 * 47e-9), rel=0.01)
    assert 0.07 < frequency.high / frequency.middle - 1 < 0.15
