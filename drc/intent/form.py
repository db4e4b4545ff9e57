"""A statement taken apart but not yet understood: its kind, and the pieces of its text by role.

Two lanes make forms: regular expressions for statements written the plain way, and grammars/intent.lark for
the rest and for what is wrong. The grammar is the authority; a test holds the two together.
"""

import re
from functools import cache
from typing import NamedTuple


class Piece(NamedTuple):
    """A run of a statement's text: where it starts (from 0), and what stands there; `quoted`: in quotes."""

    start: int
    text: str
    quoted: bool = False


class Form(NamedTuple):
    """A statement's kind and its pieces by role; a role that may repeat has several."""

    kind: str
    pieces: tuple[tuple[str, Piece], ...]

    def get(self, role: str) -> Piece | None:
        """The first piece with a role."""
        return next((piece for name, piece in self.pieces if name == role), None)

    def all(self, role: str) -> tuple[Piece, ...]:
        """Every piece with a role."""
        return tuple(piece for name, piece in self.pieces if name == role)


class StatementError(ValueError):
    """What is wrong with a statement: offset and length in its text, and a message of one line."""

    def __init__(self, start: int, length: int, message: str) -> None:
        super().__init__(message)
        self.start = start
        self.length = length
        self.message = message


_NAME = r'("[^"]+"|[^\s"=,#][^\s"=,]*)'
_REST = r'([^\s",=][^",=]*)'
_PLAIN: dict[str, tuple[str, tuple[str, ...]]] = {
    "expect": (
        rf"expect[ \t]+{_NAME}[ \t]+([a-z-]+)[ \t]+([^\s\",=](?:(?!using|when)[^\",=])*?)"
        r"(?:[ \t]+using[ \t]+(extreme|rss|monte-carlo))?"
        rf"(?:[ \t]+when[ \t]+{_NAME}[ \t]*=[ \t]*{_REST})?",
        ("name", "quantity", "wanted", "method", "when", "level"),
    ),
    "supply": (rf"supply[ \t]+{_NAME}[ \t]+{_REST}", ("name", "span")),
    "not": (rf"not[ \t]+supply[ \t]+{_NAME}", ("name",)),
    "ramp": (rf"ramp[ \t]+{_NAME}[ \t]+{_REST}", ("name", "span")),
    "load": (rf"load[ \t]+{_NAME}[ \t]+{_REST}", ("name", "span")),
    "same": (rf"same[ \t]+{_NAME}[ \t]+{_NAME}", ("name", "name")),
    "ambient": (rf"ambient[ \t]+{_REST}", ("span",)),
    "adjust": (rf"adjust[ \t]+{_NAME}[ \t]+{_REST}", ("name", "span")),
    "fit": (rf"fit[ \t]+{_NAME}[ \t]+(yes|no)", ("name", "answer")),
    "accept": (
        rf"accept[ \t]+{_NAME}[ \t]+at[ \t]+{_NAME}[ \t]+because[ \t]*(\"[^\"]+\")"
        r"(?:[ \t]*by[ \t]*(\"[^\"]+\"))?(?:[ \t]*until[ \t]+(\d+-\d+-\d+))?",
        ("name", "subject", "because", "by", "until"),
    ),
}
"""By keyword: the statement written the plain way, and the roles of its groups."""

_ITEM = {"signal": r"(?:(period|high|low|bounce)[ \t]+)?", "assume": r"(?:(tolerance|tempco|value)[ \t]+)"}
"""What may stand before a quantity between two commas."""


@cache
def _pattern(text: str) -> re.Pattern[str]:
    """A pattern, compiled when first needed: most intents use a few kinds of statements."""
    return re.compile(text)


def plain_form(text: str) -> Form | None:
    """The form of a statement written the plain way, None where the grammar must look."""
    start = len(text) - len(text.lstrip(" \t"))
    keyword = text[start:].split(None, 1)[0] if text.strip() else ""
    if keyword in _ITEM:
        return _with_items(keyword, text, start)
    if keyword not in _PLAIN:
        return None
    pattern, roles = _PLAIN[keyword]
    match = _pattern(pattern + r"[ \t]*$").match(text, start)
    if not match:
        return None
    pieces = [
        (role, _piece(match.start(number), match[number]))
        for number, role in enumerate(roles, 1)
        if match[number] is not None
    ]
    return Form("not_supply" if keyword == "not" else keyword, tuple(pieces))


def _with_items(kind: str, text: str, start: int) -> Form | None:
    """`signal` and `assume`: a name, then items between commas."""
    match = _pattern(rf"{kind}[ \t]+{_NAME}[ \t]+(.*)$").match(text, start)
    if not match:
        return None
    pieces = [("name", _piece(match.start(1), match[1]))]
    at = match.start(2)
    for part in match[2].split(","):
        item = _pattern(rf"[ \t]*{_ITEM[kind]}{_REST}$").match(part)
        if not item:
            return None
        pieces.append((item[1] or "voltage", _piece(at + item.start(2), item[2])))
        at += len(part) + 1
    return Form(kind, tuple(pieces))


def _piece(start: int, text: str) -> Piece:
    """A piece without its quotes and without blanks at its end."""
    if text.startswith('"'):
        return Piece(start, text[1:-1], True)
    return Piece(start, text.rstrip(" \t\r\f"))
