"""The tally as a page: every verdict of a review, by board and subject."""

from drc.outcome import Review
from drc.report.tally import counted_as
from drc.report.text import Piece, Row, harmless, row, shortened


def verdicts(review: Review, width: int) -> list[Row]:
    """One line a verdict: what it is, on what, by which rule, and what is missing."""
    rows: list[Row] = []
    for board in review.boards:
        rows.append(row(Piece(f"{harmless(board.path)}: every verdict", "heading")))
        for entry in board.tally:
            missing = f"  missing: {', '.join(entry.missing)}" if entry.missing else ""
            line = (
                f"  {counted_as(entry):<18}  {harmless(entry.subject):<12}  {entry.rule}{harmless(missing)}"
            )
            rows.append(row(shortened(line, width)))
    return rows
