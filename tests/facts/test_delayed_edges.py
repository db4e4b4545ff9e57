"""Delays edge by edge, in each state of the rate, and pulses against them: 20 us a 25 kohm, by hand."""

import pytest

from drc.facts.book import Book
from drc.facts.dependence import Dependence, States, spread
from drc.facts.edge_delay import delay, delay_falling, delay_rising, delayed_edges, pulse_slack
from drc.facts.model import Unknown
from drc.facts.options import FactOptions
from tests.facts.chain_boards import chained
from tests.facts.timing_boards import block, part

STILL = "ambient 25degC .. 25degC\nassume R* tempco 0ppm\n"
BOARD = "XU1 vdd cfg out 0 rt sig TD9\nRA vdd cfg 50k 0%\nRB cfg 0 30k 0%\n"
RATE = "RT rt 0 100k 0%\n"
"""5 uA: 80 us +/- 1 %."""

STEPPED = "RT rt sq 100k 0%\nV9 sq 0 PULSE(0 0.25 0 1n 1n 1m 2m)\n"
"""5 uA or 2.5 uA: 80 us or 160 us."""


def delaying(edges: str, timing: str = "", more: str = "") -> str:
    """An edge delay."""
    signal = f'signal = {{ edges = "{edges}", restart = true }}'
    return part("TD9", "edge-delay", "signal", f"{signal}\n{more}", timing)


def board(parts: str, intent: str = "", rate: str = RATE) -> Book:
    """A delay on its board."""
    return chained(BOARD + rate, STILL + intent, parts)


def ends(found: object) -> list[float]:
    """Low, nominal and high of what must be known, us."""
    assert isinstance(found, Dependence), found
    span = spread(found, "extreme", FactOptions(), "x")
    return [round(1e6 * each, 6) for each in (span.low, span.middle, span.high)]


@pytest.mark.parametrize("edges", ["rising", "falling", "both"])
def test_which_edges_wait_and_which_pass(edges: str) -> None:
    """What is delayed takes 80 us and the offset; what passes the offset alone; the delay is the former."""
    of = board(delaying(edges, 'offset = "1us .. 3us"'))
    waits, passes = [80.2, 82, 83.8], [1, 2, 3]
    assert delayed_edges(block(of)) == edges
    assert ends(delay_rising(of, block(of))) == (passes if edges == "falling" else waits)
    assert ends(delay_falling(of, block(of))) == (passes if edges == "rising" else waits)
    assert ends(delay(of, block(of))) == waits


def test_an_edge_that_passes_says_so() -> None:
    """The law names the edge, and its evidence is the part file's offset."""
    of = board(delaying("rising", 'offset = "1us .. 3us"'))
    found = delay_falling(of, block(of))
    assert isinstance(found, Dependence)
    assert found.text == "falling edges pass undelayed: 0 s + offset"
    assert [(each.label, each.origin) for each in found.inputs] == [("TD9 offset", "part file")]


def test_edges_of_their_own_figures_are_two_states() -> None:
    """Rising 4 %, falling 1 %: labelled, in this order."""
    of = board(delaying("both", 'rising = { error = "4%" }'))
    found = delay(of, block(of))
    assert isinstance(found, States)
    assert [at for at, _ in found.states] == [(("edge", "rising"),), (("edge", "falling"),)]
    assert [ends(each) for _, each in found.states] == [[76.8, 80, 83.2], [79.2, 80, 80.8]]


def test_edges_and_the_states_of_the_rate_are_matched() -> None:
    """Each edge in each state of the source behind the timing resistor.

    Against 0.25 V the pin's own 0.5 V +/- 2 % counts: 800 us * 0.49 / 2.4 = 163.33 us, and 1 % or 4 % on top.
    """
    of = board(delaying("both", 'falling = { error = "4%" }'), rate=STEPPED)
    found = delay(of, block(of))
    assert isinstance(found, States)
    assert [(dict(at)["edge"], dict(at)["sq"], ends(each)[1]) for at, each in found.states] == [
        ("rising", "0 V", 80),
        ("rising", "250 mV", 160),
        ("falling", "0 V", 80),
        ("falling", "250 mV", 160),
    ]
    assert [ends(each)[2] for _, each in found.states] == pytest.approx(
        [80.8, 163.333333 * 1.01, 83.2, 163.333333 * 1.04]
    )
    plain = board(delaying("both"), rate=STEPPED)
    alike = delay(plain, block(plain))
    assert isinstance(alike, States)
    assert [at for at, _ in alike.states] == [(("sq", "0 V"),), (("sq", "250 mV"),)]


@pytest.mark.parametrize("edge", ["rising", "falling"])
def test_one_edge_that_is_not_known_leaves_the_delay_unknown(edge: str) -> None:
    """An error for the one edge alone: the other's is missing, and so is the delay of both."""
    of = board(delaying("both", f'{edge} = {{ error = "4%" }}').replace('error = "1%", ', ""))
    known, other = (delay_rising, delay_falling) if edge == "rising" else (delay_falling, delay_rising)
    assert ends(known(of, block(of)))[1] == 80
    for found in (other(of, block(of)), delay(of, block(of))):
        assert isinstance(found, Unknown)
        assert found.missing == ("timing.error",)


@pytest.mark.parametrize(
    ("parts", "missing"),
    [
        (delaying("both").replace('signal = { edges = "both", restart = true }', ""), "TD9 signal.edges"),
        (delaying("both").replace('edges = "both", ', ""), "TD9 signal.edges"),
    ],
)
def test_without_edges_in_the_part_file_nothing_is_known(parts: str, missing: str) -> None:
    """Neither a delay nor what outlasts it."""
    of = board(parts, "signal sig period 1ms, high 90us")
    for found in (
        delayed_edges(block(of)),
        delay(of, block(of)),
        delay_rising(of, block(of)),
        delay_falling(of, block(of)),
        pulse_slack(of, block(of)),
    ):
        assert isinstance(found, Unknown)
        assert found.missing == (missing,)


def test_a_part_without_a_clock_has_no_delay() -> None:
    """No timing in the part file: named."""
    lines = delaying("rising").splitlines()
    parts = "\n".join(line for line in lines if not line.startswith("timing")) + "\n"
    for each in (parts, parts.replace('edges = "rising"', 'edges = "both"')):
        of = board(each)
        for found in (delay_rising(of, block(of)), delay_falling(of, block(of)), delay(of, block(of))):
            assert isinstance(found, Unknown)
            assert found.missing == ("TD9 timing",)


@pytest.mark.parametrize(
    ("edges", "signal", "slack", "law"),
    [
        ("rising", "high 90us", [9.2, 10, 10.8], "high time - delay of rising edges"),
        ("rising", "high 70us .. 90us", [-10.8, 0, 10.8], "high time - delay of rising edges"),
        ("falling", "low 90us", [9.2, 10, 10.8], "low time - delay of falling edges"),
        ("both", "high 90us", [9.2, 10, 10.8], "the smaller of high and low time, less the delay"),
        ("both", "low 90us", [9.2, 10, 10.8], "the smaller of high and low time, less the delay"),
        ("both", "high 70us", [-10.8, -10, -9.2], "the smaller of high and low time, less the delay"),
    ],
)
def test_by_how_much_pulses_outlast_the_delay(edges: str, signal: str, slack: list[float], law: str) -> None:
    """High pulses against the rising delay, low ones against the falling one; below 0 they vanish."""
    of = board(
        delaying(edges, 'offset = "0s"' if edges != "both" else ""), f"signal sig period 1ms, {signal}"
    )
    found = pulse_slack(of, block(of))
    assert ends(found) == slack
    assert isinstance(found, Dependence)
    assert found.text == law
    assert {"sig period", f"sig {signal.split(maxsplit=1)[0]}"} <= {each.label for each in found.inputs}


def test_the_signal_s_span_is_circumstance() -> None:
    """70 us to 110 us against 80 us +/- 1 %: every method sets it to its ends."""
    of = board(delaying("rising", 'offset = "0s"'), "signal sig period 1ms, high 70us .. 110us")
    found = pulse_slack(of, block(of))
    assert isinstance(found, Dependence)
    assert [(each.name, each.bias) for each in found.causes if each.name.startswith("sig")] == [
        ("sig high", True)
    ]
    span = spread(found, "rss", FactOptions(), "x")
    assert (span.low, span.high) == pytest.approx((70e-6 - 80.8e-6, 110e-6 - 79.2e-6))


@pytest.mark.parametrize(
    ("edges", "signal", "missing"),
    [
        ("rising", "", "signal sig high"),
        ("falling", "", "signal sig low"),
        ("both", "", "signal sig high"),
        ("rising", "signal sig low 90us", "signal sig high"),
        ("falling", "signal sig high 90us", "signal sig low"),
        ("both", "signal sig high 90us", "signal sig low"),
    ],
)
def test_a_length_that_nobody_states_is_named(edges: str, signal: str, missing: str) -> None:
    """The high time for rising edges, the low time for falling ones."""
    of = board(delaying(edges, 'offset = "0s"'), signal)
    found = pulse_slack(of, block(of))
    assert isinstance(found, Unknown)
    assert found.missing == (missing,)


def test_a_delay_without_a_signal_pin_has_no_pulses() -> None:
    """The pin is named."""
    parts = part("TD9", "edge-delay", "enable", 'signal = { edges = "both", restart = true }')
    of = board(parts)
    found = pulse_slack(of, block(of))
    assert found == Unknown("XU1 has no signal pin", ("signal pin",))
