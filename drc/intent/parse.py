"""The grammar's lane: any statement to its form through grammars/intent.lark, or what is wrong with it."""

from functools import cache
from typing import TYPE_CHECKING

from drc.intent.form import Form, Piece, StatementError
from drc.intent.wording import refusal
from drc.resources import grammar_text

if TYPE_CHECKING:
    from lark import Lark, Token, Tree
    from lark.exceptions import UnexpectedInput

_WORDS = {
    "NAME": "a name", "STRING": 'a text in "quotes"', "QUANTITY": "a quantity", "RANGE": "..",
    "PLUS_MINUS": "+/-", "LIMIT": "at least, at most", "STATE": "normal, inverted, low, high, open",
    "METHOD": "extreme, rss, monte-carlo", "SIGNAL_ITEM": "period, high, low, bounce",
    "ASSUME_ITEM": "tolerance, tempco, value", "ANSWER": "yes, no", "DATE": "a date such as 2027-03-31",
    "QUANTITY_NAME": "frequency, period, pulse-width, delay, delay-rising, delay-falling, duty, prescale, "
    "code, polarity, rest", "EQUAL": "=", "COMMA": "a comma", "LPAR": "(nominal X)", "RPAR": ")",
    "$END": "the end of the statement",
}  # fmt: skip
_NAMES = {
    "block": "name", "net": "name", "joined": "name", "element": "name", "rule": "name", "subject": "subject",
    "condition": "when", "quantity": "quantity", "answer": "answer", "because": "because", "by": "by",
    "until": "until", "using": "method",
}  # fmt: skip
"""The parts that are one token, and their roles in a form."""


@cache
def _parser() -> "Lark":
    """The grammar's parser, built once."""
    from lark import Lark

    return Lark(grammar_text("intent"), parser="lalr", propagate_positions=True, maybe_placeholders=False)


def grammar_form(text: str) -> Form:
    """The form of a statement. Raises StatementError with what was found and expected."""
    from lark.exceptions import UnexpectedInput

    try:
        tree = _parser().parse(text)
    except UnexpectedInput as error:
        raise _error(error, text) from None
    pieces: list[tuple[str, Piece]] = []
    for part in _trees(tree):
        pieces += _pieces(part, text)
    _refuse_twice(tree)
    return Form(str(tree.data), tuple(pieces))


def _refuse_twice(tree: "Tree[Token]") -> None:
    """`using` and `when` may stand in any order, and once each. Raises StatementError."""
    seen: set[str] = set()
    for part in _trees(tree):
        role = str(part.data)
        if role in ("using", "when") and role in seen:
            length = part.meta.end_pos - part.meta.start_pos
            raise StatementError(part.meta.start_pos, length, f'found a second "{role}", expected one')
        seen.add(role)


def _trees(tree: "Tree[Token]") -> "list[Tree[Token]]":
    """The children that are trees."""
    return [part for part in tree.children if not isinstance(part, str)]


def _pieces(part: "Tree[Token]", text: str) -> list[tuple[str, Piece]]:
    """The pieces of one part of a statement, with their roles."""
    role = str(part.data)
    if role in _NAMES:
        return [(_NAMES[role], _of_token(part))]
    inner = _trees(part)
    if role == "when":
        return [("when", _of_token(inner[0])), ("level", _of_part(inner[1], text))]
    if role in ("signal_item", "assume_item"):
        named = str(part.children[0]).lower() if len(part.children) == 2 else "voltage"
        return [(named, _of_part(inner[0], text))]
    return [(role, _of_part(part, text))]


def _of_token(part: "Tree[Token]") -> Piece:
    """The one token of a part as a piece, quotes taken off."""
    token = part.children[0]
    text, start = str(token), getattr(token, "start_pos", None) or 0
    if text.startswith('"'):
        return Piece(start, text[1:-1], True)
    return Piece(start, text)


def _of_part(part: "Tree[Token]", text: str) -> Piece:
    """The text that a span or a state covers."""
    return Piece(part.meta.start_pos, text[part.meta.start_pos : part.meta.end_pos])


def _error(error: "UnexpectedInput", text: str) -> StatementError:
    """What the parser refused: found, expected, did you mean."""
    from lark.exceptions import UnexpectedCharacters, UnexpectedToken

    if isinstance(error, UnexpectedToken):
        names = set(error.accepts or error.expected)
        if error.token.type == "$END":
            return StatementError(len(text.rstrip()), 1, refusal("", _expected(names)))
        start = error.token.start_pos or 0
    else:
        assert isinstance(error, UnexpectedCharacters)
        names = set(error.allowed or ())
        start = error.pos_in_stream
    run = text[start:].split()
    found = run[0] if run else ""
    return StatementError(start, len(found), refusal(found, _expected(names)))


def _expected(names: set[str]) -> list[str]:
    """Terminals in a reader's words."""
    return [word for name in sorted(names) for word in _WORDS.get(name, f'"{name.lower()}"').split(", ")]
