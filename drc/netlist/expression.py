"""Expressions in braces or quotes: parsed to a small tree, evaluated with names looked up on demand."""

import math
import operator
import re
from collections.abc import Callable
from functools import lru_cache, partial
from itertools import pairwise
from typing import NamedTuple

from drc.quantity.notation import scaled_number

DEPTH_LIMIT = 64
"""How deep brackets and parameter references may nest in one expression."""

LENGTH_LIMIT = 20_000
"""How many characters one expression may have."""

_LEXEME = re.compile(
    r"\s+|(?P<n>(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?[a-zA-Zµμ]*)|(?P<w>[A-Za-z_#@$][\w#@$.\[\]]*)"
    r"|(?P<o>\*\*|&&|\|\||==|!=|<=|>=|<>|[-+*/^%<>!?:(),&|~])|(?P<x>.)",
    re.DOTALL,
)
_BINARY = {
    "||": 1, "|": 1, "&&": 2, "&": 2, "==": 3, "!=": 3, "<>": 3, "<": 4, "<=": 4, ">": 4, ">=": 4,
    "+": 5, "-": 5, "*": 6, "/": 6, "%": 6,
}  # fmt: skip


class ExpressionError(Exception):
    """An expression that does not read or has no value; `start` and `end` are offsets within its text."""

    def __init__(self, kind: str, message: str, start: int = 0, end: int = 0) -> None:
        super().__init__(message)
        self.kind, self.message, self.start, self.end = kind, message, start, end


class Node(NamedTuple):
    """One node of the tree: `form` is `number`, `name`, `call`, `unary`, `binary` or `choice`."""

    form: str
    text: str
    value: float = 0.0
    parts: "tuple[Node, ...]" = ()
    start: int = 0


class _Reader:
    """Precedence climbing over the lexemes of one expression."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.lexemes: list[tuple[str, str, int]] = []
        for match in _LEXEME.finditer(text):
            if match.lastgroup == "x":
                found = match.group()
                message = f"'{found}' means nothing in an expression"
                raise ExpressionError("unreadable-expression", message, match.start(), match.end())
            if match.lastgroup:
                self.lexemes.append((match.lastgroup, match.group(), match.start()))
        self.at = 0
        self.depth = 0

    def peek(self) -> tuple[str, str, int]:
        """The next lexeme, or an empty one at the end."""
        return self.lexemes[self.at] if self.at < len(self.lexemes) else ("", "", len(self.text))

    def take(self, wanted: str = "") -> tuple[str, str, int]:
        """The next lexeme, used up; with `wanted` it must be that."""
        lexeme = self.peek()
        if wanted and lexeme[1] != wanted:
            found = f"'{lexeme[1]}'" if lexeme[1] else "the end"
            message = f"found {found} where '{wanted}' was expected"
            raise ExpressionError("unreadable-expression", message, lexeme[2], lexeme[2] + len(lexeme[1]))
        self.at += 1
        return lexeme

    def choice(self) -> Node:
        """A ternary or what binds tighter."""
        self.depth += 1
        if self.depth > DEPTH_LIMIT:
            message = f"the expression nests deeper than {DEPTH_LIMIT}; split it over parameters"
            raise ExpressionError("expression-too-deep", message)
        node = self.binary(1)
        if self.peek()[1] == "?":
            start = self.take()[2]
            yes = self.choice()
            self.take(":")
            node = Node("choice", "?", 0.0, (node, yes, self.choice()), start)
        self.depth -= 1
        return node

    def binary(self, least: int) -> Node:
        """A run of two-sided operators that bind at least so tightly."""
        left = self.unary()
        while True:
            kind, sign, start = self.peek()
            level = _BINARY.get(sign, 0) if kind == "o" else 0
            if level < least:
                return left
            self.take()
            left = Node("binary", sign, 0.0, (left, self.binary(level + 1)), start)

    def unary(self) -> Node:
        """Signs and `!`, then a power, which binds tighter than they."""
        return self.signed(self.power)

    def power(self) -> Node:
        """Powers, from the left; an exponent may have signs of its own."""
        node = self.atom()
        while self.peek()[1] in ("**", "^"):
            _, sign, start = self.take()
            node = Node("binary", sign, 0.0, (node, self.signed(self.atom)), start)
        return node

    def signed(self, inner: Callable[[], Node]) -> Node:
        """Any number of signs, then what `inner` reads."""
        signs: list[tuple[str, int]] = []
        while self.peek()[0] == "o" and self.peek()[1] in "+-!~":
            _, sign, start = self.take()
            signs.append((sign, start))
        if len(signs) > DEPTH_LIMIT:
            message = f"more than {DEPTH_LIMIT} signs in a row"
            raise ExpressionError("expression-too-deep", message, signs[0][1], signs[-1][1])
        node = inner()
        for sign, start in reversed(signs):
            node = Node("unary", sign, 0.0, (node,), start)
        return node

    def atom(self) -> Node:
        """A number, a name, a call, or an expression in brackets."""
        kind, text, start = self.take()
        if kind == "n":
            return Node("number", text, scaled_number(text) or 0.0, (), start)
        if kind == "w":
            if self.peek()[1] != "(":
                return Node("name", text, 0.0, (), start)
            self.take()
            arguments: list[Node] = []
            while self.peek()[1] != ")":
                arguments.append(self.choice())
                if self.peek()[1] != ")":
                    self.take(",")
            self.take(")")
            return Node("call", text, 0.0, tuple(arguments), start)
        if text == "(":
            node = self.choice()
            self.take(")")
            return node
        found = f"'{text}'" if text else "the end"
        message = f"found {found} where a number or a name was expected"
        raise ExpressionError("unreadable-expression", message, start, start + len(text))


@lru_cache(maxsize=4096)
def parse(text: str) -> Node:
    """The tree of an expression without its braces; what does not read by hand is put to the grammar.

    Raises ExpressionError with the offending offsets.
    """
    try:
        return parse_by_hand(text)
    except ExpressionError as error:
        if error.kind != "unreadable-expression":
            raise
        from drc.netlist.grammar import grammar_expression

        tree = grammar_expression(text)
        if tree is None:
            raise
        return tree


def parse_by_hand(text: str) -> Node:
    """The tree of an expression by precedence climbing. Raises ExpressionError."""
    if len(text) > LENGTH_LIMIT:
        message = f"the expression has more than {LENGTH_LIMIT} characters; split it over parameters"
        raise ExpressionError("expression-too-long", message)
    reader = _Reader(text)
    node = reader.choice()
    if reader.peek()[0]:
        _, found, start = reader.peek()
        message = f"found '{found}' where an operator was expected"
        raise ExpressionError("unreadable-expression", message, start, start + len(found))
    return node


def _sign(x: float) -> float:
    return float((x > 0) - (x < 0))


def _table(x: float, *pairs: float) -> float:
    """Piecewise linear through (x, y) pairs, flat beyond the ends."""
    points = list(zip(pairs[::2], pairs[1::2], strict=True))
    if x <= points[0][0]:
        return points[0][1]
    for (x0, y0), (x1, y1) in pairwise(points):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return points[-1][1]


FUNCTIONS: dict[str, Callable[..., float]] = {
    "min": min, "max": max, "sqrt": math.sqrt, "abs": abs, "exp": math.exp, "log": math.log, "ln": math.log,
    "log10": math.log10, "pow": pow, "pwr": lambda x, y: abs(x) ** y, "int": math.trunc, "floor": math.floor,
    "ceil": math.ceil, "nint": lambda x: math.floor(x + 0.5), "round": lambda x: math.floor(x + 0.5),
    "sin": math.sin, "cos": math.cos, "tan": math.tan, "asin": math.asin, "acos": math.acos,
    "atan": math.atan, "arctan": math.atan, "atan2": math.atan2, "sinh": math.sinh, "cosh": math.cosh,
    "tanh": math.tanh, "sgn": _sign, "u": lambda x: float(x > 0), "uramp": lambda x: max(x, 0.0),
    "if": lambda c, a, b: a if c else b, "limit": lambda x, a, b: min(max(x, min(a, b)), max(a, b)),
    "table": _table, "buf": lambda x: float(x > 0.5), "inv": lambda x: float(x <= 0.5), "hypot": math.hypot,
    "fabs": abs, "square": lambda x: x * x, "db": lambda x: 20 * math.log10(x), "mod": math.fmod,
    "ternary_fcn": lambda c, a, b: a if c else b, "sign": math.copysign,
}  # fmt: skip
"""The usual functions, by lower-case name."""

CONSTANTS = {"pi": math.pi, "e": math.e, "true": 1.0, "false": 0.0, "boltz": 1.380649e-23,
             "echarge": 1.602176634e-19, "kelvin": -273.15, "yes": 1.0, "no": 0.0}  # fmt: skip
"""Names with a value of their own unless a parameter takes the name (SI constants: SI brochure, 2019)."""

RANDOM = frozenset({"gauss", "agauss", "unif", "aunif", "limit_random", "mc", "rand", "random", "flat"})
"""Functions that give the first argument as nominal; their spread is not read as a tolerance."""

Lookup = Callable[[str, Node], float]
Call = Callable[[str, list[float], Node], float | None]


def evaluate(node: Node, lookup: Lookup, call: Call) -> float:
    """The value of a tree; `lookup` gives names their values, `call` functions of the netlist's own.

    Raises ExpressionError where a name is unknown or the arithmetic has no value.
    """
    if node.form == "number":
        return node.value
    if node.form == "name":
        return lookup(node.text, node)
    if node.form == "choice":
        chosen = 1 if evaluate(node.parts[0], lookup, call) else 2
        return evaluate(node.parts[chosen], lookup, call)
    if node.form == "binary":
        spine = [node]
        while spine[-1].parts[0].form == "binary":
            spine.append(spine[-1].parts[0])
        value = evaluate(spine[-1].parts[0], lookup, call)
        for step in reversed(spine):
            right = evaluate(step.parts[1], lookup, call)
            value = _guarded(step, partial(_binary, step.text, value, right))
        return value
    values = [evaluate(part, lookup, call) for part in node.parts]
    if node.form == "unary":
        return -values[0] if node.text == "-" else values[0] if node.text == "+" else float(not values[0])
    return _guarded(node, partial(_call, node, values, call))


def _guarded(node: Node, work: Callable[[], float]) -> float:
    """The result of one step of arithmetic, or an ExpressionError where it has no finite value."""
    try:
        result = work()
    except (ArithmeticError, ValueError, TypeError, IndexError) as trouble:
        message = f"'{node.text}' has no value here ({trouble})"
        raise ExpressionError("no-value", message, node.start, node.start + len(node.text)) from trouble
    if isinstance(result, complex) or not math.isfinite(result):
        message = f"'{node.text}' has no finite value here"
        raise ExpressionError("no-value", message, node.start, node.start + len(node.text))
    return float(result)


_TWO_SIDED: dict[str, Callable[[float, float], float]] = {
    "+": operator.add, "-": operator.sub, "*": operator.mul, "/": operator.truediv, "%": math.fmod,
    "**": math.pow, "^": math.pow, "==": operator.eq, "!=": operator.ne, "<>": operator.ne,
    "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge,
    "&&": lambda a, b: a and b, "&": lambda a, b: a and b,
    "||": lambda a, b: a or b, "|": lambda a, b: a or b,
}  # fmt: skip


def _binary(sign: str, a: float, b: float) -> float:
    """Arithmetic, comparison and logic; truth is 1 and 0."""
    result = _TWO_SIDED[sign](a, b)
    return float(bool(result)) if sign in "&&||" else float(result)


def _call(node: Node, values: list[float], call: Call) -> float:
    """A function of the netlist, else a usual one."""
    own = call(node.text, values, node)
    if own is not None:
        return own
    low = node.text.lower()
    if low in RANDOM and values:
        return values[0]
    function = FUNCTIONS.get(low)
    if function is None:
        message = f"there is no function '{node.text}'; define it with .func, or use one of the usual ones"
        raise ExpressionError("undefined-function", message, node.start, node.start + len(node.text))
    return function(*values)
