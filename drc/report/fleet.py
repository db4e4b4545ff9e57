"""A fleet as a page for a terminal: boards by verdict, parts, what failed, and the least margins."""

from collections.abc import Callable, Iterator, Sequence

from drc.fleet import BOARD_VERDICTS, Fleet, FleetMargin
from drc.report.text import Meaning, Piece, Row, counted, harmless, row
from drc.trouble import Level

MOST = 12
"""Lines of a table; the reports have all of them."""

_MEANING: dict[Level, Meaning] = {"error": "error", "warning": "warning", "note": "note"}
_PART, _FUNCTION, _COUNT = 16, 16, 9
_VERDICT_MEANING: dict[str, Meaning] = {
    "passed": "good",
    "unproven": "warning",
    "failed": "error",
    "unread": "error",
}


def fleet_page(fleet: Fleet, width: int, shown: Callable[[str], str]) -> list[Row]:
    """The page, with an empty line behind it. `shown` turns a board's path into one that can be opened."""
    blocks = sum(board.blocks for board in fleet.boards)
    head = f"all together: {counted(len(fleet.boards), 'board')}, {counted(blocks, 'block')}"
    rows = [row(Piece(head, "heading"))]
    for verdict in BOARD_VERDICTS:
        number = fleet.count(verdict)
        if number:
            label = Piece(verdict.ljust(10), _VERDICT_MEANING[verdict])
            rows.append(row("  ", label, f"{number:>7}  {100 * number / len(fleet.boards):.1f} %"))
    rows += [(), *_parts(fleet), *_rules(fleet, width)]
    if fleet.worst:
        rows += [row(Piece("  least margin", "quiet")), *_margins(fleet.worst, width, shown), ()]
    return rows


def _parts(fleet: Fleet) -> Iterator[Row]:
    """The parts, and how many of their blocks fail."""
    if not fleet.parts:
        return
    heads = "".join(word.rjust(_COUNT) for word in ("blocks", "boards", "failing"))
    yield row(Piece(f"  {'part':<{_PART}}{'function':<{_FUNCTION}}{heads}", "quiet"))
    for part in fleet.parts[:MOST]:
        name = _cut(harmless(part.name), _PART - 2).ljust(_PART)
        failing = Piece(f"{part.failing:>{_COUNT}}", "error" if part.failing else "plain")
        numbers = f"{part.blocks:>{_COUNT}}{part.boards:>{_COUNT}}"
        yield row(f"  {name}{part.function:<{_FUNCTION}}{numbers}", failing)
    yield from _rest(fleet.parts)
    yield ()


def _rules(fleet: Fleet, width: int) -> Iterator[Row]:
    """What failed, by rule."""
    if not fleet.rules:
        return
    room = width - 2 - 9 - 2 * _COUNT
    heads = "".join(word.rjust(_COUNT) for word in ("boards", "blocks"))
    yield row(Piece(f"  {'level':<9}{heads}  rule", "quiet"))
    for rule in fleet.rules[:MOST]:
        label = Piece(rule.level.ljust(9), _MEANING[rule.level])
        yield row("  ", label, f"{rule.boards:>{_COUNT}}{rule.blocks:>{_COUNT}}  {_cut(rule.name, room - 2)}")
    yield from _rest(fleet.rules)
    yield ()


def _margins(worst: Sequence[FleetMargin], width: int, shown: Callable[[str], str]) -> Iterator[Row]:
    """The least margins of each kind, three of each."""
    told: dict[str, int] = {}
    for found in worst:
        margin = found.margin
        told[margin.kind] = told.get(margin.kind, 0) + 1
        if told[margin.kind] > 3:
            continue
        value = Piece(margin_text(found).rjust(12), "error" if margin.left < 0 else "plain")
        about = f" {margin.about}, {harmless(margin.block)} of "
        place = _cut(harmless(shown(found.board)), width - 2 - 8 - 12 - len(about))
        yield row(f"  {margin.kind:<8}", value, about, Piece(place, "quiet"))


def margin_text(found: FleetMargin) -> str:
    """What is left, with its unit."""
    margin = found.margin
    if margin.kind == "strap":
        return f"{margin.left:.3g} steps"
    return f"{margin.left:.3g} V" if margin.kind == "supply" else f"{100 * margin.left:.3g} %"


def _rest(rows: Sequence[object]) -> Iterator[Row]:
    """How many lines are left out."""
    if len(rows) > MOST:
        yield row(Piece(f"  and {len(rows) - MOST} more: see --fleet", "quiet"))


def _cut(text: str, room: int) -> str:
    """The end of a text that is too long, for of a path it is the end that tells."""
    room = max(room, 8)
    return text if len(text) <= room else "..." + text[3 - room :]
