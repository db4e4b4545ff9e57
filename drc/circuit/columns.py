"""The integers behind a circuit: per subcircuit definition, its elements as numpy columns.

A reader of some format fills these; drc/circuit/views.py looks at them. Names of nets and parts are
numbers into one pool; an element's own name, value and parameters stay in the text, at its offset.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import count
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol

import numpy as np

from drc.circuit.model import Model, Reading, Token, Waveform
from drc.trouble import Place

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Ints = NDArray[np.integer[Any]]

TOP = 0
"""The index of the definition that is the board itself."""


class NamePool:
    """Names as written, numbered in order of first mention; grows while reading."""

    def __init__(self) -> None:
        self._numbers: defaultdict[str, int] = defaultdict(count().__next__)

    def number(self, name: str) -> int:
        """The number of a name, a new one if it was not met."""
        return self._numbers[name]

    def numbers(self, names: Iterable[str], size: int) -> "Ints":
        """The numbers of `size` names, shape (size,), int32."""
        return np.fromiter(map(self._numbers.__getitem__, names), np.int32, size)

    def known(self, names: Iterable[str]) -> list[int]:
        """The numbers of those names that were met."""
        return [self._numbers[name] for name in names if name in self._numbers]

    def finish(self) -> "Names":
        """The pool as columns; the pool is of no use afterwards."""
        written = list(self._numbers)
        self._numbers.clear()
        return Names(written, _folded(written))


def _folded(written: list[str]) -> "Ints":
    """For each name the number of the first that differs at most in letter case, shape (names,)."""
    numbers = np.arange(len(written), dtype=np.int32)
    lowered = _lowered(written)
    changed = [i for i, (name, low) in enumerate(zip(written, lowered, strict=True)) if name != low]
    if not changed:
        return numbers
    wanted = {lowered[i] for i in changed}
    first: dict[str, int] = {}
    for i, low in enumerate(lowered):
        if low in wanted:
            numbers[i] = first.setdefault(low, i)
    return numbers


def _lowered(names: Sequence[str]) -> list[str]:
    """Names in lower case: all at once, or one by one where one of them holds a line end."""
    lowered = "\n".join(names).lower().split("\n")
    return lowered if len(lowered) == len(names) else [name.lower() for name in names]


class Names(NamedTuple):
    """`written[i]` is a name as first spelt so; `folded[i]` the first number of it with case ignored."""

    written: list[str]
    folded: "Ints"


class Definition(NamedTuple):
    """One subcircuit (or the board): n elements as columns.

    `ports` are name numbers; `outer` is the definition that it stands in, -1 for the board.
    kinds (n,) uint8 letters; sources (n,) and offsets (n,): file number and character offset of the name;
    starts (n+1,) into nets (name numbers); parts (n,) name numbers or -1; children (n,) definition or -1;
    keys (n,) `name_key` of the elements' names.
    """

    name: str
    place: Place
    outer: int
    ports: "Ints"
    kinds: "Ints"
    sources: "Ints"
    offsets: "Ints"
    starts: "Ints"
    nets: "Ints"
    parts: "Ints"
    children: "Ints"
    keys: "Ints"


class Tables(NamedTuple):
    """A whole circuit. `order` lists the definitions so that those an instance names come before it.

    `ground` are the folded numbers of node 0 under all its names; `shared` those of `.global` nets.
    """

    definitions: tuple[Definition, ...]
    names: Names
    order: tuple[int, ...]
    ground: frozenset[int]
    shared: frozenset[int]


class Scope(NamedTuple):
    """One expansion of a definition: where it is placed. `key` is unique within a circuit.

    `source` and `offset` are those of the placing element's line, -1 for the board itself.
    """

    definition: int
    key: tuple[int, ...]
    path: str
    outer: "Scope | None" = None
    source: int = -1
    offset: int = -1


TOP_SCOPE = Scope(TOP, (), "")
"""The board itself."""


class Lines(Protocol):
    """What a reader hands over to look up the text of an element when it is asked for."""

    def name(self, source: int, offset: int) -> str:
        """The element's name as written."""

    def place(self, source: int, offset: int) -> Place:
        """Where the element's name stands."""

    def part(self, source: int, offset: int) -> str | None:
        """The model or part name on the line, for kinds whose part is not a column."""

    def reading(self, source: int, offset: int, scope: Scope) -> Reading:
        """What the line says of the value, expressions evaluated in the scope."""

    def waveform(self, source: int, offset: int, scope: Scope) -> Waveform | None:
        """What an independent source does."""

    def parameters(self, source: int, offset: int) -> Mapping[str, str]:
        """`name=value` pairs as written."""

    def pin_tokens(self, source: int, offset: int) -> tuple[Token, ...]:
        """Where the nets of an element's pins are written, in order; empty where that is elsewhere."""

    def part_token(self, source: int, offset: int) -> Token | None:
        """Where an element's part name is written."""

    def model(self, name: str, scope: Scope) -> Model | None:
        """The `.model` of that name as seen from the scope."""


def name_key(name: str) -> int:
    """A key of a name with letter case ignored; equal names have equal keys, within one process."""
    return hash(name.lower())


def name_keys(names: Sequence[str]) -> "Ints":
    """`name_key` of many names, shape (names,)."""
    return np.fromiter(map(hash, _lowered(names)), np.int64, len(names))
