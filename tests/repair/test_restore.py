"""What brings a board back after another maker's part has taken a block's place, checked by hand."""

import pytest

from tests.repair.bench import faults, made, restored, want
from tests.repair.by_hand import PAIRS, QUANTITY, SHEETS, value

STRAPS = {"HA": ("130k", "68.1k"), "BR": ("100k", "127k")}
"""The middle of code 5 of 16 (0.344 of 0.34375) and of code 4 of 8 (0.559 of 0.5625)."""

CODE = {"HA": 5, "BR": 4}
MODULATE = {"HA": "6.49k", "BR": "22k"}
"""Half the duty: 22k and 6.49k give 0.752 V of 0.75 V (HA30); 22k twice gives half the supply (BR30)."""


@pytest.mark.parametrize(("old", "new"), [*PAIRS, *((new, old) for old, new in PAIRS)])
def test_time_comes_back_on_the_other_makers_part(old: str, new: str) -> None:
    """Pin order, strap and timing resistor are changed so that a fresh review has nothing to say, and by hand
    the time is the old one within the 5 % that are stated."""
    was, now = SHEETS[old], SHEETS[new]
    prescale, inverted = was.rows[CODE[old[:2]]]
    seconds = was.seconds(prescale, 100e3)
    expect = f"*@ expect XU1 {QUANTITY[was.last]} {seconds:.9g}s +/- 6%\n"
    expect += "*@ expect XU1 duty 42% .. 58%\n" if was.last == "modulate" else ""
    board = was.board(old, *STRAPS[old[:2]], "100k", MODULATE[old[:2]]).replace(".end", f"{expect}.end")
    assert faults(board) == []
    after = board.replace(f" {old}\n", f" {new}\n")
    found = restored(board, after)
    text = made(after, found.edits)
    assert found.lacking == ()
    assert now.line(new) in text
    assert faults(text) == []
    prescale, inverted = now.rows[now.code(value(text, "R1"), value(text, "R2"))]
    assert not inverted
    assert now.seconds(prescale, value(text, "R3")) == pytest.approx(seconds, rel=0.03)


def test_board_that_needs_nothing_is_left_alone() -> None:
    """Where all that is wanted holds, there are no edits and nothing is lacking."""
    board = SHEETS["HA10"].board("HA10", "130k", "68.1k", "100k")
    found = restored(board, board, want("XU1", "frequency", "16kHz +/- 5%"))
    assert (found.edits, found.why, found.lacking) == ((), (), ())
