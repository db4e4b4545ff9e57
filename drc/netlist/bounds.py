"""Bounds on size: a file or a board beyond one is refused as a whole, in one line."""

from typing import TYPE_CHECKING

import numpy as np

from drc.netlist.options import Limits
from drc.trouble import InputError, Place, Trouble

if TYPE_CHECKING:
    from drc.circuit.columns import Tables
    from drc.circuit.views import Board
    from drc.netlist.lines import SourceLines


def _refuse(kind: str, place: Place, found: str, limit: int, unit: str) -> InputError:
    """The error for something beyond its limit."""
    message = f"{found}, the limit is {limit:,} {unit}; split the board, or raise the limit in settings"
    return InputError(Trouble(kind, "error", place, message))


def check_bytes(data: bytes, path: str, limits: Limits) -> None:
    """Raises InputError where a file has too many bytes."""
    if len(data) > limits.file_bytes:
        found = f"the file has {len(data):,} bytes"
        raise _refuse("file-too-large", Place(path), found, limits.file_bytes, "bytes")


def check_lines(lines: "SourceLines", limits: Limits) -> None:
    """Raises InputError where a file has too many lines, or one that is too long."""
    path = lines.source.path
    if lines.starts.size > limits.lines:
        found = f"the file has {lines.starts.size:,} lines"
        raise _refuse("too-many-lines", Place(path), found, limits.lines, "lines")
    lengths = lines.ends - lines.starts
    longest = int(np.argmax(lengths)) if lengths.size else 0
    if lengths.size and lengths[longest] > limits.line_length:
        found = f"the line has {int(lengths[longest]):,} characters"
        raise _refuse("line-too-long", Place(path, longest + 1), found, limits.line_length, "characters")


def check_circuit(board: "Board", limits: Limits) -> None:
    """Raises InputError where a board has too many elements, as written or expanded, or nests too deep."""
    place = Place(board.path)
    written = sum(int(definition.kinds.size) for definition in board.tables.definitions)
    if written > limits.elements:
        found = f"the board has {written:,} elements"
        raise _refuse("too-many-elements", place, found, limits.elements, "elements")
    depth = _depth(board.tables)
    if depth > limits.hierarchy_depth:
        found = f"subcircuits nest {depth:,} deep"
        raise _refuse("hierarchy-too-deep", place, found, limits.hierarchy_depth, "levels")
    if board.element_count > limits.expansion:
        found = f"the board expands to {board.element_count:,} elements"
        raise _refuse("too-many-elements", place, found, limits.expansion, "elements")


def _depth(tables: "Tables") -> int:
    """How many instances stand within each other at most."""
    depths: dict[int, int] = {}
    for index in tables.order:
        inner = sorted(set(tables.definitions[index].children.tolist()))  # np.unique loads numpy.ma
        depths[index] = max((1 + depths[child] for child in inner if child >= 0), default=0)
    return max(depths.values(), default=0)
