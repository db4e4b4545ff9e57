"""The mistakes that are planted: which pieces of a module can be changed, and into what.

Left out, because no behaviour hangs on them: docstrings and other bare constants, strings (names and the
texts of messages), annotations, imports, decorators, assertions (`strict` in `zip` is one),
`if TYPE_CHECKING`, `__slots__`, and what a `raise` says. Type-only statements (`type`, `NewType`, `TypeVar`)
have nothing to change.
"""

import ast
import copy
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple, TypeVar

_Node = TypeVar("_Node", bound=ast.AST)

_COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
_CALCULATED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
    ast.BitXor: ast.BitAnd,
}
_EXCHANGED = {
    one: other
    for pair in (
        ("min", "max"),
        ("any", "all"),
        ("minimum", "maximum"),
        ("floor", "ceil"),
        ("low", "high"),
        ("rising", "falling"),
        ("source", "sink"),
        ("argmin", "argmax"),
        ("inf", "nan"),
        ("TRUE", "FALSE"),
    )
    for one, other in (pair, pair[::-1])
}
_SAID = {None, "text"}
"""Arguments that are never dropped: the text of a law says what is done, and does nothing."""

_UNWRAPPED = {"abs", "sorted", "reversed", "round"}


class Mutant(NamedTuple):
    """One mistake: where it is, what it does, and the key that names it also after lines have moved."""

    path: str
    """POSIX, from the top of the checkout."""
    lines: tuple[int, int]
    """First and last line of the statement, or of its head."""
    function: tuple[str, int] | None
    """The outermost function whose body it is in, by qualified name and first line; None: run at import."""
    scope: str
    """Qualified name of the function or class; empty for the module."""
    what: str
    nth: int
    """Which of the same changes in this scope."""

    @property
    def key(self) -> str:
        """Names the mutant, whatever its line."""
        return f"{self.path}::{self.scope}::{self.what}::{self.nth}"


class _Change(NamedTuple):
    """A change at a node: `field` of the node, `place` in a list field, becomes `new`."""

    lines: tuple[int, int]
    function: tuple[str, int] | None
    scope: str
    what: str
    node: ast.AST
    field: str
    place: int | None
    new: ast.AST | list[ast.AST] | str | bool | None


def mutants(root: Path, path: str) -> list[Mutant]:
    """Every mutant of a module, in the order of the text."""
    counted: Counter[tuple[str, str]] = Counter()
    found = []
    for change in _changes(ast.parse((root / path).read_text(encoding="utf-8"))):
        nth = counted[change.scope, change.what]
        counted[change.scope, change.what] += 1
        found.append(Mutant(path, change.lines, change.function, change.scope, change.what, nth))
    return found


def mutated(text: str, mutant: Mutant) -> ast.Module:
    """The module with the mistake in it; LookupError if the text no longer has its place."""
    tree = ast.parse(text)
    nth = -1
    for change in _changes(tree):
        nth += (change.scope, change.what) == (mutant.scope, mutant.what)
        if nth == mutant.nth:
            if change.place is None:
                setattr(change.node, change.field, change.new)
            else:
                getattr(change.node, change.field)[change.place] = change.new
            return ast.fix_missing_locations(tree)
    raise LookupError(f"{mutant.key} is no longer there")


class _Around(NamedTuple):
    """What a node stands in."""

    scope: str = ""
    function: tuple[str, int] | None = None
    lines: tuple[int, int] = (0, 0)


def _changes(tree: ast.Module) -> Iterator[_Change]:
    yield from _inside(tree, _Around())


def _inside(node: ast.AST, around: _Around) -> Iterator[_Change]:
    """The changes below a node."""
    for field, value in ast.iter_fields(node):
        if _left_out(node, field):
            continue
        items = value if isinstance(value, list) else [value]
        inner = _body(node, around) if field == "body" else around
        for index, child in enumerate(items):
            if not isinstance(child, ast.AST) or _no_behaviour(child):
                continue
            at = index if isinstance(value, list) else None
            here = _within(inner, child)
            for what, new in _replacements(child, node, field):
                yield _Change(here.lines, inner.function, inner.scope, what, node, field, at, new)
            yield from _inside(child, here)


def _body(node: ast.AST, around: _Around) -> _Around:
    """What the body of a node stands in: a function's runs later than its head."""
    if isinstance(node, ast.FunctionDef) and around.function is None:
        first = min([node.lineno, *(d.lineno for d in node.decorator_list)])
        return around._replace(function=(around.scope, first))
    return around


def _within(around: _Around, child: ast.AST) -> _Around:
    """What the pieces of a child stand in."""
    if isinstance(child, ast.FunctionDef | ast.ClassDef):
        around = around._replace(scope=f"{around.scope}.{child.name}" if around.scope else child.name)
    if isinstance(child, ast.stmt):
        body = getattr(child, "body", None)
        last = max(child.lineno, body[0].lineno - 1) if body else child.end_lineno or child.lineno
        return around._replace(lines=(child.lineno, last))
    return around


def _left_out(node: ast.AST, field: str) -> bool:
    """Whether a field is annotation or decoration."""
    if field in {"annotation", "returns", "decorator_list", "bases", "type_params"}:
        return True
    return isinstance(node, ast.Raise) or (isinstance(node, ast.Subscript) and _typing(node.value))


def _typing(node: ast.expr) -> bool:
    return isinstance(node, ast.Name) and node.id in {"Literal", "Callable", "Sequence", "Mapping", "NDArray"}


def _no_behaviour(node: ast.AST) -> bool:
    """Whether nothing that the package does can hang on a node."""
    if isinstance(node, ast.Import | ast.ImportFrom | ast.JoinedStr):
        return True
    if isinstance(node, ast.keyword) and node.arg == "strict":
        return True
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return True
    if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
        return True
    target = node.targets[0] if isinstance(node, ast.Assign) else None
    if isinstance(target, ast.Name) and target.id == "__slots__":
        return True
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return node.func.id in {"cast", "NewType", "TypeVar"}
    return isinstance(node, ast.Assert)


def _replacements(node: ast.AST, parent: ast.AST, field: str) -> Iterator[tuple[str, ast.AST]]:
    """What a node can become, with a word for it."""
    if isinstance(node, ast.stmt):
        yield from _statements(node, parent)
    elif isinstance(node, ast.expr):
        yield from _expressions(node)
        if field == "test" and isinstance(parent, ast.If | ast.IfExp):
            yield "condition negated", _not(node)
    elif isinstance(node, ast.keyword) and node.arg not in _SAID and isinstance(parent, ast.Call):
        yield "argument dropped", ast.keyword(arg=None, value=ast.Dict(keys=[], values=[]))
    elif isinstance(node, ast.comprehension):
        for index in range(len(node.ifs)):
            fewer = copy.copy(node)
            fewer.ifs = node.ifs[:index] + node.ifs[index + 1 :]
            yield "filter dropped", fewer


def _statements(node: ast.stmt, parent: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    if isinstance(node, ast.Return) and node.value is not None:
        if not (isinstance(node.value, ast.Constant) and node.value.value is None):
            yield "return None", _at(ast.Return(ast.Constant(None)), node)
    elif isinstance(node, ast.Expr | ast.AugAssign | ast.Raise):
        yield "statement dropped", _at(ast.Pass(), node)
    elif isinstance(node, ast.Continue):
        yield "continue becomes break", _at(ast.Break(), node)
    elif isinstance(node, ast.Break):
        yield "break becomes continue", _at(ast.Continue(), node)
    elif isinstance(node, ast.Assign) and isinstance(parent, ast.If | ast.For | ast.While):
        yield "assignment dropped", _at(ast.Pass(), node)


def _expressions(node: ast.expr) -> Iterator[tuple[str, ast.AST]]:
    if isinstance(node, ast.Compare):
        for index, operator in enumerate(node.ops):
            for other in _COMPARED[type(operator)]:
                changed = copy.copy(node)
                changed.ops = [*node.ops[:index], other(), *node.ops[index + 1 :]]
                yield f"{type(operator).__name__} becomes {other.__name__}", changed
    elif isinstance(node, ast.BinOp) and type(node.op) in _CALCULATED and not _text(node):
        other_operator = _CALCULATED[type(node.op)]
        changed_sum = copy.copy(node)
        changed_sum.op = other_operator()
        yield f"{type(node.op).__name__} becomes {other_operator.__name__}", changed_sum
    elif isinstance(node, ast.BoolOp):
        yield from _of_two(node)
    elif isinstance(node, ast.UnaryOp) and not isinstance(node.op, ast.UAdd):
        yield f"{type(node.op).__name__} dropped", node.operand
    elif isinstance(node, ast.Constant):
        yield from _constants(node)
    elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load) and node.id in _EXCHANGED:
        yield _swapped(node.id), _at(ast.Name(_EXCHANGED[node.id], ast.Load()), node)
    elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load) and node.attr in _EXCHANGED:
        yield _swapped(node.attr), _at(ast.Attribute(node.value, _EXCHANGED[node.attr], ast.Load()), node)
    elif isinstance(node, ast.Call) and _wraps(node):
        yield f"{ast.unparse(node.func)}() dropped", node.args[0]


def _wraps(node: ast.Call) -> bool:
    """Whether a call makes something alike of its one argument."""
    one = len(node.args) == 1 and not isinstance(node.args[0], ast.Starred)
    return one and isinstance(node.func, ast.Name) and node.func.id in _UNWRAPPED


def _of_two(node: ast.BoolOp) -> Iterator[tuple[str, ast.AST]]:
    changed = copy.copy(node)
    changed.op = ast.And() if isinstance(node.op, ast.Or) else ast.Or()
    yield f"{type(node.op).__name__} becomes {type(changed.op).__name__}", changed
    for index in range(len(node.values)):
        rest = node.values[:index] + node.values[index + 1 :]
        fewer = rest[0] if len(rest) == 1 else _at(ast.BoolOp(node.op, rest), node)
        yield f"{type(node.op).__name__} without one", fewer


def _constants(node: ast.Constant) -> Iterator[tuple[str, ast.AST]]:
    value = node.value
    if isinstance(value, bool):
        yield f"{value} becomes {not value}", _at(ast.Constant(not value), node)
    elif isinstance(value, int | float):
        yield "constant plus 1", _at(ast.Constant(value + 1), node)
        if value:
            yield "constant negated", _at(ast.UnaryOp(ast.USub(), ast.Constant(value)), node)
        if isinstance(value, float) and value:
            yield "constant doubled", _at(ast.Constant(value * 2), node)
        if isinstance(value, int):
            yield "constant less 1", _at(ast.Constant(value - 1), node)


def _swapped(name: str) -> str:
    return f"{name} becomes {_EXCHANGED[name]}"


def _text(node: ast.BinOp) -> bool:
    """Whether a sum is one of texts."""
    return any(
        isinstance(side, ast.JoinedStr) or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in (node.left, node.right)
    )


def _not(node: ast.expr) -> ast.expr:
    return _at(ast.UnaryOp(ast.Not(), node), node)


def _at(new: _Node, old: ast.AST) -> _Node:
    return ast.copy_location(new, old)
