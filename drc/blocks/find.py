"""Timing blocks and helper parts of a circuit: by part name, and by pin names where the name is unknown."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from drc.blocks.model import TIMING_FUNCTIONS, Block, Board, Function, Part, Parts
from drc.blocks.parts import PartTable, part_table
from drc.blocks.pins import Order, order_of, unit_order, wiring_trouble
from drc.blocks.roles import NOT_OWN, ROLES, alias_table, functions_of, role_of
from drc.circuit.model import Circuit, Element, Net
from drc.trouble import Trouble


class FindOptions(NamedTuple):
    """How to look for blocks. `connections`: whether unnamed parts are looked at by their wiring."""

    connections: bool = True


DEFAULT = FindOptions()


class Headed(NamedTuple):
    """A `.subckt` of an unknown name whose pin names are all roles: those, and the functions that fit."""

    roles: tuple[str, ...]
    functions: tuple[Function, ...]


def find_blocks(circuit: Circuit, parts: Parts, options: FindOptions = DEFAULT) -> Board:
    """The board's timing blocks and helpers in source order, known parts being leaves.

    A part that is known by name is taken first; then a `.subckt` of unknown name whose pin names are all
    roles of exactly one function. What contradicts itself is a trouble, and the block is kept with what is
    known. Of elements of one name only the first makes a block: nothing can be said of the others by name.
    """
    table = part_table(parts)
    board = circuit.closed(lambda name: table.match(name) is not None)
    headed = _headed(board, table)
    hollow = {name.casefold() for name in board.hollow}
    board = board.closed(lambda name: name.casefold() in headed or name.casefold() in hollow)
    blocks: list[Block] = []
    helpers: list[Block] = []
    troubles: list[Trouble] = []
    firsts: dict[str, Element] = {}
    told = {trouble.place for trouble in board.troubles if trouble.kind == "duplicate-name"}
    for element in board.instances(lambda name: name.casefold() in headed or table.match(name) is not None):
        first = firsts.setdefault(element.path.casefold(), element)
        if first is not element:
            # Of one line in two instances of one name, their own names are told of.
            if element.place not in told and not (told and element.place == first.place):
                troubles.append(_name_taken(element, first))
            continue
        for block in _blocks_of(element, table, headed, troubles):
            (blocks if block.part.function in TIMING_FUNCTIONS else helpers).append(block)
    troubles += _unlisted(board, table, headed)
    alike = _alike(board, table, headed, helpers) if options.connections else ()
    troubles += [_alike_note(block) for block in alike]
    return Board(board, tuple(blocks), tuple(helpers), tuple(troubles), alike)


def _name_taken(element: Element, first: Element) -> Trouble:
    """What is wrong with a second element of a path, which reading the netlist does not tell of a path."""
    message = f"'{element.path}' stands already at {first.place}; both stay, rename one"
    return Trouble("duplicate-name", "error", element.place, message, others=(first.place,))


def _headed(board: Circuit, table: PartTable) -> dict[str, Headed]:
    """Unknown `.subckt` names whose pin names are all roles of some timing function, no known part inside."""
    unknown = {name: pins for name, pins in board.headers.items() if table.match(name) is None}
    if not unknown:
        return {}
    aliases = _all_aliases(table)
    found = {}
    for name, pins in unknown.items():
        roles = [role_of(pin, aliases, ROLES) for pin in pins]
        known = tuple(role for role in roles if role is not None)
        functions = functions_of(known) if len(known) == len(roles) else ()
        if functions and not _holds_parts(board, name, table):
            found[name.casefold()] = Headed(known, functions)
    return found


def _all_aliases(table: PartTable) -> dict[str, str]:
    """What a pin name means for every known timing part that uses it; names of two meanings are left out."""
    meanings: dict[str, set[str]] = {}
    for part in table.values():
        if part.function in TIMING_FUNCTIONS:
            for name, role in alias_table(part.alias).items():
                meanings.setdefault(name, set()).add(role)
    return {name: next(iter(roles)) for name, roles in meanings.items() if len(roles) == 1}


def _holds_parts(board: Circuit, name: str, table: PartTable) -> bool:
    """Whether known parts stand inside a `.subckt`: then it is a section of the board, and no part."""

    def known(part: str) -> bool:
        return table.match(part) is not None

    closed = board.closed(lambda other: other == name)
    return sum(1 for _ in board.instances(known)) != sum(1 for _ in closed.instances(known))


def _blocks_of(
    element: Element, table: PartTable, headed: Mapping[str, Headed], troubles: list[Trouble]
) -> Iterator[Block]:
    """The blocks of one element: one, one for each unit, or none where its function is not certain."""
    name = element.part or ""
    match = table.match(name)
    if match is None:
        yield from _headed_block(element, headed[name.casefold()], troubles)
        return
    part = match.part
    order = order_of(element, part, match.package)
    troubles += order.troubles
    if not part.units:
        block = _block(element, part, None, order)
        troubles += wiring_trouble(block)
        yield block
    for unit in part.units:
        yield _block(element, part, unit.name, unit_order(element, part, unit, order))


def _headed_block(element: Element, headed: Headed, troubles: list[Trouble]) -> Iterator[Block]:
    """The block that a header's pin names alone make; a note where they fit more than one function."""
    name = element.part or ""
    if len(headed.functions) > 1:
        message = (
            f"{element.path}: {name} is no known part, and its pin names fit "
            f"{' and '.join(headed.functions)}: describe it in a part file"
        )
        troubles.append(Trouble("pin-names-unclear", "note", element.place, message))
        return
    part = Part(name, element.place, function=headed.functions[0], pins=headed.roles)
    order = order_of(element, part, "")
    troubles += order.troubles
    yield _block(element, part, None, order)._replace(found_by="pin-names")


def _block(element: Element, part: Part, unit: str | None, order: Order) -> Block:
    """A block whose nets are gathered by role; none where the pin count contradicts the roles."""
    pins: dict[str, tuple[Net, ...]] = {}
    for role, net in zip(order.roles, element.nets, strict=False):
        if role != NOT_OWN:
            pins[role] = (*pins.get(role, ()), net)
    path = f"{element.path}/{unit}" if unit else element.path
    return Block(path, unit, part, element, "part", pins, element.place, package=order.package)


def _unlisted(board: Circuit, table: PartTable, headed: Mapping[str, Headed]) -> Iterator[Trouble]:
    """Elements whose part name is a known one with an ending that is none of its packages."""

    def unlisted(name: str) -> bool:
        return name.casefold() not in headed and table.base_of(name) is not None

    for element in board.instances(unlisted, kinds="XU"):
        part = table.base_of(element.part or "")
        if part is not None:
            packages = ", ".join(part.packages) or "none: it lists no packages"
            message = (
                f"{element.path}: found part {element.part}, expected {part.name} alone, or a package of it "
                f"behind the name ({packages}); it is not taken for {part.name}"
            )
            yield Trouble("package-unknown", "warning", element.place, message, others=(part.place,))


def _alike(
    board: Circuit, table: PartTable, headed: Mapping[str, Headed], helpers: list[Block]
) -> tuple[Block, ...]:
    """The parts that nobody named and that are wired like a timing block."""

    def unknown(name: str) -> bool:
        return table.match(name) is None and name.casefold() not in headed

    if next(iter(board.instances(unknown, kinds="XU")), None) is None:
        return ()
    from drc.blocks.wiring import find_alike

    feeders = [helper for helper in helpers if helper.part.function in {"regulator", "reference"}]
    return find_alike(board.instances(unknown, kinds="XU"), feeders)


def _alike_note(block: Block) -> Trouble:
    """What is said of a part that nobody named and that is wired like a timing block."""
    message = f"{block.path}: {block.alike}; if it is one, describe {block.part.name} in a part file"
    return Trouble("wired-like-a-block", "note", block.place, message)
