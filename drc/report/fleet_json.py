"""A fleet as JSON, in the form that drc/report/fleet.schema.json describes."""

import json

from drc.fleet import BOARD_VERDICTS, Fleet, FleetMargin
from drc.outcome import MarginKind
from drc.report.made_under import head_json
from drc.resources import JSON

SCHEMA = "tickproof-fleet/1"

UNITS: dict[MarginKind, str] = {"strap": "steps", "timing": "", "supply": "V", "load": ""}
"""The unit of each kind of margin; a share has none."""


def render(fleet: Fleet) -> str:
    """The whole fleet; the same fleet gives the same text. Ends in a line end."""
    return json.dumps(fleet_json(fleet), indent=1, allow_nan=False) + "\n"


def fleet_json(fleet: Fleet) -> JSON:
    """The fleet as plain JSON values."""
    return {
        **head_json(SCHEMA, fleet),
        "verdicts": {verdict: fleet.count(verdict) for verdict in BOARD_VERDICTS},
        "parts": [dict(part._asdict()) for part in fleet.parts],
        "rules": [dict(rule._asdict()) for rule in fleet.rules],
        "worst": [_margin(found) for found in fleet.worst],
        "boards": [dict(board._asdict()) | {"error": board.error or None} for board in fleet.boards],
    }


def _margin(found: FleetMargin) -> JSON:
    margin = found.margin
    return {
        "kind": margin.kind,
        "left": margin.left,
        "unit": UNITS[margin.kind],
        "about": margin.about,
        "block": margin.block,
        "board": found.board,
    }
