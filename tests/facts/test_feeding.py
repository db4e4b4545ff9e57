"""What a block loses in its feed, and what holds its pins up while it is off: by Ohm's law, by hand."""

import pytest

from drc.facts.book import Book
from tests.facts.chain_boards import block, chained, parts
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span, unknown

STILL = "ambient 25degC .. 25degC\nassume R* tempco 0ppm\n"
FED = CENTRED.replace("V1 vdd 0 4", "V1 vin 0 4").replace("rt vdd PL1", "rt 0 PL1H")
LOAD = "R8 out 0 375 0%\n"
"""Behind the 25 ohm of the output: a four-hundredth of the supply in ampere, whatever the supply."""


def sagging(lines: str, load: str = LOAD) -> Book:
    """The centred board with its supply fed by some lines."""
    return book(f"{FED}{lines}\n{load}", PLAIN, STILL)


@pytest.mark.parametrize(
    ("feed", "share"),
    [
        ("R9 vin vdd 10 0%", 10 / 400),
        ("R9 vdd vin 10 0%", 10 / 400),
        ("R9 vin vdd 10 0%\nR7 vdd 0 500", 10 / 400),
        ("R9 vin vdd 10 0%\nR7 vdd far 500", 10 / 400),
        ("R9 vin vdd 10 0%\nC7 vdd 0 1u", 10 / 400),
        ("L7 vin v2 1u\nR9 v2 vdd 20 0%", 20 / 400),
    ],
)
def test_what_the_output_sources_takes_from_the_supply(feed: str, share: float) -> None:
    """R I / V with I = V / 400 ohm: the resistance over 400 ohm."""
    of = sagging(feed)
    found = span(of, "supply.sag")
    assert (found.low, found.middle, found.high) == pytest.approx([share] * 3)
    assert fact(of, "supply.sag").law == "R9 * output.source / supply.voltage"


@pytest.mark.parametrize(
    "feed",
    [
        "R9 vin vdd 0",
        "L9 vin vdd 1u",
        "D9 vin vdd DX",
        "R9 vin vdd 10\nR7 vin vdd 10",
        "V2 vb 0 4\nR9 vin vdd 10\nR7 vb vdd 10",
        "V9 vdd 0 4",
        "V9 vdd 0 4\nR9 vin vdd 10",
        "V2 vb 0 0.5\nR9 vb vdd 10",
        "R9 far vdd 10",
    ],
)
def test_without_one_resistance_in_the_feed_there_is_no_sag_to_tell(feed: str) -> None:
    """A joint, a diode, two ways, no way, or a net below half a volt: not one resistance before the pin."""
    assert unknown(sagging(feed), "supply.sag").missing == ("series element",)


def test_half_a_volt_is_the_least_that_feeds() -> None:
    """A net at 0.51 V is a source: 10 ohm over the 400 ohm of output and load, as at any supply."""
    of = sagging("V2 vb 0 0.51\nR9 vb vdd 10 0%")
    assert span(of, "supply.sag").middle == pytest.approx(10 / 400)


def test_an_output_without_a_load_takes_nothing_from_its_supply() -> None:
    """No current, no sag; and one whose load is not known leaves it unknown."""
    assert span(sagging("R9 vin vdd 10 0%", ""), "supply.sag").high == 0
    found = unknown(sagging("R9 vin vdd 10 0%", "X9 out 0 MYSTERY\n"), "supply.sag")
    assert found.missing == ("X9",)


SWITCHED = (
    block("U1", "TO1", "tone", "vdd")
    + "M1 vs tone vdd MP\n"
    + "XU2 vs cfg2 o2 0 rt2 {} TO1\nRTU2 rt2 0 100k 0%\n"
)
OWN_STRAP = "R5 vs cfg2 30k\nR6 cfg2 0 10k\n"


def held_up(pin: str, lines: str, strap: str = OWN_STRAP) -> Book:
    """A second block whose supply `vs` the first one's output switches."""
    return chained(SWITCHED.format(pin) + strap + lines + "\n", STILL, parts())


@pytest.mark.parametrize(
    ("pin", "lines", "from_rail"),
    [
        ("en", "R9 en vdd 10k", "vdd"),
        ("vdd", "", "vdd"),
        ("en", "R9 en vdd 0", "vdd"),
        ("en", "V9 en 0 2", "en"),
        ("en", "V9 en 0 0.51", "en"),
        ("en", "R9 en m 10k\nR8 m vdd 10k\nR7 en 0 10k", "vdd"),
        ("en", "R9 en vs 10k\nR8 en vdd 1meg", "vdd"),
        ("en", "D9 vdd en DX", "vdd"),
    ],
)
def test_a_pin_on_another_rail_is_held_up_while_its_block_is_off(
    pin: str, lines: str, from_rail: str
) -> None:
    """A rail that stays on feeds a block that is off through its input, whatever the resistance."""
    of = held_up(pin, lines)
    found = fact(of, "input.fed_while_off", "XU2")
    assert found.value == "enable"
    assert found.law == f"the enable pin is held up from {from_rail}, which stays on"


@pytest.mark.parametrize(
    ("pin", "lines"),
    [
        ("vs", ""),
        ("en", ""),
        ("en", "R9 en vs 10k"),
        ("en", "R9 en vs 10k\nR8 en 0 10k"),
        ("en", "R9 en 0 10k"),
        ("0", ""),
        ("en", "V9 en 0 0.5"),
        ("en", "V9 en 0 0"),
        ("en", "R9 en v2 10k\nL9 v2 vs 1u"),
        ("tone", ""),
    ],
)
def test_a_pin_on_its_own_rail_or_on_ground_is_not_held_up(pin: str, lines: str) -> None:
    """On what falls with the block, on nothing, below half a volt, or on another block's output."""
    found = fact(held_up(pin, lines), "input.fed_while_off", "XU2")
    assert found.value == "none"
    assert found.law == "no pin is held up from a rail that stays on"


def test_the_strap_is_looked_at_before_the_enable_pin() -> None:
    """A strap divider on the rail that stays on feeds the block through its strap pin."""
    of = held_up("vdd", "", "R5 vdd cfg2 30k\nR6 cfg2 0 10k\n")
    assert fact(of, "input.fed_while_off", "XU2").value == "strap"
    of = held_up("vs", "", "R5 vdd cfg2 30k\nR6 cfg2 0 10k\n")
    assert fact(of, "input.fed_while_off", "XU2").value == "strap"


def test_an_output_on_another_pin_switches_no_supply() -> None:
    """XU1 works the enable pin of XU2, whose supply is always there: its strap's rail feeds nothing."""
    row = "XU2 vdd cfg2 o2 0 rt2 tone TO1\nRTU2 rt2 0 100k\nV9 v5 0 5\nR5 v5 cfg2 30k\nR6 cfg2 0 10k\n"
    of = chained(block("U1", "TO1", "tone", "vdd") + row, STILL, parts())
    found = fact(of, "input.fed_while_off", "XU2")
    assert (found.value, found.law) == ("none", "nothing on the board switches its supply")


def test_a_pin_on_the_block_s_own_rail_does_not_hide_the_next() -> None:
    """The strap straight on the switched supply, the enable pin on the rail that stays on."""
    of = chained(SWITCHED.replace("vs cfg2", "vs vs").format("vdd"), STILL, parts())
    assert fact(of, "input.fed_while_off", "XU2").value == "enable"


def test_a_block_that_nothing_switches_off_is_not_held_up() -> None:
    """Its own supply is always there: the first block, on `vdd`, with a pin on another rail."""
    of = held_up("vs", "")
    found = fact(of, "input.fed_while_off", "XU1")
    assert (found.value, found.law) == ("none", "nothing on the board switches its supply")
    board = block("U1", "TO1", "tone", "en") + "V9 en 0 2\n"
    assert fact(chained(board, STILL, parts()), "input.fed_while_off").value == "none"
