"""A fleet as one page of HTML: boards by verdict, parts, what failed, the least margins, and every board."""

from typing import NamedTuple

from drc.fleet import BOARD_VERDICTS, Fleet
from drc.report.fleet import margin_text
from drc.report.made_under import provenance
from drc.report.page_writer import set_out
from drc.report.text import counted

_MARKS = {
    "passed": "\N{CHECK MARK}",
    "unproven": "?",
    "failed": "\N{BALLOT X}",
    "unread": "\N{EN DASH}",
}


class Cell(NamedTuple):
    """A cell: what it says, and what it is sorted by where that is a number."""

    text: str
    number: float | None = None


class Table(NamedTuple):
    """A table that can be sorted by any of its columns; its first column heads each row."""

    anchor: str
    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


class FleetView(NamedTuple):
    """The whole page."""

    passed: bool
    told: str
    verdicts: tuple[tuple[str, str, int], ...]
    tables: tuple[Table, ...]
    provenance: tuple[tuple[str, str], ...]


def render(fleet: Fleet) -> str:
    """The page; the same fleet gives the same text."""
    return set_out("fleet.html.j2", fleet_view(fleet))


def fleet_view(fleet: Fleet) -> FleetView:
    """Everything that the page says, in the order it says it."""
    blocks = sum(board.blocks for board in fleet.boards)
    return FleetView(
        fleet.passed,
        f"{counted(len(fleet.boards), 'board')}, {counted(blocks, 'block')}",
        tuple((verdict, _MARKS[verdict], fleet.count(verdict)) for verdict in BOARD_VERDICTS),
        (_rules(fleet), _margins(fleet), _parts(fleet), _boards(fleet)),
        provenance(fleet, "review"),
    )


def _count(number: int) -> Cell:
    return Cell(str(number), number)


def _rules(fleet: Fleet) -> Table:
    rank = {"error": 0, "warning": 1, "note": 2}
    rows = (
        (
            Cell(rule.name),
            Cell(rule.level, rank[rule.level]),
            _count(rule.boards),
            _count(rule.blocks),
            _count(rule.findings),
            Cell(rule.title),
        )
        for rule in fleet.rules
    )
    return Table(
        "rules", "What failed", ("rule", "level", "boards", "blocks", "findings", "it wants"), tuple(rows)
    )


def _margins(fleet: Fleet) -> Table:
    rows = (
        (
            Cell(found.margin.kind),
            Cell(margin_text(found), found.margin.left),
            Cell(found.margin.about),
            Cell(found.margin.block),
            Cell(found.board),
        )
        for found in fleet.worst
    )
    return Table("margins", "Least margins", ("margin", "left", "of what", "block", "board"), tuple(rows))


def _parts(fleet: Fleet) -> Table:
    rows = (
        (Cell(p.name), Cell(p.function), _count(p.blocks), _count(p.boards), _count(p.failing))
        for p in fleet.parts
    )
    heads = ("part", "function", "blocks", "boards", "blocks that fail")
    return Table("parts", "Parts", heads, tuple(rows))


def _boards(fleet: Fleet) -> Table:
    rank = {verdict: float(number) for number, verdict in enumerate(BOARD_VERDICTS)}
    rows = (
        (
            Cell(board.path),
            Cell(f"{_MARKS[board.verdict]} {board.verdict}", rank[board.verdict]),
            _count(board.blocks),
            _count(board.errors),
            _count(board.warnings),
            _count(board.notes),
            Cell(board.error),
        )
        for board in fleet.boards
    )
    heads = ("board", "verdict", "blocks", "errors", "warnings", "notes", "why it was not read")
    return Table("boards", "Boards", heads, tuple(rows))
