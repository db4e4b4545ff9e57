"""What is gathered of a block's neighbourhood for a drawing, and the draws of its strap's ratio."""

from pathlib import Path

import pytest

from drc.gate.pipeline import review_project
from drc.gate.project import Request, open_project
from drc.outcome import BlockOutcome

BOARD = """a board
*@ supply vdd 4.9V .. 5.1V
*@ ambient 0degC .. 50degC
*@ expect XU1 frequency 300Hz +/- 6%
V1  vdd 0 5
C1  vdd 0 10u
R1  vdd cfg 30k
R2  cfg 0   68k
R3  rt  0   270k
XU1 vdd cfg tone 0 rt vdd HA10
R4  tone a 470
R5  a b 1k
R6  b c 1k
R7  c d 1k
R8  d 0 1k
Q1  coil a 0 N_SW
RK  vdd coil 100
.model N_SW npn (is=1e-14 bf=180)
"""


def only_block(tmp_path: Path, text: str) -> BlockOutcome:
    """The one block of a board, with everything gathered."""
    (tmp_path / "board.cir").write_text(text)
    request = Request(date="2026-03-31", paths=(str(tmp_path / "board.cir"),), depth="all")
    (outcome,) = review_project(open_project(request)).boards[0].blocks
    return outcome


def test_elements_around_each_pin_are_listed_with_their_values(tmp_path: Path) -> None:
    """Divider, timing resistor, load and bypass; a transistor with the kind of its model."""
    near = only_block(tmp_path, BOARD).surroundings
    assert near is not None
    met = {element.path: element for element in near.elements}
    assert met["R1"].text == "30 kohm"
    assert met["R1"].nets == ("vdd", "cfg")
    assert met["C1"].text == "10 uF"
    assert met["Q1"].polarity == "npn"
    assert "RK" in met


def test_rails_end_the_walk_and_ground_is_marked(tmp_path: Path) -> None:
    """What hangs on a rail is not the block's own business; the rail's voltage is told as text."""
    near = only_block(tmp_path, BOARD + "R90 vdd far 1k\nR91 far 0 1k\n").surroundings
    assert near is not None
    assert near.rails["vdd"] == ("4.9 V .. 5.1 V", True)
    assert near.grounds == {"0"}
    assert not any(element.path in ("R90", "R91") for element in near.elements)


def test_the_walk_ends_after_three_nets(tmp_path: Path) -> None:
    """A long way is cut: what lies beyond is not drawn."""
    near = only_block(tmp_path, BOARD).surroundings
    assert near is not None
    met = {element.path for element in near.elements}
    assert {"R4", "R5", "R6"} <= met
    assert "R8" not in met


def test_a_crowded_net_is_marked_as_having_more(tmp_path: Path) -> None:
    """Of very many elements on one net the first are kept, and the net says so."""
    many = "".join(f"RX{n} tone 0 100k\n" for n in range(40))
    near = only_block(tmp_path, BOARD + many).surroundings
    assert near is not None
    assert near.left_out == {"tone"}
    assert len(near.elements) < 30


def test_an_element_that_is_not_fitted_says_so(tmp_path: Path) -> None:
    """A drawing must not show what nobody solders as if it were there."""
    near = only_block(tmp_path, BOARD + "*@ fit R4 no\n").surroundings
    assert near is not None
    assert [element.fitted for element in near.elements if element.path == "R4"] == [False]


def test_draws_lie_within_the_extremes_and_are_all_counted(tmp_path: Path) -> None:
    """Every draw of every corner is in a column, and none lies beyond the worst case."""
    outcome = only_block(tmp_path, BOARD)
    draws, ratio = outcome.strap_draws, outcome.facts["strap.ratio"].span
    assert draws is not None
    assert ratio is not None
    assert sum(draws.counts) % 20_000 == 0
    assert ratio.low <= draws.low < draws.high <= ratio.high
    assert draws.low < ratio.middle < draws.high


def test_the_same_board_gives_the_same_draws(tmp_path: Path) -> None:
    """The seed is all the chance there is."""
    assert only_block(tmp_path, BOARD).strap_draws == only_block(tmp_path, BOARD).strap_draws


def test_expectations_stand_beside_what_comes_out(tmp_path: Path) -> None:
    """Each statement about the block, with what it wants and what is made of it."""
    (expected,) = only_block(tmp_path, BOARD).expected
    assert expected.text == "expect XU1 frequency 300Hz +/- 6%"
    wanted = expected.wanted.span
    assert wanted is not None
    assert (wanted.low, wanted.high) == pytest.approx((282.0, 318.0))
    assert expected.actual.span is not None


def test_nothing_is_gathered_where_nothing_is_drawn(tmp_path: Path) -> None:
    """A review without a report does not walk around its blocks."""
    (tmp_path / "board.cir").write_text(BOARD)
    request = Request(date="2026-03-31", paths=(str(tmp_path / "board.cir"),), depth="verdicts")
    (outcome,) = review_project(open_project(request)).boards[0].blocks
    assert outcome.surroundings is None
    assert outcome.strap_draws is None
