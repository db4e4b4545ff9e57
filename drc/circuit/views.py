"""Circuit, elements and nets as views over the columns; hierarchy is expanded only where it is asked for."""

from collections.abc import Callable, Iterator, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from drc.circuit.columns import TOP, Definition, Lines, Scope, Tables, name_key
from drc.circuit.model import Annotation, Circuit, Model, Pin, Reading, SourceFile, Waveform
from drc.trouble import Place, Trouble

if TYPE_CHECKING:
    from drc.circuit.columns import Ints

TOP_SCOPE = Scope(TOP, (), "")


class _Layout:
    """What follows from one definition's columns alone, worked out when first asked."""

    def __init__(self, definition: Definition, tables: Tables) -> None:
        self.columns = definition
        self._folded = tables.names.folded
        self._order: Ints | None = None

    @cached_property
    def port_of(self) -> dict[int, int]:
        """The position of each port by folded name; of a name given twice, the first."""
        positions: dict[int, int] = {}
        for position, number in enumerate(self._folded[self.columns.ports].tolist()):
            positions.setdefault(number, position)
        return positions

    @cached_property
    def _index(self) -> "tuple[Ints, Ints]":
        """The order that sorts the net column by folded name, and the column so sorted."""
        folded = self._folded[self.columns.nets]
        order = np.argsort(folded, kind="stable")
        return order, folded[order]

    def mentions(self, number: int) -> "Ints":
        """Positions in the net column where a folded name stands, in source order, shape (mentions,)."""
        order, ordered = self._index
        low, high = np.searchsorted(ordered, (number, number + 1))
        return order[low:high]

    @cached_property
    def own(self) -> "Ints":
        """Folded names of the nets mentioned, ports included, in order of first mention."""
        names = np.concatenate((self.columns.ports, self.columns.nets))
        values, first = np.unique(self._folded[names], return_index=True)
        return values[np.argsort(first, kind="stable")]


class Board:
    """A circuit over its columns; `closed_names` are the definitions taken as leaves."""

    def __init__(
        self,
        tables: Tables,
        lines: Lines,
        title: str,
        path: str,
        files: tuple[SourceFile, ...],
        troubles: tuple[Trouble, ...],
        annotations: tuple[Annotation, ...],
        layouts: tuple[_Layout, ...] | None = None,
        leaves: frozenset[int] = frozenset(),
    ) -> None:
        self.tables, self.lines = tables, lines
        self.title, self.path, self.files = title, path, files
        self.troubles, self.annotations = troubles, annotations
        self.layouts = layouts or tuple(_Layout(d, tables) for d in tables.definitions)
        self.leaves = leaves
        self._children: dict[int, Ints] = {}

    def children(self, definition: int) -> "Ints":
        """For each element of a definition the definition it expands to, -1 for a leaf, shape (n,)."""
        found = self._children.get(definition)
        if found is None:
            found = self.tables.definitions[definition].children
            if self.leaves:
                found = np.where(np.isin(found, list(self.leaves)), -1, found)
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
            nets = len(set(layout.own.tolist()) - outside)
            for child, times in self._child_counts(index):
                more_leaves, more_nets = sums[child]
                leaves, nets = leaves + times * more_leaves, nets + times * more_nets
            sums[index] = (leaves, nets)
        return sums

    @cached_property
    def _shared_in(self) -> dict[int, frozenset[int]]:
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
        seen = self._shared_in[TOP]
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
    def ground(self) -> "BoardNet | None":
        """Node 0, None where the board has none."""
        seen = self._shared_in[TOP] & self.tables.ground
        return BoardNet(self, TOP_SCOPE, self.ground_number) if seen else None

    @cached_property
    def ground_number(self) -> int:
        """The folded name number that stands for node 0 under all its names, -1 without one."""
        return min(self.tables.ground, default=-1)

    def elements(self) -> "Iterator[BoardElement]":
        """Every leaf element, expanded, in source order. Costs as much as the board is large."""
        yield from self._elements(TOP_SCOPE)

    def _elements(self, scope: Scope) -> "Iterator[BoardElement]":
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

    def instances(self, wanted: Callable[[str], bool], kinds: str = "") -> "Iterator[BoardElement]":
        """Leaf elements whose part name satisfies `wanted`; subcircuits without any are never expanded.

        `kinds` are the element letters to be looked at, all of them if empty.
        """
        written = self.tables.names.written
        verdicts: dict[int, bool] = {-1: False}
        picks: dict[int, Ints] = {}
        holding: set[int] = set()
        for index in self.tables.order:
            parts = self.tables.definitions[index].parts
            children = self.children(index)
            leaf = children < 0
            if kinds:
                leaf &= np.isin(self.tables.definitions[index].kinds, [ord(letter) for letter in kinds])
            leaf_parts = parts[leaf & (parts >= 0)]
            for number in np.unique(leaf_parts).tolist():
                if number not in verdicts:
                    verdicts[number] = bool(wanted(written[number]))
            good = [number for number, verdict in verdicts.items() if verdict]
            mask = np.isin(parts, good) & leaf
            if holding:
                mask |= np.isin(children, list(holding))
            picks[index] = np.flatnonzero(mask)
            if picks[index].size:
                holding.add(index)
        yield from self._picked(TOP_SCOPE, picks)

    def _picked(self, scope: Scope, picks: "dict[int, Ints]") -> "Iterator[BoardElement]":
        children = self.children(scope.definition)
        for index in picks[scope.definition].tolist():
            if children[index] < 0:
                yield BoardElement(self, scope, index)
            else:
                yield from self._picked(self.inner(scope, index), picks)

    def nets(self) -> "Iterator[BoardNet]":
        """Every net, expanded, in order of first mention."""
        seen: set[BoardNet] = set()
        for element in self.elements():
            for net in element.nets:
                if net not in seen:
                    seen.add(net)
                    yield net

    def resolve(self, scope: Scope, number: int) -> "BoardNet":
        """The net that a folded name means in a scope: its outermost owner, through the ports."""
        folded = self.tables.names.folded
        while scope.outer is not None:
            position = self.layouts[scope.definition].port_of.get(number)
            if position is None:
                if number in self.tables.ground or number in self.tables.shared:
                    scope = TOP_SCOPE
                    break
                return BoardNet(self, scope, number)
            outer, index = scope.outer, scope.key[-1]
            columns = self.tables.definitions[outer.definition]
            low, high = int(columns.starts[index]), int(columns.starts[index + 1])
            if position >= high - low:
                return BoardNet(self, scope, number)
            scope, number = outer, int(folded[columns.nets[low + position]])
        if number in self.tables.ground:
            number = self.ground_number
        return BoardNet(self, scope, number)

    @cached_property
    def _numbers(self) -> dict[str, int]:
        """Folded number of every name, by the name in lower case."""
        folded = self.tables.names.folded
        return {
            self.tables.names.written[n].lower(): n
            for n in np.flatnonzero(folded == np.arange(folded.size)).tolist()
        }

    def element(self, path: str) -> "BoardElement | None":
        """The leaf element of that path; letter case is ignored."""
        for scope, name in self._splits(path):
            for index in self._named(scope, name):
                if self.children(scope.definition)[index] < 0:
                    return BoardElement(self, scope, index)
        return None

    def net(self, name: str) -> "BoardNet | None":
        """The net of that name; letter case is ignored."""
        for scope, local in self._splits(name):
            number = self._numbers.get(local.lower())
            if number is None:
                continue
            layout = self.layouts[scope.definition]
            shared = scope.outer is None and number in self._shared_in[TOP]
            if shared or number in layout.port_of or layout.mentions(number).size:
                return self.resolve(scope, number)
        return None

    def _splits(self, path: str) -> Iterator[tuple[Scope, str]]:
        """Every way to read a path as a scope and a local name; names may hold dots themselves."""
        pending: list[tuple[Scope, str]] = [(TOP_SCOPE, path)]
        while pending:
            scope, rest = pending.pop()
            yield scope, rest
            dots = [i for i, letter in enumerate(rest) if letter == "."]
            for dot in reversed(dots):
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
            self.tables, self.lines, self.title, self.path, self.files, self.troubles, self.annotations,
            self.layouts, self.leaves | leaves,
        )  # fmt: skip

    def dump(self) -> str:
        """One canonical line an element (path, kind, nets, value, part, parameters), sorted by path."""
        return "".join(sorted(f"{_dump_line(element)}\n" for element in self.elements()))


def _dump_line(element: "BoardElement") -> str:
    """path, kind, nets, value, part, parameters, parted by blanks; what is absent is a dash."""
    value = "-" if element.value is None else format(element.value, ".12g")
    nets = ",".join(net.name for net in element.nets)
    pairs = " ".join(f"{k}={v}" for k, v in sorted(element.parameters.items()))
    return " ".join((element.path, element.kind, nets or "-", value, element.part or "-", pairs)).rstrip()


class BoardNet:
    """One node of the expanded circuit: a folded name in the scope that owns it."""

    __slots__ = ("_board", "number", "scope")

    def __init__(self, board: Board, scope: Scope, number: int) -> None:
        self._board, self.scope, self.number = board, scope, number

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, BoardNet):
            return NotImplemented
        same = self.number == other.number and self.scope.key == other.scope.key
        return same and self._board.tables is other._board.tables

    def __hash__(self) -> int:
        return hash((self.number, self.scope.key))

    def __repr__(self) -> str:
        return f"<net {self.name}>"

    @property
    def name(self) -> str:
        """The name as written, prefixed with the path of the subcircuit that owns it."""
        written = self._board.tables.names.written[self.number]
        return f"{self.scope.path}.{written}" if self.scope.path else written

    @property
    def is_ground(self) -> bool:
        """Whether this is node 0 (`0`, `gnd`)."""
        return self.scope.outer is None and self.number in self._board.tables.ground

    def pins(self) -> tuple[Pin, ...]:
        """Every leaf element's pin on this net, hierarchy descended into, in source order."""
        if self.scope.outer is None and (
            self.number in self._board.tables.shared or self.number in self._board.tables.ground
        ):
            ground = self.number in self._board.tables.ground
            numbers = self._board.tables.ground if ground else frozenset({self.number})
            return tuple(self._shared_pins(TOP_SCOPE, numbers))
        return tuple(self._local_pins(self.scope, frozenset({self.number})))

    def _entries(self, scope: Scope, numbers: frozenset[int]) -> "list[tuple[int, int]]":
        """(element, position) wherever one of the folded names stands in a scope, in source order."""
        layout = self._board.layouts[scope.definition]
        found = np.sort(np.concatenate([layout.mentions(n) for n in numbers]))
        starts = layout.columns.starts
        owners = np.searchsorted(starts, found, side="right") - 1
        return list(zip(owners.tolist(), (found - starts[owners]).tolist(), strict=True))

    def _local_pins(self, scope: Scope, numbers: frozenset[int]) -> Iterator[Pin]:
        """Pins on names local to a scope, and what they reach through the ports of instances."""
        children = self._board.children(scope.definition)
        for index, position in self._entries(scope, numbers):
            if children[index] < 0:
                yield Pin(BoardElement(self._board, scope, index), position)
            else:
                yield from self._port_pins(self._board.inner(scope, index), position)

    def _port_pins(self, inside: Scope, position: int) -> Iterator[Pin]:
        """Pins behind one port of an instance."""
        layout = self._board.layouts[inside.definition]
        if position < layout.columns.ports.size:
            number = int(self._board.tables.names.folded[layout.columns.ports[position]])
            if layout.port_of[number] == position:
                yield from self._local_pins(inside, frozenset({number}))

    def _shared_pins(self, scope: Scope, numbers: frozenset[int]) -> Iterator[Pin]:
        """Pins on ground or a global net: every scope that mentions it, and what ports hand on."""
        board = self._board
        here = numbers - board.layouts[scope.definition].port_of.keys()
        entries: dict[int, list[int]] = {}
        if here:
            for index, position in self._entries(scope, here):
                entries.setdefault(index, []).append(position)
        children = board.children(scope.definition)
        mentioning = [d for d, shared in board._shared_in.items() if shared & numbers]
        for index in np.flatnonzero(np.isin(children, mentioning)).tolist():
            entries.setdefault(index, [])
        for index in sorted(entries):
            if children[index] < 0:
                for position in entries[index]:
                    yield Pin(BoardElement(board, scope, index), position)
                continue
            inside = board.inner(scope, index)
            for position in entries[index]:
                yield from self._port_pins(inside, position)
            if board._shared_in[inside.definition] & numbers:
                yield from self._shared_pins(inside, numbers)


class BoardElement:
    """One leaf of the expanded circuit: a row of a definition, in a scope."""

    __slots__ = ("_board", "index", "scope")

    def __init__(self, board: Board, scope: Scope, index: int) -> None:
        self._board, self.scope, self.index = board, scope, index

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, BoardElement):
            return NotImplemented
        same = self.index == other.index and self.scope.key == other.scope.key
        return same and self._board.tables is other._board.tables

    def __hash__(self) -> int:
        return hash((self.index, self.scope.key))

    def __repr__(self) -> str:
        return f"<element {self.path}>"

    @property
    def _columns(self) -> Definition:
        return self._board.tables.definitions[self.scope.definition]

    @property
    def _at(self) -> tuple[int, int]:
        """File number and character offset of the element's name."""
        columns = self._columns
        return int(columns.sources[self.index]), int(columns.offsets[self.index])

    @property
    def path(self) -> str:
        """Name with its hierarchy, as written: `R3`, `X1.XU3`."""
        name = self._board.lines.name(*self._at)
        return f"{self.scope.path}.{name}" if self.scope.path else name

    @property
    def name(self) -> str:
        """The same as `path`."""
        return self.path

    @property
    def kind(self) -> str:
        """The element letter, upper case: `R` `C` `L` `V` `I` `D` `Q` `M` `X` ..."""
        return chr(self._columns.kinds[self.index])

    @property
    def nets(self) -> tuple[BoardNet, ...]:
        """The nets of its pins, in the order of the line."""
        columns = self._columns
        numbers = columns.nets[columns.starts[self.index] : columns.starts[self.index + 1]]
        folded = self._board.tables.names.folded[numbers].tolist()
        return tuple(self._board.resolve(self.scope, number) for number in folded)

    @property
    def part(self) -> str | None:
        """The model, subcircuit or part name on the line, as written."""
        number = int(self._columns.parts[self.index])
        if number >= 0:
            return self._board.tables.names.written[number]
        return self._board.lines.part(*self._at)

    @property
    def header(self) -> tuple[str, ...] | None:
        """Pin names of the `.subckt` that an X or U line names, None where it is not defined."""
        child = int(self._columns.children[self.index])
        if child < 0:
            return None
        written = self._board.tables.names.written
        return tuple(written[n] for n in self._board.tables.definitions[child].ports.tolist())

    @property
    def reading(self) -> Reading:
        """What the source says of the value."""
        return self._board.lines.reading(*self._at, self.scope)

    @property
    def value(self) -> float | None:
        """`reading.value`."""
        return self.reading.value

    @property
    def waveform(self) -> Waveform | None:
        """For V and I elements, what the source does."""
        return self._board.lines.waveform(*self._at, self.scope) if self.kind in "VI" else None

    @property
    def model(self) -> Model | None:
        """The `.model` that `part` names, if it is defined."""
        part = self.part
        return None if part is None else self._board.lines.model(part, self.scope)

    @property
    def parameters(self) -> Mapping[str, str]:
        """`name=value` pairs of the line, names in lower case, values as written."""
        return self._board.lines.parameters(*self._at)

    @property
    def place(self) -> Place:
        """Where its name stands."""
        return self._board.lines.place(*self._at)
