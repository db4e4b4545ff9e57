"""Files written whole or not at all, and pages on standard output."""

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import TextIO

from drc.gate.refusal import refused
from drc.report.lines import trouble_lines
from drc.report.text import MAX_WIDTH, MIN_WIDTH, Row, harmless, plain
from drc.resources import OWN
from drc.trouble import Trouble

_LINES = 1000
"""Lines that are written at once."""

Shown = Callable[[str], str]
"""Turns a path of a review into one that can be opened from where the command runs."""


def check_writable(path: Path) -> None:
    """InputError where a file could not be written: no such folder, or a folder of that name."""
    if os.path.isdir(path):
        raise refused(str(path), "is a folder: expected a file to write")
    if not os.path.isdir(path.parent):
        raise refused(str(path), f"there is no folder {path.parent} to write to: make it first")
    if not os.access(path.parent, os.W_OK):
        raise refused(str(path), f"the folder {path.parent} cannot be written to")


def write_whole(path: Path, text: str) -> None:
    """Writes a text file in UTF-8, as `write_bytes` does."""
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, data: bytes) -> None:
    """Writes a file through a neighbour that is renamed at the end. InputError where that fails.

    What is no regular file (a pipe, a device) is written to as it is.
    """
    path = Path(os.path.realpath(path))
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        if os.path.exists(path) and not os.path.isfile(path):
            path.write_bytes(data)
            return
        try:
            _write_through(part, data)
            if os.path.exists(path):
                part.chmod(path.stat().st_mode & 0o7777)
            part.replace(path)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        raise refused(str(path), f"could not be written: {error.strerror or error}") from None


def _write_through(path: Path, data: bytes) -> None:
    """Writes a file and waits until it is on the disk."""
    with open(path, "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def page_width(stream: TextIO) -> int:
    """The terminal's width within 80 to 200; 80 for what is no terminal, unless COLUMNS says otherwise."""
    columns = os.environ.get("COLUMNS", "")
    if columns.isdecimal() and int(columns):
        width = int(columns)
    elif stream.isatty():
        width = os.get_terminal_size(stream.fileno()).columns
    else:
        width = MIN_WIDTH
    return min(max(width, MIN_WIDTH), MAX_WIDTH)


def print_page(rows: Iterable[Row], stream: TextIO) -> None:
    """Prints lines: styled on a terminal, plain elsewhere. A reader that went away is no trouble."""
    if stream.isatty():
        from drc.report.terminal import print_rows  # its library is slow to load

        print_rows(rows, stream)
        return
    lines = (plain(line) + "\n" for line in rows)
    while text := "".join(islice(lines, _LINES)):
        print_text(text, stream)


def print_text(text: str, stream: TextIO) -> None:
    """Writes text; what the stream's encoding lacks is spelt out. A closed pipe ends the output quietly."""
    encoding = stream.encoding or "utf-8"
    with _ending_quietly(stream):
        stream.write(text.encode(encoding, "backslashreplace").decode(encoding))
        stream.flush()


def print_report(text: str) -> None:
    """Writes a report on standard output as it would stand in a file: UTF-8, whatever the locale says."""
    with _ending_quietly(sys.stdout):
        sys.stdout.flush()
        sys.stdout.buffer.write(text.encode("utf-8"))
        sys.stdout.buffer.flush()


@contextmanager
def _ending_quietly(stream: TextIO) -> Iterator[None]:
    """A reader that went away ends the output; InputError where a full disk does, but for standard error."""
    try:
        yield
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
        if not isinstance(error, BrokenPipeError) and stream is not sys.stderr:
            raise refused("standard output", f"could not be written: {error.strerror}") from None


def print_troubles(troubles: Iterable[Trouble]) -> None:
    """Prints what is wrong with named inputs on standard error, each with its line where it has one."""
    shown = from_here(Path.cwd())
    for trouble in troubles:
        if trouble.place.path:
            text = "\n".join(trouble_lines(trouble, shown))
        else:
            text = f"tickproof: {trouble.level}: {harmless(trouble.message)}"
        print_text(text + "\n", sys.stderr)


def from_here(root: Path) -> Shown:
    """Paths relative to `root` turned into paths from the folder that the command runs in.

    Those of other folders become absolute; the package's own, and what is no path, stay as they are.
    """
    here = Path.cwd()

    def shown(path: str) -> str:
        if path.startswith(OWN):
            return path
        whole = Path(os.path.normpath(root / path))
        return whole.relative_to(here).as_posix() if whole.is_relative_to(here) else str(whole)

    return shown
