"""Which reader takes a file, by how it begins. A new format is one file beside this and a line here."""

import re
from collections.abc import Callable
from typing import NamedTuple

from drc.circuit.model import Circuit
from drc.netlist.options import ReadOptions
from drc.netlist.source import Source

_HEAD = 4000


class _Format(NamedTuple):
    """How a format begins, and its reader, imported only when met."""

    begins: re.Pattern[bytes]
    read: Callable[[Source, ReadOptions], Circuit]


def _edif(source: Source, options: ReadOptions) -> Circuit:
    from drc.netlist.edif import read_edif

    return read_edif(source)


def _pin_list(source: Source, options: ReadOptions) -> Circuit:
    from drc.netlist.pin_list import read_pin_list

    return read_pin_list(source, options.columns, options.parts)


_FORMATS = (
    _Format(re.compile(rb"(?:\xef\xbb\xbf)?\s*\(\s*edif\b", re.IGNORECASE), _edif),
    _Format(
        re.compile(
            rb"(?:\xef\xbb\xbf)?\s*(?=[^\r\n]*\b(?:ref|designator|component))(?=[^\r\n]*\b(?:pin|pad|terminal))"
            rb"[\"A-Za-z][^\r\n]*[,;\t][^\r\n]*\bnet",
            re.IGNORECASE,
        ),
        _pin_list,
    ),
)  # fmt: skip


def board_format(data: bytes) -> Callable[[Source, ReadOptions], Circuit] | None:
    """The reader of a file that is no SPICE-style netlist but a board format we know, None otherwise."""
    head = data[:_HEAD]
    return next((form.read for form in _FORMATS if form.begins.match(head)), None)
