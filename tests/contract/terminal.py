"""Running the command with its output, or what goes to standard error, on a terminal of a given width."""

import fcntl
import os
import struct
import subprocess
import termios
from collections.abc import Sequence
from pathlib import Path

from tests.contract.running import COMMAND, Ran


def on_terminal(
    folder: Path, arguments: Sequence[str], columns: int = 80, *, errors: bool = False, **environment: str
) -> Ran:
    """The command in a folder, standard output on a terminal; with `errors`, standard error in its place.

    What goes to the terminal is `out`, what goes to the other stream is `err`.
    """
    master, slave = os.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
    left_out = ("COLUMNS", "LINES", "NO_COLOR")
    kept = {name: value for name, value in os.environ.items() if name not in left_out}
    with os.fdopen(slave, "wb") as terminal, (folder / ".other").open("w+b") as other:
        child = subprocess.Popen(
            [str(COMMAND), *arguments],
            cwd=folder,
            env=kept | {"TERM": "xterm", "PYTHONIOENCODING": "utf-8"} | environment,
            stdout=other if errors else terminal,
            stderr=terminal if errors else other,
        )
        terminal.close()
        shown = _read_all(master)
        code = child.wait(timeout=60)
        other.seek(0)
        return Ran(code, shown.replace("\r\n", "\n"), other.read().decode())


def _read_all(master: int) -> str:
    """Everything that was written to the other end of a terminal."""
    text = b""
    while True:
        try:
            piece = os.read(master, 4096)
        except OSError:
            break
        if not piece:
            break
        text += piece
    os.close(master)
    return text.decode()
