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
from drc.report.edit_text import by_element
from drc.report.made_under import provenance
from drc.report.page_view import MARKS
from drc.report.swap_table import with_edits
from drc.report.text import counted, value_text
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
    """A block of both boards: how the two were matched, their columns, and what changed.

    `changes` are those that a reader looks for first, `further` all others.
    """

    anchor: str
    title: str
    matched: str
    sides: tuple[Side, ...]
    changes: tuple[ChangeRow, ...]
    further: tuple[ChangeRow, ...]


class SwapFound(NamedTuple):
    """A finding gained or lost."""

    level: Level
    verdict: str
    mark: str
    message: str
    rule: str
    place: str


class BoardPair(NamedTuple):
    """A board's part of the page. `edits` are (element, change), `diffs` (file, unified diff).

    `serves`: it is served, with the edits made where there are any. `gained` remain then, `mended` do not.
    """

    anchor: str
    path: str
    verdict: str
    mark: str
    reason: str
    serves: bool
    restored: bool
    objections: tuple[str, ...]
    blocks: tuple[BlockPair, ...]
    gained: tuple[SwapFound, ...]
    mended: tuple[SwapFound, ...]
    lost: tuple[SwapFound, ...]
    edits: tuple[tuple[str, str], ...]
    why: tuple[str, ...]
    diffs: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


class SwapView(NamedTuple):
    """The whole page."""

    passed: bool
    swapped: str
    counts: tuple[tuple[str, str, int], ...]
    boards: tuple[BoardPair, ...]
    notes: tuple[str, ...]
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
        (*(f"{alone.path}: only {alone.side}" for alone in review.alone), *_untouched(review), *review.notes),
        (*provenance(review, "comparison"), ("rules in force", str(len(review.rules)))),
        tuple((source.path, source.kind, source.sha256) for source in review.inputs),
    )


def _board(board: BoardSwap, anchor: str) -> BoardPair:
    """One board."""
    path = board.before.path
    if board.after.path != path:
        path = f"{path} to {board.after.path}"
    left = board.gained if board.restored is None else board.left
    return BoardPair(
        anchor,
        path,
        board.verdict,
        VERDICT_MARKS[board.verdict],
        board.reason,
        board.verdict != "not a replacement",
        board.restored is not None,
        board.objections,
        tuple(_block(pair, board.restored, f"{anchor}-k{n}") for n, pair in enumerate(board.blocks, 1)),
        tuple(map(_found, left)),
        tuple(_found(ruling) for ruling in board.gained if ruling not in left),
        tuple(map(_found, board.lost)),
        tuple((line.partition(" ")[0], line.partition(" ")[2]) for line in by_element(board.edits)),
        board.why,
        tuple((file.path, _diff(file)) for file in board.files),
        board.notes,
    )


def _untouched(review: SwapReview) -> tuple[str, ...]:
    """How many boards the swap does not mean."""
    return (f"{counted(review.untouched, 'board')} left untouched",) if review.untouched else ()


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
    mended = with_edits(pair.after, restored)
    columns = [("before", pair.before), ("after", pair.after)]
    if mended is not None:
        columns.append(("with the edits", mended))
    paths = dict.fromkeys(side.block.path for _, side in columns if side is not None)
    return BlockPair(
        anchor,
        " to ".join(paths),
        _matched(pair),
        tuple(_side(heading, side, f"{anchor}-{n}") for n, (heading, side) in enumerate(columns, 1)),
        tuple(_change(change, mended) for change in pair.changes if _first(change.name)),
        tuple(_change(change, mended) for change in pair.changes if not _first(change.name)),
    )


_FIRST = frozenset(
    {
        "block.part", "strap.code", "strap.prescale", "strap.polarity", "strap.margin", "output.rest",
        "supply.voltage", "supply.rated", "rate.resistance", "output.source", "output.sink",
    }
)  # fmt: skip


def _first(name: str) -> bool:
    """Whether a reader of a comparison looks for a fact before all others."""
    return name in _FIRST or name.startswith("pin.") or (name.startswith("timing.") and name.count(".") == 1)


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
    return ChangeRow(
        change.name,
        "" if change.before is None else value_text(change.before),
        "" if change.after is None else value_text(change.after),
        "" if mended is None else _value(change.name, mended),
        ", ".join(change.because),
    )


def _value(name: str, outcome: BlockOutcome) -> str:
    """What a change speaks of, as it is in a block; empty where it has no such thing."""
    if name == "block.part":
        return outcome.block.part.name
    if name.startswith("pin."):
        return ", ".join(net.name for net in outcome.block.pins.get(name.removeprefix("pin."), ()))
    return value_text(outcome.facts[name]) if name in outcome.facts else ""


def _diff(file: MendedFile) -> str:
    """The lines that edits change, as a unified diff."""
    before, after = (text.splitlines(keepends=False) for text in (file.before, file.after))
    return "\n".join(unified_diff(before, after, file.path, f"{file.path} (edited)", lineterm=""))
