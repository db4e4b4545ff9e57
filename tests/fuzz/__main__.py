"""`python -m tests.fuzz --mutants N --seed S`: mutated inputs of every kind through the command, and a table.

Exit code 1 where one of them broke something: a traceback or a bug told as such, over 5 s, or over 500 MiB.
"""

import argparse
import sys
from collections import defaultdict
from pathlib import Path
from random import Random
from time import monotonic

from tests.fuzz.seeds import KINDS, SHARES
from tests.fuzz.trial import SECONDS, made
from tests.fuzz.workers import Done, run

MEMORY = 500 * 1024**2
"""Bytes above which a run counts as taking too much."""


class Row:
    """The counts of one kind of input."""

    def __init__(self) -> None:
        self.mutants = self.told = self.parsed = self.taken = self.broken = self.slow = self.large = 0
        self.peak, self.longest, self.seconds = 0, 0.0, 0.0

    def count(self, done: Done) -> bool:
        """Takes a mutant in; whether it broke something."""
        outcome = done.outcome
        slow = outcome.wrong.startswith("over ") or done.seconds > SECONDS
        large = done.bytes > MEMORY
        self.mutants += 1
        self.told += outcome.parsed is not None
        self.parsed += bool(outcome.parsed)
        self.taken += outcome.code in (0, 1)
        self.slow += slow
        self.large += large
        self.broken += bool(outcome.wrong) and not slow
        self.seconds += done.seconds
        self.peak, self.longest = max(self.peak, done.bytes), max(self.longest, done.seconds)
        return bool(outcome.wrong) or slow or large


def table(rows: dict[str, Row]) -> str:
    """The counts, a line a kind."""
    names = ("input", "mutants", "taken", "parsed", "broken", "over 5 s", "mean", "slowest", "peak")
    widths = (-18, 9, 8, 8, 8, 10, 9, 9, 10)
    head = "".join(f"{n:<{-w}}" if w < 0 else f"{n:>{w}}" for n, w in zip(names, widths, strict=True))
    lines = [head]
    for kind, row in sorted(rows.items()):
        taken, parsed = row.taken / max(row.mutants, 1), row.parsed / max(row.told, 1)
        lines.append(
            f"{kind:<18}{row.mutants:>9}{taken:>8.1%}{parsed:>8.1%}{row.broken:>8}{row.slow:>10}"
            f"{1000 * row.seconds / row.mutants:>6.1f} ms{row.longest:>7.2f} s{row.peak / 1024**2:>6.0f} MiB"
        )
    return "\n".join(lines)


def main() -> int:
    """Runs what is asked for. 1 if something broke."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("--mutants", type=int, default=900, help="how many in all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--slice", type=int, default=0, dest="first", help="the next so many, by number")
    parser.add_argument("--kind", action="append", choices=KINDS, help="only these (default: all)")
    parser.add_argument("--seconds", type=float, default=1e9, help="stop then, whatever is left")
    parser.add_argument("--keep", type=Path, help="folder for the inputs that broke something")
    asked = parser.parse_args()
    kinds = asked.kind or KINDS
    whole = sum(SHARES[kind] for kind in kinds)
    work = []
    for kind in kinds:
        number = max(1, round(asked.mutants * SHARES[kind] / whole))
        work += [(kind, n) for n in range(asked.first * number, (asked.first + 1) * number)]
    rows: dict[str, Row] = defaultdict(Row)
    broken: dict[str, list[Done]] = defaultdict(list)
    Random(asked.seed).shuffle(work)
    end = monotonic() + asked.seconds
    for done in run(work, asked.seed):
        if rows[done.kind].count(done):
            broken[sign(done)].append(done)
            if asked.keep is not None:
                keep(asked.keep, done, asked.seed)
        if monotonic() > end:
            break
    for told, dones in broken.items():
        print(f"{len(dones)} times, first {dones[0].kind} {dones[0].number}: {told[:400]}")
    print(table(rows))
    return 1 if broken else 0


def sign(done: Done) -> str:
    """What is wrong, without what differs from one mutant to the next of a kind."""
    return done.outcome.wrong.rpartition(": ")[0] or f"{done.seconds:.0f} s, {done.bytes / 1024**2:.0f} MiB"


def keep(folder: Path, done: Done, seed: int) -> None:
    """Writes a mutant to a folder, and beside it what it broke."""
    folder.mkdir(parents=True, exist_ok=True)
    name = f"{done.kind.replace(' ', '-')}-{seed}-{done.number}"
    (folder / name).write_bytes(made(done.kind, seed, done.number)[0])
    (folder / f"{name}.txt").write_text(f"{done.outcome.wrong}\n", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
