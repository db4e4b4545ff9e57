"""A swap as a page for a person: each board's verdict first, then its blocks before and after."""

from collections.abc import Callable

from drc.outcome import BlockSwap, BoardSwap, SwapReview
from drc.report.summary import CAUTION
from drc.report.text import (
    MAX_WIDTH,
    MIN_WIDTH,
    Meaning,
    Piece,
    Row,
    counted,
    harmless,
    row,
    value_text,
    wrapped,
)

VERDICTS: dict[str, Meaning] = {
    "drop-in": "good",
    "drop-in with changed values": "warning",
    "not a replacement": "error",
}


def swap_summary(review: SwapReview, width: int, shown: Callable[[str], str]) -> list[Row]:
    """The page, `width` columns wide (80 to 200)."""
    width = min(max(width, MIN_WIDTH), MAX_WIDTH)
    rows: list[Row] = []
    for board in review.boards:
        rows += [*_board(board, width, shown), ()]
    for alone in review.alone:
        rows.append(row(Piece(harmless(shown(alone.path)), "heading"), f"  only {alone.side}"))
    for note in review.notes:
        rows += [row(Piece(line, "warning")) for line in wrapped(harmless(note), width)]
    rows += [row(Piece(line, "quiet")) for line in wrapped(CAUTION, width)]
    return [*rows, (), row(last_line(review))]


def last_line(review: SwapReview) -> str:
    """Boards counted by verdict."""
    verdicts = [board.verdict for board in review.boards]
    counts = [f"{verdicts.count(name)} {name}" for name in VERDICTS]  # type: ignore[arg-type]
    return f"{counted(len(review.boards), 'board')}: {', '.join(counts)}"


def _board(board: BoardSwap, width: int, shown: Callable[[str], str]) -> list[Row]:
    name = shown(board.before.path)
    if board.after.path != board.before.path:
        name = f"{name} to {shown(board.after.path)}"
    rows = [row(Piece(harmless(name), "heading"), "  ", Piece(board.verdict, VERDICTS[board.verdict]))]
    rows += [row("  ", line) for line in wrapped(harmless(board.reason), width - 2)]
    for edit, why in zip(board.edits, board.why, strict=False):
        rows.append(row("  -> ", harmless(f"{edit.element} {edit.token.text} -> {edit.new}  ({why})")))
    for pair in board.blocks:
        rows += _block(pair, width)
    for word, rulings in (("gained", board.gained), ("lost", board.lost)):
        rows += [row(f"  {word}  ", harmless(r.finding.message)) for r in rulings]
    return rows


def _block(pair: BlockSwap, width: int) -> list[Row]:
    rows: list[Row] = []
    for change in pair.changes:
        was, now = ("-" if fact is None else value_text(fact) for fact in (change.before, change.after))
        rows.append(row(f"    {change.name}: {was} -> {now}  ({', '.join(change.because)})"))
    return rows
