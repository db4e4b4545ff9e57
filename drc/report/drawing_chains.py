"""Which block acts on which, as boxes from left to right with an arrow for each pair."""

from collections.abc import Mapping, Sequence

from drc.outcome import BoardOutcome, ChainOutcome
from drc.report.svg import CHAR, Sheet

_WIDTH, _HEIGHT = 132.0, 44.0
_ACROSS, _DOWN = 300.0, 92.0


def chain_drawing(board: BoardOutcome, name: str) -> str:
    """The drawing; empty where no block acts on another."""
    if not board.chains:
        return ""
    places = _places(board.chains)
    parts = {outcome.block.path: outcome.block.part.name for outcome in board.blocks}
    sheet = Sheet()
    for path, (column, line) in places.items():
        x, y = _ACROSS * column, _DOWN * line
        sheet.box(x, y, _WIDTH, _HEIGHT, "block")
        sheet.text(x + _WIDTH / 2, y + 18, path, "middle", "name", 18)
        sheet.text(x + _WIDTH / 2, y + 33, parts.get(path, ""), "middle", "small", 18)
    arriving: dict[str, int] = {}
    lowest = max(line for _, line in places.values()) * _DOWN + _HEIGHT
    for chain in board.chains:
        number = arriving.get(chain.driven, 0)
        arriving[chain.driven] = number + 1
        if places[chain.driver][0] < places[chain.driven][0]:
            _forward(sheet, chain, places, number)
        else:
            lowest += 26
            _back(sheet, chain, places, lowest)
    told = "; ".join(in_words(chain) for chain in board.chains)
    return sheet.drawing(name, f"Chains of {board.path}", f"{told}.")


def in_words(chain: ChainOutcome) -> str:
    """`XU1 acts on trigger of XU2 through R4, Q1, inverted`."""
    sense = {True: ", inverted", False: "", None: ", inverted or not"}[chain.inverted]
    through = f" through {', '.join(chain.through)}" if chain.through else ""
    loop = f" (loop {', '.join(chain.loop)})" if chain.loop else ""
    return f"{chain.driver} acts on {chain.role} of {chain.driven}{through}{sense}{loop}"


def _places(chains: Sequence[ChainOutcome]) -> Mapping[str, tuple[int, int]]:
    """Column and line of every block: a column right of all that act on it, loops cut where they close."""
    drivers: dict[str, list[str]] = {}
    for chain in chains:
        drivers.setdefault(chain.driver, [])
        drivers.setdefault(chain.driven, []).append(chain.driver)
    columns: dict[str, int] = {}

    def column(path: str, above: frozenset[str]) -> int:
        if path in columns:
            return columns[path]
        before = [column(driver, above | {path}) for driver in drivers[path] if driver not in above | {path}]
        found = 1 + max(before) if before else 0
        if not above:
            columns[path] = found
        return found

    for path in drivers:
        columns[path] = column(path, frozenset())
    taken: dict[int, int] = {}
    places = {}
    for path in drivers:
        line = taken.get(columns[path], 0)
        taken[columns[path]] = line + 1
        places[path] = (columns[path], line)
    return places


def _label(chain: ChainOutcome) -> tuple[str, str]:
    """Over the arrow: the role; under it: what is between."""
    sense = {True: "inverted", False: "", None: "inverted or not"}[chain.inverted]
    below = ", ".join([*chain.through, *([sense] if sense else [])])
    return chain.role, below


def _forward(sheet: Sheet, chain: ChainOutcome, places: Mapping[str, tuple[int, int]], number: int) -> None:
    """An arrow to a block further right; several into one block arrive side by side."""
    (column, line), (to_column, to_line) = places[chain.driver], places[chain.driven]
    start = (_ACROSS * column + _WIDTH, _DOWN * line + _HEIGHT / 2)
    end = (_ACROSS * to_column, _DOWN * to_line + _HEIGHT / 2 + 12 * number)
    turn = end[0] - (_ACROSS - _WIDTH) + 14 + 8 * number
    sheet.line(start, (turn, start[1]), (turn, end[1]), end)
    sheet.area(end, (end[0] - 9, end[1] - 4), (end[0] - 9, end[1] + 4), kind="solid")
    role, below = _label(chain)
    most = int((end[0] - turn - 14) / CHAR)
    sheet.text(end[0] - 14, end[1] - 5, role, "end", "name", most)
    sheet.text(end[0] - 14, end[1] + 13, below, "end", "small", most)


def _back(sheet: Sheet, chain: ChainOutcome, places: Mapping[str, tuple[int, int]], y: float) -> None:
    """An arrow back to a block that is not further right, beneath all boxes."""
    (column, line), (to_column, to_line) = places[chain.driver], places[chain.driven]
    start = (_ACROSS * column + _WIDTH - 20, _DOWN * line + _HEIGHT)
    end = (_ACROSS * to_column + 20, _DOWN * to_line + _HEIGHT)
    sheet.line(start, (start[0], y), (end[0], y), end, kind="wire dashed")
    sheet.area(end, (end[0] - 4, end[1] + 9), (end[0] + 4, end[1] + 9), kind="solid")
    role, below = _label(chain)
    sheet.text((start[0] + end[0]) / 2, y - 4, f"{role} {below}".strip(), "middle", "small", 40)
