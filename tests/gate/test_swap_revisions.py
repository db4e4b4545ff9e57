"""Boards compared between two revisions under version control."""

import os
from pathlib import Path

import pytest

from drc.gate.project import Request
from drc.gate.swap_forms import SwapRequest
from drc.outcome import SwapReview
from drc.trouble import InputError
from tests.gate.repository import commit, git, needs_git, repository
from tests.gate.swapping import DATE, only, swapped
from tests.gate.test_swap import BR10, HA10, stating

pytestmark = needs_git

FREQUENCY = "expect XU1 frequency 400Hz +/- 6%"


@pytest.fixture(autouse=True)
def outside_of_a_hook(monkeypatch: pytest.MonkeyPatch) -> None:
    """The tests may run in a hook themselves: what it sets is taken away."""
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        monkeypatch.delenv(name)


def between(old: str, new: str, *paths: Path, bom: Path | None = None) -> SwapReview:
    """Boards compared between two revisions."""
    return swapped(SwapRequest(Request(DATE, paths, bom=bom), between=(old, new)))


def test_each_side_is_read_as_it_was_committed(tmp_path: Path) -> None:
    """Board, included file and intent come from the revisions; the work tree may hold anything or nothing."""
    top = repository(tmp_path)
    parts = HA10.replace("XU1 VDD CFG OUT 0 RT VDD HA10\n", ".include inner.inc\n")
    first = commit(
        top, a__cir=parts, inner__inc="XU1 VDD CFG OUT 0 RT VDD HA10\n", a__intent=FREQUENCY + "\n"
    )
    second = commit(top, inner__inc="XU1 VDD CFG OUT 0 RT VDD HA20\n")
    for name in ("a.cir", "inner.inc", "a.intent"):
        (top / name).unlink()
    board = only(between(first, second, top / "a.cir"))
    assert [side.blocks[0].block.part.name for side in (board.before, board.after)] == ["HA10", "HA20"]
    assert board.before.blocks[0].facts["timing.frequency"].span is not None
    assert {source.kind for source in board.before.inputs} == {"board", "include", "intent"}
    assert not list(top.glob("*.cir"))


def test_a_file_that_only_a_revision_has_is_included(tmp_path: Path) -> None:
    """An include that the work tree no longer has is found where the revision has it, and only there."""
    top = repository(tmp_path)
    board = HA10.replace("XU1 VDD CFG OUT 0 RT VDD HA10\n", ".include inner.inc\n")
    first = commit(top, a__cir=board, inner__inc="XU1 VDD CFG OUT 0 RT VDD HA10\n")
    second = commit(top, a__cir=HA10, inner__inc=None)
    (top / "inner.inc").write_text("nonsense\n")
    assert only(between(first, second, top / "a.cir")).verdict == "drop-in"


def test_the_intent_of_the_first_revision_is_asked_of_both(tmp_path: Path) -> None:
    """A commit that moves the board and what is stated of it together does not pass for a drop-in."""
    top = repository(tmp_path)
    first = commit(top, a__cir=HA10, a__intent="expect XU1 frequency 400Hz +/- 4%\n")
    second = commit(top, a__cir=HA10.replace("200k", "100k"), a__intent="expect XU1 frequency 800Hz +/- 4%\n")
    board = only(between(first, second, top / "a.cir"))
    assert board.verdict != "drop-in"
    assert [note for note in board.notes if "800Hz" in note]


def test_the_bill_of_materials_is_read_at_each_revision(tmp_path: Path) -> None:
    """HA10 gives prescale * R * 12.5e-12 s: 200k and 100k in the bill give 400 Hz and 800 Hz."""
    top = repository(tmp_path)
    board = HA10.replace("200k", "RTIME")
    first = commit(top, a__cir=board, bom__csv="Reference,Value\nR3,200k\n")
    second = commit(top, bom__csv="Reference,Value\nR3,100k\n")
    (top / "bom.csv").write_text("Reference,Value\nR3,1\n")
    found = only(between(first, second, top / "a.cir", bom=top / "bom.csv"))
    spans = [side.blocks[0].facts["timing.frequency"].span for side in (found.before, found.after)]
    assert [span.middle for span in spans if span] == [pytest.approx(400), pytest.approx(800)]


def test_a_board_of_one_revision_alone_is_said_so(tmp_path: Path) -> None:
    """A board that is new or gone is named with its side; one that is gone has not been replaced."""
    top = repository(tmp_path)
    first = commit(top, a__cir=HA10, old__cir=HA10)
    second = commit(top, a__cir=HA10, old__cir=None, new__cir=HA10)
    there = between(first, second, top)
    assert [(alone.path, alone.side) for alone in there.alone] == [
        ("old.cir", "before"),
        ("new.cir", "after"),
    ]
    assert [board.before.path for board in there.boards] == ["a.cir"]
    assert not there.passed
    assert between(first, second, top / "a.cir", top / "new.cir").passed


def test_what_is_staged_is_a_revision(tmp_path: Path) -> None:
    """The empty revision is what is staged."""
    top = repository(tmp_path)
    commit(top, a__cir=stating(HA10, FREQUENCY))
    (top / "a.cir").write_text(stating(BR10, FREQUENCY))
    git(top, "add", "a.cir")
    (top / "a.cir").write_text("gone mad")
    board = only(between("HEAD", "", top / "a.cir"))
    assert (board.verdict, board.after.blocks[0].block.part.name) == ("drop-in", "BR10")


def test_no_board_at_either_revision_is_refused(tmp_path: Path) -> None:
    """A path that neither revision has is a mistake, and both are named."""
    top = repository(tmp_path)
    first = commit(top, a__cir=HA10)
    with pytest.raises(InputError, match=f"at revision {first}, nor at revision HEAD"):
        between(first, "HEAD", top / "b.cir")


def test_a_board_that_a_revision_cannot_read_is_an_error_of_that_board(tmp_path: Path) -> None:
    """A netlist that is none at one revision is told, the other boards are compared."""
    top = repository(tmp_path)
    first = commit(top, a__cir=HA10, b__cir="\0\0\0")
    second = commit(top, a__cir=HA10, b__cir=HA10)
    review = between(first, second, top)
    assert [board.before.error is None for board in review.boards] == [True, False]
