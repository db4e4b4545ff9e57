"""A logical line as words, each with its place: what the grammar's terminals are, matched by hand.

grammars/netlist.lark is the authority; tests/netlist/test_agreement.py holds the two together.
"""

import re
from collections.abc import Sequence
from typing import NamedTuple

BREAK = r"(?:\r\n|\n|\r)"
JOIN = (
    rf"(?:\\\\?[ \t]*{BREAK}[ \t]*\+?"
    rf"|{BREAK}(?:[ \t\f]*(?:(?:\*|;|//|\$[ \t])[^\r\n]*)?{BREAK})*[ \t\f]*\+)"
)
"""What joins a line to its continuation: a `+` after comment and blank lines, or a backslash at the end."""

COMMENT = r"(?<![^\s+])(?:;[^\r\n]*|\$(?=[ \t\r\n]|\Z)[^\r\n]*|//[^\r\n]*)"
ATTRIBUTE = r"(?<!\S)\$\[[^\]\r\n]*\]"
EXPRESSION = r"\{(?:[^{}]|\{(?:[^{}]|\{[^{}]*\})*\})*\}|'[^']*'"
QUOTED = r'"[^"\r\n]*"'
WORD = r"""[^\s=(){}'",][^\s=(){}'",]*"""

_TOKEN = re.compile(
    rf"(?P<skip>(?:{JOIN}|[ \t\f\v\x00\x1a\x1c-\x1f\x85\xa0\u2000-\u200a\u3000\ufeff]+|{COMMENT}|{ATTRIBUTE})+)"
    rf"|(?P<e>{EXPRESSION})|(?P<q>{QUOTED})|(?P<w>{WORD})|(?P<p>[=(),])|(?P<x>.)",
    re.DOTALL,
)


class Word(NamedTuple):
    """A terminal: `kind` is `w` a word, `e` an expression with its braces or quotes, `q` a quoted text,
    `p` one of `= ( ) ,`, `x` a character that fits nowhere. `start` and `end` are offsets in the file."""

    text: str
    start: int
    end: int
    kind: str = "w"


def split_words(text: str, start: int, end: int) -> list[Word]:
    """The words of a logical line that runs from `start` to `end` of the file's text."""
    words: list[Word] = []
    for match in _TOKEN.finditer(text, start, end):
        kind = match.lastgroup or "x"
        if kind != "skip" and not (kind == "x" and match.group().isspace()):
            words.append(Word(match.group(), match.start(), match.end(), kind))
    return words


class Pair(NamedTuple):
    """`name=value` on a line; a value of several words (`TC=0,0`) keeps them all."""

    name: Word
    values: tuple[Word, ...]


class Statement(NamedTuple):
    """A line taken apart: its first word, the words by position, and the pairs.

    Brackets and commas stay among the words; `marker` is how many words stood before `params:`.
    """

    head: Word
    words: tuple[Word, ...]
    pairs: tuple[Pair, ...]
    marker: int | None = None


class LineError(Exception):
    """A line that does not read: what was met where, and the case it belongs to in the table of messages."""

    def __init__(self, message: str, word: Word) -> None:
        super().__init__(message)
        self.message, self.word = message, word


def take_apart(words: Sequence[Word]) -> Statement:
    """Words and pairs of a line.

    Raises LineError where a bracket, brace or quote is left open or a pair lacks its name or value.
    """
    positional: list[Word] = []
    pairs: list[Pair] = []
    marker: int | None = None
    i, n = 1, len(words)
    while i < n:
        word = words[i]
        if word.kind == "x":
            raise LineError(f"'{word.text}' has no partner on this line; close it, or take it out", word)
        if i + 1 < n and words[i + 1].text == "=" and words[i + 1].kind == "p" and word.kind in "wq":
            values, i = _pair_values(words, i + 2, words[i + 1])
            pairs.append(Pair(word, values))
            continue
        if word.text == "=" and word.kind == "p":
            raise LineError("'=' without a name before it; write name=value", word)
        if word.kind == "w" and word.text.lower() == "params:":
            marker = len(positional)
        else:
            positional.append(word)
        i += 1
    return Statement(words[0], tuple(positional), tuple(pairs), marker)


def _pair_values(words: Sequence[Word], i: int, equals: Word) -> tuple[tuple[Word, ...], int]:
    """The value after `=`: a word or expression, a bracketed run, or several parted by commas."""
    values: list[Word] = []
    while True:
        if i >= len(words) or (words[i].kind == "p" and words[i].text != "("):
            raise LineError("'=' without a value after it; write name=value", equals)
        if words[i].text == "(" and words[i].kind == "p":
            i = _bracketed(words, i, values)
        else:
            if words[i].kind == "x":
                message = f"'{words[i].text}' has no partner on this line; close it, or take it out"
                raise LineError(message, words[i])
            values.append(words[i])
            i += 1
        if i < len(words) and words[i].text == "," and words[i].kind == "p":
            i += 1
            continue
        return tuple(values), i


def _bracketed(words: Sequence[Word], i: int, values: list[Word]) -> int:
    """Takes a bracketed run into `values`, brackets included; gives the position after it."""
    depth, opening = 0, words[i]
    while i < len(words):
        word = words[i]
        values.append(word)
        if word.kind == "p":
            depth += (word.text == "(") - (word.text == ")")
        i += 1
        if depth == 0:
            return i
    raise LineError("'(' without its ')'; close the bracket", opening)
