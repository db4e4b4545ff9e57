"""What the names of a board are on another that is drawn anew: spread along the wires from blocks in pairs.

An element answers to another where both are of one kind and value and hang in the same way on nets that
answer to each other, and no second one does; what names alone tell is asked last.
"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from drc.blocks.model import Block, Board
from drc.circuit.model import Element
from drc.gate.swap_match import Matched, Pair, block_pairs

_TWO_PINNED = frozenset("RCL")


_Key = tuple[str, str, tuple[tuple[str, str], ...]]
"""Kind, value or part, and by port the known net; empty for one that is not known yet."""


class Part(NamedTuple):
    """An element: what it is called, its kind, its value or part, its nets by port (empty: either end)."""

    path: str
    kind: str
    label: str
    ports: tuple[tuple[str, str], ...]


def matched(before: Board, after: Board) -> Matched:
    """The blocks of two boards in pairs, and the names of all else where they are not the same."""
    pairs = block_pairs(before, after)
    if all(map(_same_about, pairs)):
        return Matched(pairs)
    old, new = (_parts(board, labelled=False) for board in (before, after))
    if all(pair.by != "wiring" for pair in pairs) and _same_drawing(old, new):
        return Matched(pairs)
    old, new = (_parts(board, labelled=True) for board in (before, after))
    elements, nets = _Spreading(old, new, before, after, pairs).run()
    paths = {
        pair.before.path.casefold(): pair.after.path
        for pair in pairs
        if pair.before is not None and pair.after is not None
    }
    return Matched(pairs, elements | paths, nets)


def _same_about(pair: Pair) -> bool:
    """Whether the nets of a block, rails apart, bear the names they bore, and so do the elements on them.

    Then nobody renumbered the board, and it need not be gone through.
    """
    if pair.before is None or pair.after is None or pair.by != "name":
        return False
    return _about(pair.before) == _about(pair.after)


def _about(block: Block) -> dict[str, frozenset[str]]:
    """The elements on a block's nets by net, in lower case."""
    nets = [net for role, nets in block.pins.items() if role not in ("supply", "ground") for net in nets]
    rails = {net.name for role in ("supply", "ground") for net in block.pins.get(role, ())}
    return {
        net.name.casefold(): frozenset(pin.element.path.casefold() for pin in net.pins())
        for net in nets
        if not net.is_ground and net.name not in rails
    }


def _parts(board: Board, *, labelled: bool) -> dict[str, Part]:
    """The elements of a board by path in lower case; the pins of known parts by role.

    What an element's value is takes reading its line: `labelled` asks for it.
    """
    roles: dict[str, dict[int, str]] = {}
    for block in (*board.blocks, *board.helpers):
        own = roles.setdefault(block.element.path.casefold(), {})
        names = {net.name.casefold(): role for role, nets in block.pins.items() for net in nets}
        for position, net in enumerate(block.element.nets):
            role = names.get(net.name.casefold())
            if role is not None:
                own.setdefault(position, f"{block.unit or ''}.{role}")
    return {
        element.path.casefold(): _part(element, roles.get(element.path.casefold(), {}), labelled)
        for element in board.circuit.elements()
    }


def _part(element: Element, roles: Mapping[int, str], labelled: bool) -> Part:
    value = element.value if labelled else None
    label = f"{value:.9g}" if value is not None else (element.part or "").casefold()
    symmetric = element.kind in _TWO_PINNED
    ports = tuple(
        ("" if symmetric else roles.get(position, str(position)), net.name.casefold())
        for position, net in enumerate(element.nets)
    )
    return Part(element.path, element.kind, label, ports)


def _same_drawing(old: Mapping[str, Part], new: Mapping[str, Part]) -> bool:
    """Whether all that both boards have under one name hangs on the same nets, most of it being on both."""
    shared = old.keys() & new.keys()
    return len(shared) * 2 > len(old) and all(_nets(old[path]) == _nets(new[path]) for path in shared)


def _nets(part: Part) -> list[str]:
    return sorted(net for _, net in part.ports)


class _Spreading:
    """Pairs of elements and nets, found one from the other; names in lower case."""

    def __init__(
        self,
        old: Mapping[str, Part],
        new: Mapping[str, Part],
        before: Board,
        after: Board,
        pairs: Iterable[Pair],
    ) -> None:
        self.old, self.new = dict(old), dict(new)
        self.written = {net.casefold(): net for net in _net_names(after)}
        self.nets: dict[str, str] = {}
        self.taken: set[str] = set()
        self.elements: dict[str, str] = {}
        grounds = [board.circuit.ground for board in (before, after)]
        if grounds[0] is not None and grounds[1] is not None:
            self._join(grounds[0].name.casefold(), grounds[1].name.casefold())
        for pair in pairs:
            if pair.before is not None and pair.after is not None:
                self._bind(pair.before.element.path.casefold(), pair.after.element.path.casefold())

    def run(self) -> tuple[dict[str, str], dict[str, str]]:
        """The names of elements and of nets, before in lower case to after as written, where they differ."""
        while self._pass(labelled=True) or self._pass(labelled=False) or self._by_name():
            pass
        nets = {old: self.written[new] for old, new in self.nets.items() if old != new}
        return {old: new for old, new in self.elements.items() if old != new.casefold()}, nets

    def _join(self, old: str, new: str) -> None:
        """Two nets are one, unless either is another's already."""
        if old not in self.nets and new not in self.taken:
            self.nets[old] = new
            self.taken.add(new)

    def _bind(self, old: str, new: str) -> None:
        """Two elements are one, and so are their nets by port, as far as the port tells."""
        if old not in self.old or new not in self.new:
            return
        one, other = self.old.pop(old), self.new.pop(new)
        self.elements[old] = other.path
        if one.kind in _TWO_PINNED and other.kind in _TWO_PINNED:
            rest = [net for _, net in one.ports if net not in self.nets]
            others = [net for _, net in other.ports if net not in self.taken]
            if len(rest) == len(others) == 1:
                self._join(rest[0], others[0])
            return
        ports = dict(other.ports)
        for port, net in one.ports:
            if port in ports:
                self._join(net, ports[port])

    def _pass(self, *, labelled: bool) -> bool:
        """Binds what hangs alike on known nets and is alone in that; whether there was any."""
        old, new = self._grouped(self.old, labelled, new=False), self._grouped(self.new, labelled, new=True)
        bound = False
        for key, paths in old.items():
            others = new.get(key, [])
            known = all(net for _, net in key[2])
            if len(paths) == len(others) == 1 or (labelled and known and len(paths) == len(others)):
                for path, other in _paired(paths, others):
                    self._bind(path, other)
                bound = True
        return bound

    def _by_name(self) -> bool:
        """Binds what bears the same name and hangs on the same known nets; whether there was any."""
        same = [
            path
            for path, part in self.old.items()
            if path in self.new
            and self._key(part, False, new=False) == self._key(self.new[path], False, new=True)
        ]
        for path in same:
            self._bind(path, path)
        return bool(same)

    def _grouped(self, parts: Mapping[str, Part], labelled: bool, *, new: bool) -> dict[_Key, list[str]]:
        """Paths by what they are and how they hang on known nets; those on none are left out."""
        groups: dict[_Key, list[str]] = {}
        for path, part in parts.items():
            key = self._key(part, labelled, new=new)
            if any(net for _, net in key[2]):
                groups.setdefault(key, []).append(path)
        return groups

    def _key(self, part: Part, labelled: bool, *, new: bool) -> _Key:
        """What an element is, and its known nets by port, in the names of the board after."""
        ports = (
            (port, (net if net in self.taken else "") if new else self.nets.get(net, ""))
            for port, net in part.ports
        )
        return part.kind, part.label if labelled else "", tuple(sorted(ports))


def _paired(olds: list[str], news: list[str]) -> list[tuple[str, str]]:
    """Names of two groups in pairs: the same ones first, then in order."""
    same = [name for name in olds if name in news]
    rest = ([name for name in names if name not in same] for names in (olds, news))
    return [*((name, name) for name in same), *zip(*rest, strict=True)]


def _net_names(board: Board) -> Iterable[str]:
    return (net.name for net in board.circuit.nets())
