"""Prints how fast netlists are read and how soon a review is there, beside yardsticks of the same run.

`python -m tests.bench` takes a minute or two; nothing here passes or fails.
"""

import os
import shutil
import sys
import tempfile
from pathlib import Path

from tests.bench.archive import archives, draws
from tests.bench.boards import deep_board, flat_board, library_board, small_board
from tests.bench.measure import Cost, cost_of, python

READ = (
    "import sys; from pathlib import Path; from drc.netlist.read import read_circuit; "
    "path = Path(sys.argv[1]); print(read_circuit(path, path.parent).element_count)"
)
COMMAND = "from drc.cli import command; command()"
"""What the installed command runs."""

SIZES = ((10_000, 3), (100_000, 3), (1_000_000, 1))


def _line(what: str, ours: Cost, theirs: Cost | None) -> str:
    """One line of the table: ours, the simulator's, and the ratios."""
    text = f"{what:<28}{ours.seconds:8.2f} s {ours.megabytes:7.0f} MB"
    if theirs is None:
        return text + "   (no simulator installed)"
    time, memory = ours.seconds / theirs.seconds, ours.megabytes / theirs.megabytes
    return (
        text + f"{theirs.seconds:8.2f} s {theirs.megabytes:7.0f} MB   x{time:.2f} time, x{memory:.2f} memory"
    )


def reading(folder: Path) -> None:
    """Reading 10k, 100k and 1M elements and deep hierarchies, beside a simulator's load of the same."""
    simulator = shutil.which("ngspice")
    print(f"{'reading, cold process':<28}{'tickproof':>21}{'simulator':>21}")
    boards = [(f"{size:,} elements", flat_board(size), times) for size, times in SIZES]
    boards.append(("2^14 leaves, 14 deep", deep_board(14, 2), 3))
    boards.append(("5,000 subcircuits", library_board(5000), 1))
    boards.append(("2^20 leaves, 20 deep", deep_board(20, 2), 3))
    for what, text, times in boards:
        path = folder / "board.cir"
        with path.open("w") as file:
            file.writelines(text)
        ours = cost_of(python(READ, str(path)), times)
        theirs = cost_of([simulator, "-b", str(path)], times) if simulator is not None else None
        print(_line(what, ours, theirs), flush=True)


def start_up(folder: Path) -> None:
    """A cold review of a 60-element board, and of one that is staged, beside an import of numpy alone."""
    staged = folder / "staged"
    staged.mkdir()
    path = staged / "small.cir"
    path.write_text(small_board())
    cost_of(python(COMMAND, "review", str(path)), 1)
    numpy = cost_of(python("import numpy"), 7)
    review = cost_of(python(COMMAND, "review", str(path)), 7)
    ratio = review.seconds / numpy.seconds
    print(f"\ncold review of 60 elements  {review.seconds * 1e3:7.0f} ms")
    print(f"cold import of numpy        {numpy.seconds * 1e3:7.0f} ms   x{ratio:.2f} (mark: below 2)")
    git = shutil.which("git")
    if git is not None:
        for command in (["init", "-q"], ["add", "."]):
            cost_of([git, "-C", str(staged), *command], 1)
        os.chdir(staged)
        hook = cost_of(python(COMMAND, "review", "--staged", "--touched"), 7)
        print(
            f"the same as a hook, staged  {hook.seconds * 1e3:7.0f} ms   x{hook.seconds / numpy.seconds:.2f}"
        )


def main() -> int:
    """Runs all benches in a folder of their own."""
    with tempfile.TemporaryDirectory() as folder:
        reading(Path(folder))
        start_up(Path(folder))
        archives(Path(folder))
    draws()
    return 0


if __name__ == "__main__":
    sys.exit(main())
