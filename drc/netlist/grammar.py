"""The grammar's lane: any logical line through grammars/netlist.lark, or what is wrong with it."""

from functools import cache
from typing import TYPE_CHECKING, cast

from drc.netlist.expression import Node
from drc.netlist.mistakes import MISTAKES, message_of
from drc.netlist.words import LineError, Pair, Statement, Word
from drc.quantity.notation import scaled_number
from drc.resources import JSON, compiled, grammar_text

if TYPE_CHECKING:
    from lark import Lark, Token, Tree
    from lark.exceptions import UnexpectedInput

_KINDS = {"EXPRESSION": "e", "QUOTED": "q", "LPAR": "p", "RPAR": "p", "COMMA": "p", "EQUAL": "p"}


@cache
def parser(name: str) -> "Lark":
    """The parser of one of the grammars; its tables are kept as JSON."""
    from lark import Lark

    text = grammar_text(name)
    tables = cast("dict[str, dict[str, JSON]]", compiled(f"grammar-{name}", text, lambda: _tables(text)))
    return Lark.load({"data": _with_numbers(tables["data"]), "memo": _by_number(tables["memo"])})


def _tables(text: str) -> JSON:
    """The parse tables of a grammar, by lark's own serialisation."""
    from lark import Lark
    from lark.grammar import Rule
    from lark.lexer import TerminalDef

    made = Lark(text, parser="lalr", maybe_placeholders=False, keep_all_tokens=True)
    data, memo = made.memo_serialize([TerminalDef, Rule])
    return {"data": data, "memo": memo}


def _by_number(table: "dict[str, JSON]") -> "dict[int, JSON]":
    """A table whose keys JSON turned from numbers into text."""
    return {int(key): value for key, value in table.items()}


def _with_numbers(data: "dict[str, JSON]") -> "dict[str, object]":
    """The serialised parser with the numbers of its tables restored."""
    frontend = cast("dict[str, JSON]", data["parser"])
    table = cast("dict[str, dict[str, JSON]]", frontend["parser"])
    states = {int(k): _by_number(cast("dict[str, JSON]", v)) for k, v in table["states"].items()}
    tables: dict[str, object] = {**table, "tokens": _by_number(table["tokens"]), "states": states}
    return {**data, "parser": {**frontend, "parser": tables}}


def grammar_statement(text: str, start: int, end: int) -> Statement:
    """The statement of the logical line that runs from `start` to `end`.

    Raises LineError with what was found and what is to be done.
    """
    from lark.exceptions import UnexpectedInput

    line = text[start:end]
    try:
        tree = parser("netlist").parse(line)
    except UnexpectedInput as error:
        raise _explained(error, line, start) from None
    words: list[Word] = []
    pairs: list[Pair] = []
    marker: int | None = None
    for token in _leaves(tree):
        if isinstance(token, Pair):
            pairs.append(_moved(token, start))
        elif token.kind == "m":
            marker = len(words) - 1
        else:
            words.append(Word(token.text, token.start + start, token.end + start, token.kind))
    if marker is not None and tree.data == "behaved":
        marker = 0
    return Statement(words[0], tuple(words[1:]), tuple(pairs), marker)


def _moved(pair: Pair, by: int) -> Pair:
    """A pair with its words' places counted from the file's start."""
    name, *values = (Word(w.text, w.start + by, w.end + by, w.kind) for w in (pair.name, *pair.values))
    return Pair(name, tuple(values))


def _leaves(tree: "Tree[Token]") -> list[Word | Pair]:
    """The words and pairs of a tree, in order."""
    found: list[Word | Pair] = []
    for child in tree.children:
        if isinstance(child, str):
            found.append(_word(child))
        elif child.data == "pair":
            name, _, *values = (word for word in _leaves_of_pair(child))
            found.append(Pair(name, tuple(values)))
        else:
            found += _leaves(child)
    return found


def _leaves_of_pair(tree: "Tree[Token]") -> list[Word]:
    """The words of a pair: its name, `=`, and the values without the commas that part them."""
    words: list[Word] = []
    for child in tree.children:
        if isinstance(child, str):
            words.append(_word(child))
            continue
        for part in child.children:
            if isinstance(part, str):
                word = _word(part)
                words += [word] if word.text != "," or word.kind != "p" else []
            else:
                words += [leaf for leaf in _leaves(part) if isinstance(leaf, Word)]
    return words


def _word(token: "Token") -> Word:
    """A token as a word; `m` is the marker before parameters."""
    start = token.start_pos or 0
    kind = "m" if token.type == "PARAMS" else _KINDS.get(token.type, "w")
    return Word(str(token), start, start + len(token), kind)


def _explained(error: "UnexpectedInput", line: str, start: int) -> LineError:
    """What is wrong with a line, by the table of mistakes."""
    at = min(error.pos_in_stream or 0, len(line))
    if _token_type(error) == "$END":
        at = len(line.rstrip())
    head = line.split(None, 1)[0] if line.split() else ""
    found = _found(error, line, at)
    index = _mistake(error, head, found)
    if index is None:
        message = f"found '{found}' where it can't stand; see the forms of a '{head}' line"
    else:
        message = message_of(index, found or line.rsplit(maxsplit=1)[-1], head)
    low = start + min(at, max(len(line.rstrip()) - 1, 0))
    return LineError(message, Word(found or " ", low, low + max(len(found), 1)))


def _found(error: "UnexpectedInput", line: str, at: int) -> str:
    """The offending word as written; empty at the line's end."""
    token = getattr(error, "token", None)
    if token is not None and token.type != "$END":
        return str(token)
    return line[at : at + 1].strip()


def _token_type(error: "UnexpectedInput") -> str:
    """The kind of the offending terminal; the letter itself where it begins none."""
    token = getattr(error, "token", None)
    return token.type if token is not None else str(getattr(error, "char", ""))


def _state(error: "UnexpectedInput") -> int:
    """The parser's state when it met the offending terminal."""
    return int(getattr(error.state, "position", -1))


@cache
def _known() -> dict[tuple[int, str], int]:
    """The message of each (state, offending terminal) that an example of the table leads to."""
    from lark.exceptions import UnexpectedInput

    known: dict[tuple[int, str], int] = {}
    for index, mistake in enumerate(MISTAKES):
        for example in mistake.examples:
            try:
                parser("netlist").parse(example)
            except UnexpectedInput as error:
                known.setdefault((_state(error), _token_type(error)), index)
    return known


def _mistake(error: "UnexpectedInput", head: str, found: str) -> int | None:
    """The place of a line's mistake in the table, None where no example is like it."""
    if head.startswith("+"):
        return 1
    if found and found in "{}'\"":
        return 5
    return _known().get((_state(error), _token_type(error)))


def grammar_expression(text: str) -> Node | None:
    """The tree of an expression by grammars/expression.lark, None where it does not read."""
    from lark.exceptions import UnexpectedInput

    try:
        return _node(parser("expression").parse(text))
    except UnexpectedInput:
        return None


def _node(tree: "Tree[Token] | Token") -> Node:
    """A tree of the grammar as a Node; brackets leave no trace."""
    from lark import Tree

    if not isinstance(tree, Tree):
        raise TypeError(f"a terminal by itself: {tree!r}")
    silent = ("LPAR", "RPAR", "COMMA", "QMARK", "COLON")
    children = [c for c in tree.children if isinstance(c, Tree) or c.type not in silent]
    terminals = [c for c in children if not isinstance(c, Tree)]
    parts = tuple(_node(c) for c in children if isinstance(c, Tree))
    if tree.data == "choice":
        mark = next(c for c in tree.children if not isinstance(c, Tree))
        return Node("choice", "?", 0.0, parts, mark.start_pos or 0)
    if not terminals:
        return parts[0]
    first = terminals[0]
    value = (scaled_number(str(first)) or 0.0) if tree.data == "number" else 0.0
    return Node(str(tree.data), str(first), value, parts, first.start_pos or 0)
