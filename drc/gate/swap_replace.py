"""The parts of a list soldered in place of a board's own: the edits of its text."""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from drc.blocks.model import Board
from drc.blocks.parts import PartTable, part_table
from drc.blocks.pins import order_of
from drc.blocks.roles import roles_of_header
from drc.circuit.material import Material
from drc.circuit.model import Element, Token
from drc.gate.project import Project
from drc.gate.swap_list import Replacement, row_for
from drc.judge.model import Edit
from drc.quantity.notation import read_value
from drc.repair.change import value_token
from drc.trouble import InputError, Trouble


class Replaced(NamedTuple):
    """What a list changes on a board: the edits, and notes about what else they change."""

    edits: tuple[Edit, ...]
    notes: tuple[str, ...] = ()


def meant(board: Board, rows: Sequence[Replacement], project: Project) -> dict[str, Replacement]:
    """The elements that a list means, by path, each with its row."""
    found = (
        (element.path, row_for(rows, element.path, _part_of(element, project)))
        for element in board.circuit.elements()
    )
    return {path: row for path, row in found if row is not None}


def replaced(board: Board, elements: Mapping[str, Replacement], project: Project) -> Replaced:
    """The edits that put new parts and values on a board's elements.

    The new part is soldered to the old one's pads: its pins, in its own order, come to lie on the nets of
    the old part's pins in theirs. A part that stands in a shared subcircuit is replaced in every instance.
    InputError where an element's part or value is not written where it could be replaced, or one text is to
    become two things.
    """
    made: dict[Token, Edit] = {}
    others: dict[Token, list[str]] = {}
    table = part_table(project.parts)
    for element in board.circuit.elements():
        row = elements.get(element.path)
        if row is None:
            for token in _part_tokens(element, project):
                others.setdefault(token, []).append(element.path)
            continue
        for edit in _edits(element, row, project, board.circuit.headers, table):
            earlier = made.setdefault(edit.token, edit)
            if earlier.new != edit.new:
                message = (
                    f"{element.path} and {earlier.element} are written by one and the same text, and the "
                    f"list gives them {edit.new} and {earlier.new}: give them the same"
                )
                raise InputError(Trouble("swap-list", "error", row.place, message))
    changed = tuple(edit for edit in made.values() if edit.new != edit.token.text)
    notes = tuple(
        f"{', '.join(others[edit.token])}: replaced too, written by the same text as {edit.element}"
        for edit in changed
        if edit.token in others
    )
    return Replaced(changed, notes)


def check_replaced(board: Board, elements: Mapping[str, Replacement]) -> None:
    """InputError where an element of the edited board does not have the part that its row gives it."""
    for path, row in elements.items():
        element = board.circuit.element(path)
        part = None if element is None else element.part
        if row.part is not None and (part is None or part.casefold() != row.part.casefold()):
            raise InputError(Trouble("swap-list", "error", row.place, _not_written(path, row.part)))


def _not_written(path: str, part: str) -> str:
    return (
        f"the part of {path} is not written as text that could be replaced by {part}: "
        "draw the board with it, and compare the two"
    )


def _part_of(element: Element, project: Project) -> str | None:
    """The part that an element has, by its line or by the bill of materials."""
    material = project.facts.materials.get(element.path.lower())
    return element.part or (material.part if material else None)


def _part_tokens(element: Element, project: Project) -> list[Token]:
    """Where an element's part is written: on its line, and in the bill of materials."""
    material = project.facts.materials.get(element.path.lower())
    return [token for token in (element.part_token, material.part_token if material else None) if token]


def _edits(
    element: Element,
    row: Replacement,
    project: Project,
    headers: Mapping[str, tuple[str, ...]],
    table: PartTable,
) -> Iterator[Edit]:
    """The edits that a row makes of one element."""
    if row.part is not None:
        tokens = _part_tokens(element, project)
        if not tokens:
            raise InputError(Trouble("swap-list", "error", row.place, _not_written(element.path, row.part)))
        yield from (Edit(element.path, token, row.part) for token in tokens)
        yield from _on_pads(element, row.part, headers, table)
    if row.value is not None:
        yield _valued(element, row, project.facts.materials)


def _on_pads(
    element: Element, name: str, headers: Mapping[str, tuple[str, ...]], table: PartTable
) -> Iterator[Edit]:
    """The nets of a line put where the new part's pins find them on the old part's pads.

    Nothing where both lines are in the order of the pads, as they are without a `.subckt` header.
    """
    old, new = table.match(element.part or ""), table.match(name)
    tokens = element.pin_tokens
    if old is None or new is None or len(tokens) != len(element.nets):
        return
    on_line = order_of(element, old.part, old.package).roles
    pads = old.part.packages.get(old.package, old.part.pins)
    new_pads = new.part.packages.get(new.package, new.part.pins)
    header = next((pins for each, pins in headers.items() if each.casefold() == name.casefold()), None)
    read = new_pads if header is None else roles_of_header(header, new.part)
    line = new_pads if None in read else tuple(role for role in read if role is not None)
    if not len(on_line) == len(pads) == len(new_pads) == len(line):
        return
    at_pad = {role: token.text for role, token in zip(on_line, tokens, strict=True)}
    if len(at_pad) != len(tokens) or set(at_pad) != set(pads) or set(line) != set(new_pads):
        return
    on_pad = {role: at_pad[pad] for role, pad in zip(new_pads, pads, strict=True)}
    for token, role in zip(tokens, line, strict=True):
        yield Edit(element.path, token, on_pad[role])


def _valued(element: Element, row: Replacement, materials: Mapping[str, Material]) -> Edit:
    """The edit that gives an element the row's value."""
    assert row.value is not None
    if element.kind not in "RCL":
        message = f"{element.path} is no resistor, capacitor or coil, and takes no value: leave it out"
        raise InputError(Trouble("swap-list", "error", row.value_place, message))
    if read_value(row.value, element.kind, "mega").value is None:
        message = f"found '{row.value}' as the value of {element.path}, expected such as 4.7k or 100n"
        raise InputError(Trouble("swap-list", "error", row.value_place, message))
    token = value_token(element, materials)
    if token is None:
        message = f"the value of {element.path} is not written as text of its own that could be replaced"
        raise InputError(Trouble("swap-list", "error", row.value_place, message))
    return Edit(element.path, token, row.value)
