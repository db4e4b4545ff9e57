"""A swap as JSON, in the form that drc/report/swap.schema.json describes."""

import json

from drc.facts.model import Fact
from drc.outcome import BlockOutcome, BlockSwap, BoardSwap, Change, SwapReview
from drc.report.json_report import board_json, edit_json, finding_json, input_json, value_json
from drc.report.made_under import head_json
from drc.resources import JSON

SCHEMA = "tickproof-swap/1"


def render(review: SwapReview) -> str:
    """The whole comparison; the same one gives the same text. Ends in a line end."""
    return json.dumps(swap_json(review), indent=1, allow_nan=False) + "\n"


def swap_json(review: SwapReview) -> JSON:
    """The comparison as plain JSON values."""
    return {
        **head_json(SCHEMA, review),
        "swapped": review.swapped,
        "inputs": [input_json(source) for source in review.inputs],
        "boards": [_board(board) for board in review.boards],
        "alone": [{"path": alone.path, "side": alone.side} for alone in review.alone],
        "untouched": review.untouched,
        "notes": list[JSON](review.notes),
    }


def _board(board: BoardSwap) -> JSON:
    return {
        "verdict": board.verdict,
        "reason": board.reason,
        "objections": list[JSON](board.objections),
        "before": board_json(board.before),
        "after": board_json(board.after),
        "blocks": [_block(pair) for pair in board.blocks],
        "gained": [finding_json(ruling) for ruling in board.gained],
        "lost": [finding_json(ruling) for ruling in board.lost],
        "edits": [edit_json(edit) for edit in board.edits],
        "why": list[JSON](board.why),
        "restored": None if board.restored is None else board_json(board.restored),
        "left": [finding_json(ruling) for ruling in board.left],
        "files": [{"path": file.path, "before": file.before, "after": file.after} for file in board.files],
        "notes": list[JSON](board.notes),
    }


def _block(pair: BlockSwap) -> JSON:
    return {
        "before": _path(pair.before),
        "after": _path(pair.after),
        "matched_by": pair.matched_by,
        "changes": [_change(change) for change in pair.changes],
    }


def _path(outcome: BlockOutcome | None) -> JSON:
    return None if outcome is None else outcome.block.path


def _change(change: Change) -> JSON:
    return {
        "name": change.name,
        "before": _value(change.before),
        "after": _value(change.after),
        "because": list[JSON](change.because),
    }


def _value(fact: Fact | None) -> JSON:
    """A fact's value, null where the block has no such fact."""
    return None if fact is None else value_json(fact.value)
