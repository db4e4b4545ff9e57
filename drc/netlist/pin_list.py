"""A vendor-neutral pin list (CSV with a header): designator, pin number or name, net, a line a pin."""

from collections.abc import Mapping

from drc.circuit.model import Circuit, Reading, SourceFile
from drc.netlist.assemble import Cell, Placed, assemble
from drc.netlist.source import Source
from drc.netlist.table import Columns, Row, place, read_table, token
from drc.quantity.notation import read_value
from drc.trouble import Place, Trouble

COLUMNS = Columns(
    words={
        "designator": ("designator", "reference", "refdes", "ref", "component", "referencedesignator"),
        "pin": ("pin", "pinnumber", "pinname", "pinno", "terminal", "pad", "node"),
        "net": ("net", "netname", "signal", "signalname"),
        "value": ("value", "val"),
        "part": ("part", "partname", "partnumber", "device", "type"),
    },
    needed=("designator", "pin", "net"),
)
"""Words of the trade for each column (common practice, no source)."""

OPEN = frozenset({"", "nc", "n/c", "no net", "unconnected", "?"})
"""What stands in the net column of a pin that goes nowhere."""


def read_pin_list(
    source: Source, mapped: Mapping[str, str] | None = None, parts: Mapping[str, str] | None = None
) -> Circuit:
    """The circuit of a pin list; a line without designator, pin or net is a trouble.

    `parts` names the parts of designators (lower case) that the list itself does not.

    Raises InputError where the table lacks one of the three columns.
    """
    troubles: list[Trouble] = []
    pins: dict[str, dict[str, str]] = {}
    firsts: dict[str, Row] = {}
    namings: dict[str, int] = {}
    for row in read_table(source, COLUMNS, mapped or {}):
        designator, pin, net = (row.cells.get(key) for key in COLUMNS.needed)
        if designator is None or pin is None:
            lacking = "designator" if designator is None else "pin"
            message = f"the line has no {lacking}: expected designator, pin and net; the line is left out"
            at = Place(source.path, row.line, 1)
            named = (net.text,) if net else ()
            troubles.append(Trouble("unreadable-line", "error", at, message, nets=named))
            continue
        own = pins.setdefault(designator.text, {})
        firsts.setdefault(designator.text, row)
        namings[designator.text] = namings.get(designator.text, 0) + ("part" in row.cells)
        text = net.text if net and net.text.lower() not in OPEN else ""
        if own.get(pin.text, text) != text:
            message = (
                f"pin {pin.text} of {designator.text} is on net '{own[pin.text]}' and on net '{text}': "
                "a pin is on one net; the first is used"
            )
            troubles.append(Trouble("pin-twice", "error", place(source, pin), message, nets=(text,)))
        own.setdefault(pin.text, text)
    known = parts or {}
    placed = tuple(
        _placed(source, name, own, firsts[name], known.get(name.lower()), once=namings[name] == 1)
        for name, own in pins.items()
    )
    board = Cell("", Place(source.path), (), placed)
    files = (SourceFile(source.path, "board", source.digest),)
    return assemble((board,), "", files, troubles)


def _placed(
    source: Source, name: str, pins: Mapping[str, str], row: Row, named: str | None, *, once: bool
) -> Placed:
    """One part with its pins; value and part as its first line gives them, else the part as `named`.

    `once`: the part stands on that line alone, so that an edit there changes it.
    """
    value, part = row.cells.get("value"), row.cells.get("part")
    reading = Reading(None, "no value is given")
    if value is not None and name[:1].upper() in "RCL":
        found = read_value(value.text, name[0].upper(), "mega")
        reading = Reading(
            found.value,
            found.because,
            found.tolerance,
            None,
            found.fitted,
            found.rating,
            token(source, value),
        )
    shown = part or (value if name[:1].upper() not in "RCL" else None)
    at = place(source, row.cells["designator"])
    written = token(source, part) if part is not None and once else None
    return Placed(name, at, pins, shown.text if shown else named, reading, part_token=written)
