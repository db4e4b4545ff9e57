"""A trial: the same board with some text edited, read anew and judged by the same rules.

Edits name source text, so a change in a shared subcircuit reaches every instance, as it would on paper.
"""

import os
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from drc.blocks.find import find_blocks
from drc.blocks.model import Parts
from drc.circuit.material import Material
from drc.circuit.model import Circuit
from drc.facts.book import Book
from drc.facts.catalogue import open_book
from drc.facts.options import FactOptions
from drc.intent.model import Intent
from drc.judge.assess import assess
from drc.judge.model import Assessment, Edit, Finding, TallyEntry
from drc.judge.rule import RuleBook
from drc.netlist.edit import edited
from drc.netlist.material_list import read_materials
from drc.netlist.options import ReadOptions
from drc.netlist.read import read_circuit
from drc.netlist.source import decode
from drc.repair.pool import Pool

_GRAVITY = {"not-applicable": 0, "pass": 0, "unproven": 1, "at-risk": 2, "fail": 3}


Source = Callable[[Path], bytes]
"""Gives the bytes of a file."""


class Bench(NamedTuple):
    """All that a board is reviewed under, so that a trial is reviewed under the same.

    `stated` gives the statements about a circuit out of files' bytes, and `bom` is the bill of materials:
    both are read anew for each trial. `pool` is where new values come from.
    """

    path: Path
    root: Path
    reading: ReadOptions
    parts: Parts
    stated: Callable[[Circuit, Source], Intent]
    options: FactOptions
    rules: RuleBook
    bom: Path | None = None
    pool: Pool = Pool()

    def book(self) -> Book:
        """The Book of the board as its files stand on this bench."""
        circuit = read_circuit(self.path, self.root, self.reading)
        options = self.options._replace(materials=self._materials())
        return open_book(find_blocks(circuit, self.parts), self.stated(circuit, self.reading.source), options)

    def _materials(self) -> Mapping[str, Material]:
        """What the bill of materials says, as its text stands on this bench."""
        if self.bom is None:
            return self.options.materials
        shown = Path(os.path.relpath(self.bom, self.root)).as_posix()
        source = decode(self.reading.source(self.bom), shown)
        return read_materials(source, self.reading.columns)[0]

    def edited(self, edits: Sequence[Edit]) -> "Bench":
        """The bench with the edits made in a copy of the files' text."""
        changed = changed_files(self, edits)
        source = self.reading.source
        overlay = self.reading._replace(source=lambda path: changed.get(path) or source(path))
        return self._replace(reading=overlay)


def changed_files(bench: Bench, edits: Sequence[Edit]) -> dict[Path, bytes]:
    """The bytes of every file that the edits touch, changed in those characters alone."""
    by_file: dict[Path, list[Edit]] = {}
    for edit in edits:
        by_file.setdefault((bench.root / edit.token.path).resolve(), []).append(edit)
    return {
        path: edited(bench.reading.source(path), [(edit.token, edit.new) for edit in group])
        for path, group in by_file.items()
    }


def tried(bench: Bench, edits: Sequence[Edit], finding: Finding) -> Assessment | None:
    """The assessment of the board with the edits made; None where they do not clear the finding.

    Its own rule is judged first: most edits fail there, and a board of many blocks takes long to judge.
    Raises InputError where the board can no longer be read.
    """
    after = bench.edited(edits)
    book = after.book()
    own = tuple(rule for rule in after.rules.rules if rule.name == finding.rule)
    if not clears(assess(book, after.rules._replace(rules=own)), finding):
        return None
    return assess(book, after.rules)


def worse(before: Assessment, after: Assessment) -> tuple[TallyEntry, ...]:
    """The verdicts that are graver than before, whatever they are about; notes do not count.

    A rule may speak of a subject more than once, of a block once for each statement: the gravest verdict is
    then held against the gravest of before, the next against the next.
    """
    old = _by_subject(before)
    notes = {(f.rule, f.subject) for f in after.findings if f.level == "note"}
    found: list[TallyEntry] = []
    for about, entries in _by_subject(after).items():
        was = [_GRAVITY[entry.verdict] for entry in old.get(about, ())]
        was += [0] * (len(entries) - len(was))
        graver = (e for e, past in zip(entries, was, strict=False) if _GRAVITY[e.verdict] > past)
        found += [] if about in notes else graver
    return tuple(found)


def _by_subject(assessment: Assessment) -> dict[tuple[str, str], list[TallyEntry]]:
    """The verdicts by rule and subject, gravest first."""
    found: dict[tuple[str, str], list[TallyEntry]] = {}
    for entry in sorted(assessment.tally, key=lambda entry: -_GRAVITY[entry.verdict]):
        found.setdefault((entry.rule, entry.subject), []).append(entry)
    return found


def clears(after: Assessment, finding: Finding) -> bool:
    """Whether the rule passes on what it found fault with; a line that was at fault need only be gone."""
    about = (finding.rule, finding.subject)
    verdicts = [entry.verdict for entry in after.tally if (entry.rule, entry.subject) == about]
    return all(verdict == "pass" for verdict in verdicts) if verdicts else finding.block is None
