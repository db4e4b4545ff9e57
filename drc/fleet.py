"""What many boards come to together: types only, filled board by board and read by the fleet reports."""

from typing import Literal, NamedTuple

from drc.outcome import Margin
from drc.trouble import Level

BoardVerdict = Literal["passed", "unproven", "failed", "unread"]
"""Of a board: nothing open at the gate and all proved; nothing at the gate, but something not proved; not."""

BOARD_VERDICTS: tuple[BoardVerdict, ...] = ("passed", "unproven", "failed", "unread")


class FleetBoard(NamedTuple):
    """A board on one line: its verdict, its blocks, and its open findings by level; why it was not read."""

    path: str
    verdict: BoardVerdict
    blocks: int
    errors: int
    warnings: int
    notes: int
    error: str = ""


class FleetPart(NamedTuple):
    """A part: how many blocks use it, on how many boards, and how many of them fail the gate."""

    name: str
    function: str
    blocks: int
    boards: int
    failing: int


class FleetRule(NamedTuple):
    """A rule with open findings: its gravest level, their number, and on how many boards and blocks."""

    name: str
    title: str
    level: Level
    findings: int
    boards: int
    blocks: int


class FleetMargin(NamedTuple):
    """A margin, and the board that it was met on."""

    board: str
    margin: Margin


class Fleet(NamedTuple):
    """All boards of one run, counted. `date` is ISO 8601; `worst` holds the least margins of each kind."""

    version: str
    date: str
    seed: int
    draws: int
    gate: Level
    passed: bool
    boards: tuple[FleetBoard, ...]
    parts: tuple[FleetPart, ...]
    rules: tuple[FleetRule, ...]
    worst: tuple[FleetMargin, ...]

    def count(self, verdict: BoardVerdict) -> int:
        """How many boards have a verdict."""
        return sum(board.verdict == verdict for board in self.boards)
