"""Edge delays: both edges apart, and the pulses that get through."""

import pytest

from drc.facts.model import Cases
from tests.facts.timing_boards import book, fact, part, span, unknown

BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt sig TD1
RT rt 0 100k 0%
RA vdd cfg 30k 0%
RB cfg 0 10k 0%
"""
LEVELS = 'input.signal = { low = "0.3 supply", high = "0.7 supply" }'


def delay(edges: str, timing: str = "", more: str = LEVELS) -> str:
    """A delay of 80 us on BOARD, give or take 1 %."""
    return part("TD1", "edge-delay", "signal", f'signal = {{ edges = "{edges}" }}\n{more}', timing)


def test_delayed_and_undelayed_edges() -> None:
    """A rising-edge delay takes 80 us one way and its offset alone the other."""
    board = book(BOARD, delay("rising", 'offset = "100ns .. 300ns"'))
    assert span(board, "timing.delay_rising").high == pytest.approx(80.8e-6 + 300e-9)
    assert span(board, "timing.delay_falling")[:3] == pytest.approx((100e-9, 200e-9, 300e-9))
    assert span(board, "timing.delay") == span(board, "timing.delay_rising")


def test_an_undelayed_edge_without_offset_is_unknown() -> None:
    """A part that does not say how fast it passes an edge is not taken as passing it at once."""
    board = book(BOARD, delay("falling"))
    assert unknown(board, "timing.delay_rising").missing == ("TD1 timing.offset",)
    assert span(board, "timing.delay").nominal == pytest.approx(80e-6)


def test_both_edges_alike_are_one_delay() -> None:
    """Where the part makes no difference, both edges and the delay are the same span."""
    board = book(BOARD, delay("both"))
    assert span(board, "timing.delay") == span(board, "timing.delay_rising")
    assert span(board, "timing.delay") == span(board, "timing.delay_falling")


def test_edges_that_differ_are_two_cases() -> None:
    """`falling = { error }` of its own: two labelled delays, each with its own span."""
    board = book(BOARD, delay("both", 'falling = { error = "4%" }'))
    assert span(board, "timing.delay_falling").high == pytest.approx(83.2e-6)
    assert span(board, "timing.delay_rising").high == pytest.approx(80.8e-6)
    value = fact(board, "timing.delay").value
    assert isinstance(value, Cases)
    assert [case.label for case in value.cases] == ["edge = rising", "edge = falling"]


@pytest.mark.parametrize(
    ("edges", "signal", "nominal"),
    [
        ("rising", "period 1ms, high 90us", 10e-6),
        ("rising", "period 1ms, low 90us", 830e-6),
        ("falling", "period 1ms, low 90us", 10e-6),
        ("both", "period 1ms, high 70us", -10e-6),
        ("both", "period 1ms, low 70us", -10e-6),
    ],
)
def test_by_how_much_pulses_outlast_the_delay(edges: str, signal: str, nominal: float) -> None:
    """The high time against the rising delay, the low time against the falling one, the worse of both."""
    slack = span(book(BOARD, delay(edges), f"signal sig {signal}"), "signal.slack")
    assert slack.nominal == pytest.approx(nominal)
    assert slack.high - slack.low == pytest.approx(1.6e-6)


@pytest.mark.parametrize(("pull", "level"), [("0", "low"), ("vdd", "high")])
def test_the_output_rests_as_its_input(pull: str, level: str) -> None:
    """A pull resistor on the signal decides what the output does at rest, polarity turned round."""
    board = book(f"{BOARD}RP sig {pull} 100k\n", delay("both"))
    assert fact(board, "output.rest").value == level
    other = {"low": "high", "high": "low"}[level]
    inverted = BOARD.replace("RA vdd cfg 30k", "RA vdd cfg 1k")
    assert fact(book(f"{inverted}RP sig {pull} 100k\n", delay("both")), "output.rest").value == other


def test_a_floating_input_rests_nowhere() -> None:
    """Nothing on the signal: the rest of the output is unknown."""
    unknown(book(BOARD, delay("both")), "output.rest")


@pytest.mark.parametrize(
    ("parts", "name", "missing"),
    [
        (delay("both").replace('signal = { edges = "both" }', ""), "timing.delay", "TD1 signal.edges"),
        (delay("both").replace('error = "1%", ', ""), "timing.delay", "timing.error"),
        (delay("both"), "signal.slack", "signal sig high"),
    ],
)
def test_what_is_taken_away_is_named(parts: str, name: str, missing: str) -> None:
    """Without edges, error or signal there is no number."""
    assert missing in unknown(book(BOARD, parts), name).missing
