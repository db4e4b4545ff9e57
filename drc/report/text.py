"""Text for a terminal as pieces with a meaning; what a colour is, only terminal.py knows."""

import re
from typing import Literal, NamedTuple

from drc.facts.model import Cases, Fact, Unknown
from drc.quantity.span import Span
from drc.quantity.text import format_span

Meaning = Literal["plain", "heading", "error", "warning", "note", "good", "quiet", "name"]


class Piece(NamedTuple):
    """A run of text and what it means."""

    text: str
    meaning: Meaning = "plain"


Row = tuple[Piece, ...]
"""One line of output, without its line end."""

MIN_WIDTH, MAX_WIDTH = 80, 200


def row(*pieces: str | Piece) -> Row:
    """A line from texts (plain) and pieces."""
    return tuple(Piece(piece) if isinstance(piece, str) else piece for piece in pieces)


def plain(line: Row) -> str:
    """The text of a line alone."""
    return "".join(piece.text for piece in line).rstrip()


def harmless(text: str) -> str:
    """Text with everything that could move a cursor, ring, colour or turn the writing round spelt out.

    What is not printable (control characters, escapes, direction marks, lone surrogates) becomes an escape
    as in `\\x1b`; ordinary letters of any language stay.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        char if char.isprintable() else char.encode("unicode_escape", "surrogatepass").decode()
        for char in text
    )


_TOGETHER = re.compile(
    r"(?<=\d) (?=[fpnumkMGT]?(?:V|A|s|Hz|ohm|F|H|W|degC|steps?|points?|min|h|ppm|%)(?![\w]))"
    r"|(?<=\(line) (?=\d)|(?<=\(nominal) (?=[-\d])|(?<=\d) (?=\d{3}(?!\d))|(?<=\S) (?== )|(?<= =) "
)
_TAIL = 12
"""The most characters of a cut word that are given up for a cut between words."""

_BOUND = "\N{NO-BREAK SPACE}"


def wrapped(text: str, width: int) -> list[str]:
    """`text` broken at blanks into lines of at most `width`; a longer word stands alone on its line.

    A number and its unit stay together, a line's number and its word, and a name and its sign of equality.
    """
    lines: list[str] = []
    line = ""
    for bound in _TOGETHER.sub(_BOUND, " ".join(text.split())).split(" "):
        word = bound.replace(_BOUND, " ")
        if line and len(line) + 1 + len(word) > width:
            lines.append(line)
            line = word
        else:
            line = f"{line} {word}" if line else word
    return [*lines, line] if line else lines


def shortened(text: str, width: int) -> str:
    """`text` cut to `width`, with dots in place of what was cut: between words where that costs little."""
    if len(text) <= width:
        return text
    room = max(width - 3, 0)
    head, _, tail = text[: room + 1].rpartition(" ")
    return (head if head and len(tail) <= _TAIL else text[:room]).rstrip(" ,;(=") + "..."


def value_text(fact: Fact) -> str:
    """A fact's value as one line: a span, a name, yes or no, labelled cases, or why it is unknown."""
    value = fact.value
    if isinstance(value, Span):
        return format_span(value)
    if isinstance(value, Unknown):
        return f"unknown: {value.because}"
    if isinstance(value, Cases):
        return ", ".join(f"{case.label}: {format_span(case.value)}" for case in value.cases)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value


def counted(number: int, one: str, many: str | None = None) -> str:
    """`1 block`, `2 blocks`."""
    return f"{number} {one if number == 1 else many or one + 's'}"
