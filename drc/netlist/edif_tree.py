"""The nested forms of an EDIF file, with the place of every word; read without recursion."""

import re
from bisect import bisect_right
from collections.abc import Iterator
from typing import NamedTuple

from drc.circuit.model import Token
from drc.netlist.source import Source
from drc.trouble import InputError, Place, Trouble

_TOKEN = re.compile(r'\s*(?:(\()|(\))|"([^"]*)"|([^\s()"]+))')
_ESCAPE = re.compile(r"%([\d\s]+)%")

DEPTH_LIMIT = 200
"""How deeply forms may nest: real files stay below forty."""


class Word(NamedTuple):
    """An atom or a string: its text with escapes resolved, and its characters in the file."""

    text: str
    token: Token
    quoted: bool


class Form:
    """`(head item ...)`: head in lower case, items words and forms; `at` is (line, column) of the head."""

    __slots__ = ("at", "head", "items")

    def __init__(self, head: str, at: tuple[int, int]) -> None:
        self.head, self.at = head, at
        self.items: list[Word | Form] = []

    def words(self) -> list[Word]:
        """The words directly inside."""
        return [item for item in self.items if isinstance(item, Word)]

    def forms(self) -> "list[Form]":
        """The forms directly inside."""
        return [item for item in self.items if isinstance(item, Form)]

    def children(self, *heads: str) -> "list[Form]":
        """The forms directly inside with one of these heads (lower case)."""
        return [item for item in self.items if isinstance(item, Form) and item.head in heads]

    def child(self, head: str) -> "Form | None":
        """The first form directly inside with that head."""
        return next((item for item in self.items if isinstance(item, Form) and item.head == head), None)

    def deep_words(self) -> Iterator[Word]:
        """Every word inside, at any depth (forms nest no deeper than DEPTH_LIMIT)."""
        for item in self.items:
            if isinstance(item, Word):
                yield item
            else:
                yield from item.deep_words()

    def name(self) -> tuple[str, str]:
        """(identifier, displayed name) of what the form names: a bare word, a rename, a name, an array."""
        for item in self.items:
            if isinstance(item, Word):
                plain = item.text.removeprefix("&")
                return plain, plain
            if item.head == "rename":
                identifier = item.name()[0]
                shown = next((w.text for w in item.deep_words() if w.quoted), identifier)
                return identifier, shown
            if item.head in ("name", "array", "member"):
                return item.name()
        return "", ""


class Tree(NamedTuple):
    """The outermost form, and what was wrong on the way."""

    form: Form
    troubles: tuple[Trouble, ...]


def read_tree(source: Source) -> Tree:
    """The forms of a file; a missing closing bracket at the end is a trouble, the rest is kept.

    Raises InputError where there is no form at all, or forms nest deeper than DEPTH_LIMIT.
    """
    starts = [m.end() for m in re.finditer(r"\r\n|\n|\r", source.text)]
    outer = Form("", (1, 1))
    open_forms = [outer]
    fresh = False
    for match in _TOKEN.finditer(source.text):
        kind, at = match.lastindex or 0, match.start(match.lastindex or 0)
        if kind == 1:
            if len(open_forms) > DEPTH_LIMIT:
                raise InputError(_trouble(source, starts, at, f"forms nest deeper than {DEPTH_LIMIT}"))
            form = Form("", _line_column(starts, at))
            open_forms[-1].items.append(form)
            open_forms.append(form)
            fresh = True
            continue
        if kind == 2 and len(open_forms) > 1:
            open_forms.pop()
        elif kind > 2 and fresh and kind == 4:
            open_forms[-1].head = match.group(4).lower()
            open_forms[-1].at = _line_column(starts, at)
        elif kind > 2:
            text = match.group(kind)
            token = Token(source.path, at, match.end(kind), text)
            open_forms[-1].items.append(Word(_unescape(text) if kind == 3 else text, token, kind == 3))
        fresh = False
    troubles: tuple[Trouble, ...] = ()
    if len(open_forms) > 1:
        message = f"'({open_forms[-1].head}' is not closed at the end of the file: is the file cut short?"
        line, column = open_forms[-1].at
        troubles = (Trouble("unclosed-form", "error", Place(source.path, line, column), message),)
    if not outer.forms():
        raise InputError(_trouble(source, starts, 0, "no form found: expected '(edif ...'"))
    return Tree(outer.forms()[0], troubles)


def _unescape(text: str) -> str:
    """`%65 66%` is a run of character numbers; line breaks within a string are not part of it."""

    def characters(match: "re.Match[str]") -> str:
        numbers = [int(n) for n in match.group(1).split()]
        return "".join(chr(n) for n in numbers if n < 0x110000 and not 0xD800 <= n < 0xE000)

    return _ESCAPE.sub(characters, re.sub(r"[\r\n]+", "", text))


def _line_column(starts: list[int], at: int) -> tuple[int, int]:
    """Line and column, from 1, of a character."""
    line = bisect_right(starts, at)
    return line + 1, at - (starts[line - 1] if line else 0) + 1


def _trouble(source: Source, starts: list[int], at: int, message: str) -> Trouble:
    """A refusal with its place."""
    line, column = _line_column(starts, at)
    return Trouble("wrong-format", "error", Place(source.path, line, column), message)
