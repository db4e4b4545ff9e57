"""Running the command as a real process, in a folder with files made for it."""

import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

COMMAND = Path(sys.executable).with_name("tickproof")

CLEAN = """Tide bell: strikes at 8 kHz
*@ supply VCC 3.2V .. 3.4V
*@ ambient 0degC .. 50degC
*@ assume R* tolerance 1%, tempco 100ppm
*@ expect XU1 frequency 8kHz +/- 6%
V1  VCC 0 3.3
C1  VCC 0 100n
R1  VCC CFG 20k
R2  CFG 0   13.7k
R3  RT  0   100k
XU1 VCC CFG OUT 0 RT VCC HA10
R4  OUT 0   10k
.end
"""
"""A board with one oscillator that does what is wanted of it."""

WRONG_RATE = CLEAN.replace("100k", "47k")
"""The same with another timing resistor: 17 kHz."""

UNREAD = CLEAN.replace("R4  OUT 0   10k", "47Kohm6 SPARE 0 R")
"""The same with a line that nobody can read, on a net of no block."""

UNSTATED = CLEAN.replace("*@ expect XU1 frequency 8kHz +/- 6%\n", "")
"""The same without a statement of what the block is for: nothing worse than a warning."""


class Ran(NamedTuple):
    """What a process gave back."""

    code: int
    out: str
    err: str


def lay(folder: Path, files: Mapping[str, str | bytes]) -> None:
    """Writes files below a folder."""
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode())


def tickproof(folder: Path, arguments: Sequence[str], **environment: str) -> Ran:
    """The command, run in a folder. It must end by itself within a minute."""
    done = subprocess.run(
        [str(COMMAND), *arguments],
        cwd=folder,
        env=os.environ | {"COLUMNS": "80", "PYTHONIOENCODING": "utf-8"} | environment,
        capture_output=True,
        encoding="utf-8",
        timeout=60,
        check=False,
    )
    return Ran(done.returncode, done.stdout, done.stderr)
