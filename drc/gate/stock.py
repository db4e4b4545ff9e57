"""A house's stock list: the resistor values that are chosen from."""

from collections.abc import Callable
from pathlib import Path

from drc.gate.refusal import refused
from drc.netlist.source import decode
from drc.netlist.table import Columns, place, read_table
from drc.quantity.notation import read_value
from drc.trouble import InputError, Trouble

COLUMNS = Columns(words={"value": ("value", "val", "resistance", "ohm")}, needed=("value",))
"""Words of the trade for the column (common practice, no source)."""


def read_stock(path: Path, read: Callable[[Path], bytes] = Path.read_bytes) -> tuple[float, ...]:
    """The values of a stock list (CSV with a value column), ohm, ascending. InputError where it is none."""
    try:
        source = decode(read(path), str(path))
    except OSError as error:
        raise refused(str(path), f"cannot be read: {error.strerror}; expected a stock list") from None
    values = set()
    for line in read_table(source, COLUMNS, {}):
        cell = line.cells.get("value")
        value = read_value(cell.text, "R", "mega").value if cell is not None else None
        if cell is not None and not value:
            message = f"'{cell.text}' is no resistor value: expected such as 4.7k"
            raise InputError(Trouble("stock", "error", place(source, cell), message))
        if value:
            values.add(value)
    if not values:
        raise refused(str(path), "holds no values: expected a stock list with at least one")
    return tuple(sorted(values))
