"""The way a control turns a quantity, wanted and as built, and the edges to delay; Ohm's law by hand.

Out of the rate pin flow V / R3 + (V - V_ctl) / R4: a higher control voltage makes the frequency lower.
"""

import pytest

from drc.facts.book import Book
from drc.facts.intended import Turn, turn
from drc.facts.model import Fact, Unknown
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import block, book, fact, part, unknown

STEERED = CENTRED.replace("R3 rt 0 100k tol=1%", "R3 rt 0 100k tol=0%\nR4 rt ctl 100k tol=0%\nR5 idle 0 1k")
"""At 0 V 10 uA: 2 us * 10 * 20 / 10 = 40 us, 25 kHz; at 0.25 V 7.5 uA, at 0.5 V 5 uA."""

QUIET = "signal ctl 0V .. 0.5V\nsignal idle 0V .. 0.5V\nambient 25degC .. 25degC\n"


def of(*wishes: str, board: str = STEERED) -> Book:
    """A board whose block XU1 is expected to do some things."""
    return book(board, PLAIN, QUIET + "".join(f"expect XU1 {wish}\n" for wish in wishes))


def found(*wishes: str, board: str = STEERED) -> Turn:
    """The turn that they tell."""
    here = of(*wishes, board=board)
    result = turn(here, block(here))
    assert isinstance(result, Turn), result
    return result


FALLS = ("frequency 20kHz .. 30kHz when ctl = 0V", "frequency 8kHz .. 15kHz when ctl = 0.5V")
RISES = ("frequency 8kHz .. 15kHz when ctl = 0V", "frequency 20kHz .. 30kHz when ctl = 0.5V")


@pytest.mark.parametrize(
    ("wishes", "net", "quantity", "wanted", "actual"),
    [
        (FALLS, "ctl", "frequency", "falls", "falls"),
        (FALLS[::-1], "ctl", "frequency", "falls", "falls"),
        (RISES, "ctl", "frequency", "rises", "falls"),
        (RISES[::-1], "ctl", "frequency", "rises", "falls"),
        (
            ("period 30us .. 50us when ctl = 0V", "period 70us .. 90us when ctl = 0.5V"),
            "ctl", "period", "rises", "rises",
        ),
        (
            ("period 70us .. 90us when CTL = 0V", "period 30us .. 50us when ctl = 0.5V"),
            "CTL", "period", "falls", "rises",
        ),
        (
            ("frequency 20kHz .. 30kHz when idle = 0V", "frequency 8kHz .. 15kHz when idle = 0.5V"),
            "idle", "frequency", "falls", "stays",
        ),
        (
            ("frequency at least 20kHz when ctl = 0V", "frequency at most 15kHz when ctl = 0.5V"),
            "ctl", "frequency", "falls", "falls",
        ),
    ],
)  # fmt: skip
def test_two_wishes_at_two_levels_tell_the_way(
    wishes: tuple[str, ...], net: str, quantity: str, wanted: str, actual: str
) -> None:
    """Whichever is written first; what the board does is told by its nominal values."""
    result = found(*wishes)
    assert result[:4] == (net, quantity, wanted, actual)
    here = of(*wishes)
    gain = fact(here, "steering.gain")
    assert gain == Fact("steering.gain", actual, f"nominal {quantity} at two levels of {net}", result.inputs)
    assert fact(here, "steering.gain_wanted").value == wanted
    assert fact(here, "steering.quantity").value == quantity
    assert fact(here, "steering.net").value == net


def test_the_evidence_is_that_of_both_levels() -> None:
    """The control's two voltages are among it, as the conditions say them."""
    told = {(each.label, each.value) for each in found(*FALLS).inputs}
    assert {("ctl", "0 V"), ("ctl", "500 mV")} <= told


@pytest.mark.parametrize(
    "wishes",
    [
        FALLS[:1],
        ("frequency 20kHz .. 30kHz when ctl = 0V", "period 70us .. 90us when ctl = 0.5V"),
        ("frequency 20kHz .. 30kHz when ctl = 0V", "frequency 8kHz .. 15kHz when idle = 0.5V"),
        ("frequency 20kHz .. 30kHz when ctl = 0V", "frequency 8kHz .. 15kHz"),
        ("frequency 20kHz .. 30kHz", "frequency 8kHz .. 15kHz"),
        ("frequency 20kHz .. 30kHz when ctl = 0V", "frequency 8kHz .. 15kHz when XU1 = high"),
        ("frequency 20kHz .. 30kHz when XU1 = low", "frequency 8kHz .. 15kHz when ctl = 0V"),
        ("frequency 20kHz .. 30kHz when ctl = 0V", "frequency 10kHz .. 20kHz when ctl = 0.5V"),
        ("frequency 10kHz .. 20kHz when ctl = 0V", "frequency 20kHz .. 30kHz when ctl = 0.5V"),
        ("frequency 10kHz .. 30kHz when ctl = 0V", "frequency 15kHz .. 20kHz when ctl = 0.5V"),
        ("polarity normal when ctl = 0V", "polarity inverted when ctl = 0.5V"),
    ],
)
def test_what_leaves_the_way_open(wishes: tuple[str, ...]) -> None:
    """One wish, two quantities, two nets, no level, an output's state, spans that touch or overlap, names."""
    here = of(*wishes)
    for name in ("gain", "gain_wanted", "quantity", "net"):
        assert unknown(here, f"steering.{name}").missing == ("expect XU1 when",)


def test_wishes_of_another_block_tell_nothing_of_this_one() -> None:
    """Each block's own."""
    more = STEERED + "R8 r2 0 100k\nXU2 vdd cfg o2 0 r2 vdd PL1\n"
    text = QUIET + f"expect XU1 {FALLS[0]}\nexpect XU2 {FALLS[1]}\n"
    here = book(more, PLAIN, text)
    assert isinstance(turn(here, block(here)), Unknown)
    assert isinstance(turn(here, block(here, "XU2")), Unknown)


def test_the_pair_that_tells_most_is_told() -> None:
    """One that the board turns round before one that it does right, and any known before an unknown."""
    nowhere = tuple(each.replace("ctl", "gone") for each in RISES)
    backward = ("period 70us .. 90us when ctl = 0V", "period 30us .. 50us when ctl = 0.5V")
    assert found(*FALLS, *backward)[:4] == ("ctl", "period", "falls", "rises")
    assert found(*backward, *FALLS)[:4] == ("ctl", "period", "falls", "rises")
    assert found(*nowhere, *FALLS)[:4] == ("ctl", "frequency", "falls", "falls")
    assert found(*FALLS, *nowhere)[:4] == ("ctl", "frequency", "falls", "falls")
    lost = found(*nowhere)
    assert lost.wanted == "rises"
    assert lost.actual == Unknown("the condition names gone, which is not on this board", ("gone",))


def test_a_period_without_end_at_one_of_the_levels_turns_no_known_way() -> None:
    """At 1 V the two resistors' currents cancel: 5 uA - 5 uA, and the clock stands still."""
    result = found("period 30us .. 50us when ctl = 0V", "period 70us .. 90us when ctl = 1V")
    assert isinstance(result.actual, Unknown)
    assert result.actual.missing == ("rate.current",)
    assert result.wanted == "rises"


def test_a_quantity_that_takes_several_states_turns_no_one_way() -> None:
    """The other end of R5 on another output: two frequencies at each level."""
    board = STEERED.replace("R5 idle 0 1k", "R5 rt o2 1meg\nR8 r2 0 100k\nXU2 vdd cfg o2 0 r2 vdd PL1")
    here = book(
        board,
        PLAIN,
        QUIET.replace("signal idle 0V .. 0.5V\n", "") + "".join(f"expect XU1 {w}\n" for w in FALLS),
    )
    result = turn(here, block(here))
    assert isinstance(result, Turn)
    assert result.actual == Unknown("it takes several states")
    assert result.wanted == "falls"


DELAY = "V1 vdd 0 3.0\nXU1 vdd cfg out 0 rt sig TD1\nRT rt 0 100k 0%\nRA vdd cfg 50k 0%\nRB cfg 0 30k 0%\n"


@pytest.mark.parametrize(
    ("wishes", "offset", "edges"),
    [
        (["delay-rising 70us .. 90us"], "", "rising"),
        (["delay-falling 70us .. 90us"], "", "falling"),
        (["delay-rising 70us .. 90us", "delay-falling 70us .. 90us"], "", "both"),
        (["delay-rising 70us .. 90us", "delay-rising at least 60us"], "", "rising"),
        (["delay-rising 70us .. 90us", "delay-falling at most 1us"], "", "rising"),
        (["delay-rising 0s .. 90us", "delay-falling 1ns .. 1us"], "", "falling"),
        (["delay-rising 300ns .. 1us", "delay-falling 301ns .. 1us"], 'offset = "100ns .. 300ns"', "falling"),
        (["delay-rising at least 1us"], 'offset = "100ns .. 300ns"', "rising"),
        (["delay-rising at most 1us"], "", None),
        (["delay 70us .. 90us"], "", None),
        (["delay-rising 200ns .. 1us"], 'offset = "100ns .. 300ns"', None),
        ([], "", None),
    ],
)
def test_which_edges_are_to_be_delayed(wishes: list[str], offset: str, edges: str | None) -> None:
    """Those of which more is wanted than what the part takes of any edge that it passes on."""
    parts = part("TD1", "edge-delay", "signal", 'signal = { edges = "rising" }', offset)
    here = book(DELAY, parts, "".join(f"expect XU1 {wish}\n" for wish in wishes))
    value = fact(here, "delay.edges_wanted").value
    if edges is None:
        assert isinstance(value, Unknown)
        assert value.missing == ("expect XU1 delay-rising",)
    else:
        assert value == edges
    assert fact(here, "delay.edges").value == "rising"


def test_a_part_without_a_clock_takes_nothing_of_an_edge() -> None:
    """Any wanted delay counts then, and what the part delays is not known."""
    lines = part("TD1", "edge-delay", "signal").splitlines()
    parts = "\n".join(line for line in lines if not line.startswith("timing")) + "\n"
    here = book(DELAY, parts, "expect XU1 delay-falling 1ns .. 1us\n")
    assert fact(here, "delay.edges_wanted").value == "falling"
    assert unknown(here, "delay.edges").missing == ("TD1 signal.edges",)
