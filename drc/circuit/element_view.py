"""An element as a view: a row of a definition, in a scope."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from drc.circuit.columns import Definition, Scope
from drc.circuit.model import Model, Reading, Token, Waveform
from drc.trouble import Place

if TYPE_CHECKING:
    from drc.circuit.net_view import BoardNet
    from drc.circuit.views import Board


class BoardElement:
    """One leaf of the expanded circuit: a row of a definition, in a scope."""

    __slots__ = ("_board", "index", "scope")

    def __init__(self, board: "Board", scope: Scope, index: int) -> None:
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
    def nets(self) -> "tuple[BoardNet, ...]":
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
    def pin_tokens(self) -> tuple[Token, ...]:
        """Where the nets of its pins are written, in order; empty where the format lists them elsewhere."""
        return self._board.lines.pin_tokens(*self._at)

    @property
    def part_token(self) -> Token | None:
        """Where its part name is written on its line."""
        return self._board.lines.part_token(*self._at)

    @property
    def place(self) -> Place:
        """Where its name stands."""
        return self._board.lines.place(*self._at)
