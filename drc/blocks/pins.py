"""Which role each pin of an element has: its `.subckt` header first, then a package, then the part file."""

from collections.abc import Sequence
from typing import NamedTuple

from drc.blocks.model import Block, Part, PartUnit
from drc.blocks.roles import NOT_OWN, alias_table, role_of, roles_of_header
from drc.circuit.model import Element
from drc.trouble import Trouble


class Order(NamedTuple):
    """Roles by position on the element line; none at all where their number is wrong."""

    roles: tuple[str, ...]
    package: str = ""
    troubles: tuple[Trouble, ...] = ()


def order_of(element: Element, part: Part, package: str) -> Order:
    """The roles of an element's pins in the order of its line.

    `package` is what the part name's ending chose; a `package=` parameter on the line comes before it. A
    header whose names are all roles gives the order; else the package's pins, else the part's.
    """
    troubles: list[Trouble] = []
    package = _package(element, part, package, troubles)
    listed = part.packages.get(package, part.pins)
    roles = listed
    if element.header:
        read = roles_of_header(element.header, part) if not part.units else unit_names(element.header, part)
        if None not in read:
            roles = tuple(role for role in read if role is not None)
        troubles += _disagreement(element, part, read, listed)
    if len(element.nets) != len(roles):
        troubles.append(_wrong_count(element, part, len(roles), package))
        roles = ()
    return Order(roles, package, tuple(troubles))


def _package(element: Element, part: Part, suffix: str, troubles: list[Trouble]) -> str:
    """The package that the line chooses, by parameter or by the part name's ending; empty for none."""
    wanted = element.parameters.get("package", "").strip("\"'")
    if not wanted:
        return suffix
    for name in part.packages:
        if name.casefold() == wanted.casefold():
            return name
    has = ("one of " + ", ".join(part.packages)) if part.packages else "none: it lists no packages"
    message = (
        f'{element.path}: found package "{wanted}", expected one that the part file gives for '
        f"{part.name} ({has}); its own pin order is used"
    )
    troubles.append(Trouble("package-unknown", "warning", element.place, message, others=(part.place,)))
    return suffix


def _disagreement(
    element: Element, part: Part, read: Sequence[str | None], listed: Sequence[str]
) -> list[Trouble]:
    """Where a header's pin names contradict the part file: other roles, or another position."""
    header = element.header or ()
    own = {role.rpartition(".")[2] for role in listed} - {"nc", NOT_OWN}
    if None not in read:
        given = {role.rpartition(".")[2] for role in read if role is not None} - {"nc", NOT_OWN}
        pieces = [f"lacks {_and(own - given)}"] if own - given else []
        pieces += [f"adds {_and(given - own)}"] if given - own else []
        if not pieces:
            return []
        told = f"the header of {element.part} {' and '.join(pieces)}, against the pins of {part.name}"
        told += " in its part file; the header's order is used"
    else:
        wrong = [
            f"{name} (pin {i}) reads as {role}, where the part file has {want}"
            for i, (name, role, want) in enumerate(zip(header, read, listed, strict=False), 1)
            if role is not None and role.rpartition(".")[2] != want.rpartition(".")[2]
        ]
        if not wrong:
            return []
        told = f"the header of {element.part} contradicts the pins of {part.name}: {'; '.join(wrong)}"
        told += "; the part file's order is used"
    message = f"{element.path}: {told}"
    return [Trouble("pin-names-disagree", "warning", element.place, message, others=(part.place,))]


def _wrong_count(element: Element, part: Part, wanted: int, package: str) -> Trouble:
    """The line has more or fewer nodes than pins are known: no role is certain."""
    found = len(element.nets)
    fitting = [name for name, pins in part.packages.items() if len(pins) == found and name != package]
    hint = f"; package {_and(fitting)} has {found}: add package={fitting[0]}" if fitting else ""
    of = f"{part.name} in package {package}" if package else part.name
    if element.header and wanted == len(element.header):
        of = f"the header of {element.part}"
    message = (
        f"{element.path}: found {found} nodes, expected {wanted}, the pins of {of}; "
        f"which pin is which is unknown{hint}"
    )
    nets = tuple(net.name for net in element.nets)
    return Trouble("pin-count", "error", element.place, message, others=(part.place,), nets=nets)


def _and(names: Sequence[str] | set[str]) -> str:
    """Names as a list in words, sorted where they have no order."""
    ordered = sorted(names) if isinstance(names, set) else list(names)
    return ", ".join(ordered)


def unit_names(header: Sequence[str], part: Part) -> tuple[str | None, ...]:
    """The roles of a header's pin names for a part with units, as `UNIT.ROLE`, or `ROLE` where shared.

    A unit's own alias comes first; then a role's name with the unit's before or behind it (`OUTA`,
    `A_OUT`); then what the whole part says.
    """
    return tuple(_unit_name(name, part) for name in header)


def _unit_name(name: str, part: Part) -> str | None:
    aliases = alias_table(part.alias)
    shared = _shared(part)
    folded = name.casefold()
    for unit in part.units:
        role = alias_table(unit.alias).get(folded)
        if role is not None:
            return f"{unit.name}.{role}"
    role = role_of(name, aliases, shared)
    if role in shared or role == "nc":
        return role
    for unit in part.units:
        letter = unit.name.casefold()
        own = [role for role in unit.pins if role not in shared]
        for bare in (folded.removesuffix(letter), folded.removeprefix(letter)):
            role = role_of(bare.strip("_-."), aliases, own) if bare != folded else None
            if role in own:
                return f"{unit.name}.{role}"
    return None


def _shared(part: Part) -> tuple[str, ...]:
    """Roles of pins that every unit of a part has at the same position."""
    return tuple(
        dict.fromkeys(
            roles[0]
            for roles in zip(*(unit.pins for unit in part.units), strict=False)
            if len(set(roles)) == 1 and roles[0] not in {"nc", NOT_OWN}
        )
    )


def unit_order(element: Element, part: Part, unit: PartUnit, whole: Order) -> Order:
    """The roles of one unit's pins: what the header or package says of `UNIT.ROLE`, else the unit's list."""
    if not whole.roles:
        return whole
    if whole.roles == part.pins:
        return whole._replace(roles=unit.pins)
    own = []
    for role in whole.roles:
        owner, dot, bare = role.rpartition(".")
        own.append(bare if not dot or owner == unit.name else NOT_OWN)
    return whole._replace(roles=tuple(own))


def wiring_trouble(block: Block) -> tuple[Trouble, ...]:
    """A supply pin on ground while the ground pin is not: the order of the pins is wrong."""
    supply, ground = block.net("supply"), block.net("ground")
    if supply is None or ground is None or not supply.is_ground or ground.is_ground:
        return ()
    fitting = [name for name in block.part.packages if name != block.package and _rails_fit(block, name)]
    hint = f"; the order of package {_and(fitting)} would fit: add package={fitting[0]}" if fitting else ""
    message = (
        f"{block.path}: found its supply pin on ground and its ground pin on {ground.name}, expected the "
        f"other way round: the order of the pins contradicts the wiring{hint}"
    )
    others = (block.part.place,)
    return (Trouble("pin-wiring", "warning", block.place, message, others=others),)


def _rails_fit(block: Block, package: str) -> bool:
    """Whether a package's order puts the ground pins on ground, and no supply pin."""
    nets, pins = block.element.nets, block.part.packages[package]
    return len(pins) == len(nets) and all(
        net.is_ground == (role == "ground")
        for net, role in zip(nets, pins, strict=True)
        if role in {"supply", "ground"}
    )
