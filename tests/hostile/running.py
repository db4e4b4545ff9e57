"""The command as a process of its own, with the most memory that it held."""

import os
import subprocess
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


def watched(folder: Path, arguments: Sequence[str]) -> Watched:
    """The command run in a folder; a hang is a failure after a minute. No traceback, no bug."""
    with (folder / ".out").open("wb") as out, (folder / ".err").open("wb") as err:
        process = subprocess.Popen(
            ["timeout", "60", str(COMMAND), *arguments], cwd=folder, stdout=out, stderr=err,
            env=os.environ | {"COLUMNS": "80", "PYTHONIOENCODING": "utf-8"},
        )  # fmt: skip
        _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    texts = [(folder / name).read_bytes().decode("utf-8", "replace") for name in (".out", ".err")]
    told = Watched(process.returncode, texts[0], texts[1], usage.ru_maxrss * 1024)
    assert "Traceback" not in told.told
    assert "this is a bug" not in told.told
    return told
