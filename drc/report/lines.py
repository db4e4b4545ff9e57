"""A review as lines that editors and build logs read: `file:line:column: level: message [rule]`.

The form is that of the GNU Coding Standards, "Formatting Error Messages": line and column count from 1,
a message does not begin with a capital after the position.
"""

from collections.abc import Callable

from drc.outcome import BoardOutcome, Review, Ruling
from drc.report.text import harmless
from drc.trouble import LEVELS, Place, Trouble

EXCERPT_WIDTH = 72
"""Characters of a source line shown about the caret."""


def review_lines(review: Review, shown: Callable[[str], str]) -> list[str]:
    """Every finding that is not accepted or known, board by board in the order of the files."""
    return [line for board in review.boards for line in board_lines(board, shown)]


def board_lines(board: BoardOutcome, shown: Callable[[str], str]) -> list[str]:
    """A board's findings that are not accepted or known.

    `shown` turns a path of the review into one that a reader can open from where the reader stands.
    """
    lines: list[str] = []
    if board.error is not None:
        lines.append(f"{harmless(shown(board.path))}: error: {harmless(board.error)}")
    rulings = [ruling for ruling in board.rulings if ruling.state == "new"]
    for ruling in sorted(rulings, key=_order):
        lines += ruling_lines(ruling, shown)
    return lines


def ruling_lines(ruling: Ruling, shown: Callable[[str], str]) -> list[str]:
    """A finding's line, and under it the source line with a caret where there is one to show."""
    finding = ruling.finding
    head = f"{position(finding.place, shown)}: {finding.level}: {harmless(finding.message)} [{finding.rule}]"
    return [head, *excerpt(finding.excerpt, finding.place)]


def trouble_lines(trouble: Trouble, shown: Callable[[str], str]) -> list[str]:
    """A trouble's line, and its excerpt."""
    head = f"{position(trouble.place, shown)}: {trouble.level}: {harmless(trouble.message)}"
    return [head, *excerpt(trouble.excerpt, trouble.place)]


def position(place: Place, shown: Callable[[str], str]) -> str:
    """`file:line:column`, or `file` alone for the file as a whole."""
    return harmless(str(place._replace(path=shown(place.path))))


def excerpt(text: str, place: Place) -> list[str]:
    """The source line about the place, and a line of carets under it; nothing without a text."""
    if not text or not place.line:
        return []
    at = min(place.column - 1, len(text))
    first = max(0, at - EXCERPT_WIDTH // 2) if len(text) > EXCERPT_WIDTH else 0
    window = text[first : first + EXCERPT_WIDTH].replace("\t", " ")
    before = harmless(window[: at - first])
    under = harmless(window[at - first : at - first + max(place.length, 1)])
    return [f"    {harmless(window)}".rstrip(), f"    {' ' * len(before)}{'^' * max(len(under), 1)}"]


def _order(ruling: Ruling) -> tuple[str, int, int, int, str]:
    """Source order; at one place the graver first."""
    place = ruling.finding.place
    return (place.path, place.line, place.column, -LEVELS.index(ruling.finding.level), ruling.finding.rule)
