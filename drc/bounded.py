"""The bytes of an input file, within bounds: no device, no pipe, and no line without end."""

import os
import stat
from errno import EFBIG, EINVAL, EISDIR
from pathlib import Path
from typing import IO, Any, BinaryIO

LARGEST = 2_000_000_000
"""Bytes beyond which no file is read at all."""

LARGEST_PAPER = 64_000_000
"""The same for what goes with a board: settings, rules, parts, statements, lists, known findings."""

LONGEST_LINE = 16_000_000
"""Bytes without a line end beyond which a file is no text of lines."""

_PIECE = 1 << 22
_DEEPEST_KEY = 5_000
"""Dots in a key of a TOML file, far beyond any that means something."""


def file_bytes(path: Path, largest: int = LARGEST) -> bytes:
    """The bytes of a regular file. OSError where there is none, or it is beyond a bound; it says so."""
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    _check(os.stat(path), largest)
    with os.fdopen(os.open(path, flags), "rb") as file:
        status = os.fstat(file.fileno())
        _check(status, largest)
        if status.st_size > LONGEST_LINE:
            _check_lines(file)
        data = file.read(status.st_size + 1)
        while more := file.read(_PIECE):  # it grows, or hides its size as proc(5) does
            data += more
            if len(data) > largest:
                raise _too_large(largest)
    return data


def _check(status: os.stat_result, largest: int) -> None:
    """OSError for what is no regular file, or too large a one."""
    if stat.S_ISDIR(status.st_mode):
        raise IsADirectoryError(EISDIR, os.strerror(EISDIR))
    if not stat.S_ISREG(status.st_mode):
        raise OSError(EINVAL, "it is no regular file")
    if status.st_size > largest:
        raise _too_large(largest)


def _too_large(largest: int) -> OSError:
    return OSError(EFBIG, f"it has more than {largest:,} bytes, the most that is read")


def _check_lines(file: BinaryIO) -> None:
    """OSError where a line does not end within bounds: found without holding more than a piece of it."""
    length = 0
    while piece := file.read(_PIECE):
        length = _line_so_far(length, piece)
    file.seek(0)


def _line_so_far(length: int, piece: bytes) -> int:
    """How long the last line of a text is with one more piece. OSError where a line is beyond bounds."""
    ends = [end for end in (piece.find(b"\n"), piece.find(b"\r")) if end >= 0]
    length += min(ends, default=len(piece))
    if length > LONGEST_LINE:
        raise OSError(EFBIG, f"a line has more than {LONGEST_LINE:,} bytes, the most that is read")
    return len(piece) - 1 - max(piece.rfind(b"\n"), piece.rfind(b"\r")) if ends else length


def stream_bytes(stream: IO[bytes], size: int, largest: int = LARGEST) -> bytes:
    """The next `size` bytes of what cannot be read twice, such as a pipe.

    OSError where that is beyond a bound; it says so, and the rest of the stream is left unread.
    """
    if size > largest:
        raise _too_large(largest)
    if size <= LONGEST_LINE:
        return stream.read(size)
    pieces: list[bytes] = []
    length = 0
    while size and (piece := stream.read(min(size, _PIECE))):
        length = _line_so_far(length, piece)
        pieces.append(piece)
        size -= len(piece)
    return b"".join(pieces)


def tables_of(text: str) -> dict[str, Any]:
    """What a text of TOML holds. RecursionError where it nests too deeply, ValueError where it is none.

    The parser's time grows with the square of a key's depth, so that depth is looked at first.
    """
    import tomllib  # the built-in parts are compiled already

    if any(line.partition("=")[0].count(".") > _DEEPEST_KEY for line in text.split("\n")):
        raise RecursionError("a key of too many parts")
    return tomllib.loads(text)
