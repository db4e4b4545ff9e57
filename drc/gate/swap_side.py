"""One side of a swap: a board read and judged, under what is stated of another where that is wanted."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NamedTuple

from drc.blocks.find import find_blocks
from drc.circuit.model import Circuit
from drc.facts.book import Book
from drc.facts.catalogue import open_book
from drc.gate.pipeline import bench_of, found_on, rounded_finding
from drc.gate.project import Materials, Project
from drc.gate.rulings import rule_on
from drc.gate.statements import stated
from drc.gate.tree import Tree
from drc.intent.model import Intent
from drc.judge.assess import assess
from drc.judge.model import Assessment
from drc.netlist.material_list import read_materials
from drc.netlist.read import read_circuit
from drc.netlist.source import decode
from drc.outcome import BoardOutcome
from drc.repair.trial import Bench


class Side(NamedTuple):
    """A board as it stands before or after a swap, all that is known of it, and what the gate makes of it."""

    path: Path
    project: Project
    bench: Bench
    intent: Intent
    book: Book
    judged: Assessment
    outcome: BoardOutcome


Stating = Callable[[Circuit, Intent], Intent]
"""Gives what is stated of a circuit, out of the circuit and what is stated in its own files."""


class EditedTree(Tree):
    """The files of a tree with some of them changed, by their resolved paths."""

    def __init__(self, under: Tree, changed: Mapping[Path, bytes]) -> None:
        self.under, self.changed = under, changed
        self.described = under.described

    def read(self, path: Path) -> bytes:
        """See above."""
        found = self.changed.get(path.resolve())
        return self.under.read(path) if found is None else found

    def is_file(self, path: Path) -> bool:
        """See above."""
        return self.under.is_file(path)


def side_of(path: Path, project: Project, stating: Stating | None = None) -> Side:
    """A board read and judged; `stating` None: under its own statements. InputError if it is unreadable."""
    bench = bench_of(path, project)
    circuit = read_circuit(path, project.root, project.reading)
    intent, sources = stated(circuit, path, project)
    if stating is not None:
        intent, sources = stating(circuit, intent), ()
        own = bench.stated
        bench = bench._replace(stated=lambda circuit, source: stating(circuit, own(circuit, source)))
    book = open_book(find_blocks(circuit, project.parts), intent, project.facts)
    judged = assess(book, project.rules)
    rulings = rule_on([rounded_finding(finding) for finding in judged.findings], intent, project.date)
    outcome = found_on(circuit, path, book, project)._replace(
        rulings=rulings, tally=judged.tally, inputs=(*circuit.files, *sources)
    )
    return Side(path, project, bench, intent, book, judged, outcome)


def read_from(project: Project, tree: Tree) -> Project:
    """The project with its boards, statements and bill of materials read from a tree."""
    reading = project.reading._replace(source=tree.read, is_file=tree.is_file)
    project = project._replace(tree=tree, reading=reading)
    if project.bom is None:
        return project
    source = decode(tree.read(project.bom), project.shown(project.bom))
    materials = Materials(*read_materials(source, reading.columns))
    parts = {name: each.part for name, each in materials.by_element.items() if each.part}
    return project._replace(
        materials=materials,
        reading=reading._replace(parts=parts),
        facts=project.facts._replace(materials=materials.by_element),
    )


def edited_project(project: Project, changed: Mapping[Path, bytes]) -> Project:
    """The project with some of its files changed."""
    return read_from(project, EditedTree(project.tree, changed))
