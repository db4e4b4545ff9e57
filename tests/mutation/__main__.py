"""`python -m tests.mutation`: how many planted mistakes the tests notice.

    python -m tests.mutation --map                      measure once which tests run which lines
    python -m tests.mutation --sample 400 --seed 2      try some, drawn at random
    python -m tests.mutation --only drc/facts/strap.py  try those of one place
    python -m tests.mutation --again OUT                try again what survived in an earlier run

The package itself is not imported here: a trial of what runs at import begins before that.
"""

import argparse
import json
import os
import sys
import tempfile
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from random import Random
from typing import TextIO

from tests.mutation import coverage_map
from tests.mutation.choose import drawn, every, job
from tests.mutation.operators import Mutant
from tests.mutation.shares import summary
from tests.mutation.trial import Forks, Job, Outcome, imported_anew, swapped_in

ROOT = Path(__file__).resolve().parents[2]
THIRD_PARTY = (
    "hypothesis",
    "jinja2",
    "jsonschema",
    "lark",
    "networkx",
    "numpy",
    "rich.console",
    "scipy.stats",
)
"""Imported before any process is forked, so that none has to do it again."""


class Log:
    """Keeps the outcomes, and tells them: survivors and now and then a count; a JSON line each to a file."""

    def __init__(self, total: int, terminal: TextIO, file: TextIO | None) -> None:
        self.total, self.terminal, self.file = total, terminal, file
        self.outcomes: list[Outcome] = []

    def __call__(self, outcome: Outcome) -> None:
        """One more."""
        self.outcomes.append(outcome)
        mutant, count = outcome.mutant, len(self.outcomes)
        if not outcome.killed:
            what = f"{mutant.scope}: {mutant.what} ({mutant.nth}): {outcome.how}"
            print(f"{mutant.path}:{mutant.lines[0]}: {what}", file=self.terminal, flush=True)
        elif count % 50 == 0:
            print(f"{count} of {self.total}", file=self.terminal, flush=True)
        if self.file is not None:
            line = {"key": mutant.key, "killed": outcome.killed, "how": outcome.how}
            print(json.dumps(line), file=self.file, flush=True)


def main() -> int:
    """0: a measurement, not a gate."""
    arguments = _arguments()
    os.chdir(ROOT)
    arguments.work.mkdir(parents=True, exist_ok=True)
    kept = arguments.work / "map.json"
    if arguments.map is not None or not kept.exists():
        _measure(kept, arguments.map or [])
        return 0
    for name in THIRD_PARTY:
        __import__(name)
    sites = every(ROOT, coverage_map.FOLDERS)
    chosen = _chosen(arguments, sites)
    with ExitStack() as stack:
        file = stack.enter_context(arguments.out.open("w")) if arguments.out else None
        terminal = stack.enter_context(os.fdopen(os.dup(1), "w"))
        log = Log(len(chosen), terminal, file)
        _try(chosen, coverage_map.read(kept), arguments, log)
        terminal.write("".join(f"{line}\n" for line in summary(log.outcomes, sites)))
    return 0


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description="Plants mistakes.")
    parser.add_argument("--map", nargs="*", metavar="TESTS", help="measure all tests, or these anew")
    parser.add_argument("--sample", type=int, metavar="N", help="so many mutants; all where left out")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--only", default="", metavar="PLACE", help="a folder, a module or the start of a key"
    )
    parser.add_argument("--again", type=Path, metavar="FILE", help="what survived by this file")
    parser.add_argument("--out", type=Path, metavar="FILE", help="write each outcome here, a JSON line each")
    parser.add_argument("--budget", type=float, default=40.0, help="seconds of tests a mutant, at most")
    parser.add_argument("--jobs", type=int, default=1, help="processes at once")
    parser.add_argument("--work", type=Path, default=Path(tempfile.gettempdir()) / "tickproof-mutation")
    return parser.parse_args()


def _measure(kept: Path, tests: Sequence[str]) -> None:
    new = coverage_map.measured(ROOT, tests or coverage_map.TESTS)
    if tests and kept.exists():
        new = coverage_map.joined(coverage_map.read(kept), new)
    coverage_map.write(kept, new)
    print(f"{len(new.seconds)} tests, {sum(new.seconds.values()):.0f} s")


def _chosen(arguments: argparse.Namespace, sites: Sequence[Mutant]) -> list[Mutant]:
    if arguments.again is None:
        placed = [mutant for mutant in sites if mutant.key.startswith(arguments.only)]
        return drawn(placed, arguments.sample, Random(arguments.seed))
    outcomes = [json.loads(line) for line in arguments.again.read_text().splitlines()]
    survived = {outcome["key"] for outcome in outcomes if not outcome["killed"]}
    return [mutant for mutant in sites if mutant.key in survived]


def _try(
    chosen: Sequence[Mutant], measurement: coverage_map.Map, arguments: argparse.Namespace, log: Log
) -> None:
    extents = measurement.extents()
    anew: list[Job] = []
    swapped: list[Job] = []
    for mutant in chosen:
        task, at_import = job(mutant, measurement, extents, arguments.budget)
        if task.tests:
            (anew if at_import else swapped).append(task)
        else:
            log(Outcome(mutant, False, "no test runs it"))
    forks = Forks(arguments.work, arguments.jobs, log)
    imported_anew(ROOT, anew, forks)
    if swapped:
        files = {test.partition("::")[0] for task in swapped for test in task.tests}
        swapped_in(ROOT, swapped, sorted(files), forks)


if __name__ == "__main__":
    sys.exit(main())
