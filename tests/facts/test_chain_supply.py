"""Blocks that live on another block's output, straight or through a transistor."""

import pytest

from drc.facts.book import Book
from tests.facts.chain_boards import LEVELS, block, chained, pair_fact, pair_span, pair_unknown, pairs
from tests.facts.timing_boards import part, span, unknown

OSCILLATOR = block("U1", "TO1", "on", "vdd")
FED = block("U2", "TO1", "tone", "on", supply="on")


def at_3_volts(netlist: str, draw: str = '"1mA .. 3mA"') -> Book:
    """The book of a board of oscillators that draw 1 mA to 3 mA from 3 V."""
    more = f'input.enable = {{ {LEVELS}, active = "high" }}\n' + (f"consumption = {draw}" if draw else "")
    return chained(netlist, part_file=part("TO1", "oscillator", "enable", more))


def test_an_output_feeds_a_block_less_its_drop() -> None:
    """20 ohm and a strap of 40 kohm: at 1 mA to 3 mA some 2.98 V to 2.94 V are left of 3 V."""
    board = at_3_volts(OSCILLATOR + FED)
    assert pairs(board) == ["XU1 -> XU2 supply"]
    supply = span(board, "supply.voltage", "XU2")
    source, ohm = 3 * 40e3 / (40e3 + 20), 20 * 40e3 / (40e3 + 20)
    assert (supply.low, supply.high) == pytest.approx((source - ohm * 3e-3, source - ohm * 1e-3))
    assert pair_span(board, "pair.level_high") == supply


def test_the_block_that_is_fed_makes_its_time() -> None:
    """The strap divider of the fed block is read against the supply that is handed on."""
    board = at_3_volts(OSCILLATOR + FED)
    assert span(board, "strap.ratio", "XU2").nominal == pytest.approx(0.25)
    assert span(board, "timing.period", "XU2").nominal == pytest.approx(80e-6, rel=1e-3)


def test_what_is_fed_is_a_load() -> None:
    """Driven high the output gives 1 mA to 3 mA and the strap's 3 V / 40 kohm; low it takes nothing in."""
    board = at_3_volts(OSCILLATOR + FED)
    source = span(board, "output.source", "XU1")
    assert source.low == pytest.approx(1e-3 + 2.98 / 40e3, rel=1e-3)
    assert source.high == pytest.approx(3e-3 + 2.94 / 40e3, rel=1e-3)
    assert span(board, "output.sink", "XU1").high == pytest.approx(0, abs=1e-9)


def test_a_draw_that_nobody_gives_leaves_the_supply_unknown() -> None:
    """Without a consumption in the part file the drop is unknown, and named."""
    board = at_3_volts(OSCILLATOR + FED, draw="")
    assert unknown(board, "supply.voltage", "XU2").missing == ("TO1 consumption",)


@pytest.mark.parametrize("way", ["M1 vsw on vdd vdd MP", "R5 on b 10k\nQ1 vsw b vdd PS"])
def test_a_switched_rail_loses_the_saturation(way: str) -> None:
    """A transistor on its rail of 3 V leaves 2.7 V to 3 V, whatever the block draws."""
    fed = block("U2", "TO1", "tone", "vsw", supply="vsw")
    supply = span(at_3_volts(f"{OSCILLATOR}{fed}{way}\n"), "supply.voltage", "XU2")
    assert (supply.low, supply.high) == pytest.approx((2.7, 3.0))


def test_a_resistor_behind_the_switch_drops_more() -> None:
    """100 ohm before a strap of 40 kohm, and 1 mA to 3 mA: 0.1 V to 0.3 V less."""
    fed = block("U2", "TO1", "tone", "vf", supply="vf")
    board = at_3_volts(f"{OSCILLATOR}{fed}M1 vsw on vdd vdd MP\nR5 vsw vf 100 0%\n")
    supply = span(board, "supply.voltage", "XU2")
    share = 40e3 / 40.1e3
    assert (supply.low, supply.high) == pytest.approx((share * (2.7 - 0.3), share * (3.0 - 0.1)))


def test_a_latch_on_its_own_supply_has_one() -> None:
    """A block that switches its own rail on lives on that rail, and the loop is named."""
    netlist = block("U1", "TO1", "hold", "vs", supply="vs") + (
        "R5 hold b 10k\nQ1 g b 0 NS\nR6 vdd g 47k\nM1 vs g vdd vdd MP\n"
    )
    board = at_3_volts(netlist)
    assert pairs(board) == ["XU1 -> XU1 supply"]
    assert pair_fact(board, "pair.loop").value == "XU1"
    supply = span(board, "supply.voltage")
    assert (supply.low, supply.high) == pytest.approx((2.7, 3.0))


def test_two_that_live_on_each_other_have_no_supply() -> None:
    """Each block's output feeds the other: nothing says what either stands on, and the loop is named."""
    board = at_3_volts(block("U1", "TO1", "a", "b", supply="b") + block("U2", "TO1", "b", "a", supply="a"))
    for path in ("XU1", "XU2"):
        assert "loop" in unknown(board, "supply.voltage", path).because


def test_what_a_supply_falls_to_is_not_guessed() -> None:
    """The level of a rail that is switched off is unknown."""
    assert "low" in pair_unknown(at_3_volts(OSCILLATOR + FED), "pair.level_low").because
