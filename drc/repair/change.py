"""A change of an element's value, the text it becomes, and a candidate: changes that may mend a finding."""

import math
import re
from collections.abc import Mapping
from typing import NamedTuple

from drc.circuit.material import Material
from drc.circuit.model import Element, Token
from drc.judge.model import Edit

_SUFFIXES = (
    (1e9, "g"),
    (1e6, "meg"),
    (1e3, "k"),
    (1.0, ""),
    (1e-3, "m"),
    (1e-6, "u"),
    (1e-9, "n"),
    (1e-12, "p"),
)
_UNIT = re.compile(r"(?:ohms?|Ohms?|OHMS?|F|H)\Z")


class Change(NamedTuple):
    """An element, the value (SI) that it would take, and the one in force now, whoever gives it."""

    element: Element
    value: float
    old: float


class Rewrite(NamedTuple):
    """Another net or part name on an element's line, in the words of the file."""

    element: Element
    token: Token
    new: str


class Added(NamedTuple):
    """Lines written before an element's own: `name` is where its name stands, `end` how a line ends there."""

    element: Element
    name: Token
    lines: tuple[str, ...]
    end: str = "\n"


Step = Change | Rewrite | Added


class Candidate(NamedTuple):
    """Changes that go together, why they might be the cause, and how small they are.

    `acts` is how often a hand would slip to make the fault: an exchange of two resistors is one slip.
    """

    changes: tuple[Step, ...]
    why: str
    acts: int
    kind: int

    @property
    def rank(self) -> tuple[int, int, float]:
        """Smallest first: fewest slips, then the kind of slip, then the shortest way in decades."""
        return self.acts, self.kind, sum(distance(change) for change in self.changes)


def distance(change: Step) -> float:
    """How far a change goes, in decades; a word or a line counts as one."""
    if not isinstance(change, Change):
        return 1.0
    return abs(math.log10(change.value / change.old))


def value_token(element: Element, materials: Mapping[str, Material]) -> Token | None:
    """Where the value in force is written: in the bill of materials if it gives one, else on the line."""
    material = materials.get(element.path.lower())
    if material is not None and material.value is not None:
        return material.token
    return element.reading.token


def edits(candidate: Candidate, materials: Mapping[str, Material]) -> tuple[Edit, ...] | None:
    """The edits of the source text, None where a value is not written as text of its own.

    Two elements whose value is one and the same token (a parameter) can only take one value.
    """
    made: dict[Token, Edit] = {}
    for change in candidate.changes:
        if isinstance(change, Added):
            continue
        token = change.token if isinstance(change, Rewrite) else value_token(change.element, materials)
        if token is None:
            return None
        new = change.new if isinstance(change, Rewrite) else value_text(change.value, token.text)
        if made.setdefault(token, Edit(change.element.path, token, new)).new != new:
            return None
    return (*(edit for edit in made.values() if edit.new != edit.token.text), *_added(candidate))


def _added(candidate: Candidate) -> tuple[Edit, ...]:
    """The lines of a candidate, all that belong before one element in one edit of its name."""
    added: dict[Token, list[Added]] = {}
    for change in candidate.changes:
        if isinstance(change, Added):
            added.setdefault(change.name, []).append(change)
    return tuple(
        Edit(
            group[0].element.path,
            token,
            "".join(f"{line}{each.end}" for each in group for line in each.lines) + token.text,
        )
        for token, group in added.items()
    )


def value_text(value: float, old: str) -> str:
    """A value as a netlist line writes it, with the unit of the text that it replaces: `4.7k`, `68.1kohm`."""
    unit = _UNIT.search(old)
    scale, suffix = next(((s, t) for s, t in _SUFFIXES if abs(value) >= s * (1 - 1e-12)), (1e-12, "p"))
    return f"{value / scale:.6g}{suffix}{unit.group() if unit else ''}"
