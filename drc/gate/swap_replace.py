"""The parts of a list soldered in place of a board's own: the edits of its text."""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from drc.blocks.model import Board
from drc.circuit.material import Material
from drc.circuit.model import Element, Token
from drc.gate.project import Project
from drc.gate.swap_list import Replacement, row_for
from drc.judge.model import Edit
from drc.quantity.notation import read_value
from drc.repair.change import value_token
from drc.trouble import InputError, Trouble


class Replaced(NamedTuple):
    """What a list changes on a board: the edits, the elements meant, and which rows meant them."""

    edits: tuple[Edit, ...]
    elements: tuple[str, ...]
    rows: frozenset[Replacement]


def replaced(board: Board, rows: Sequence[Replacement], project: Project) -> Replaced:
    """The edits that put the list's parts and values on a board.

    The nodes stay in the order of the line and become the new part's pins in its order; a part that stands
    in a shared subcircuit is replaced in every instance. InputError where an element's part or value is not
    written where it could be replaced, or two rows want different things of one text.
    """
    made: dict[Token, Edit] = {}
    elements: list[str] = []
    used: set[Replacement] = set()
    for element in board.circuit.elements():
        row = row_for(rows, element.path, _part_of(element, project))
        if row is None:
            continue
        used.add(row)
        elements.append(element.path)
        for edit in _edits(element, row, project):
            earlier = made.setdefault(edit.token, edit)
            if earlier.new != edit.new:
                message = (
                    f"{element.path} and {earlier.element} are written by one and the same text, and the "
                    f"list gives them {edit.new} and {earlier.new}: give them the same"
                )
                raise InputError(Trouble("swap-list", "error", row.place, message))
    changed = tuple(edit for edit in made.values() if edit.new != edit.token.text)
    return Replaced(changed, tuple(elements), frozenset(used))


def _part_of(element: Element, project: Project) -> str | None:
    """The part that an element has, by its line or by the bill of materials."""
    material = project.facts.materials.get(element.path.lower())
    return element.part or (material.part if material else None)


def _edits(element: Element, row: Replacement, project: Project) -> Iterator[Edit]:
    """The edits that a row makes of one element."""
    materials = project.facts.materials
    if row.part is not None:
        tokens = [token for token in (element.part_token, _listed_part(element, materials)) if token]
        if not tokens:
            message = f"{element.path} has no part name in its file that could be replaced by {row.part}"
            raise InputError(Trouble("swap-list", "error", row.place, message))
        yield from (Edit(element.path, token, row.part) for token in tokens)
    if row.value is not None:
        yield _valued(element, row, materials)


def _listed_part(element: Element, materials: Mapping[str, Material]) -> Token | None:
    material = materials.get(element.path.lower())
    return None if material is None else material.part_token


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
