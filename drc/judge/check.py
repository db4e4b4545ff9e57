"""Names, kinds and units of a parsed rule, checked against the catalogue before any board is read."""

from collections.abc import Mapping
from typing import NamedTuple, NoReturn

from drc.facts.model import Entry, Kind, SubjectKind
from drc.intent.wording import did_you_mean
from drc.judge.rule import ENDS, Tree, wrong
from drc.quantity.span import Span
from drc.quantity.unit import RATIO, Dimension, Unit, unit_of
from drc.trouble import InputError

SEEN_FROM: dict[SubjectKind, tuple[SubjectKind, ...]] = {
    "block": ("block", "board"),
    "statement": ("statement", "block", "board"),
    "pair": ("pair", "board"),
    "net": ("net", "board"),
    "part": ("part", "board"),
    "line": ("line", "board"),
    "board": ("board",),
}
"""The kinds of facts that a rule on a subject may use; a pair's blocks by their ends."""


class Names(NamedTuple):
    """What names mean where an expression stands: facts with kinds, knobs, lets with trees and kinds."""

    facts: Mapping[str, Kind]
    knobs: Mapping[str, Span]
    lets: Mapping[str, tuple[Tree, Kind]]


def facts_seen_from(subject: SubjectKind, entries: Mapping[str, Entry]) -> dict[str, Kind]:
    """The facts that a rule on such a subject may use, with their kinds."""
    kinds = SEEN_FROM[subject]
    seen = {name: entry.kind for name, entry in entries.items() if entry.subject in kinds}
    if subject == "pair":
        for name, entry in entries.items():
            if entry.subject == "block":
                seen.update({end + name: entry.kind for end in ENDS})
    return seen


class Checker:
    """Checks the expressions of one rule; every method raises InputError at the node that is wrong."""

    def __init__(self, text: str, path: str, names: Names) -> None:
        self.text = text
        self.path = path
        self.names = names

    def refuse(self, node: Tree, message: str) -> NoReturn:
        """Raises the trouble at a node."""
        raise InputError(wrong(self.path, node[1], message, self.text))

    def condition(self, node: Tree) -> Tree:
        """An expression that must be a condition."""
        tree, kind = self.expression(node)
        if kind != "truth":
            self.refuse(node, f"found {_kind_words(kind)}, expected a condition, such as a comparison")
        return tree

    def expression(self, node: Tree) -> tuple[Tree, Kind]:
        """The tree with every name resolved, and its kind."""
        kind = node[0]
        if kind == "quantity":
            return node, unit_of(Dimension(*node[3]))
        if kind == "word":
            return node, "name"
        if kind == "name":
            return self.name(node)
        if kind in ("known", "stated"):
            self.fact(node)
            return node, "truth"
        if kind in ("or", "and", "not"):
            return [kind, node[1], *(self.condition(part) for part in node[2:])], "truth"
        if kind == "compare":
            return self.compare(node)
        if kind in ("is", "is_not", "one_of", "within"):
            return self.sameness(node)
        return self.arithmetic(node)

    def name(self, node: Tree) -> tuple[Tree, Kind]:
        """A let (put in place), a knob or a fact."""
        name = node[2]
        if name in self.names.lets:
            return self.names.lets[name]
        if name in self.names.knobs:
            return ["knob", node[1], name], self.names.knobs[name].unit
        return ["fact", node[1], name], self.fact(node)

    def fact(self, node: Tree) -> Kind:
        """The kind of the fact that a node names."""
        facts = self.names.facts
        name = node[2]
        if name not in facts:
            known = [*facts, *self.names.knobs, *self.names.lets]
            self.refuse(node, f'found "{name}", expected a fact, knob or let{did_you_mean(name, known)}')
        return facts[name]

    def compare(self, node: Tree) -> tuple[Tree, Kind]:
        """`<`, `<=`, `>`, `>=` of two quantities in one unit."""
        (left, left_unit), (right, right_unit) = self.quantity(node[3]), self.quantity(node[4])
        self.common_unit(node[3], left_unit, node[4], right_unit)
        return ["compare", node[1], node[2], left, right], "truth"

    def sameness(self, node: Tree) -> tuple[Tree, Kind]:
        """`is`, `is not`, `is one of`, `within`: both sides names, truths, or quantities in one unit."""
        left, left_kind = self.expression(node[2])
        parts = [left]
        for part in node[3:]:
            right, right_kind = self.right_side(part, left_kind)
            self.common_kind(node[2], left_kind, part, right_kind)
            parts.append(right)
        return [node[0], node[1], *parts], "truth"

    def right_side(self, node: Tree, left: Kind) -> tuple[Tree, Kind]:
        """What stands right of `is`: a bare word without a dot that nothing is called is a name."""
        bare = node[0] == "name" and "." not in node[2]
        if (
            bare
            and node[2] not in self.names.lets
            and node[2] not in self.names.knobs
            and left in ("name", "any")
        ):
            return ["word", node[1], node[2]], "name"
        return self.expression(node)

    def arithmetic(self, node: Tree) -> tuple[Tree, Kind]:
        """Sums, products, ranges and functions of quantities; the result's unit."""
        kind = node[0]
        head = node[:3] if kind == "call" else node[:2]
        checked = [self.quantity(part) for part in node[len(head) :]]
        trees, units = [tree for tree, _ in checked], [unit for _, unit in checked]
        operands = node[len(head) :]
        if kind == "times":
            return [*head, *trees], units[0] * units[1]
        if kind == "over":
            return [*head, *trees], units[0] / units[1]
        if kind == "around" and trees[1][0] == "quantity" and trees[1][4] and units[1] == RATIO:
            if units[0] == RATIO:
                self.refuse(
                    operands[1], "found a percentage of a ratio, expected a width without % or LOW .. HIGH"
                )
            return ["around_relative", node[1], *trees], units[0]
        if len(units) == 2:
            return [*head, *trees], self.common_unit(operands[0], units[0], operands[1], units[1])
        return [*head, *trees], units[0]

    def quantity(self, node: Tree) -> tuple[Tree, Unit]:
        """An expression that must be a quantity."""
        tree, kind = self.expression(node)
        if not isinstance(kind, Unit):
            self.refuse(node, f"found {_kind_words(kind)}, expected a quantity")
        return tree, kind

    def common_kind(self, left: Tree, left_kind: Kind, right: Tree, right_kind: Kind) -> None:
        """Refuses to set things of different kinds side by side."""
        if "any" in (left_kind, right_kind):
            return
        if isinstance(left_kind, Unit) and isinstance(right_kind, Unit):
            self.common_unit(left, left_kind, right, right_kind)
        elif left_kind != right_kind:
            self.refuse(
                right, f"found {_kind_words(right_kind)}, expected {_kind_words(left_kind)}, as on the left"
            )

    def common_unit(self, left: Tree, left_unit: Unit, right: Tree, right_unit: Unit) -> Unit:
        """The unit of both; a bare 0 takes the other's."""
        if left_unit.dimension == right_unit.dimension or _zero(right):
            return left_unit
        if _zero(left):
            return right_unit
        return self.refuse(
            right,
            f"found {_shown(right)} in {_unit_words(right_unit)}, expected {_unit_words(left_unit)}, "
            f"as {_shown(left)} on the left{self.that_fit(left_unit, _shown(left))}",
        )

    def that_fit(self, unit: Unit, beside: str) -> str:
        """The facts in a unit, to choose from; those of the same family as the other operand first."""
        family = beside.rpartition(".")[0] + "."
        fitting = [name for name, kind in self.names.facts.items() if kind == unit and name != beside]
        fitting.sort(key=lambda name: (not name.startswith(family), name))
        return f"; facts that fit: {', '.join(fitting[:6])}{' ...' * (len(fitting) > 6)}" if fitting else ""


def names_in(*trees: Tree) -> tuple[str, ...]:
    """The facts that checked trees use, each once, in order."""
    found: dict[str, None] = {}
    stack = list(reversed(trees))
    while stack:
        node = stack.pop()
        if node[0] in ("fact", "known", "stated"):
            found[node[2]] = None
        stack.extend(part for part in reversed(node[2:]) if isinstance(part, list))
    return tuple(found)


def _zero(node: Tree) -> bool:
    """Whether a node is a bare 0."""
    return node[0] == "quantity" and node[2] == 0 and not any(node[3])


def _shown(node: Tree) -> str:
    """A node in a message: names as they stand."""
    return str(node[2]) if node[0] in ("name", "fact", "knob") else "this"


def _unit_words(unit: Unit) -> str:
    """A unit in a message."""
    return unit.symbol or "a plain number (no unit)"


def _kind_words(kind: Kind) -> str:
    """A kind in a message."""
    if isinstance(kind, Unit):
        return f"a quantity in {kind.symbol}" if kind.symbol else "a plain number"
    words = {"name": "a name", "truth": "yes or no", "any": "whatever is expected (a quantity or a name)"}
    return words[kind]
