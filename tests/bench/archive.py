"""An archive reviewed cold and unchanged, and Monte Carlo draws, each beside its yardstick."""

import os
import sys
from pathlib import Path

from tests.bench.boards import archive
from tests.bench.measure import cost_of, python

BOARDS, DRAWS = 2_000, 20_000

_REVIEW = "import sys; from drc.cli import command; command()"
_ONE_BY_ONE = """
import sys, time
from pathlib import Path
from drc.gate.pipeline import guarded, review_board
from drc.gate.project import Request, open_project
project = open_project(Request(date="2026-03-31", paths=[sys.argv[1]], depth="verdicts"))
for board in project.boards:
    guarded(review_board, board, project)
"""
_HASH = """
import sys
from hashlib import sha256
from pathlib import Path
import numpy
for path in sorted(Path(sys.argv[1]).rglob("*.cir")):
    sha256(path.read_bytes()).hexdigest()
"""
_OURS = """
import sys
import timeit
import numpy as np
from drc.circuit.spread import Cause, monte_carlo
causes = [Cause(f"R{n}", 1e4, 9.9e3, 1.01e4, False) for n in range(8)]
law = lambda x: 1 / (x[:, 0] / (x[:, 1] + x[:, 2])) * x[:, 3] / (x[:, 4] + x[:, 5]) + x[:, 6] / x[:, 7]
work = lambda: monte_carlo(law, causes, DRAWS, 1, "timing.period", "normal")
print(min(timeit.repeat(work, number=5, repeat=7)) / 5)
"""
_BARE = """
import timeit
import numpy as np
low, high, middle = (np.full(8, v) for v in (9.9e3, 1.01e4, 1e4))
def work():
    x = np.clip(np.random.default_rng(1).normal(middle, (high - low) / 6, (DRAWS, 8)), low, high)
    y = 1 / (x[:, 0] / (x[:, 1] + x[:, 2])) * x[:, 3] / (x[:, 4] + x[:, 5]) + x[:, 6] / x[:, 7]
    return np.percentile(y, (0.135, 99.865))
print(min(timeit.repeat(work, number=5, repeat=7)) / 5)
"""


def archives(folder: Path) -> None:
    """2,000 boards: by one process in one go, cold by every core, then unchanged beside their hashing."""
    place = folder / "archive"
    archive(place, BOARDS)
    os.environ["XDG_CACHE_HOME"], os.environ["XDG_STATE_HOME"] = str(folder / "c"), str(folder / "s")
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    one = cost_of(python(_ONE_BY_ONE, str(place)), 1)
    cold = cost_of(python(_REVIEW, "review", str(place)), 1)
    again = cost_of(python(_REVIEW, "review", str(place)), 3)
    hashed = cost_of(python(_HASH, str(place)), 3)
    print(f"\n{BOARDS:,} boards, one process     {one.seconds:8.2f} s {one.megabytes:7.0f} MB")
    busy = one.seconds / cores / cold.seconds
    print(
        f"{BOARDS:,} boards, cold            {cold.seconds:8.2f} s {cold.megabytes:7.0f} MB"
        f"   {100 * busy:.0f} % of what {cores} cores could do (mark: every core busy)"
    )
    print(
        f"{BOARDS:,} boards, unchanged       {again.seconds:8.2f} s {again.megabytes:7.0f} MB"
        f"   x{again.seconds / hashed.seconds:.2f} of hashing, {hashed.seconds:.2f} s (mark: a hash a board)"
    )


def draws() -> None:
    """20,000 draws of a law of eight causes beside bare numpy doing the same arithmetic."""
    import subprocess

    ours, bare = (
        float(subprocess.check_output([sys.executable, "-c", code.replace("DRAWS", str(DRAWS))]))
        for code in (_OURS, _BARE)
    )
    print(f"\n{DRAWS:,} draws, 8 causes         {ours * 1e3:8.2f} ms")
    print(f"bare numpy, the same          {bare * 1e3:8.2f} ms   x{ours / bare:.2f} (mark: near 1)")
