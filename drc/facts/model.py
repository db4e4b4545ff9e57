"""A fact and its derivation, the subjects facts are about, and what the catalogue says of each name."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Literal, NamedTuple

from drc.blocks.model import Block
from drc.intent.model import Statement
from drc.quantity.span import Span
from drc.quantity.unit import Unit
from drc.trouble import Place, Trouble

if TYPE_CHECKING:
    from drc.facts.book import Book

SubjectKind = Literal["block", "statement", "net", "part", "line", "pair", "board"]


class Unknown(NamedTuple):
    """Not known: why, and the names of what is missing (`supply.voltage`, `R3 value`)."""

    because: str
    missing: tuple[str, ...] = ()


class Case(NamedTuple):
    """One labelled state of something that takes several, and nothing between them."""

    label: str
    value: Span


class Cases(NamedTuple):
    """Labelled cases, all of which must hold: what a two-state source gives instead of a span."""

    cases: tuple[Case, ...]


Value = Span | str | bool | Cases | Unknown
"""Span for quantities, str for names (`inverted`), bool for truths, Cases for several states."""


class Input(NamedTuple):
    """One thing a fact was computed from: what, its value as text, where from, and by whose word.

    `origin`: "line", "bill of materials", "statement", "settings", "default", "part file", or a fact's name.
    """

    label: str
    value: str
    origin: str
    place: Place | None = None


class Fact(NamedTuple):
    """A named value with its derivation.

    `law` is the formula in words and symbols; `assumptions` make a pass on this fact count apart
    (a default tolerance, a supply inferred from a name).
    """

    name: str
    value: Value
    law: str = ""
    inputs: tuple[Input, ...] = ()
    assumptions: tuple[str, ...] = ()

    @property
    def span(self) -> Span | None:
        """The value if it is a span."""
        return self.value if isinstance(self.value, Span) else None


class Subject(NamedTuple):
    """What a rule speaks of: the kind, a path to print, a place, and the thing itself.

    `thing` is the Block, the Statement, the Trouble (for a line), or None for the board; `partner` is the
    second block of a pair; for an `expect` statement `block` is the block it is about.
    """

    kind: SubjectKind
    path: str
    place: Place
    block: Block | None = None
    statement: Statement | None = None
    trouble: Trouble | None = None
    partner: Block | None = None
    net: str | None = None


Kind = Unit | Literal["name", "truth", "any"]
"""What a fact's value is: a quantity of a unit, a name, yes or no, or (expect.*) whatever is expected."""


class Entry(NamedTuple):
    """A line of the catalogue: the fact's name, subject, kind of value, meaning, and how it is computed."""

    name: str
    subject: SubjectKind
    kind: Kind
    meaning: str
    compute: "Callable[[Book, Subject], Fact]"
