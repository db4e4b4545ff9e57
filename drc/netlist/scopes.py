"""What a netlist defines by name, per subcircuit: parameters, functions and models."""

from typing import NamedTuple

from drc.circuit.model import Token
from drc.netlist.words import Pair


class Parameter(NamedTuple):
    """A parameter's definition: its text (braces kept) and where that stands."""

    name: str
    token: Token
    source: int


class Function(NamedTuple):
    """A `.func`: lower-case names of its arguments, and its body."""

    name: str
    arguments: tuple[str, ...]
    body: str


class ModelCard(NamedTuple):
    """A `.model` line as it stands; its numbers are worked out when asked."""

    name: str
    kind: str
    base: str | None
    pairs: tuple[Pair, ...]
    source: int
    offset: int
    length: int


class Names(NamedTuple):
    """Names that one subcircuit (or the board) defines, all keyed in lower case."""

    parameters: dict[str, Parameter]
    functions: dict[str, Function]
    models: dict[str, ModelCard]
    subcircuits: dict[str, int]
    outer: int


def empty_names(outer: int) -> Names:
    """No names yet, within the definition `outer` (-1 for the board)."""
    return Names({}, {}, {}, {}, outer)
