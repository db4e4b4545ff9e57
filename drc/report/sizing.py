"""The choices of sizing as a page: a table of the trade-off, and the best one's netlist."""

from collections.abc import Sequence
from itertools import groupby

from drc.outcome import Sized
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import AMPERE, FARAD, OHM, Unit
from drc.report.text import Piece, Row, harmless, row, wrapped

_HEAD = ("", "part", "prescale", "timing", "strap R", "worst", "margin", "new", "current")


def sizing_page(sized: tuple[Sized, ...], width: int, most: int) -> list[Row]:
    """A line a choice, best first, `most` of them; parts that come out alike share a line."""
    if not sized:
        return [row("nothing fits: no part in force makes this with the values given")]
    groups = [list(group) for _, group in groupby(sized, key=lambda one: one._replace(part="", netlist=""))]
    shown = groups[:most]
    lines = [_HEAD, *(_cells(number, group[0]) for number, group in enumerate(shown, 1))]
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    rows: list[Row] = [row(Piece(_line(_HEAD, widths), "heading"))]
    for cells, group in zip(lines[1:], shown, strict=True):
        first = group[0]
        rows.append(row(Piece(_line(cells, widths), "plain" if not first.troubles else "warning")))
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


def _cells(number: int, one: Sized) -> tuple[str, ...]:
    """The cells of a choice's line."""
    return (
        str(number),
        harmless(one.part),
        "-" if one.margin is None else f"{one.prescale}{' inv' if one.inverted else ''}",
        _ohms(one.timing) + ("" if one.farad is None else f" {_short(one.farad, FARAD)}"),
        "-" if one.margin is None else _ohms(one.strap) or "tied",
        f"{100 * one.error:.2f} %",
        "-" if one.margin is None else f"{one.margin:.2f}",
        str(one.new),
        format_value(one.current, AMPERE, 3),
    )


def _line(cells: Sequence[str], widths: Sequence[int]) -> str:
    """A line of the table, each column as wide as its widest cell."""
    return "  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True)).rstrip()


def _ohms(values: tuple[float, ...]) -> str:
    """Resistors as a person writes a pair: `130k/68.1k`."""
    return "/".join(_short(value, OHM) for value in values)


def _short(value: float, unit: Unit) -> str:
    """A value without its unit, as on a drawing: `68.1k`, `10n`."""
    return format_value(value, unit).removesuffix(unit.symbol).replace(" ", "")


def _legend(found: int, most: int) -> str:
    left = f"; {found - most} more left out" if found > most else ""
    return (
        "worst: largest departure over tolerance, ambient and supply (extreme value); margin: steps from the "
        f"nearest strap threshold at worst; new: values not yet on the board{left}"
    )
