"""A netlist file to a Circuit: the entry of this stage."""

from pathlib import Path

from drc.circuit.model import Circuit
from drc.circuit.views import Board
from drc.netlist.bounds import check_bytes, check_circuit
from drc.netlist.checks import Checker
from drc.netlist.draft import tables_of
from drc.netlist.files import Files
from drc.netlist.formats import board_format
from drc.netlist.lookup import TextLines
from drc.netlist.options import Limits, ReadOptions
from drc.netlist.source import decode
from drc.netlist.structure import Structure
from drc.netlist.suspect import refusal
from drc.trouble import InputError, Place, Trouble

__all__ = ["Limits", "ReadOptions", "read_circuit", "read_text"]

_DEFAULT = ReadOptions()


def read_circuit(path: Path, root: Path, options: ReadOptions = _DEFAULT) -> Circuit:
    """The circuit of a netlist file; `root` bounds its includes, and reported paths are relative to it.

    Raises InputError where the file can't be read as a whole: missing, empty, binary, or no netlist.
    """
    files = Files(root, options)
    full = path.resolve()
    name = files.name(full)
    try:
        data = options.source(full)
    except OSError as error:
        message = f"can't be read: {error.strerror or error}; name a netlist file"
        raise InputError(Trouble("unreadable-file", "error", Place(name), message)) from error
    return _read(files, full, name, data, options)


def read_text(text: str, path: str = "board.cir", options: ReadOptions = _DEFAULT) -> Circuit:
    """The circuit of a netlist given as text; it can't include files."""
    files = Files(Path("/nonexistent"), options)
    return _read(files, files.root / path, path, text.encode("utf-8", "surrogateescape"), options)


def _read(files: Files, path: Path, name: str, data: bytes, options: ReadOptions) -> Circuit:
    reader = board_format(data)
    if reader is not None:
        check_bytes(data, name, options.limits)
        circuit = reader(decode(data, name), options)
        if isinstance(circuit, Board):
            check_circuit(circuit, options.limits)
        return circuit
    reason = refusal(data)
    if reason is not None:
        raise InputError(Trouble("no-netlist", "error", Place(name), reason))
    structure = Structure(options, files, name)
    files.board(structure, path, data)
    tables, cut = tables_of(structure.drafts, structure.names, structure.pool, structure.shared)
    structure.evaluator.forget()
    lines = TextLines(structure.sources, structure.names, structure.evaluator, options.m_means)
    checker = Checker(tables, lines, structure.sources, structure.names)
    order = {file.path: number for number, file in enumerate(files.read)}
    troubles = [*structure.troubles, *checker.troubles(cut)]
    troubles.sort(key=lambda t: (order.get(t.place.path, 0), t.place.line, t.place.column))
    board = Board(
        tables, lines, title=structure.title, path=name, files=tuple(files.read),
        troubles=tuple(troubles), annotations=tuple(structure.annotations),
    )  # fmt: skip
    check_circuit(board, options.limits)
    return board
