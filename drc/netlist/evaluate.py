"""Parameters and expressions worked out in a scope, on demand and once."""

from typing import NamedTuple

from drc.circuit.columns import TOP, TOP_SCOPE, Scope
from drc.circuit.model import Token
from drc.netlist.expression import CONSTANTS, ExpressionError, Node, evaluate, parse
from drc.netlist.lines import SourceLines
from drc.netlist.scopes import Function, Names, Parameter
from drc.netlist.statement import read_statement
from drc.netlist.words import Pair, split_words
from drc.quantity.notation import percent, scaled_number

REFERENCE_LIMIT = 40
"""How many parameters may hang one from another."""


class Worth(NamedTuple):
    """A number and the token that sets it."""

    value: float
    token: Token


class Evaluator:
    """Gives parameters their values; `names` are the definitions' names, outermost first."""

    def __init__(self, names: list[Names], sources: list[SourceLines]) -> None:
        self._names, self._sources = names, sources
        self._known: dict[tuple[tuple[int, ...], int, str], Worth] = {}
        self._overrides: dict[tuple[int, int], dict[str, Pair]] = {}
        self._open: list[tuple[tuple[int, ...], int, str]] = []

    def forget(self) -> None:
        """Drops what was worked out, because definitions have been added."""
        self._known.clear()

    def number_in(self, text: str, definition: int) -> float:
        """The value of an expression within a definition itself, at its default parameters.

        Raises ExpressionError.
        """
        self.forget()
        scope = Scope(definition, (-1,) if definition != TOP else (), "")
        return self.number(text, scope)

    def number(self, text: str, scope: Scope) -> float:
        """The value of an expression, braces and quotes allowed, in a scope. Raises ExpressionError."""
        body = strip_braces(text)
        plain = scaled_number(body)
        if plain is not None:
            return plain
        return self._evaluate(parse(body), scope, {})

    def worth(self, token: Token, scope: Scope) -> Worth:
        """The value of a token, and the token that sets it: a parameter's own where it is a mere name."""
        body = strip_braces(token.text)
        plain = scaled_number(body)
        if plain is None:
            share = percent(body)
            plain = share[1] if share is not None else None
        if plain is not None:
            return Worth(plain, token)
        node = parse(body)
        if node.form == "name":
            found = self._find(node.text.lower(), scope)
            if found is not None:
                return found
        return Worth(self._evaluate(node, scope, {}), token)

    def defines(self, name: str, scope: Scope) -> bool:
        """Whether a parameter of that name is seen from a scope."""
        return self._where(name.lower(), scope) is not None

    def _evaluate(self, node: Node, scope: Scope, arguments: dict[str, float]) -> float:
        def lookup(name: str, at: Node) -> float:
            low = name.lower()
            if low in arguments:
                return arguments[low]
            found = self._find(low, scope)
            if found is not None:
                return found.value
            if low in CONSTANTS:
                return CONSTANTS[low]
            message = f"parameter '{name}' has no definition here; set it with .param {name}=VALUE"
            raise ExpressionError("undefined-parameter", message, at.start, at.start + len(name))

        def call(name: str, values: list[float], at: Node) -> float | None:
            return self._call(name, values, at, scope)

        return evaluate(node, lookup, call)

    def _call(self, name: str, values: list[float], at: Node, scope: Scope) -> float | None:
        """A function that the netlist defines, or None."""
        function = self._function(name.lower(), scope.definition)
        if function is None:
            return None
        if len(values) != len(function.arguments):
            message = f"'{name}' takes {len(function.arguments)} arguments, found {len(values)}"
            raise ExpressionError("no-value", message, at.start, at.start + len(name))
        entry = (scope.key, -2, name.lower())
        if len(self._open) >= REFERENCE_LIMIT:
            message = f"'{name}' hangs on more than {REFERENCE_LIMIT} others; break the chain"
            raise ExpressionError("parameter-loop", message, at.start, at.start + len(name))
        self._open.append(entry)
        try:
            arguments = dict(zip(function.arguments, values, strict=True))
            return self._evaluate(parse(strip_braces(function.body)), scope, arguments)
        finally:
            self._open.pop()

    def _function(self, low: str, definition: int) -> Function | None:
        while definition >= 0:
            found = self._names[definition].functions.get(low)
            if found is not None:
                return found
            definition = self._names[definition].outer
        return None

    def _where(self, low: str, scope: Scope) -> tuple[Token, Scope] | None:
        """The token that sets a parameter seen from a scope, and the scope that token is read in."""
        while True:
            if scope.outer is not None and scope.source >= 0:
                pair = self._pairs(scope).get(low)
                if pair is not None:
                    lines = self._sources[scope.source]
                    return lines.token(pair.values[0].start, pair.values[-1].end), scope.outer
            own: Parameter | None = self._names[scope.definition].parameters.get(low)
            if own is not None:
                return own.token, scope
            if scope.definition == TOP:
                return None
            scope = self.enclosing(scope)

    def enclosing(self, scope: Scope) -> Scope:
        """The scope of the definition in which this scope's definition stands."""
        wanted = self._names[scope.definition].outer
        around = scope.outer
        while around is not None and around.definition != wanted:
            around = around.outer
        if around is not None:
            return around
        return TOP_SCOPE if wanted == TOP else Scope(wanted, (-1, wanted), "")

    def _find(self, low: str, scope: Scope) -> Worth | None:
        """The value of a parameter seen from a scope, worked out once."""
        entry = (scope.key, scope.definition, low)
        known = self._known.get(entry)
        if known is not None:
            return known
        where = self._where(low, scope)
        if where is None:
            return None
        if entry in self._open or len(self._open) >= REFERENCE_LIMIT:
            names = " -> ".join(name for _, _, name in self._open[-4:])
            message = (
                f"parameter '{low}' hangs on itself or on too many others ({names} -> {low}); break the chain"
            )
            raise ExpressionError("parameter-loop", message)
        self._open.append(entry)
        try:
            found = self.worth(*where)
        finally:
            self._open.pop()
        self._known[entry] = found
        return found

    def _pairs(self, scope: Scope) -> dict[str, Pair]:
        """The pairs on the line that places a scope, by lower-case name."""
        at = (scope.source, scope.offset)
        found = self._overrides.get(at)
        if found is None:
            lines = self._sources[scope.source]
            statement = read_statement(lines.text, scope.offset, lines.logical_end(scope.offset))
            found = {pair.name.text.lower(): pair for pair in statement.pairs}
            self._overrides[at] = found
        return found


def strip_braces(text: str) -> str:
    """An expression without its braces, quotes or outer brackets."""
    body = text.strip()
    while len(body) > 1 and body[0] + body[-1] in ("{}", "''", '""'):
        body = body[1:-1].strip()
    if "\n" in body or "\r" in body:
        body = " ".join(w.text for w in split_words(body, 0, len(body)))
    return body
