"""Time and memory of whole processes, measured side by side."""

import os
import subprocess
import sys
import time
from collections.abc import Sequence
from typing import NamedTuple


class Cost(NamedTuple):
    """Wall time in seconds and the largest memory held in MB, of one process."""

    seconds: float
    megabytes: float


def cost_of(command: Sequence[str], times: int) -> Cost:
    """The cheapest of so many runs of a command, its output thrown away."""
    return min((_run(command) for _ in range(times)), key=lambda cost: cost.seconds)


def _run(command: Sequence[str]) -> Cost:
    start = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, _, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - start
    process.returncode = 0
    return Cost(seconds, usage.ru_maxrss / 1024)


def python(code: str, *arguments: str) -> list[str]:
    """The command of a cold Python process that runs a line of code."""
    return [sys.executable, "-c", code, *arguments]
