"""A block's own surroundings as a schematic: supply up, ground down, inputs left, output right."""

from collections.abc import Iterable
from itertools import pairwise

from drc.blocks.model import Block
from drc.outcome import BlockOutcome, Surroundings
from drc.report.layout import Layout
from drc.report.svg import CHAR, Sheet
from drc.report.symbols import LENGTH, ground, supply, two_ended

WIDTH = 168.0
"""The block's box, px."""

_TIMING = ("discharge", "threshold", "trigger")
"""Pins of an RC timer, which share a network and stand together below the others."""

_PITCH = 22.0
_LEAST_HEIGHT = 96.0
_BYPASS = 3


def schematic(outcome: BlockOutcome, name: str) -> str:
    """The drawing; empty where nothing was gathered for it."""
    near = outcome.surroundings
    if near is None:
        return ""
    block = outcome.block
    home = block.net("supply")
    own = frozenset(net.name for nets in block.pins.values() for net in nets)
    layout = Layout(near, home.name if home is not None else None, own)
    sheet = Sheet()
    rows = [14.0]
    left = _side(sheet, layout, _groups(block, _inputs(block)), x=0.0, sign=-1, top=14.0, rows=rows)
    bypass = _bypass(sheet, near, layout.home)
    right = _side(
        sheet, layout, _groups(block, ("output",)), x=WIDTH, sign=1, top=64.0 if bypass else 14.0, rows=rows
    )
    height = max(left, right, _LEAST_HEIGHT) + 14
    _box(sheet, block, height, _widest_gap([*rows, height - 10]))
    _rails(sheet, layout, block, height)
    title = f"Schematic around {block.path}"
    return sheet.drawing(name, title, described(outcome))


def described(outcome: BlockOutcome) -> str:
    """The same in words: each pin with its net and what hangs there."""
    near = outcome.surroundings or Surroundings()
    told = []
    for role, nets in outcome.block.pins.items():
        for net in nets:
            if net.name in near.grounds:
                told.append(f"{role} on ground")
                continue
            rail = f", {near.rails[net.name][0]}" if net.name in near.rails else ""
            here = [f"{e.path} {e.text}".strip() for e in near.elements if net.name in e.nets]
            hangs = f": {', '.join(here)}" if here else ""
            told.append(f"{role} on net {net.name}{rail}{hangs}")
    return "; ".join(told) + "."


def _inputs(block: Block) -> tuple[str, ...]:
    """The roles on the left, as they are read: what drives the block first, the timing resistor last."""
    last = ("rate",)
    rest = [role for role in block.pins if role not in ("supply", "ground", "output", "nc", "rate", "strap")]
    return (*sorted(rest, key=lambda role: (role in _TIMING, role)), "strap", *last)


def _groups(block: Block, roles: Iterable[str]) -> list[tuple[str, list[str]]]:
    """(net, its roles) in order, roles on one net together."""
    groups: dict[str, list[str]] = {}
    for role in roles:
        for net in block.pins.get(role, ()):
            groups.setdefault(net.name, []).append(role)
    return list(groups.items())


def _side(
    sheet: Sheet,
    layout: Layout,
    groups: list[tuple[str, list[str]]],
    *,
    x: float,
    sign: int,
    top: float,
    rows: list[float],
) -> float:
    """The pins of one side from the top down, each with room for what hangs on it; the lowest y used.

    Where the pins are is added to `rows`.
    """
    below = top
    for net, roles in groups:
        part = layout.branch(net, sign)
        height = _PITCH * (len(roles) - 1)
        y = max(below - part.top, below + 10.0)
        sheet.add(part, x + 16 * sign, y)
        for row, role in enumerate(roles):
            at = y + _PITCH * row
            rows.append(at)
            sheet.line((x, at), (x + 16 * sign, at))
            sheet.text(x - 7 * sign, at + 4, role, "end" if sign > 0 else "start", "pin", 14)
        if height:
            sheet.line((x + 16 * sign, y), (x + 16 * sign, y + height))
        below = y + max(part.bottom, height + 8) + 12
    return below - 12


def _widest_gap(rows: list[float]) -> float:
    """The middle of the widest gap between rows, so that the block's name stands clear of its pins."""
    ordered = sorted(rows)
    gaps = [(below - above, -above) for above, below in pairwise(ordered)]
    widest, above = max(gaps)
    return -above + widest / 2


def _box(sheet: Sheet, block: Block, height: float, middle: float) -> None:
    """The block: a box with its name, part and function."""
    shape = Sheet()
    shape.box(0, 0, WIDTH, height, kind="block", tip=f"{block.path}, {block.part.title}")
    sheet.shapes[:0] = shape.shapes
    sheet.reach((0, 0), (WIDTH, height))
    for row, (text, kind) in enumerate(
        ((block.path, "name"), (block.part.name, ""), (block.part.function, "small"))
    ):
        sheet.text(WIDTH / 2, middle + 14 * (row - 1) + 4, text, "middle", kind, 16)


def _rails(sheet: Sheet, layout: Layout, block: Block, height: float) -> None:
    """Supply pins at the top, ground pins at the bottom."""
    near = layout.near
    supplies, grounds = block.pins.get("supply", ()), block.pins.get("ground", ())
    for number, net in enumerate(supplies):
        x = WIDTH * (number + 1) / (len(supplies) + 1)
        sheet.text(x, 14, "supply", "middle", "pin")
        sheet.line((x, 0), (x, -34))
        if net.name in near.grounds:
            sheet.line((x, -34), (x + 22, -34), (x + 22, -26))
            ground(sheet, x + 22, -26)
        else:
            voltage = near.rails[net.name][0] if net.name in near.rails else "voltage not known"
            supply(sheet, x, -34, net.name, voltage)
    for number, net in enumerate(grounds):
        x = WIDTH * (number + 1) / (len(grounds) + 1)
        sheet.text(x, height - 6, "ground", "middle", "pin")
        if net.name in near.grounds or not (net.name in near.rails and near.rails[net.name][1]):
            layout.end(sheet, net.name, x, height, 16.0)
        else:
            sheet.line((x, height), (x, height + 16))
            sheet.text(x, height + 30, net.name, "middle", "name", 24)


def _bypass(sheet: Sheet, near: Surroundings, home: str | None) -> bool:
    """The capacitors between the block's supply and ground, beside its supply pin."""
    found = [
        e for e in near.elements
        if e.kind == "C" and home in e.nets and any(net in near.grounds for net in e.nets)
    ]  # fmt: skip
    if not found:
        return False
    x, y = WIDTH + 26.0, -22.0
    sheet.dot(WIDTH / 2, y)
    for element in found[:_BYPASS]:
        two_ended(sheet, element, (x, y), upright=True, forward=True)
        ground(sheet, x, y + LENGTH)
        sheet.text(x + 15, y + LENGTH / 2 - 3, element.path, "start", "name", 12)
        sheet.text(x + 15, y + LENGTH / 2 + 10, element.text, "start", "", 12)
        end, x = x, x + 40 + CHAR * min(max(len(element.path), len(element.text)), 12)
    sheet.line((WIDTH / 2, y), (end, y))
    if len(found) > _BYPASS:
        sheet.text(x - 8, y + LENGTH / 2 + 3, f"and {len(found) - _BYPASS} more", "start", "small")
    return True
