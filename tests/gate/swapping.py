"""Boards swapped in a temporary folder, for the tests of swaps."""

from collections.abc import Sequence
from pathlib import Path

from drc.gate.project import Request
from drc.gate.swap import swap_review
from drc.gate.swap_forms import SwapRequest, open_swap
from drc.gate.swap_work import each_done
from drc.outcome import BoardSwap, SwapReview

DATE = "2026-03-01"


def swapped(asked: SwapRequest) -> SwapReview:
    """What a swap comes to, boards one after the other."""
    opened = open_swap(asked)
    return swap_review(opened, each_done(opened))


def two(folder: Path, before: str, after: str, parts: Sequence[Path] = ()) -> BoardSwap:
    """One board and another drawing of it."""
    folder.mkdir(exist_ok=True)
    for name, text in (("before.cir", before), ("after.cir", after)):
        (folder / name).write_text(text)
    paths = [folder / "before.cir", folder / "after.cir"]
    return only(swapped(SwapRequest(Request(DATE, paths, parts=parts))))


def by_list(folder: Path, rows: str, /, bom: str | None = None, **boards: str) -> SwapReview:
    """Boards, named without their suffix, and a list of parts put on them."""
    folder.mkdir(exist_ok=True)
    paths = []
    for name, text in boards.items():
        paths.append(folder / f"{name}.cir")
        paths[-1].write_text(text)
    listed = folder / "swaps.csv"
    listed.write_text(rows)
    request = Request(DATE, paths)
    if bom is not None:
        (folder / "bom.csv").write_text(bom)
        request = request._replace(bom=folder / "bom.csv")
    return swapped(SwapRequest(request, replace=str(listed)))


def only(review: SwapReview) -> BoardSwap:
    """The one board of a review."""
    (board,) = review.boards
    return board
