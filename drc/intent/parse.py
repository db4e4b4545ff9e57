"""The grammar's lane: any statement to its form through grammars/intent.lark, or what is wrong with it."""

from functools import cache
from typing import TYPE_CHECKING

from drc.intent.form import Form, Piece, StatementError
from drc.intent.wording import did_you_mean, refusal
from drc.resources import grammar_text

if TYPE_CHECKING:
    from lark import Lark, Token, Tree
    from lark.exceptions import UnexpectedInput

_WORDS = {
    "NAME": "a name", "STRING": 'a text in "quotes"', "QUANTITY": "a quantity", "RANGE": "..", "PLUS_MINUS": "+/-",
    "LIMIT": "at least, at most", "STATE": "normal, inverted, low, high, open", "METHOD": "extreme, rss, monte-carlo",
    "QUANTITY_NAME": "frequency, period, pulse-width, delay, delay-rising, delay-falling, duty, prescale, code, "
    "polarity, rest",
    "SIGNAL_ITEM": "period, high, low, bounce", "ASSUME_ITEM": "tolerance, tempco, value", "ANSWER": "yes, no",
    "DATE": "a date such as 2027-03-31", "EQUAL": "=", "COMMA": ",", "LPAR": "(nominal X)", "RPAR": ")",
    "$END": "the end of the statement",
}  # fmt: skip


@cache
def _parser() -> "Lark":
    """The grammar's parser, built once."""
    from lark import Lark  # noqa: PLC0415  (imported only where the plain lane gives up)

    return Lark(grammar_text("intent"), parser="lalr", propagate_positions=True, maybe_placeholders=False)


def grammar_form(text: str) -> Form:
    """The form of a statement. Raises StatementError with what was found and expected."""
    from lark.exceptions import UnexpectedInput  # noqa: PLC0415  (as above)

    try:
        tree = _parser().parse(text)
    except UnexpectedInput as error:
        raise _error(error, text) from None
    pieces: list[tuple[str, Piece]] = []
    for part in tree.children:
        pieces += _pieces(str(tree.data), part, text)
    if tree.data == "accept":
        names = [number for number, (role, _) in enumerate(pieces) if role == "name"]
        pieces[names[1]] = ("subject", pieces[names[1]][1])
    methods = [piece for role, piece in pieces if role in ("method", "when")]
    if len(methods) != len({role for role, _ in pieces if role in ("method", "when")}):
        last = methods[-1]
        raise StatementError(last.start, len(last.text), f'found "{last.text}", expected it once')
    return Form(str(tree.data), tuple(pieces))


def _pieces(kind: str, part: "Tree[Token]", text: str) -> list[tuple[str, Piece]]:
    """The pieces of one part of a statement, with their roles."""
    role = str(part.data)
    children = part.children
    if role in ("name", "quantity", "answer"):
        return [(role, _of_token(children[0]))]
    if role in ("because", "by", "until"):
        return [(role, _of_token(children[0]))]
    if role == "using":
        return [("method", _of_token(children[0]))]
    if role == "when":
        return [("when", _of_token(children[0].children[0])), ("level", _of_part(children[1], text))]
    if role in ("signal_item", "assume_item"):
        named = str(children[0]).lower() if len(children) == 2 else "voltage"
        return [(named, _of_part(children[-1], text))]
    return [(role, _of_part(part, text))]


def _of_token(token: "Token") -> Piece:
    """A token as a piece, quotes taken off."""
    start = token.start_pos or 0
    if token.type == "STRING":
        return Piece(start, str(token)[1:-1], True)
    return Piece(start, str(token))


def _of_part(part: "Tree[Token]", text: str) -> Piece:
    """The text that a span or a state covers."""
    return Piece(part.meta.start_pos, text[part.meta.start_pos : part.meta.end_pos])


def _error(error: "UnexpectedInput", text: str) -> StatementError:
    """What the parser refused: found, expected, did you mean."""
    from lark.exceptions import UnexpectedCharacters, UnexpectedToken  # noqa: PLC0415  (as above)

    if isinstance(error, UnexpectedToken):
        names = set(error.accepts or error.expected)
        if error.token.type == "$END":
            return StatementError(len(text.rstrip()), 1, refusal("", _expected(names), " ").rstrip())
        start = error.token.start_pos or 0
    else:
        assert isinstance(error, UnexpectedCharacters)
        names = set(error.allowed or ())
        start = error.pos_in_stream
    run = text[start:].split()
    found = run[0] if run else ""
    wanted = _expected(names)
    choices = [word for shown in wanted for word in shown.split(", ")]
    return StatementError(
        start, len(found), refusal(found, wanted, did_you_mean(found, choices) or " ").rstrip()
    )


def _expected(names: set[str]) -> list[str]:
    """Terminals in a reader's words."""
    return sorted(_WORDS.get(name, name.lower()) for name in names)
