"""The list of parts to be replaced: a CSV table, a row an element or a pattern of them."""

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from drc.gate.tree import DISK
from drc.intent.match import matches
from drc.intent.model import Pattern
from drc.netlist.source import Source, decode
from drc.netlist.table import Columns, Row, place, read_table
from drc.trouble import InputError, Place, Trouble

COLUMNS = Columns(
    words={
        "element": ("element", "designator", "designators", "reference", "refdes", "name"),
        "old part": ("oldpart", "old", "was", "replaces", "instead", "partbefore"),
        "part": ("part", "newpart", "replacement", "by", "partafter"),
        "value": ("value", "newvalue", "val"),
    },
    needed=("element", "part"),
)
"""Words for each column; `old part` and `value` may be missing."""


class Replacement(NamedTuple):
    """A row: which elements, which part they have now (None: any), and the part and value they get.

    `part` None: the part stays; `value` None: so does the value, which is text as a netlist line has it.
    """

    element: Pattern
    old: Pattern | None
    part: str | None
    value: str | None
    place: Place
    value_place: Place

    def means(self, path: str, part: str | None) -> bool:
        """Whether the row is about the element of that path, which has that part."""
        if not matches(self.element, path):
            return False
        return self.old is None or (part is not None and matches(self.old, part))

    @property
    def text(self) -> str:
        """The row as a message names it: `XU1`, `XU* with HA10`."""
        return self.element.text + (f" with {self.old.text}" if self.old else "")


def read_swap_list(path: Path, shown: str) -> tuple[Replacement, ...]:
    """The rows of a list, in order. InputError with file, line and column for whatever is wrong with it."""
    try:
        source = decode(DISK.paper(path), shown)
    except OSError as error:
        message = f"cannot be read: {error.strerror}: expected a CSV file with the columns element and part"
        raise InputError(Trouble("swap-list", "error", Place(shown), message)) from None
    if "\0" in source.text:
        message = "is no text: expected a CSV file with the columns element and part"
        raise InputError(Trouble("swap-list", "error", Place(shown), message))
    troubles: list[Trouble] = []
    rows = [_replacement(source, row, troubles) for row in read_table(source, COLUMNS, {})]
    found = [row for row in rows if row is not None]
    if not rows:
        message = "has no row below its heading: expected such as XU1,BR10"
        troubles.append(Trouble("swap-list", "error", Place(shown, 1, 1), message))
    troubles += _twice(found)
    if troubles:
        raise InputError(*troubles)
    return tuple(found)


def row_for(rows: Sequence[Replacement], path: str, part: str | None) -> Replacement | None:
    """The row that an element falls under: one that names it, else the first whose pattern means it."""
    meant = [row for row in rows if row.means(path, part)]
    exact = (row for row in meant if "*" not in row.element.text)
    return next(exact, meant[0] if meant else None)


def _replacement(source: Source, row: Row, troubles: list[Trouble]) -> Replacement | None:
    """One row; None, with what is wrong with it told, where it cannot be used."""
    cells = row.cells
    element, old, part, value = (cells.get(name) for name in ("element", "old part", "part", "value"))
    first = min(cells.values(), key=lambda cell: cell.start)
    if element is None:
        message = "the row names no element: expected a designator such as XU1, or a pattern such as XU*"
        troubles.append(Trouble("swap-list", "error", place(source, first), message))
        return None
    if part is None and value is None:
        message = f"the row gives {element.text} neither a part nor a value: expected such as BR10"
        troubles.append(Trouble("swap-list", "error", place(source, element), message))
        return None
    wrong = next((cell for cell in (part, value) if cell is not None and len(cell.text.split()) != 1), None)
    if wrong is not None:
        message = f"found '{wrong.text}', expected one word, as it stands on a netlist line"
        troubles.append(Trouble("swap-list", "error", place(source, wrong), message))
        return None
    return Replacement(
        Pattern(element.text),
        Pattern(old.text) if old else None,
        part.text if part else None,
        value.text if value else None,
        place(source, element),
        place(source, value or element),
    )


def _twice(rows: Sequence[Replacement]) -> list[Trouble]:
    """Rows about the same elements that want different things of them."""
    first: dict[tuple[str, str], Replacement] = {}
    troubles = []
    for row in rows:
        key = (row.element.text.casefold(), row.old.text.casefold() if row.old else "")
        earlier = first.setdefault(key, row)
        if (earlier.part, earlier.value) != (row.part, row.value):
            message = f"{row.text} is listed twice, with different parts or values: leave one row"
            troubles.append(Trouble("swap-list", "error", row.place, message, others=(earlier.place,)))
    return troubles
