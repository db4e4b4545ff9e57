"""From a swap to what its page shows: verdicts, blocks in columns before and after, edits and findings."""

from difflib import unified_diff
from typing import NamedTuple

from drc.outcome import (
    BlockOutcome,
    BlockSwap,
    BoardOutcome,
    BoardSwap,
    Change,
    MendedFile,
    Ruling,
    SwapReview,
)
from drc.report.drawing_bars import bars
from drc.report.drawing_ladder import ladder
from drc.report.drawing_schematic import schematic
from drc.report.drawing_timing import timing
from drc.report.page_view import MARKS
from drc.report.text import value_text
from drc.trouble import Level

VERDICT_MARKS = {
    "drop-in": "\N{CHECK MARK}",
    "drop-in with changed values": "\N{GREEK CAPITAL LETTER DELTA}",
    "not a replacement": "\N{BALLOT X}",
}
"""A sign beside each verdict's words; it never stands alone."""


class Side(NamedTuple):
    """One column of a block: its heading, and ready drawings, empty where there is none."""

    heading: str
    what: str
    schematic: str
    timing: str
    ladder: str
    bars: str


class ChangeRow(NamedTuple):
    """A fact that is not what it was; `restored` is its value with the edits made, empty without any."""

    name: str
    before: str
    after: str
    restored: str
    because: str


class BlockPair(NamedTuple):
    """A block of both boards: how the two were matched, their columns, and what changed."""

    anchor: str
    title: str
    matched: str
    sides: tuple[Side, ...]
    changes: tuple[ChangeRow, ...]


class SwapFound(NamedTuple):
    """A finding gained or lost."""

    level: Level
    verdict: str
    mark: str
    message: str
    rule: str
    place: str


class BoardPair(NamedTuple):
    """A board's part of the page. `edits` are (element, from, to, place), `diffs` (file, unified diff)."""

    anchor: str
    path: str
    verdict: str
    mark: str
    reason: str
    restored: bool
    blocks: tuple[BlockPair, ...]
    gained: tuple[SwapFound, ...]
    lost: tuple[SwapFound, ...]
    edits: tuple[tuple[str, str, str, str], ...]
    why: tuple[str, ...]
    diffs: tuple[tuple[str, str], ...]


class SwapView(NamedTuple):
    """The whole page."""

    passed: bool
    swapped: str
    counts: tuple[tuple[str, str, int], ...]
    boards: tuple[BoardPair, ...]
    provenance: tuple[tuple[str, str], ...]
    inputs: tuple[tuple[str, str, str], ...]


def swap_view(review: SwapReview) -> SwapView:
    """Everything that the page says, in the order it says it."""
    verdicts: list[str] = [board.verdict for board in review.boards]
    return SwapView(
        review.passed,
        review.swapped,
        tuple((name, mark, verdicts.count(name)) for name, mark in VERDICT_MARKS.items()),
        tuple(_board(board, f"b{number}") for number, board in enumerate(review.boards, 1)),
        (
            ("tickproof", review.version),
            ("date of the comparison", review.date),
            ("gate", f"fails at {review.gate}{'' if review.gate == 'error' else ' or above'}"),
            ("Monte Carlo", f"{review.draws} draws, seed {review.seed}"),
            ("rules in force", str(len(review.rules))),
        ),
        tuple((source.path, source.kind, source.sha256) for source in review.inputs),
    )


def _board(board: BoardSwap, anchor: str) -> BoardPair:
    """One board."""
    path = board.before.path
    if board.after.path != path:
        path = f"{path} to {board.after.path}"
    return BoardPair(
        anchor,
        path,
        board.verdict,
        VERDICT_MARKS[board.verdict],
        board.reason,
        board.restored is not None,
        tuple(_block(pair, board.restored, f"{anchor}-k{n}") for n, pair in enumerate(board.blocks, 1)),
        tuple(map(_found, board.gained)),
        tuple(map(_found, board.lost)),
        tuple((edit.element, edit.token.text, edit.new, edit.token.path) for edit in board.edits),
        board.why,
        tuple((file.path, _diff(file)) for file in board.files),
    )


def _found(ruling: Ruling) -> SwapFound:
    finding = ruling.finding
    return SwapFound(
        finding.level,
        finding.verdict,
        MARKS[finding.verdict],
        finding.message,
        finding.rule,
        str(finding.place),
    )


def _block(pair: BlockSwap, restored: BoardOutcome | None, anchor: str) -> BlockPair:
    """A block in two columns, in three where edits bring its timing back."""
    mended = _same_block(pair.after, restored)
    columns = [("before", pair.before), ("after", pair.after)]
    if mended is not None:
        columns.append(("with changed values", mended))
    paths = dict.fromkeys(side.block.path for _, side in columns if side is not None)
    return BlockPair(
        anchor,
        " to ".join(paths),
        _matched(pair),
        tuple(_side(heading, side, f"{anchor}-{n}") for n, (heading, side) in enumerate(columns, 1)),
        tuple(_change(change, mended) for change in pair.changes),
    )


def _same_block(after: BlockOutcome | None, restored: BoardOutcome | None) -> BlockOutcome | None:
    """The block of the board with its edits made, None where there are none."""
    if after is None or restored is None:
        return None
    return next((block for block in restored.blocks if block.block.path == after.block.path), None)


def _matched(pair: BlockSwap) -> str:
    if pair.before is None:
        return "new: nothing on the board before answers to it"
    if pair.after is None:
        return "gone: nothing on the board after answers to it"
    return f"matched by its {pair.matched_by}"


def _side(heading: str, outcome: BlockOutcome | None, name: str) -> Side:
    """One column; a block that is not there leaves it empty."""
    if outcome is None:
        return Side(heading, "no such block", "", "", "", "")
    part = outcome.block.part
    return Side(
        heading,
        f"{part.name}, {part.title or part.function}",
        schematic(outcome, f"{name}-s"),
        timing(outcome, f"{name}-t"),
        ladder(outcome, f"{name}-l"),
        bars(outcome, f"{name}-r"),
    )


def _change(change: Change, mended: BlockOutcome | None) -> ChangeRow:
    now = None if mended is None else mended.facts.get(change.name)
    return ChangeRow(
        change.name,
        "" if change.before is None else value_text(change.before),
        "" if change.after is None else value_text(change.after),
        "" if now is None else value_text(now),
        ", ".join(change.because),
    )


def _diff(file: MendedFile) -> str:
    """The lines that edits change, as a unified diff."""
    before, after = (text.splitlines(keepends=False) for text in (file.before, file.after))
    return "\n".join(unified_diff(before, after, file.path, f"{file.path} (edited)", lineterm=""))
