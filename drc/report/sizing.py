"""The choices of sizing as a page: a table of the trade-off, and the best one's netlist."""

from itertools import groupby

from drc.outcome import Sized
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import AMPERE, OHM
from drc.report.text import Piece, Row, harmless, row, wrapped

_HEAD = ("", "part", "prescale", "timing R", "strap R", "worst", "margin", "new", "current")
_WIDTHS = (3, 8, 9, 10, 16, 8, 7, 4, 9)


def sizing_page(sized: tuple[Sized, ...], width: int, most: int) -> list[Row]:
    """A line a choice, best first, `most` of them; parts that come out alike share a line."""
    if not sized:
        return [row("nothing fits: no part in force makes this with the values given")]
    groups = [list(group) for _, group in groupby(sized, key=lambda one: one._replace(part="", netlist=""))]
    rows: list[Row] = [row(Piece(_line(_HEAD), "heading"))]
    for number, group in enumerate(groups[:most], 1):
        first = group[0]
        cells = (
            str(number),
            harmless(first.part),
            f"{first.prescale}{' inv' if first.inverted else ''}",
            _ohms(first.timing),
            _ohms(first.strap) or "tied",
            f"{100 * first.error:.2f} %",
            f"{first.margin:.2f}",
            str(first.new),
            format_value(first.current, AMPERE, 3),
        )
        rows.append(row(Piece(_line(cells), "plain" if not first.troubles else "warning")))
        if len(group) > 1:
            text = f"also {', '.join(one.part for one in group[1:])}"
            rows += [row(" " * 4, line) for line in wrapped(text, width - 4)]
        for trouble in first.troubles[:1]:
            rows += [row(" " * 4, Piece(line, "warning")) for line in wrapped(harmless(trouble), width - 4)]
    best = groups[0][0]
    comes = f"1 comes out at {'; '.join(format_span(span) for span in best.spans)}"
    rows += [(), *(row(line) for line in wrapped(comes, width))]
    rows += [row(line) for line in wrapped(_legend(len(groups), most), width)]
    rows.append(())
    return rows + [row(line) for line in best.netlist.rstrip("\n").split("\n")]


def _line(cells: tuple[str, ...]) -> str:
    return " ".join(cell.ljust(width) for cell, width in zip(cells, _WIDTHS, strict=True)).rstrip()


def _ohms(values: tuple[float, ...]) -> str:
    """Resistors as a person writes a pair: `130k/68.1k`."""
    return "/".join(
        format_value(value, OHM).replace(" ohm", "").replace("ohm", "").replace(" ", "") for value in values
    )


def _legend(found: int, most: int) -> str:
    left = f"; {found - most} more left out" if found > most else ""
    return (
        "worst: largest departure over tolerance, ambient and supply (extreme value); margin: steps from the "
        f"nearest strap threshold at worst; new: values not yet on the board{left}"
    )
