"""A swap as a page for a person: each board's verdict first, then its blocks before and after."""

from collections.abc import Callable, Iterator, Mapping

from drc.outcome import BoardSwap, Ruling, SwapReview, SwapVerdict
from drc.report.edit_text import by_element
from drc.report.summary import CAUTION
from drc.report.swap_table import block_table
from drc.report.text import (
    MAX_WIDTH,
    MIN_WIDTH,
    Meaning,
    Piece,
    Row,
    counted,
    harmless,
    row,
    wrapped,
)
from drc.trouble import LEVELS

VERDICTS: Mapping[SwapVerdict, Meaning] = {
    "not a replacement": "error",
    "drop-in with changed values": "warning",
    "drop-in": "good",
}
"""The verdicts from the gravest to the mildest."""

_WORD = 8
"""Room for `gained` and `lost` before a finding."""


def swap_summary(review: SwapReview, width: int, shown: Callable[[str], str]) -> list[Row]:
    """The page, `width` columns wide (80 to 200): boards with the gravest verdict first."""
    width = min(max(width, MIN_WIDTH), MAX_WIDTH)
    rows: list[Row] = []
    order = list(VERDICTS)
    for board in sorted(review.boards, key=lambda board: order.index(board.verdict)):
        rows += [*_board(board, width, shown), ()]
    for alone in review.alone:
        other = "after" if alone.side == "before" else "before"
        text = f"  only {alone.side}: there is nothing {other} to hold it against"
        rows += [row(Piece(harmless(shown(alone.path)), "heading"), Piece(text, "warning")), ()]
    for note in review.notes:
        rows += [row(Piece(line, "warning")) for line in wrapped(harmless(note), width)]
    rows += [()] * bool(review.notes)
    if review.untouched:
        them = "it" if review.untouched == 1 else "them"
        text = f"{counted(review.untouched, 'board')} left untouched: the list means nothing on {them}"
        rows += [row(Piece(text, "quiet")), ()]
    rows += [row(Piece(line, "quiet")) for line in wrapped(CAUTION, width)]
    verdict: Meaning = "good" if review.passed else "error"
    rows += [(), *(row(Piece(line, verdict)) for line in wrapped(_gate(review), width))]
    return [*rows, row(last_line(review))]


def last_line(review: SwapReview) -> str:
    """Boards counted by verdict; those that could not be compared have none."""
    verdicts = [board.verdict for board in review.boards if not _is_uncompared(board)]
    counts = [f"{verdicts.count(name)} {name}" for name in list(VERDICTS)[::-1]]
    return f"{counted(len(verdicts), 'board')}: {', '.join(counts)}"


def _gate(review: SwapReview) -> str:
    """Whether the gate holds, and why not."""
    if review.passed:
        return "gate passed"
    at = LEVELS.index(review.gate)
    found = [board.gained if board.restored is None else board.left for board in review.boards]
    gained = sum(r.state == "new" and LEVELS.index(r.finding.level) >= at for each in found for r in each)
    unread = sum(map(_is_uncompared, review.boards))
    refused = sum(board.verdict == "not a replacement" for board in review.boards) - unread
    gone = sum(alone.side == "before" for alone in review.alone)
    level = review.gate if review.gate == "error" else f"{review.gate} or above"
    reasons = [f"{refused} not a replacement"] * bool(refused)
    reasons += [f"{counted(gained, 'finding')} gained at {level}"] * bool(gained)
    reasons += [f"{counted(gone, 'board')} gone"] * bool(gone)
    reasons += [f"{counted(unread, 'board')} not compared"] * bool(unread)
    return f"gate NOT passed: {', '.join(reasons)}"


def _board(board: BoardSwap, width: int, shown: Callable[[str], str]) -> Iterator[Row]:
    """One board: verdict and reason, edits, blocks, findings, and what else there is to know."""
    name = shown(board.before.path)
    if board.after.path != board.before.path:
        name = f"{name} to {shown(board.after.path)}"
    verdict = Piece(board.verdict, VERDICTS[board.verdict])
    if _is_uncompared(board):
        verdict = Piece("not compared", "error")
    yield row(Piece(harmless(name), "heading"), "  ", verdict)
    yield from (row("  ", line) for line in wrapped(harmless(board.reason), width - 2))
    for line in by_element(board.edits):
        first, *rest = wrapped(harmless(line), width - 5)
        yield row("  -> ", Piece(first, "good"))
        yield from (row("     ", Piece(each, "good")) for each in rest)
    for why in board.why:
        yield from (row("     ", Piece(line, "quiet")) for line in wrapped(harmless(why), width - 5))
    for pair in board.blocks:
        yield ()
        yield from block_table(pair, board.restored, width)
    found = [*_findings(board, width)]
    if found:
        yield ()
        yield from found
    for note in board.notes:
        yield from (row("  ", Piece(line, "note")) for line in wrapped(harmless(note), width - 2))


def _is_uncompared(board: BoardSwap) -> bool:
    """Whether there is no comparison, for want of a board that can be read."""
    return any(side.error is not None for side in (board.before, board.after))


def _findings(board: BoardSwap, width: int) -> Iterator[Row]:
    """What is gained and lost; of what the edits mend again, only how much it is."""
    gained = board.gained if board.restored is None else board.left
    for ruling in gained:
        if ruling.finding.message not in board.reason:
            yield from _finding(Piece("gained", ruling.finding.level), ruling, width)
    now = board.after if board.restored is None else board.restored
    for ruling in now.rulings:
        if ruling not in gained and ruling.finding.level != "note":
            yield from _finding(Piece("still", ruling.finding.level), ruling, width)
    for ruling in board.lost:
        if not _is_back(ruling, board):
            yield from _finding(Piece("lost", "good"), ruling, width)
    mended = len(board.gained) - len(board.left)
    if board.restored is not None and mended > 0:
        text = f"{counted(mended, 'finding')} that the new parts bring as they are, gone with the edits made"
        yield from (row("  ", Piece(line, "quiet")) for line in wrapped(text, width - 2))


def _is_back(ruling: Ruling, board: BoardSwap) -> bool:
    """Whether a finding that the new parts do away with is there again with the edits made."""
    now = () if board.restored is None else board.restored.rulings
    return any(
        (each.finding.rule, each.finding.block) == (ruling.finding.rule, ruling.finding.block) for each in now
    )


def _finding(word: Piece, ruling: Ruling, width: int) -> Iterator[Row]:
    finding = ruling.finding
    verdict = finding.level if finding.level == "note" else finding.verdict
    state = "" if ruling.state == "new" else f", {ruling.state}"
    text = f"{verdict}{state}: {harmless(finding.message)} [{finding.rule}]"
    first, *rest = wrapped(text, width - _WORD - 2)
    yield row("  ", word._replace(text=word.text.ljust(_WORD)), first)
    yield from (row(" " * (_WORD + 2), line) for line in rest)
