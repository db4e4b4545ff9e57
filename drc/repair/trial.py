"""A trial: the same board with some text edited, read anew and judged by the same rules.

Edits name source text, so a change in a shared subcircuit reaches every instance, as it would on paper.
"""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from drc.blocks.find import find_blocks
from drc.blocks.model import Parts
from drc.facts.book import Book
from drc.facts.options import FactOptions
from drc.intent.model import Intent
from drc.judge.assess import assess
from drc.judge.model import Assessment, Edit
from drc.judge.rule import RuleBook
from drc.netlist.edit import edited
from drc.netlist.options import ReadOptions
from drc.netlist.read import read_circuit

_GRAVITY = {"not-applicable": 0, "pass": 0, "unproven": 1, "at-risk": 2, "fail": 3}


class Bench(NamedTuple):
    """All that a board is reviewed under, so that a trial is reviewed under the same.

    `book_of` makes the Book of edited text: statements and bills of materials may have changed with it.
    """

    path: Path
    root: Path
    reading: ReadOptions
    parts: Parts
    intent: Intent
    options: FactOptions
    rules: RuleBook

    def book(self, changed: Mapping[Path, bytes]) -> Book:
        """The Book of the board with some files' bytes replaced."""
        reading = self.reading._replace(source=_overlay(self.reading.source, changed))
        board = find_blocks(read_circuit(self.path, self.root, reading), self.parts)
        return Book(board, self.intent, self.options)


def changed_files(bench: Bench, edits: Sequence[Edit]) -> dict[Path, bytes]:
    """The bytes of every file that the edits touch, changed in those characters alone."""
    by_file: dict[Path, list[Edit]] = {}
    for edit in edits:
        by_file.setdefault((bench.root / edit.token.path).resolve(), []).append(edit)
    return {
        path: edited(bench.reading.source(path), [(edit.token, edit.new) for edit in group])
        for path, group in by_file.items()
    }


def tried(bench: Bench, edits: Sequence[Edit]) -> Assessment:
    """The assessment of the board with the edits made. Raises InputError where it can no longer be read."""
    return assess(bench.book(changed_files(bench, edits)), bench.rules)


def no_worse(before: Assessment, after: Assessment) -> bool:
    """Whether no rule gives a graver verdict on anything than before."""
    old = {(entry.rule, entry.subject): _GRAVITY[entry.verdict] for entry in before.tally}
    return all(
        _GRAVITY[entry.verdict] <= old.get((entry.rule, entry.subject), 0) for entry in after.tally
    ) and _levels(after) <= _levels(before)


def _levels(assessment: Assessment) -> int:
    """How many findings are errors."""
    return sum(finding.level == "error" for finding in assessment.findings)


def clears(after: Assessment, rule: str, subject: str) -> bool:
    """Whether a rule passes on a subject."""
    verdicts = [e.verdict for e in after.tally if (e.rule, e.subject) == (rule, subject)]
    return bool(verdicts) and all(verdict == "pass" for verdict in verdicts)


def _overlay(source: Callable[[Path], bytes], changed: Mapping[Path, bytes]) -> Callable[[Path], bytes]:
    """A source of bytes that gives the changed ones first."""
    return lambda path: changed[path] if path in changed else source(path)
