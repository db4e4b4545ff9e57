"""A circuit over its columns: hierarchy is expanded only where it is asked for."""

from collections.abc import Callable, Iterator, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from drc.circuit.columns import TOP, TOP_SCOPE, Lines, Scope, Tables, name_key
from drc.circuit.element_view import BoardElement
from drc.circuit.layout import Layout
from drc.circuit.model import Annotation, Circuit, Element, Net, SourceFile
from drc.circuit.net_view import BoardNet
from drc.trouble import Trouble

if TYPE_CHECKING:
    from networkx import MultiGraph
    from numpy.typing import NDArray

    from drc.circuit.columns import Ints


class Board:
    """A circuit over its columns; `closed_names` are the definitions taken as leaves."""

    def __init__(
        self,
        tables: Tables,
        lines: Lines,
        *,
        title: str,
        path: str,
        files: tuple[SourceFile, ...],
        troubles: tuple[Trouble, ...],
        annotations: tuple[Annotation, ...],
        layouts: tuple[Layout, ...] | None = None,
        leaves: frozenset[int] = frozenset(),
    ) -> None:
        self.tables, self.lines = tables, lines
        self.title, self.path, self.files = title, path, files
        self.troubles, self.annotations = troubles, annotations
        self.layouts = layouts or tuple(Layout(d, tables) for d in tables.definitions)
        self.leaves = leaves
        self._children: dict[int, Ints] = {}

    @cached_property
    def _is_leaf(self) -> "NDArray[np.bool_]":
        """Which definitions are not expanded, by number; the last is for -1, which is none."""
        found = np.zeros(len(self.tables.definitions) + 1, bool)
        found[list(self.leaves)] = True
        return found

    def children(self, definition: int) -> "Ints":
        """For each element of a definition the definition it expands to, -1 for a leaf, shape (n,)."""
        found = self._children.get(definition)
        if found is None:
            found = self.tables.definitions[definition].children
            if self.leaves:
                found = np.where(self._is_leaf[found], -1, found)
            self._children[definition] = found
        return found

    def _child_counts(self, definition: int) -> "list[tuple[int, int]]":
        """How often a definition places each other one: (definition, times)."""
        children = self.children(definition)
        values, times = np.unique(children[children >= 0], return_counts=True)
        return list(zip(values.tolist(), times.tolist(), strict=True))

    @cached_property
    def _sums(self) -> dict[int, tuple[int, int]]:
        """For each definition the leaves and the inner nets of one expansion of it."""
        sums: dict[int, tuple[int, int]] = {}
        for index in self.tables.order:
            layout = self.layouts[index]
            children = self.children(index)
            leaves = int((children < 0).sum())
            outside = set(layout.port_of) | self.tables.ground | self.tables.shared
            nets = len(set(layout.own.tolist()) - outside) + self._open_ports(index)
            for child, times in self._child_counts(index):
                more_leaves, more_nets = sums[child]
                leaves, nets = leaves + times * more_leaves, nets + times * more_nets
            sums[index] = (leaves, nets)
        return sums

    def _open_ports(self, index: int) -> int:
        """How many ports of what a definition places are left without a node: each is a net within."""
        columns, children = self.tables.definitions[index], self.children(index)
        rows = np.flatnonzero(children >= 0)
        given = (columns.starts[1:] - columns.starts[:-1])[rows]
        ports = self._port_counts[children[rows]]
        return sum(
            sum(1 for at in self.layouts[child].port_of.values() if at >= nodes)
            for child, nodes in zip(
                children[rows[given < ports]].tolist(), given[given < ports].tolist(), strict=True
            )
        )

    @cached_property
    def _port_counts(self) -> "Ints":
        """How many ports each definition has, shape (definitions,)."""
        return np.array([definition.ports.size for definition in self.tables.definitions])

    @cached_property
    def shared_in(self) -> dict[int, frozenset[int]]:
        """For each definition the ground and global nets that it mentions, here or further in."""
        shared = self.tables.ground | self.tables.shared
        found: dict[int, frozenset[int]] = {}
        if not shared:
            return dict.fromkeys(self.tables.order, frozenset())
        for index in self.tables.order:
            layout = self.layouts[index]
            own = {n for n in shared if n not in layout.port_of and layout.mentions(n).size}
            for child, _ in self._child_counts(index):
                own |= found[child]
            found[index] = frozenset(own)
        return found

    @property
    def element_count(self) -> int:
        """Leaf elements when fully expanded, counted without expanding."""
        return self._sums[TOP][0]

    @property
    def net_count(self) -> int:
        """Nets when fully expanded, counted without expanding."""
        seen = self.shared_in[TOP]
        grounds = 1 if seen & self.tables.ground else 0
        return self._sums[TOP][1] + len(seen - self.tables.ground) + grounds

    @cached_property
    def headers(self) -> Mapping[str, tuple[str, ...]]:
        """Pin names of every `.subckt`, by its name as written; the first of a name wins."""
        written = self.tables.names.written
        found: dict[str, tuple[str, ...]] = {}
        for index, definition in enumerate(self.tables.definitions):
            if index != TOP:
                found.setdefault(definition.name, tuple(written[n] for n in definition.ports.tolist()))
        return found

    @cached_property
    def hollow(self) -> frozenset[str]:
        """Names of the subcircuits that hold no element: parts of which only the header is known."""
        return frozenset(d.name for d in self.tables.definitions[TOP + 1 :] if not d.kinds.size)

    @cached_property
    def ground(self) -> BoardNet | None:
        """Node 0, None where the board has none."""
        seen = self.shared_in[TOP] & self.tables.ground
        return BoardNet(self, TOP_SCOPE, self.ground_number) if seen else None

    @cached_property
    def ground_number(self) -> int:
        """The folded name number that stands for node 0 under all its names, -1 without one."""
        return min(self.shared_in[TOP] & self.tables.ground, default=-1)

    def elements(self) -> Iterator[BoardElement]:
        """Every leaf element, expanded, in source order. Costs as much as the board is large."""
        yield from self._elements(TOP_SCOPE)

    def _elements(self, scope: Scope) -> Iterator[BoardElement]:
        for index, child in enumerate(self.children(scope.definition).tolist()):
            if child < 0:
                yield BoardElement(self, scope, index)
            else:
                yield from self._elements(self.inner(scope, index))

    def inner(self, scope: Scope, index: int) -> Scope:
        """The scope that an element of a scope expands to."""
        columns = self.tables.definitions[scope.definition]
        source, offset = int(columns.sources[index]), int(columns.offsets[index])
        name = self.lines.name(source, offset)
        path = f"{scope.path}.{name}" if scope.path else name
        child = int(columns.children[index])
        return Scope(child, (*scope.key, index), path, scope, source, offset)

    def instances(self, wanted: Callable[[str], bool], kinds: str = "") -> Iterator[BoardElement]:
        """Leaf elements whose part name satisfies `wanted`; subcircuits without any are never expanded.

        `kinds` are the element letters to be looked at, all of them if empty.
        """
        written = self.tables.names.written
        verdicts: dict[int, bool] = {}
        picks: dict[int, Ints] = {}
        holding = np.zeros(len(self.tables.definitions) + 1, bool)  # its last is for -1: no definition
        for index in self.tables.order:
            parts = self.tables.definitions[index].parts
            children = self.children(index)
            leaf = children < 0
            if kinds:
                leaf &= np.isin(self.tables.definitions[index].kinds, [ord(letter) for letter in kinds])
            leaf_parts = parts[leaf & (parts >= 0)]
            # Counted, because np.unique loads numpy.ma, a tenth of a cold start.
            for number in np.flatnonzero(np.bincount(leaf_parts)).tolist():
                if number not in verdicts:
                    verdicts[number] = bool(wanted(written[number]))
            good = [number for number, verdict in verdicts.items() if verdict]
            mask = np.isin(parts, good) & leaf
            mask |= holding[children]
            picks[index] = np.flatnonzero(mask)
            if picks[index].size:
                holding[index] = True
        yield from self._picked(TOP_SCOPE, picks)

    def _picked(self, scope: Scope, picks: "dict[int, Ints]") -> Iterator[BoardElement]:
        children = self.children(scope.definition)
        for index in picks[scope.definition].tolist():
            if children[index] < 0:
                yield BoardElement(self, scope, index)
            else:
                yield from self._picked(self.inner(scope, index), picks)

    def nets(self) -> Iterator[BoardNet]:
        """Every net, expanded, in order of first mention."""
        seen: set[BoardNet] = set()
        for element in self.elements():
            for net in element.nets:
                if net not in seen:
                    seen.add(net)
                    yield net

    def resolve(self, scope: Scope, number: int) -> BoardNet:
        """The net that a folded name means in a scope: its outermost owner, through the ports."""
        folded = self.tables.names.folded
        while (outer := scope.outer) is not None:
            position = self.layouts[scope.definition].port_of.get(number)
            if position is None:
                if number in self.tables.ground or number in self.tables.shared:
                    scope = TOP_SCOPE
                    break
                return BoardNet(self, scope, number)
            index = scope.key[-1]
            columns = self.tables.definitions[outer.definition]
            low, high = int(columns.starts[index]), int(columns.starts[index + 1])
            if position >= high - low:
                return BoardNet(self, scope, number)
            scope, number = outer, int(folded[columns.nets[low + position]])
        if number in self.tables.ground:
            number = self.ground_number
        return BoardNet(self, scope, number)

    @cached_property
    def _varied(self) -> frozenset[int]:
        """Folded numbers of the names that are written in more than one way."""
        folded = self.tables.names.folded
        return frozenset(folded[folded != np.arange(folded.size)].tolist())

    def written(self, definition: int, number: int) -> str:
        """A folded name as a definition writes it first, or as it is first written anywhere."""
        if number in self._varied:
            layout = self.layouts[definition]
            position = layout.port_of.get(number)
            if position is not None:
                number = int(layout.columns.ports[position])
            else:
                mentions = layout.mentions(number)
                number = int(layout.columns.nets[mentions[0]]) if mentions.size else number
        return self.tables.names.written[number]

    @cached_property
    def _numbers(self) -> dict[str, int]:
        """Folded number of every name, by the name in lower case."""
        folded = self.tables.names.folded
        return {
            self.tables.names.written[n].lower(): n
            for n in np.flatnonzero(folded == np.arange(folded.size)).tolist()
        }

    def element(self, path: str) -> BoardElement | None:
        """The leaf element of that path; letter case is ignored."""
        for scope, name in self._splits(path):
            for index in self._named(scope, name):
                if self.children(scope.definition)[index] < 0:
                    return BoardElement(self, scope, index)
        return None

    def net(self, name: str) -> BoardNet | None:
        """The net of that name; letter case is ignored."""
        for scope, local in self._splits(name):
            number = self._numbers.get(local.lower())
            if number is None:
                continue
            layout = self.layouts[scope.definition]
            if scope.outer is None and number in self.tables.ground and self.ground is not None:
                return self.ground
            shared = scope.outer is None and number in self.shared_in[TOP]
            if shared or number in layout.port_of or layout.mentions(number).size:
                return self.resolve(scope, number)
        return None

    def _splits(self, path: str) -> Iterator[tuple[Scope, str]]:
        """Every way to read a path as a scope and a local name; names may hold dots themselves."""
        pending: list[tuple[Scope, str]] = [(TOP_SCOPE, path)]
        while pending:
            scope, rest = pending.pop()
            yield scope, rest
            for dot in (at for at, letter in enumerate(rest) if letter == "."):
                for index in self._named(scope, rest[:dot]):
                    if self.children(scope.definition)[index] >= 0:
                        pending.append((self.inner(scope, index), rest[dot + 1 :]))

    def _named(self, scope: Scope, name: str) -> list[int]:
        """The elements of that name within a scope, leaf or not, in source order."""
        columns = self.tables.definitions[scope.definition]
        low = name.lower()
        return [
            i
            for i in np.flatnonzero(columns.keys == name_key(name)).tolist()
            if self.lines.name(int(columns.sources[i]), int(columns.offsets[i])).lower() == low
        ]

    def closed(self, is_part: Callable[[str], bool]) -> Circuit:
        """The same board with every subcircuit whose name satisfies `is_part` taken as one leaf."""
        leaves = frozenset(i for i, d in enumerate(self.tables.definitions) if i != TOP and is_part(d.name))
        return Board(
            self.tables, self.lines, title=self.title, path=self.path, files=self.files,
            troubles=self.troubles, annotations=self.annotations, layouts=self.layouts,
            leaves=self.leaves | leaves,
        )  # fmt: skip

    def dump(self) -> str:
        """One canonical line an element (path, kind, nets, value, part, parameters), sorted by path."""
        return "".join(sorted(f"{_dump_line(element)}\n" for element in self.elements()))

    def graph(self) -> "MultiGraph[Net | Element]":
        """Every net and leaf element as a networkx graph. Costs as much as the board is large."""
        from drc.circuit.graph import whole_graph

        return whole_graph(self)


def _dump_line(element: BoardElement) -> str:
    """path, kind, nets, value, part, parameters, parted by blanks; what is absent is a dash."""
    value = "-" if element.value is None else format(element.value, ".12g")
    nets = ",".join(net.name for net in element.nets)
    pairs = " ".join(f"{k}={v}" for k, v in sorted(element.parameters.items()))
    return " ".join((element.path, element.kind, nets or "-", value, element.part or "-", pairs)).rstrip()
