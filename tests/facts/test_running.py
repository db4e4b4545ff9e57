"""Whether a block's enable and reset pins let it run, and what that does to its timing."""

import pytest

from tests.facts.timing_boards import book, fact, part, span, unknown

LEVELS = 'low = "0.3 supply", high = "0.7 supply"'
BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt en TE1
RT rt 0 100k 0%
RA vdd cfg 30k 0%
RB cfg 0 10k 0%
"""


def oscillator(role: str, active: str, more: str = "") -> str:
    """An oscillator with an enable or a reset pin."""
    return part("TE1", "oscillator", role, f'input.{role} = {{ {LEVELS}, active = "{active}"{more} }}')


@pytest.mark.parametrize(
    ("role", "active", "tied", "state"),
    [
        ("enable", "high", "vdd", "always"),
        ("enable", "high", "0", "never"),
        ("enable", "low", "0", "always"),
        ("enable", "low", "vdd", "never"),
        ("reset", "high", "0", "always"),
        ("reset", "high", "vdd", "never"),
        ("reset", "low", "0", "never"),
    ],
)
def test_a_tied_pin_decides(role: str, active: str, tied: str, state: str) -> None:
    """By the pin's sense and what a resistor ties it to; a block that never runs has no frequency."""
    board = book(f"{BOARD}RP en {tied} 10k\n", oscillator(role, active))
    assert fact(board, "block.running").value == state
    if state == "never":
        assert "never runs" in unknown(board, "timing.frequency").because
    else:
        assert span(board, "timing.frequency").nominal == pytest.approx(12.5e3)


def test_an_internal_pull_ends_floating() -> None:
    """A pull-up in the part holds an open enable pin high."""
    assert (
        fact(book(BOARD, oscillator("enable", "high", ', pull = "up 100kohm"')), "block.running").value
        == "always"
    )


def test_a_floating_pin_is_unknown() -> None:
    """Nothing on the enable pin: whether it runs is not known."""
    unknown(book(BOARD, oscillator("enable", "high")), "block.running")


def test_a_battery_supply_does_not_confuse_a_tied_pin() -> None:
    """The level of a pin tied to its own supply follows it: always high, whatever the supply is."""
    netlist = f"{BOARD.replace('V1 vdd 0 3.0', '')}RP en vdd 10k\n"
    board = book(netlist, oscillator("enable", "high"), "supply vdd 2V .. 5V")
    assert fact(board, "block.running").value == "always"


@pytest.mark.parametrize("stated", ["signal en 0V .. 3V", "signal en period 1s, high 0.2s"])
def test_a_stated_signal_switches(stated: str) -> None:
    """A signal that reaches both levels lets the block run at times: its timing then is known."""
    board = book(BOARD, oscillator("enable", "high"), stated)
    assert fact(board, "block.running").value == "switched"
    assert span(board, "timing.frequency").nominal == pytest.approx(12.5e3)


def test_a_level_between_is_unknown() -> None:
    """Half the supply need not be read as either."""
    board = book(f"{BOARD}RP en vdd 10k\nRQ en 0 10k\n", oscillator("enable", "high"))
    assert "need not be read" in unknown(board, "block.running").because


def test_another_output_switches() -> None:
    """An enable pin on another block's output is switched."""
    other = "XU2 vdd cfg en 0 rt2 en2 TE1\nRT2 rt2 0 100k\nRE en2 vdd 1k\n"
    board = book(f"{BOARD}{other}", oscillator("enable", "high"))
    assert fact(board, "block.running").value == "switched"


def test_without_such_pins_it_always_runs() -> None:
    """A part without enable and reset runs whenever it is powered."""
    board = book(BOARD.replace(" en TE1", " TE1"), part("TE1", "oscillator"))
    assert fact(board, "block.running").value == "always"


def test_a_sense_not_given_is_unknown() -> None:
    """A part file that does not say at which level enable is active leaves it open."""
    board = book(
        f"{BOARD}RP en 0 10k\n", part("TE1", "oscillator", "enable", f"input.enable = {{ {LEVELS} }}")
    )
    assert unknown(board, "block.running").missing == ("TE1 enable active",)
