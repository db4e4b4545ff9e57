"""Checked expressions compiled to closures over the facts of one subject.

No operand is skipped: `and` and `or` look at both sides, so that which facts a verdict rests on does not
depend on the order of the words.
"""

from collections.abc import Callable, Mapping
from typing import NamedTuple

from drc.facts.model import Cases, Fact, Unknown, Value
from drc.judge import arithmetic
from drc.judge.rule import Require, Rule, Tree
from drc.judge.truth import (
    FALSE,
    TRUE,
    Truth,
    at_least,
    both,
    either,
    negated,
    same,
    truth,
    within,
)
from drc.quantity.span import Span, exact
from drc.quantity.unit import Dimension, unit_of


class Values(dict[str, Value]):
    """The facts of one subject, by the names that rules use, fetched when first asked for.

    `facts` holds them whole; `assumed` the names that rest on assumptions; `cased` those with labelled cases.
    """

    def __init__(self, fetch: Callable[[str], Fact]) -> None:
        super().__init__()
        self.fetch = fetch
        self.facts: dict[str, Fact] = {}
        self.assumed: set[str] = set()
        self.cased: set[str] = set()

    def __missing__(self, name: str) -> Value:
        fact = self.facts[name] = self.fetch(name)
        self[name] = fact.value
        if fact.assumptions:
            self.assumed.add(name)
        if isinstance(fact.value, Cases):
            self.cased.add(name)
        return fact.value

    def copy_with(self, others: Mapping[str, Value]) -> "Values":
        """The same facts with some values in place of others: one combination of labelled cases."""
        copy = Values(self.fetch)
        copy.update(self)
        copy.update(others)
        copy.facts, copy.assumed = self.facts, self.assumed
        return copy


Condition = Callable[[Values], Truth]
Expression = Callable[[Values], Value]


class Program(NamedTuple):
    """One rule ready to run: where, then (guard, condition) of each require. `judged`: the facts in them."""

    rule: Rule
    wheres: tuple[Condition, ...]
    requires: tuple[tuple[Require, Condition | None, Condition], ...]
    judged: frozenset[str]


def compile_rule(rule: Rule) -> Program:
    """A rule's expressions as closures; knobs are taken at their values in force."""
    requires = tuple(
        (
            require,
            None if require.guard is None else condition(require.guard, rule.knobs),
            condition(require.condition, rule.knobs),
        )
        for require in rule.requires
    )
    judged = frozenset([*rule.where_names, *(name for require in rule.requires for name in require.names)])
    return Program(rule, tuple(condition(tree, rule.knobs) for tree in rule.wheres), requires, judged)


def condition(tree: Tree, knobs: Mapping[str, Span]) -> Condition:
    """A condition as a closure."""
    kind = tree[0]
    if kind == "compare":
        return _compare(tree[2], expression(tree[3], knobs), expression(tree[4], knobs))
    if kind in ("and", "or"):
        return _joined(both if kind == "and" else either, *(condition(part, knobs) for part in tree[2:]))
    if kind == "not":
        inner = condition(tree[2], knobs)
        return lambda values: negated(inner(values))
    if kind in ("known", "stated"):
        return _known(tree[2], kind == "stated")
    if kind in ("within", "is", "is_not", "one_of"):
        return _sameness(kind, [expression(part, knobs) for part in tree[2:]])
    value = expression(tree, knobs)
    return lambda values: truth(value(values))


def _compare(sign: str, left: Expression, right: Expression) -> Condition:
    if sign == ">=":
        return lambda values: at_least(left(values), right(values))
    if sign == "<=":
        return lambda values: at_least(right(values), left(values))
    if sign == "<":
        return lambda values: negated(at_least(left(values), right(values)))
    return lambda values: negated(at_least(right(values), left(values)))


def _joined(join: Callable[[Truth, Truth], Truth], left: Condition, right: Condition) -> Condition:
    return lambda values: join(left(values), right(values))


def _known(name: str, stated: bool) -> Condition:
    def known(values: Values) -> Truth:
        if isinstance(values[name], Unknown) or (stated and name in values.assumed):
            return FALSE
        return TRUE

    return known


def _sameness(kind: str, parts: list[Expression]) -> Condition:
    left, *others = parts
    right = others[0]
    if kind == "within":
        return lambda values: within(left(values), right(values))
    if kind == "is":
        return lambda values: same(left(values), right(values))
    if kind == "is_not":
        return lambda values: negated(same(left(values), right(values)))

    def one_of(values: Values) -> Truth:
        value = left(values)
        found = FALSE
        for other in others:
            found = either(found, same(value, other(values)))
        return found

    return one_of


_BINARY = {
    "plus": arithmetic.lifted(arithmetic.plus),
    "minus": arithmetic.lifted(arithmetic.minus),
    "times": arithmetic.lifted(arithmetic.times),
    "over": arithmetic.lifted(arithmetic.over),
    "from_to": arithmetic.lifted(arithmetic.from_to),
    "around": arithmetic.lifted(arithmetic.around),
    "around_relative": arithmetic.lifted(arithmetic.around_relative),
    "min": arithmetic.lifted(arithmetic.smaller),
    "max": arithmetic.lifted(arithmetic.larger),
}
_UNARY = {
    "negative": arithmetic.lifted_one(arithmetic.negative),
    "abs": arithmetic.lifted_one(arithmetic.absolute),
    "low": arithmetic.lifted_one(arithmetic.low_end),
    "nominal": arithmetic.lifted_one(arithmetic.nominal_value),
    "high": arithmetic.lifted_one(arithmetic.high_end),
}


def expression(tree: Tree, knobs: Mapping[str, Span]) -> Expression:
    """A value expression as a closure; a condition in its place gives its truth at nominal."""
    kind = tree[0]
    if kind == "fact":
        name: str = tree[2]
        return lambda values: values[name]
    if kind in ("quantity", "knob", "word"):
        constant = _constant(tree, knobs)
        return lambda values: constant
    operation, operands = (tree[2], tree[3:]) if kind == "call" else (kind, tree[2:])
    if operation in _BINARY:
        binary = _BINARY[operation]
        left, right = (expression(part, knobs) for part in operands)
        return lambda values: binary(left(values), right(values))
    if operation in _UNARY:
        unary = _UNARY[operation]
        (inner,) = (expression(part, knobs) for part in operands)
        return lambda values: unary(inner(values))
    judged = condition(tree, knobs)
    return lambda values: _as_value(judged(values))


def _as_value(found: Truth) -> Value:
    """A condition's truth at nominal as a value."""
    return Unknown("not known") if found.nominal is None else found.nominal


def _constant(tree: Tree, knobs: Mapping[str, Span]) -> Value:
    """What a literal or a knob stands for."""
    if tree[0] == "knob":
        return knobs[tree[2]]
    if tree[0] == "word":
        return str(tree[2])
    return exact(tree[2], unit_of(Dimension(*tree[3])))


def constant_span(tree: Tree) -> Span:
    """The value of an expression of quantities alone (a knob's)."""
    none: dict[str, Fact] = {}  # No fact is asked for: names were refused when the knob was checked.
    value = expression(tree, {})(Values(none.__getitem__))
    assert isinstance(value, Span)
    return value
