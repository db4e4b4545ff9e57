"""Chains drawn as text."""

import pytest

from drc.outcome import BoardOutcome
from drc.report.chains import chains
from drc.report.text import plain
from tests.report.made import BROKEN, CHAIN, DOOR, LAMP, same_path


def drawn(*boards: BoardOutcome, width: int = 80) -> list[str]:
    """The lines of the boards' chains."""
    return [plain(line) for line in chains(boards, width, same_path)]


def test_a_pair_is_one_line_with_what_arrives_beneath() -> None:
    """Block, part and time on both ends of the role; the way, the pulses and the loop beneath."""
    assert drawn(LAMP) == [
        "boards/lamp.cir",
        "  XU3 ZZ10 10 kHz -> enable -> XU3 ZZ10 10 kHz",
        "      through R4, Q1, inverted",
        "      every 100 us",
        "      in a loop: XU3",
    ]


def test_boards_without_chains_say_so() -> None:
    """A board whose blocks stand alone, and one that was not read, are told as such."""
    lines = drawn(DOOR, BROKEN)
    assert lines[1] == "  no chain: no block acts on another"
    assert "not read" in lines[4]


@pytest.mark.parametrize("sense", [(True, ", inverted"), (False, ""), (None, ", inverted or not")])
def test_the_sense_of_the_way_is_told(sense: tuple[bool | None, str]) -> None:
    """What transistors and gates make of the level stands behind them."""
    turned, words = sense
    board = LAMP._replace(chains=(CHAIN._replace(inverted=turned),))
    assert drawn(board)[2] == f"      through R4, Q1{words}"


def test_long_ways_stay_on_the_page() -> None:
    """No line is wider than the page, and nothing of the way is left out."""
    way = tuple(f"XAMP.R{n}" for n in range(40))
    lines = drawn(LAMP._replace(chains=(CHAIN._replace(through=way),)))
    assert all(len(line) <= 80 for line in lines)
    assert all(any(name in line for line in lines) for name in way)


def test_names_that_would_move_the_cursor_are_spelt_out() -> None:
    """A hostile element name is shown as escapes."""
    lines = drawn(LAMP._replace(chains=(CHAIN._replace(through=("R\x1b[2J",)),)))
    assert "R\\x1b[2J" in lines[2]
