"""Rule text to a plain JSON tree, through grammars/rule.lark; what cannot be read is an InputError.

Only the form counts here: names, kinds and units are checked afterwards.
"""

from functools import cache
from typing import TYPE_CHECKING

from drc.intent.wording import did_you_mean, refusal
from drc.judge.rule import wrong
from drc.judge.tree import Reader, RuleTree
from drc.resources import grammar_text
from drc.trouble import InputError, Trouble

if TYPE_CHECKING:
    from lark import Lark
    from lark.exceptions import UnexpectedInput

_WORDS = {
    "NAME": "a name", "STRING": 'a text in "quotes"', "QUANTITY": "a quantity", "COMPARE": "a comparison",
    "LEVEL": "error, warning or note", "BOARD_LINE": "| and a board line", "EQUAL": "=", "LPAR": "(",
    "RPAR": ")", "COMMA": "a comma", "PLUS": "+", "MINUS": "-", "STAR": "*", "SLASH": "/", "$END": "the end",
    "SET_LEVEL": '"level"', "_RANGE": "..", "_PLUS_MINUS": "+/-",
}  # fmt: skip
_VALUES = {"NAME", "STRING", "QUANTITY", "FUNCTION", "LPAR", "MINUS", "KNOWN", "STATED"}
_GLUE = {
    "PLUS", "MINUS", "STAR", "SLASH", "_RANGE", "_PLUS_MINUS", "COMPARE", "WITHIN", "IS", "AND", "OR",
}  # fmt: skip
_CLAUSES = {
    "TITLE", "FOR", "WHERE", "KNOB", "LET", "REQUIRE", "UNPROVEN", "SAY", "ADVICE", "REMEDY", "BECAUSE",
    "SOURCE", "BREAKS", "EDIT", "RULE", "REPLACE", "TURN", "OFF", "SET_LEVEL",
    "$END",
}  # fmt: skip


@cache
def _parser() -> "Lark":
    """The grammar's parser, built once."""
    from lark import Lark

    return Lark(grammar_text("rule"), parser="lalr", propagate_positions=True)


def parse_rules(text: str, path: str) -> list[RuleTree]:
    """Every rule and adjustment of a file, in order, as plain JSON. Raises InputError."""
    from lark.exceptions import UnexpectedInput

    try:
        tree = _parser().parse(text)
    except UnexpectedInput as error:
        raise InputError(_unreadable(error, text, path)) from None
    reader = Reader(text, path)
    return [reader.item(item) for item in tree.children]


def _unreadable(error: "UnexpectedInput", text: str, path: str) -> Trouble:
    """What the parser refused, with the words that would have gone on at that point."""
    from lark.exceptions import UnexpectedCharacters, UnexpectedToken

    lines = text.split("\n")
    if isinstance(error, UnexpectedToken) and error.token.type == "$END":
        line = len(text.rstrip().split("\n"))
        column = len(lines[line - 1].rstrip()) + 1
        return wrong(path, [line, column, 1], refusal("", _expected(error.expected)), text)
    at = [error.line, error.column, 1]
    if isinstance(error, UnexpectedToken):
        found, names = str(error.token), error.accepts or error.expected
        at[2] = len(found)
    else:
        assert isinstance(error, UnexpectedCharacters)
        found, names = _run(lines[error.line - 1][error.column - 1 :]), error.allowed
        if found.startswith('"'):
            return wrong(path, at, 'the text is not closed, expected " at its end on the same line', text)
    wanted = _expected(names)
    hint = did_you_mean(found, [_keyword(name).strip('"') for name in names])
    return wrong(path, at, refusal(found, wanted, hint), text)


def _run(rest: str) -> str:
    """The characters up to the next blank; a first one that cannot be seen by its number."""
    if not rest[0].isprintable():
        return f"U+{ord(rest[0]):04X}"
    run, *_ = rest.split()
    return run


def _keyword(name: str) -> str:
    """The keyword behind a terminal's name."""
    return _WORDS.get(name, f'"{name.lower().replace("_", "-")}"')


def _expected(names: set[str]) -> list[str]:
    """Terminals in a reader's words: keywords first, operators summed up when there are many."""
    left = set(names)
    words = []
    if left >= _VALUES:
        words.append("a fact, a quantity or an expression")
        left -= {*_VALUES, "NOT"}
    if "TITLE" in left:
        words.append("the next clause")
        left -= {*_CLAUSES, "STRING"}
    if "PLUS" in left:
        left -= _GLUE
        words.append("an operator")
    return sorted(_keyword(name) for name in left) + words
