"""A file's physical lines as columns, and the logical lines that run over them."""

import re
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.circuit.model import Token
from drc.netlist.source import Source
from drc.quantity.notation import scaled_number
from drc.trouble import Place

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from drc.circuit.columns import Ints

    Letters = NDArray[np.uint8]

BLANK, REMARK, MORE, HEAD = 0, 1, 2, 3
"""What a physical line is: blank, a comment, a continuation, the start of a logical line."""

_INDENT_LIMIT = 40
_BACKSLASH = re.compile(r"\\[ \t]*(?:\r\n|\n|\r)")


class Logical(NamedTuple):
    """Logical lines of a file: offsets of their first and past their last character, shapes (logical,);
    `single` (logical,) whether it is one physical line, `remarks` the offsets of comment lines that begin
    `*@`, `strays` the offsets of continuation lines with nothing before them."""

    starts: "Ints"
    ends: "Ints"
    single: "Ints"
    remarks: "Ints"
    strays: "Ints"


class SourceLines:
    """The text of one file with its line starts, found once."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.text = source.text
        self.letters: Letters = np.frombuffer(source.text.encode("ascii", "replace"), np.uint8)
        self.starts = _line_starts(self.letters)
        self._excerpt = (-1, "")
        self._joined_starts: Ints = np.zeros(0, np.int64)
        self._joined_ends: Ints = self._joined_starts

    @cached_property
    def ends(self) -> "Ints":
        """Past the last character of each physical line, its line break left out, shape (lines,)."""
        ends = np.append(self.starts[1:], self.letters.size)
        for code in (10, 13):
            held = ends > self.starts
            held[held] = self.letters[ends[held] - 1] == code
            ends = ends - held
        return ends

    def place(self, start: int, end: int) -> Place:
        """The place of a run of characters."""
        line = int(np.searchsorted(self.starts, start, side="right"))
        column = start - int(self.starts[line - 1]) + 1
        return Place(self.source.path, line, column, max(end - start, 1))

    def token(self, start: int, end: int) -> Token:
        """The token of a run of characters, as an edit names it."""
        return Token(self.source.path, start, end, self.text[start:end])

    def excerpt(self, start: int) -> str:
        """The physical line on which a character stands, as written."""
        line = int(np.searchsorted(self.starts, start, side="right")) - 1
        if line != self._excerpt[0]:  # one long line may have very many troubles
            self._excerpt = line, self.text[int(self.starts[line]) : int(self.ends[line])]
        return self._excerpt[1]

    def logical_end(self, start: int) -> int:
        """Past the last character of the logical line in which an element's name starts."""
        at = int(np.searchsorted(self._joined_starts, start, side="right")) - 1
        if at >= 0 and start < self._joined_ends[at]:
            return int(self._joined_ends[at])
        return self.line_end(start)

    def line_end(self, start: int) -> int:
        """Past the last character of the physical line on which a character stands."""
        return int(self.ends[np.searchsorted(self.starts, start, side="right") - 1])

    def firsts(self) -> "Ints":
        """Offset of the first character of each line that is no blank (the line's end if there is none)."""
        at, ends = self.starts.copy(), self.ends
        open_lines = np.flatnonzero(at < ends)
        for _ in range(_INDENT_LIMIT):
            codes = self.letters[at[open_lines]]
            open_lines = open_lines[(codes == 32) | (codes == 9) | (codes == 12)]
            if not open_lines.size:
                return at
            at[open_lines] += 1
            open_lines = open_lines[at[open_lines] < ends[open_lines]]
        for line in open_lines.tolist():
            body = self.text[int(at[line]) : int(ends[line])]
            at[line] += len(body) - len(body.lstrip(" \t\f"))
        return at

    def logical(self, title: bool) -> Logical:
        """The logical lines; with `title` the first physical line is none of them."""
        firsts = self.firsts()
        kinds = self._kinds(firsts)
        if title and kinds.size:
            kinds[0] = REMARK
        heads = np.flatnonzero(kinds == HEAD)
        standing = np.flatnonzero(kinds >= MORE)
        position = np.searchsorted(standing, heads)
        following = np.append(position[1:], standing.size)
        last = standing[following - 1] if heads.size else heads
        strays = firsts[standing[: position[0] if heads.size else standing.size]]
        stars = np.flatnonzero((kinds == REMARK) & (self.ends - firsts >= 2))
        stars = stars[self.letters[firsts[stars]] == 42]
        marked = firsts[stars[self.letters[firsts[stars] + 1] == 64]]
        single = last == heads
        self._joined_starts, self._joined_ends = firsts[heads[~single]], self.ends[last[~single]]
        return Logical(firsts[heads], self.ends[last], single, marked, strays)

    def _kinds(self, firsts: "Ints") -> "Ints":
        """What each physical line is, shape (lines,)."""
        ends, letters = self.ends, np.append(self.letters, np.zeros(2, np.uint8))
        code, after = letters[firsts], letters[firsts + 1]
        kinds = np.full(firsts.size, HEAD, np.int8)
        kinds[(code == 42) | (code == 59)] = REMARK
        kinds[(code == 47) & (after == 47)] = REMARK
        kinds[(code == 36) & np.isin(after, (9, 10, 13, 32))] = REMARK
        kinds[(firsts >= ends) | (code == 26)] = BLANK
        kinds[code == 43] = MORE
        kinds[firsts >= ends] = BLANK
        self._mark_backslashes(kinds)
        if (kinds == MORE).any():
            self._mark_odd(kinds, firsts, after)
        return kinds

    def _mark_backslashes(self, kinds: "Ints") -> None:
        """A backslash at a line's end makes the next line a continuation."""
        if "\\" not in self.text:
            return
        for match in _BACKSLASH.finditer(self.text):
            line = int(np.searchsorted(self.starts, match.start(), side="right")) - 1
            if kinds[line] >= MORE and line + 1 < kinds.size and kinds[line + 1] == HEAD:
                kinds[line + 1] = MORE

    def _mark_odd(self, kinds: "Ints", firsts: "Ints", after: "Ints") -> None:
        """Continuations of a comment that carries data, and references that begin with `+`."""
        lines = np.arange(kinds.size)
        owner = np.maximum.accumulate(np.where(kinds != MORE, lines, -1))
        more = np.flatnonzero(kinds == MORE)
        owned = owner[more]
        data = (owned >= 0) & (kinds[owned] == REMARK) & (after[owned] == 46)
        kinds[more[data]] = REMARK
        digits = more[(after[more] >= 48) & (after[more] <= 57) & ~data]
        for line in digits.tolist():
            if _is_reference(self.text[int(firsts[line]) + 1 : int(self.ends[line])]):
                kinds[line] = HEAD


def _is_reference(body: str) -> bool:
    """Whether what follows a `+` reads as an element of its own: `12V1 GND VIN /12V REG12`."""
    words = body.split()
    if len(words) < 4 or "=" in body or "(" in body:
        return False
    plain = words[0].isalnum() and not words[0].isdigit()
    return (
        plain and scaled_number(words[0]) is None and not any(w[0].isdigit() for w in words[1:] if w != "0")
    )


def _line_starts(letters: "Letters") -> "Ints":
    """Offsets at which physical lines start (after CR, LF or CRLF), shape (lines,)."""
    breaks = letters == 10
    returns = np.flatnonzero(letters == 13)
    if returns.size:
        following = np.append(letters, np.zeros(1, np.uint8))[returns + 1]
        breaks[returns[following != 10]] = True
    starts = np.concatenate((np.zeros(1, np.int64), np.flatnonzero(breaks) + 1))
    return starts[:-1] if starts.size > 1 and starts[-1] == letters.size else starts
