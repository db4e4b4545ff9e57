"""The command as a process of its own, with the most memory that it held."""

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from tests.contract.running import COMMAND

ENOUGH = 300 * 1024**2
"""Bytes that no refusal needs: well below what a hostile input of a gigabyte would take."""


class Watched(NamedTuple):
    """What a process gave back; `peak` is the most memory that it held, in bytes."""

    code: int
    out: str
    err: str
    peak: int

    @property
    def told(self) -> str:
        """All that was printed."""
        return self.out + self.err


_WATCHER = """
import resource, subprocess, sys
code = subprocess.call(sys.argv[2:], timeout=60)
with open(sys.argv[1], "w") as file:
    file.write(str(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss))
sys.exit(code if code >= 0 else 128 - code)
"""
"""Starts the command out of a small process: what its starter ever held would count as the command's own."""


def watched(folder: Path, arguments: Sequence[str]) -> Watched:
    """The command run in a folder; a hang is a failure after a minute. No traceback, no bug."""
    done = subprocess.run(
        [sys.executable, "-I", "-c", _WATCHER, ".peak", str(COMMAND), *arguments],
        cwd=folder,
        env=os.environ | {"COLUMNS": "80", "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        timeout=90,
        check=False,
    )
    out, err = (text.decode("utf-8", "replace") for text in (done.stdout, done.stderr))
    peak = int((folder / ".peak").read_text(encoding="ascii"))
    told = Watched(done.returncode, out, err, peak * 1024)
    assert "Traceback" not in told.told
    assert "this is a bug" not in told.told
    return told
