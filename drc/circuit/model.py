"""What a circuit is to every later stage: elements and nets as views, made on demand over columns.

This page is the contract; drc/circuit/columns.py holds the integers behind it. Views compare equal when
they mean the same element or net of the same circuit, and hash accordingly.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple, Protocol

from drc.trouble import Place, Trouble

if TYPE_CHECKING:
    from networkx import MultiGraph


class Token(NamedTuple):
    """A run of characters of a source file, as an edit names it.

    `start` and `end` count characters of the losslessly decoded file, from 0; `text` is what stands there.
    """

    path: str
    start: int
    end: int
    text: str


class Reading(NamedTuple):
    """What the source says of an element's value.

    `value` is SI; None means not given or not readable, and `because` says why in a few words.
    `tolerance` is relative, (-0.01, 0.01) for 1 %; `tempco` is (tc1 in 1/K, tc2 in 1/K^2); None: not stated.
    `token` is where the value's own characters stand (inside a parameter definition if it is one).
    """

    value: float | None
    because: str = ""
    tolerance: tuple[float, float] | None = None
    tempco: tuple[float, float] | None = None
    fitted: bool = True
    rating: str = ""
    token: Token | None = None


class Waveform(NamedTuple):
    """What an independent source does: `settled` is the level it stays at, None if it never settles.

    `levels` are the distinct levels that it takes for a while, lowest first: one for DC, two for a pulse
    train. Volts or amperes by the element's letter; times in seconds, None where they do not apply.
    """

    kind: str
    settled: float | None
    levels: tuple[float, ...] = ()
    period_s: float | None = None
    high_s: float | None = None
    rise_s: float | None = None
    fall_s: float | None = None


class SourceFile(NamedTuple):
    """A file that was read: its path as reported, and the sha256 of its bytes."""

    path: str
    kind: str
    sha256: str


class Annotation(NamedTuple):
    """The text behind a `*@` comment, untouched, and where it begins."""

    text: str
    place: Place


class Net(Protocol):
    """One node of the expanded circuit, named as its outermost owner names it (`n4`, `X1.n7`)."""

    @property
    def name(self) -> str:
        """The name as written, prefixed with the path of the subcircuit that owns it."""

    @property
    def is_ground(self) -> bool:
        """Whether this is node 0 (`0`, `gnd`)."""

    def pins(self) -> "tuple[Pin, ...]":
        """Every leaf element's pin on this net, hierarchy descended into, in source order."""

    def region(
        self, through: "Callable[[Element], bool]", stops: "Callable[[Net], bool]"
    ) -> "MultiGraph[Net | Element]":
        """What hangs on this net as a networkx graph, made as `drc.circuit.graph` says.

        Past the elements that `through` admits their other nets belong to it too, and so on; a net that
        satisfies `stops` (a rail, ground) is not gone past.
        """


class Element(Protocol):
    """One leaf of the expanded circuit: a component, or a part that is not descended into."""

    @property
    def path(self) -> str:
        """Name with its hierarchy, as written: `R3`, `X1.XU3`."""

    @property
    def name(self) -> str:
        """The same as `path`."""

    @property
    def kind(self) -> str:
        """The element letter, upper case: `R` `C` `L` `V` `I` `D` `Q` `M` `X` ..."""

    @property
    def nets(self) -> tuple[Net, ...]:
        """The nets of its pins, in the order of the line: two of R C L V I D, three or more of Q and M."""

    @property
    def part(self) -> str | None:
        """The model, subcircuit or part name on the line, as written."""

    @property
    def header(self) -> tuple[str, ...] | None:
        """Pin names of the `.subckt` that an X or U line names, None where it is not defined."""

    @property
    def reading(self) -> Reading:
        """What the source says of the value."""

    @property
    def value(self) -> float | None:
        """`reading.value`."""

    @property
    def waveform(self) -> Waveform | None:
        """For V and I elements, what the source does."""

    @property
    def model(self) -> "Model | None":
        """The `.model` that `part` names, if it is defined."""

    @property
    def parameters(self) -> Mapping[str, str]:
        """`name=value` pairs of the line, names in lower case, values as written."""

    @property
    def pin_tokens(self) -> tuple[Token, ...]:
        """Where the nets of its pins are written, in order; empty where the format lists them elsewhere."""

    @property
    def part_token(self) -> Token | None:
        """Where its part name is written on its line."""

    @property
    def place(self) -> Place:
        """Where its name stands."""


class Pin(NamedTuple):
    """An element's pin: the position on its line, from 0."""

    element: Element
    position: int


class Model(NamedTuple):
    """A `.model` card: `kind` in lower case (`d`, `npn`, `r`), numeric parameters in SI, lower-case names."""

    name: str
    kind: str
    parameters: Mapping[str, float]
    place: Place


class Circuit(Protocol):
    """A whole board. Frozen: nothing downstream changes it; an edit is a new reading of edited text."""

    title: str
    path: str
    files: tuple[SourceFile, ...]
    troubles: tuple[Trouble, ...]
    annotations: tuple[Annotation, ...]

    @property
    def element_count(self) -> int:
        """Leaf elements when fully expanded, counted without expanding."""

    @property
    def net_count(self) -> int:
        """Nets when fully expanded, counted without expanding."""

    @property
    def ground(self) -> Net | None:
        """Node 0, None where the board has none."""

    @property
    def headers(self) -> Mapping[str, tuple[str, ...]]:
        """Pin names of every `.subckt`, by its name as written; the first of a name wins."""

    @property
    def hollow(self) -> frozenset[str]:
        """Names of the subcircuits that hold no element: parts of which only the header is known."""

    def elements(self) -> Iterator[Element]:
        """Every leaf element, expanded, in source order. Costs as much as the board is large."""

    def instances(self, wanted: Callable[[str], bool], kinds: str = "") -> Iterator[Element]:
        """Leaf elements whose part name satisfies `wanted`; subcircuits without any are never expanded.

        `kinds` are the element letters to be looked at, all of them if empty.
        """

    def nets(self) -> Iterator[Net]:
        """Every net, expanded, in order of first mention."""

    def element(self, path: str) -> Element | None:
        """The leaf element of that path; letter case is ignored."""

    def net(self, name: str) -> Net | None:
        """The net of that name; letter case is ignored."""

    def closed(self, is_part: Callable[[str], bool]) -> "Circuit":
        """The same board with every subcircuit whose name satisfies `is_part` taken as one leaf."""

    def dump(self) -> str:
        """One canonical line an element (path, kind, nets, value, part, parameters), sorted by path."""

    def graph(self) -> "MultiGraph[Net | Element]":
        """Every net and leaf element as a networkx graph, made as `drc.circuit.graph` says."""
