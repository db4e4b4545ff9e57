"""The bill of materials of one board: the one named for a run, else the one that lies beside the board."""

from hashlib import sha256
from pathlib import Path

from drc.circuit.model import SourceFile
from drc.gate.project import Materials, Project
from drc.gate.refusal import named_bytes
from drc.gate.search import bill_beside


def of_board(board: Path, project: Project) -> Project:
    """The project as one board sees it, with the bill of materials beside it where none is named.

    InputError where a file of that name is no bill of materials.
    """
    if project.bom is not None:
        return project
    beside = bill_beside(board)
    return with_bill(beside, project) if project.tree.is_file(beside) else project


def with_bill(path: Path, project: Project) -> Project:
    """The project with a bill of materials, read from its tree. InputError where the file is none."""
    from drc.netlist.material_list import read_materials  # most boards have none
    from drc.netlist.source import decode

    data, shown = named_bytes(path, project.tree.paper), project.shown(path)
    beside = None if project.bom == path else SourceFile(shown, "bom", sha256(data).hexdigest())
    materials = Materials(*read_materials(decode(data, shown), project.reading.columns), beside)
    parts = {name: each.part for name, each in materials.by_element.items() if each.part}
    return project._replace(
        bom=path,
        materials=materials,
        reading=project.reading._replace(parts=parts),
        facts=project.facts._replace(materials=materials.by_element),
    )
