"""A bill of materials that lies beside a board is that board's, and no other's."""

from pathlib import Path

from drc.gate.face import review
from drc.gate.touched import reached

BOARD = """door latch
*@ supply V33 3.2V .. 3.4V
V1 V33 0 3.3
C1 V33 0 100n
R1 V33 CFG R_STRAP
R2 CFG 0 R_STRAP
R3 RT 0 R_TIME
XU1 V33 CFG OUT 0 RT V33 HA10
.end
"""
BILL = "Reference,Value,Tolerance\nR1,68.1k,1%\nR2,130k,1%\nR3,200k,1%\n"


def test_values_come_from_the_file_beside_the_board(tmp_path: Path) -> None:
    """The neighbour of another name gets none of it, and the file is listed among what was read."""
    for name in ("latch", "other"):
        (tmp_path / f"{name}.cir").write_text(BOARD, encoding="utf-8")
    (tmp_path / "latch.bom.csv").write_text(BILL, encoding="utf-8")
    latch, other = review(tmp_path).boards
    assert latch.blocks[0].facts["rate.resistance"].span is not None
    assert other.blocks[0].facts["rate.resistance"].span is None
    assert [(source.path, source.kind) for source in latch.inputs if source.kind == "bom"] == [
        ("latch.bom.csv", "bom")
    ]


def test_a_file_of_that_name_that_is_no_such_list_stops_its_board_alone(tmp_path: Path) -> None:
    """The board is not reviewed with guessed values; the next one is reviewed as ever."""
    for name in ("latch", "other"):
        (tmp_path / f"{name}.cir").write_text(BOARD, encoding="utf-8")
    (tmp_path / "latch.bom.csv").write_text("nothing\nof the kind\n", encoding="utf-8")
    latch, other = review(tmp_path).boards
    assert latch.error is not None
    assert other.error is None


def test_a_changed_bill_reaches_its_board(tmp_path: Path) -> None:
    """Only the board that it lies beside."""
    boards = [tmp_path / "latch.cir", tmp_path / "other.cir"]
    for board in boards:
        board.write_text(BOARD, encoding="utf-8")
    assert reached(boards, [tmp_path / "latch.bom.csv"], [], [tmp_path]) == (boards[0],)
