"""Comma-separated tables with a header line, every cell with its place, so that an edit can name it.

The quoting is that of RFC 4180; a semicolon or a tab separates where the header uses it.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches
from typing import NamedTuple

from drc.circuit.model import Token
from drc.netlist.source import Source
from drc.trouble import InputError, Place, Trouble

_QUOTED = re.compile(r'"((?:[^"]|"")*)"')
_LINE_END = re.compile(r"\r\n|\n|\r")


class Cell(NamedTuple):
    """One cell: its text without quotes and outer blanks, and the run of characters of that text."""

    text: str
    start: int
    end: int
    line: int
    column: int


class Row(NamedTuple):
    """A data row: cells by the meaning of their column; an absent or empty cell is not listed."""

    cells: Mapping[str, Cell]
    line: int


class Columns(NamedTuple):
    """The meanings that a kind of table knows: header words by meaning, and which ones it must have."""

    words: Mapping[str, tuple[str, ...]]
    needed: tuple[str, ...]


def read_table(source: Source, columns: Columns, mapped: Mapping[str, str]) -> list[Row]:
    """The data rows of a table. `mapped` gives header words of a house by meaning.

    Raises InputError where the table is empty or lacks a needed column.
    """
    rows = _rows(source.text, _separator(source.text))
    header = next((row for row in rows if any(cell.text for cell in row)), None)
    if header is None:
        raise InputError(
            Trouble("empty-table", "error", Place(source.path), "is empty: expected a header line")
        )
    meanings = _meanings(source.path, header, columns, mapped)
    found = []
    for row in rows:
        cells = {meanings[i]: cell for i, cell in enumerate(row) if i in meanings and cell.text}
        if cells:
            found.append(Row(cells, row[0].line))
    return found


def token(source: Source, cell: Cell) -> Token:
    """The cell as an edit names it."""
    return Token(source.path, cell.start, cell.end, cell.text)


def place(source: Source, cell: Cell) -> Place:
    """The cell as a message names it."""
    return Place(source.path, cell.line, cell.column, len(cell.text))


def _separator(text: str) -> str:
    """The separator of the first line that holds any: the most frequent of comma, semicolon and tab."""
    for line in _LINE_END.split(text, maxsplit=64):
        counts = {mark: line.count(mark) for mark in ",;\t"}
        if any(counts.values()):
            return max(counts, key=counts.__getitem__)
    return ","


def _rows(text: str, separator: str) -> Iterator[list[Cell]]:
    """Every row, empty lines left out."""
    plain = re.compile(rf"[^{re.escape(separator)}\r\n]*")
    at, line, start_of_line, row = 0, 1, 0, list[Cell]()
    while at < len(text) or row:
        lead = at
        while lead < len(text) and text[lead] in " \t" and text[lead] != separator:
            lead += 1
        quoted = _QUOTED.match(text, lead)
        match = quoted or plain.match(text, at)
        if match is None:
            break
        begin, end = match.span(1) if quoted else match.span()
        while begin < end and text[begin].isspace():
            begin += 1
        while end > begin and text[end - 1].isspace():
            end -= 1
        row.append(Cell(text[begin:end].replace('""', '"'), begin, end, line, begin - start_of_line + 1))
        line += len(_LINE_END.findall(match.group())) if quoted else 0
        rest = plain.match(text, match.end())
        at = rest.end() if quoted and rest else match.end()
        if text[at : at + 1] == separator:
            at += 1
            continue
        yield row
        row = []
        ending = _LINE_END.match(text, at)
        if ending:
            at, line, start_of_line = ending.end(), line + 1, ending.end()


def _meanings(
    path: str, header: Sequence[Cell], columns: Columns, mapped: Mapping[str, str]
) -> dict[int, str]:
    """Which column means what."""
    by_word = {word: meaning for meaning, words in columns.words.items() for word in words}
    by_word |= {_plain(word): meaning for meaning, word in mapped.items()}
    meanings: dict[int, str] = {}
    for position, cell in enumerate(header):
        meaning = by_word.get(_plain(cell.text))
        if meaning is not None and meaning not in meanings.values():
            meanings[position] = meaning
    missing = [meaning for meaning in columns.needed if meaning not in meanings.values()]
    if missing:
        raise InputError(*(_missing(path, header, columns, meaning) for meaning in missing))
    return meanings


def _missing(path: str, header: Sequence[Cell], columns: Columns, meaning: str) -> Trouble:
    """The refusal of a table that lacks a column."""
    names = [cell.text for cell in header if cell.text]
    near = get_close_matches(meaning, names, 1)
    hint = (
        f"; is '{near[0]}' meant? Map it in the settings"
        if near
        else "; name it so, or map it in the settings"
    )
    listed = ", ".join(f"'{name}'" for name in names[:8]) or "none"
    wanted = " or ".join(f"'{word}'" for word in columns.words[meaning][:3])
    message = f"no column for the {meaning}: found {listed}, expected {wanted}{hint}"
    return Trouble("missing-column", "error", Place(path, header[0].line if header else 1, 1), message)


def _plain(word: str) -> str:
    """A header word with case, blanks and marks taken away: `Ref. Des.` becomes `refdes`."""
    return re.sub(r"[^a-z0-9%]", "", word.lower())
