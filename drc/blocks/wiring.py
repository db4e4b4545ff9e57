"""Parts that nobody named and that are wired like a timing block: by connections alone.

What shows from outside is a pin with a resistor to ground and nothing else (the rate pin), and a pin in the
middle of a divider between the part's own supply and ground (the strap); or two pins that share a capacitor
charged from the supply through a third (the RC timer). A fit counts only if it is the only one.
"""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from drc.blocks.model import Block, Part
from drc.circuit.model import Element, Net

UNDECIDED = "?"
"""A pin of which the connections do not tell the role."""

_INTERCHANGEABLE = frozenset({"trigger", "threshold", "discharge"})
"""Roles of an RC timer that may share a net: then it makes no difference which pin has which."""

_FEWEST_PINS, _MOST_PINS = 5, 8
_MOST_ALIKE = 200
"""A part placed more often than this is a cell of a library, not a timing block."""

_LEAST_OHM = 1e3
"""Below this a resistor to ground is no timing resistor: common practice, no source."""

# Common practice, no source: how rails are named where nothing else tells of them.
_RAIL_NAME = re.compile(
    r"\+?\d+(?:[.,]\d+)?V\d*|[+]?V(?:CC|DD|BAT|BATT|BUS|IN|SYS|SUP|S|AUX|IO)?[_-]?\d*V?\d*|\+V\w*",
    re.IGNORECASE,
)


class Reach(NamedTuple):
    """What hangs on one net besides the element: resistors' far ends, capacitors' far ends, all else."""

    resistors: tuple[tuple[Net, float | None], ...]
    capacitors: tuple[Net, ...]
    others: tuple[Element, ...]


class Look(NamedTuple):
    """One element as its connections show it: its distinct nets, what each reaches, and its rails."""

    element: Element
    nets: tuple[Net, ...]
    reach: Mapping[Net, Reach]
    rails: frozenset[Net]


def find_alike(elements: Iterable[Element], feeders: Sequence[Block]) -> tuple[Block, ...]:
    """Those of the unnamed elements that are wired like a timing block, as blocks whose `alike` says why.

    `feeders` are the known regulators and references; their outputs are rails.
    """
    fed = {net for feeder in feeders for net in feeder.pins.get("output", ())}
    rail_of: dict[Net, bool] = {}
    found = []
    for element in _candidates(elements):
        look = _look(element, fed, rail_of)
        if look is None or _regulates(look):
            continue
        block = _rate_and_strap(look) or _rc_timer(look)
        if block is not None:
            found.append(block)
    return tuple(found)


def _candidates(elements: Iterable[Element]) -> Iterator[Element]:
    """Elements of few pins, but not the cells of a library."""
    by_part: dict[str, int] = {}
    order: list[tuple[str, Element]] = []
    for element in elements:
        name = (element.part or "").casefold()
        by_part[name] = by_part.get(name, 0) + 1
        if by_part[name] <= _MOST_ALIKE and _FEWEST_PINS <= len(element.nets) <= _MOST_PINS:
            order.append((name, element))
    return (element for name, element in order if by_part[name] <= _MOST_ALIKE)


def _look(element: Element, fed: Collection[Net], rail_of: dict[Net, bool]) -> Look | None:
    """The element's connections; None where it has no rail or no ground of its own."""
    nets = tuple(dict.fromkeys(element.nets))
    if sum(net.is_ground for net in nets) != 1:
        return None
    for net in nets:
        if net not in rail_of:
            rail_of[net] = not net.is_ground and (net in fed or _is_rail(net))
    rails = frozenset(net for net in nets if rail_of[net])
    if len(rails) != 1:
        return None
    reach = {net: _reach(element, net) for net in nets if not net.is_ground and net not in rails}
    return Look(element, nets, reach, rails)


def _is_rail(net: Net) -> bool:
    """Whether a net's name reads as a rail's, or a steady source holds it against ground."""
    if _RAIL_NAME.fullmatch(net.name.rpartition(".")[2].rpartition("/")[2]):
        return True
    for element, position in net.pins():
        if element.kind == "V" and len(element.nets) == 2 and element.nets[1 - position].is_ground:
            waveform = element.waveform
            return waveform is not None and len(waveform.levels) == 1
    return False


def _reach(element: Element, net: Net) -> Reach:
    """What hangs on a net besides an element."""
    resistors, capacitors, others = [], [], []
    for other, position in net.pins():
        if other == element:
            continue
        ends = other.nets
        if other.kind == "R" and len(ends) == 2:
            resistors.append((ends[1 - position], other.value))
        elif other.kind == "C" and len(ends) == 2:
            capacitors.append(ends[1 - position])
        elif len(ends) > 1:  # a test point carries nothing
            others.append(other)
    return Reach(tuple(resistors), tuple(capacitors), tuple(others))


def _regulates(look: Look) -> bool:
    """Whether the part seems to set a voltage: an inductor on a pin, or a divider that is not on its supply.

    The divider of a regulator, an adjustable reference or a supervisor hangs on the voltage that is set or
    watched, not between the part's own supply and ground.
    """
    for net, reach in look.reach.items():
        if any(other.kind == "L" for other in reach.others):
            return True
        if reach.others:
            continue
        ends = {end for end, _ in reach.resistors}
        grounded = any(end.is_ground for end in ends)
        own = {other for other in look.nets if other in ends and other != net and not other.is_ground}
        if grounded and not ends & look.rails and own:
            return True
    return False


def _rate_like(look: Look, net: Net) -> bool:
    """A resistor to ground, perhaps one more to a net that is not the part's own, and no driver."""
    reach = look.reach[net]
    if reach.others or not reach.resistors or not all(end.is_ground for end in reach.capacitors):
        return False
    grounded = [ohm for end, ohm in reach.resistors if end.is_ground]
    steering = [end for end, _ in reach.resistors if not end.is_ground]
    if not grounded or len(steering) > 1 or any(end in look.nets for end in steering):
        return False
    return all(ohm is None or ohm >= _LEAST_OHM for ohm in grounded)


def _strap_like(look: Look, net: Net) -> bool:
    """The middle of a divider between the part's own supply and ground, and nothing else on it."""
    reach = look.reach[net]
    ends = {end for end, _ in reach.resistors}
    settled = all(end.is_ground or end in look.rails for end in reach.capacitors)
    sides = any(end.is_ground for end in ends) and bool(ends & look.rails)
    return not reach.others and settled and sides and all(end.is_ground or end in look.rails for end in ends)


def _output_like(look: Look, net: Net) -> bool:
    """Something hangs on the net, it does not drive it, and it is no mere pull resistor."""
    reach = look.reach[net]
    if any(other.kind in "VI" for other in reach.others):
        return False
    return bool(reach.others) or any(
        not end.is_ground and end not in look.rails for end, _ in reach.resistors
    )


def _rate_and_strap(look: Look) -> Block | None:
    """The fit of a block that one resistor and one strap divider program, None where there is not one."""
    likes = {
        "rate": [net for net in look.reach if _rate_like(look, net)],
        "strap": [net for net in look.reach if _strap_like(look, net)],
    }
    if not all(likes.values()):
        return None
    likes["output"] = [net for net in look.reach if _output_like(look, net)]
    fit = _only_fit(likes) or _only_fit({role: likes[role] for role in ("rate", "strap")})
    if fit is None:
        return None
    why = "a resistor to ground alone on its rate pin, a divider of its own supply on its strap pin"
    return _block(look, fit, f"wired like a timing block ({why})")


def _only_fit(likes: Mapping[str, Sequence[Net]]) -> dict[str, Net] | None:
    """A net for each role, each net once, if exactly one such choice exists.

    A maximum matching of roles and nets; it is the only one if none is left once any edge of it is barred.
    """
    from networkx import Graph
    from networkx.algorithms.bipartite import hopcroft_karp_matching

    edges = [(role, net) for role, nets in likes.items() for net in nets]

    def matching(barred: tuple[str, Net] | None) -> dict[str, Net]:
        graph = Graph()
        graph.add_nodes_from(likes)
        graph.add_edges_from(edge for edge in edges if edge != barred)
        pairs = hopcroft_karp_matching(graph, top_nodes=list(likes))
        return {role: pairs[role] for role in likes if role in pairs}

    fit = matching(None)
    if len(fit) < len(likes) or any(len(matching(edge)) == len(likes) for edge in fit.items()):
        return None
    return fit


def _rc_timer(look: Look) -> Block | None:
    """The fit of an RC timer: two pins on a capacitor that the supply charges, perhaps through a third pin.

    With a third pin it runs by itself, trigger and threshold being on the capacitor; without one it is a
    one-shot, threshold and discharge being there. Which of the two is which does not show, and need not.
    """
    twice = [net for net in look.reach if look.element.nets.count(net) == 2]
    if len(twice) != 1:
        return None
    tank = twice[0]
    reach = look.reach[tank]
    ends = {end for end, _ in reach.resistors}
    if reach.others or len(reach.resistors) != 1 or not any(end.is_ground for end in reach.capacitors):
        return None
    (end,) = ends
    if end in look.rails:
        why = "two pins on a capacitor that its supply charges"
        return _timer_block(look, {"threshold": tank, "discharge": tank}, why)
    if end not in look.reach or end == tank or look.reach[end].others:
        return None
    if not {far for far, _ in look.reach[end].resistors} & look.rails:
        return None
    why = "two pins on a capacitor that its supply charges through a third"
    return _timer_block(look, {"trigger": tank, "threshold": tank, "discharge": end}, why)


def _timer_block(look: Look, fit: dict[str, Net], why: str) -> Block:
    """An RC timer with these roles, and the output if only one pin can be it."""
    outputs = [net for net in look.reach if net not in fit.values() and _output_like(look, net)]
    if len(outputs) == 1:
        fit["output"] = outputs[0]
    block = _block(look, fit, f"wired like an RC timer ({why})")
    return block._replace(part=block.part._replace(function="rc-timer"))


def _block(look: Look, fit: Mapping[str, Net], why: str) -> Block:
    """A block of which only the roles that fit are known.

    Of several pins on the supply or on ground, one has that role and the others may be inputs tied there:
    the net is known, the pin is not.
    """
    (supply,) = look.rails
    (ground,) = (net for net in look.nets if net.is_ground)
    element = look.element
    positions: dict[Net, list[int]] = {}
    for position, net in enumerate(element.nets):
        positions.setdefault(net, []).append(position)
    fits = {"supply": supply, "ground": ground, **fit}
    roles = [UNDECIDED] * len(element.nets)
    free = {net: list(at) for net, at in positions.items()}
    for role, net in fits.items():
        if len(positions[net]) == 1 or role in _INTERCHANGEABLE:
            roles[free[net].pop(0)] = role
    told = [f"pin {i} {role}" for i, role in enumerate(roles, 1) if role != UNDECIDED]
    told += [
        f"pins {_numbers(positions[net])} {role} or tied to it"
        for role, net in {"supply": supply, "ground": ground}.items()
        if len(positions[net]) > 1
    ]
    left = [i for net, at in positions.items() if net not in fits.values() for i in at]
    rest = f"; not to be told: pin {_numbers(left)}" if left else ""
    part = Part(element.part or element.path, element.place, pins=tuple(roles))
    pins = {role: (net,) for role, net in fits.items()}
    alike = f"{why}: {', '.join(told)}{rest}"
    return Block(element.path, None, part, element, "connections", pins, element.place, alike)


def _numbers(positions: Sequence[int]) -> str:
    """Pin numbers, counted from 1, in words."""
    return ", ".join(str(position + 1) for position in positions)
