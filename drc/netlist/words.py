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
WORD = r"""(?:[^\s=(){}'",\\]+|\\(?!\\?[ \t]*[\r\n]))+"""
BRACKETED = r"""(?<![^\s+])(?=[^\s(]*[A-Za-z])[^\s=(){}'",\\]+-\([^\s=(){}'",\\]+\)(?!\S)"""
"""A net's name with brackets, as schematic editors make up: `Net-(R1-Pad1)`; never a line's first word."""

BLANKS = r"(?:[^\S\r\n]|[\x00-\x08\x0e-\x1b\ufeff])+"
PARTING = r""",(?=\s*[^\s=(){}'",]+\s*=)"""

_SKIP = rf"(?P<skip>(?:{JOIN}|{BLANKS}|{COMMENT}|{ATTRIBUTE}|{PARTING})+)|(?P<e>{EXPRESSION})|(?P<q>{QUOTED})"
_TOKEN = re.compile(rf"{_SKIP}|(?P<w>{BRACKETED}|{WORD})|(?P<p>[=(),])|(?P<x>.)", re.DOTALL)
_HEAD = re.compile(rf"(?:{JOIN}|{BLANKS}|{COMMENT}|{ATTRIBUTE}|{PARTING})*+(?P<w>{WORD})", re.DOTALL)
"""What comes before the first word is passed once and never tried again: a line of blanks alone has none."""

_TWO, _THREE, _MANY, _LAWS = frozenset("RCLVID"), frozenset("QM"), frozenset("XU"), frozenset("BEFGH")


class Word(NamedTuple):
    """A terminal: `kind` is `w` a word, `e` an expression with its braces or quotes, `q` a quoted text,
    `p` one of `= ( ) ,`, `x` a character that fits nowhere. `start` and `end` are offsets in the file."""

    text: str
    start: int
    end: int
    kind: str = "w"


def split_words(text: str, start: int, end: int) -> list[Word]:
    """The words of a logical line that runs from `start` to `end` of the file's text."""
    head = _HEAD.match(text, start, end)
    words = [] if head is None else [Word(head["w"], head.start("w"), head.end())]
    for match in _TOKEN.finditer(text, start if head is None else head.end(), end):
        kind = match.lastgroup or "x"
        if kind != "skip":
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
    """A line that does not read: what is wrong, and the word at fault."""

    def __init__(self, message: str, word: Word) -> None:
        super().__init__(message)
        self.message, self.word = message, word


class UnsureError(Exception):
    """A line that is not plainly in order: the grammar has to say what it is."""


def element_letter(name: str) -> str:
    """The letter that says what an element is; one beyond ASCII says nothing, whatever its capital is."""
    letter = name[0]
    return letter.upper() if letter.isascii() else letter


def take_apart(words: Sequence[Word]) -> Statement:
    """Words and pairs of a line that is plainly in order. Raises UnsureError for any other."""
    if element_letter(words[0].text) in _LAWS and words[0].kind == "w":
        return _law(words)
    positional: list[Word] = []
    pairs: list[Pair] = []
    marker: int | None = None
    late = False
    i, n = 1, len(words)
    while i < n:
        word = words[i]
        follows = i + 1 < n and words[i + 1].text == "=" and words[i + 1].kind == "p"
        is_marker = word.kind == "w" and word.text.lower() == "params:"
        if word.kind == "x" or (word.kind == "p" and word.text == "="):
            raise UnsureError
        if follows:
            if word.kind not in "wq" or is_marker:
                raise UnsureError
            values, i = _pair_values(words, i + 2)
            pairs.append(Pair(word, values))
            continue
        if is_marker:
            late = late or marker is not None or bool(pairs)
            marker = len(positional)
        else:
            late = late or bool(pairs) or marker is not None
            positional.append(word)
        i += 1
    _check_order(words[0], positional, pairs, late)
    return Statement(words[0], tuple(positional), tuple(pairs), marker)


def _law(words: Sequence[Word]) -> Statement:
    """A line of a source that may be a law: its words as they stand, `=` among them."""
    rest = [word for word in words[1:] if not (word.kind == "w" and word.text.lower() == "params:")]
    if any(word.kind == "x" for word in rest):
        raise UnsureError
    marker = None if len(rest) == len(words) - 1 else 0
    return Statement(words[0], tuple(rest), (), marker)


def _check_order(head: Word, positional: list[Word], pairs: list[Pair], late: bool) -> None:
    """Holds a line to the order of its kind: nodes first, and for X, U and `.subckt` pairs last."""
    letter = element_letter(head.text)
    if head.kind != "w" or not ("A" <= letter <= "Z" or letter == "."):
        raise UnsureError
    if letter in _MANY or head.text.lower() in (".subckt", ".macro"):
        if late or any(word.kind == "e" for word in positional):
            raise UnsureError
        return
    model = head.text.lower() == ".model"
    count = 3 if letter in _THREE else 2 if letter in _TWO or model else 0
    first = positional[:count]
    if len(first) < count or any(word.kind not in "wq" for word in first):
        raise UnsureError
    if count and pairs and first[-1].start > pairs[0].name.start:
        raise UnsureError
    if model and first[1].kind != "w":
        raise UnsureError


def _pair_values(words: Sequence[Word], i: int) -> tuple[tuple[Word, ...], int]:
    """The value after `=`: a word or expression, a bracketed run, or several parted by commas."""
    values: list[Word] = []
    while True:
        if i >= len(words) or words[i].kind == "x" or words[i].text.lower() == "params:":
            raise UnsureError
        if words[i].kind == "p":
            i = _bracketed(words, i, values)
        else:
            values.append(words[i])
            i += 1
        if i < len(words) and words[i].text == "," and words[i].kind == "p":
            i += 1
            continue
        return tuple(values), i


def _bracketed(words: Sequence[Word], i: int, values: list[Word]) -> int:
    """Takes a bracketed run into `values`, brackets included; gives the position after it."""
    depth = 0
    if words[i].text != "(":
        raise UnsureError
    while i < len(words):
        word = words[i]
        if word.kind == "x" or word.text.lower() == "params:":
            raise UnsureError
        values.append(word)
        if word.kind == "p":
            depth += (word.text == "(") - (word.text == ")")
        i += 1
        if depth == 0:
            return i
    raise UnsureError
