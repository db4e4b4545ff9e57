"""The blocks of a swap as comma-separated values (RFC 4180), a row a block."""

import csv
import io
from collections.abc import Iterator

from drc.outcome import BlockOutcome, BlockSwap, BoardOutcome, BoardSwap, Ruling, SwapReview
from drc.quantity.span import Span
from drc.report.brief import known_times
from drc.report.csv_report import cell, number
from drc.report.edit_text import told

SIDES = ("before", "after", "restored")
_OF_A_SIDE = (
    "block", "part", "code", "prescale", "polarity", "rest", "quantity", "unit", "low", "nominal", "high",
    "duty points", "rate ohm", "rate A", "strap margin low steps", "supply V", "source high A", "sink high A",
)  # fmt: skip
HEADINGS = (
    "board", "verdict", "reason", "matched by",
    *(f"{side} {name}" for side in SIDES for name in _OF_A_SIDE),
    "changes", "edits", "findings gained", "findings lost",
)  # fmt: skip
"""The columns; numbers are in SI units, what is unknown or absent is left empty."""


def render(review: SwapReview) -> str:
    """A heading, then every block of every board."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    for board in review.boards:
        writer.writerows(_rows(board))
    return text.getvalue()


def _rows(board: BoardSwap) -> Iterator[list[str]]:
    """A row a block; one without a block for a board that has none."""
    edits = "; ".join(text for edit in board.edits for text in told(edit))
    for pair in board.blocks or (BlockSwap(None, None, None, ()),):
        mended = _same(pair.after, board.restored)
        yield [
            *map(cell, (board.before.path, board.verdict, board.reason, pair.matched_by or "")),
            *(text for side in (pair.before, pair.after, mended) for text in _side(side)),
            cell("; ".join(change.name for change in pair.changes)),
            cell(edits),
            *(str(_about(pair, rulings)) for rulings in (board.gained, board.lost)),
        ]


def _same(after: BlockOutcome | None, restored: BoardOutcome | None) -> BlockOutcome | None:
    """The block with the edits made."""
    if after is None or restored is None:
        return None
    return next((block for block in restored.blocks if block.block.path == after.block.path), None)


def _about(pair: BlockSwap, rulings: tuple[Ruling, ...]) -> int:
    """How many findings are about a block."""
    paths = {side.block.path for side in (pair.before, pair.after) if side is not None}
    return sum(ruling.finding.block in paths for ruling in rulings)


def _side(outcome: BlockOutcome | None) -> list[str]:
    """One side of a block; empty where there is none."""
    if outcome is None:
        return [""] * len(_OF_A_SIDE)
    name = next(iter(known_times(outcome)), "")
    time = _span(outcome, f"timing.{name}")
    ends = ("", "", "") if time is None else map(number, (time.low, time.nominal, time.high))
    names = [_name(outcome, name) for name in ("strap.polarity", "output.rest")]
    margin = _span(outcome, "strap.margin")
    return [
        cell(outcome.block.path),
        cell(outcome.block.part.name),
        *(_middle(outcome, name) for name in ("strap.code", "strap.prescale")),
        *names,
        name if time is not None else "",
        "" if time is None else time.unit.symbol,
        *ends,
        *(_middle(outcome, name) for name in ("timing.duty", "rate.resistance", "rate.current")),
        number(None if margin is None else margin.low),
        _middle(outcome, "supply.voltage"),
        *(
            number(span and span.high)
            for span in (_span(outcome, f"output.{way}") for way in ("source", "sink"))
        ),
    ]


def _span(outcome: BlockOutcome, name: str) -> Span | None:
    return outcome.facts[name].span if name in outcome.facts else None


def _middle(outcome: BlockOutcome, name: str) -> str:
    span = _span(outcome, name)
    return number(None if span is None else span.middle)


def _name(outcome: BlockOutcome, name: str) -> str:
    value = outcome.facts[name].value if name in outcome.facts else ""
    return cell(value) if isinstance(value, str) else ""
