"""Mending: remedies applied one after another, each followed by a new review, until none is left to apply."""

from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from drc.judge.assess import assess
from drc.judge.model import Assessment, Finding, Remedy
from drc.repair.remedies import EFFORT, Spoiler, search
from drc.repair.trial import Bench, changed_files

ROUNDS = 30
"""The most remedies that are applied to one board."""


class Step(NamedTuple):
    """A finding, and the remedy that was applied for it."""

    finding: Finding
    remedy: Remedy


class Refusal(NamedTuple):
    """A finding that an edit would clear, were it not for what the edit does elsewhere."""

    finding: Finding
    spoiler: Spoiler


class Mending(NamedTuple):
    """What was done, what is refused and why, the files' bytes before and after, and the last review."""

    steps: tuple[Step, ...]
    refusals: tuple[Refusal, ...]
    before: Mapping[Path, bytes]
    after: Mapping[Path, bytes]
    left: Assessment


def mend(bench: Bench) -> Mending:
    """Applies the first remedy of the gravest finding that has one, reviews again, and goes on."""
    steps: list[Step] = []
    before: dict[Path, bytes] = {}
    start, effort = bench, EFFORT
    while True:
        step, refusals, left, spent = _next(bench, effort)
        effort -= spent
        if step is None or len(steps) == ROUNDS:
            break
        for path in changed_files(bench, step.remedy.edits):
            before.setdefault(path, start.reading.source(path))
        bench = bench.edited(step.remedy.edits)
        steps.append(step)
    after = {path: bench.reading.source(path) for path in before}
    return Mending(tuple(steps), refusals, before, after, left)


def _next(bench: Bench, effort: float) -> tuple[Step | None, tuple[Refusal, ...], Assessment, float]:
    """The next remedy to apply, what is refused if there is none, the review as it stands, what was spent."""
    book = bench.book()
    judged = assess(book, bench.rules)
    refusals: list[Refusal] = []
    spent = 0.0
    for finding in judged.findings:
        if finding.level == "note":
            continue
        found = search(book, finding, judged, bench, effort - spent)
        spent += found.spent
        if found.remedies:
            return Step(finding, found.remedies[0]), (), judged, spent
        refusals += [Refusal(finding, spoiler) for spoiler in found.spoilers[:1]]
    return None, tuple(refusals), judged, spent
