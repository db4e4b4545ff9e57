"""MOSFETs as switches: a gate at a rail opens the channel, or closes it to a stated resistance."""

import pytest

from drc.facts.book import Book
from drc.facts.model import Fact
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span, unknown

MODELS = ".model MN NMOS\n.model MP PMOS\n.model MD NMOS(VTO=-2)\n.model MT NMOS(VTO=1.5)\n"
LOWER = "R7 cfg sw 10k\n"
"""A second lower strap resistor, switched: 22 kohm above, 10 kohm below, or two of them."""

OFF = {
    "its gate on its source": "M1 sw 0 0 0 MN",
    "its gate pulled to its source": "M1 sw g 0 0 MN\nR8 g 0 100k\nC8 g 0 1n\nTP8 g",
    "its gate below its source": "M1 sw n 0 0 MN\nV9 n 0 -1",
}
MOVING = {
    "a gate on a connector": "M1 sw g 0 0 MN\nR8 g 0 100k\nJ8 g 0 PLUG",
    "a gate on a signal": "M1 sw g 0 0 MN\nV9 g 0 PULSE(0 3 0 1u 1u 1m 2m)",
    "a gate between two rails": "M1 sw g 0 0 MN\nR8 g 0 100k\nR9 vdd g 100k",
    "a channel that is there at 0 V": "M1 sw 0 0 0 MD",
    "a gate near the threshold": "M1 sw g 0 0 MT\nV9 g 0 1.2",
    "a bulk elsewhere": "M1 sw 0 0 b MN\nR9 b 0 1k",
}


def on(lines: str, intent: str = "") -> Book:
    """The board with a switched strap resistor."""
    return book(f"{CENTRED}{LOWER}{lines}\n{MODELS}", PLAIN, intent)


def ratio(of: Book) -> float | None:
    """The nominal ratio of the strap."""
    return span(of, "strap.ratio").nominal


@pytest.mark.parametrize("name", OFF)
def test_a_channel_that_is_off_is_open(name: str) -> None:
    """The strap is as without the switched resistor: 10 / 32; that it leaks nothing is an assumption."""
    of = on(OFF[name])
    assert ratio(of) == pytest.approx(10 / 32)
    assert "M1 is off and leaks nothing" in fact(of, "strap.ratio").assumptions


@pytest.mark.parametrize("name", MOVING)
def test_a_channel_that_may_be_on_is_not_solved(name: str) -> None:
    """What nobody knows stays unknown."""
    unknown(on(MOVING[name]), "strap.ratio")


def test_a_channel_that_is_on_needs_its_resistance() -> None:
    """Without a statement it is named, with what to write; stated it counts: 10k || (10k + 50) below 22k."""
    gap = unknown(on("M1 sw vdd 0 0 MN"), "strap.ratio")
    assert gap.missing == ("M1",)
    assert "assume M1 value 5ohm" in gap.because
    below = 1 / (1 / 10e3 + 1 / 10.05e3)
    assert ratio(on("M1 sw vdd 0 0 MN", "assume M1 value 50ohm")) == pytest.approx(below / (22e3 + below))


def test_a_p_channel_is_the_other_way_round() -> None:
    """Its source on the supply: off with its gate there, on with its gate at ground."""
    upper = "R7 sw cfg 22k\n{}\n"
    off = book(f"{CENTRED}{upper.format('M1 sw g vdd vdd MP')}R8 g vdd 10k\n{MODELS}", PLAIN)
    assert ratio(off) == pytest.approx(10 / 32)
    closed = book(f"{CENTRED}{upper.format('M1 sw 0 vdd vdd MP')}{MODELS}", PLAIN, "assume M1 value 0ohm")
    assert ratio(closed) == pytest.approx(10 / 21)


def test_the_body_diode_of_a_channel_that_is_off_conducts() -> None:
    """An n-channel turned round, its drain on ground: what lies above 1 V leaves through its diode."""
    of = on("M1 0 0x sw sw MN\nR8 0x sw 10k")
    found: Fact = fact(of, "strap.ratio")
    assert found.span is not None
    assert found.span.high < 10 / 32
