"""What starts a self-fed block is no part of the way itself, whatever it is called."""

import pytest

from tests.facts.chain_boards import block, chained
from tests.facts.test_starting import LIVING, SWITCH
from tests.facts.timing_boards import fact


def fed_by_itself(netlist: str, path: str = "XU1") -> object:
    """How the block starts."""
    return fact(chained(netlist, part_file=LIVING), "supply.self_fed", path).value


@pytest.mark.parametrize("name", ["XSW1", "XS1", "XW1"])
def test_the_switch_that_it_works_itself_is_no_button(name: str) -> None:
    """A high-side switch may be called as a button is: it stands in the way, and starts nothing."""
    assert fed_by_itself(SWITCH.replace("XW1", name)) == "alone"
    assert fed_by_itself(SWITCH.replace("XW1", name) + "SW9 hold vdd BUTTON\n") == "started"


def test_a_block_that_works_its_own_enable_pin_does_not_feed_itself() -> None:
    """Its supply is another matter."""
    assert fed_by_itself(block("U1", "TO1", "hold", "hold")) == "none"


@pytest.mark.parametrize("name", ["S1", "KEY1", "SW1"])
def test_a_block_is_no_button_of_its_own(name: str) -> None:
    """Nor is a block that is called as one."""
    board = block(name, "TO1", "hold", "vs", supply="vs") + "XW9 vdd hold vs 0 TW1\n"
    assert fed_by_itself(board, f"X{name}") == "alone"


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ("D5 vdd hold DX", "started"),
        ("D5 hold vdd DX", "alone"),
        ("C5 vdd hold 1n", "started"),
        ("R5 vdd hold 1meg", "started"),
        ("R5 low hold 1k\nV5 low 0 0", "alone"),
        ("R5 low hold 1k\nV5 low 0 -1", "alone"),
        ("M5 far hold 0 MN", "alone"),
    ],
)
def test_what_lifts_the_input_of_a_switch(more: str, expected: str) -> None:
    """From above ground, and by an element that can: a diode that points away cannot."""
    assert fed_by_itself(f"{SWITCH}.model DX D(IS=1e-14)\n{more}\n") == expected
