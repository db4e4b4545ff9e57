"""One side of a swap: a board read and judged, under what is stated of another where that is wanted."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NamedTuple

from drc.blocks.find import find_blocks
from drc.blocks.model import Board
from drc.bounded import LARGEST
from drc.facts.book import Book
from drc.facts.catalogue import open_book
from drc.gate.materials import of_board, with_bill
from drc.gate.pipeline import bench_of, found_on, rounded_finding
from drc.gate.project import Project
from drc.gate.rulings import rule_on
from drc.gate.statements import stated
from drc.gate.tree import Tree
from drc.intent.model import Intent
from drc.judge.assess import assess
from drc.judge.model import Assessment
from drc.netlist.read import read_circuit
from drc.outcome import BoardOutcome
from drc.repair.trial import Bench
from drc.trouble import Trouble


class Side(NamedTuple):
    """A board as it stands before or after a swap, all that is known of it, and what the gate makes of it."""

    path: Path
    project: Project
    bench: Bench
    intent: Intent
    book: Book
    judged: Assessment
    outcome: BoardOutcome

    @property
    def stated(self) -> Intent:
        """What is stated of it, without what its bill of materials has to do with it."""
        troubles = (each for each in self.intent.troubles if not _of_bill(each, self.project))
        return self.intent._replace(troubles=tuple(troubles))


Stating = Callable[[Board, Intent], Intent]
"""Gives what is asked of a board, out of the board and what its own files state."""


class EditedTree(Tree):
    """The files of a tree with some of them changed, by their resolved paths."""

    def __init__(self, under: Tree, changed: Mapping[Path, bytes]) -> None:
        self.under, self.changed = under, changed
        self.described = under.described

    def read(self, path: Path, largest: int = LARGEST) -> bytes:
        """See above."""
        found = self.changed.get(path.resolve())
        return self.under.read(path, largest) if found is None else found

    def is_file(self, path: Path) -> bool:
        """See above."""
        return self.under.is_file(path)


def side_of(path: Path, project: Project, stating: Stating | None = None) -> Side:
    """A board read and judged; `stating` None: under its own statements. InputError if it is unreadable."""
    project = of_board(path, project)
    circuit = read_circuit(path, project.root, project.reading)
    board = find_blocks(circuit, project.parts)
    intent, sources = stated(circuit, path, project)
    bench = bench_of(path, project)
    if stating is not None:
        bill = tuple(trouble for trouble in intent.troubles if _of_bill(trouble, project))
        asked = stating(board, intent)
        intent, sources = asked._replace(troubles=(*asked.troubles, *bill)), ()
        bench = bench._replace(stated=lambda *_: intent)
    book = open_book(board, intent, project.facts)
    judged = assess(book, project.rules)
    rulings = rule_on([rounded_finding(finding) for finding in judged.findings], intent, project.date)
    outcome = found_on(circuit, path, book, project)._replace(
        rulings=rulings, tally=judged.tally, inputs=(*circuit.files, *sources)
    )
    return Side(path, project, bench, intent, book, judged, outcome)


def _of_bill(trouble: Trouble, project: Project) -> bool:
    """Whether a trouble stands in the bill of materials."""
    return project.bom is not None and trouble.place.path == project.shown(project.bom)


def read_from(project: Project, tree: Tree) -> Project:
    """The project with its boards, statements and bill of materials read from a tree."""
    reading = project.reading._replace(source=tree.read, is_file=tree.is_file)
    project = project._replace(tree=tree, reading=reading)
    return project if project.bom is None else with_bill(project.bom, project)


def edited_project(project: Project, changed: Mapping[Path, bytes]) -> Project:
    """The project with some of its files changed."""
    return read_from(project, EditedTree(project.tree, changed))
