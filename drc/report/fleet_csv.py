"""A fleet as comma-separated values (RFC 4180): verdicts, parts, rules, margins and boards in one table."""

import csv
import io
from collections.abc import Iterator

from drc.fleet import BOARD_VERDICTS, Fleet
from drc.report.csv_report import cell
from drc.report.fleet_json import UNITS

HEADINGS = (
    "what", "name", "is", "boards", "blocks", "findings", "failing blocks", "errors", "warnings", "notes",
    "margin left", "unit", "about", "block", "board",
)  # fmt: skip

Cells = dict[str, str | int | float]


def render(fleet: Fleet) -> str:
    """A heading, then a row each, told apart by the first column; what a row has not is left empty."""
    text = io.StringIO()
    writer = csv.DictWriter(text, HEADINGS, restval="", lineterminator="\r\n")
    writer.writeheader()
    for row in _rows(fleet):
        writer.writerow({key: cell(value) if isinstance(value, str) else value for key, value in row.items()})
    return text.getvalue()


def _rows(fleet: Fleet) -> Iterator[Cells]:
    for verdict in BOARD_VERDICTS:
        yield {"what": "verdict", "name": verdict, "boards": fleet.count(verdict)}
    for part in fleet.parts:
        yield {
            "what": "part",
            "name": part.name,
            "is": part.function,
            "boards": part.boards,
            "blocks": part.blocks,
            "failing blocks": part.failing,
        }
    for rule in fleet.rules:
        yield {
            "what": "rule",
            "name": rule.name,
            "is": rule.level,
            "boards": rule.boards,
            "blocks": rule.blocks,
            "findings": rule.findings,
        }
    for found in fleet.worst:
        margin = found.margin
        yield {
            "what": "margin",
            "name": margin.kind,
            "margin left": margin.left,
            "unit": UNITS[margin.kind],
            "about": margin.about,
            "block": margin.block,
            "board": found.board,
        }
    for board in fleet.boards:
        yield {
            "what": "board",
            "name": board.path,
            "is": board.verdict,
            "blocks": board.blocks,
            "errors": board.errors,
            "warnings": board.warnings,
            "notes": board.notes,
            "about": board.error,
            "board": board.path,
        }
