"""The statements about one board: from the file beside it (or the one named), then from its own netlist."""

from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

from drc.circuit.model import Circuit, SourceFile
from drc.gate.project import Materials, Project
from drc.gate.search import INTENT_SUFFIX, file_beside
from drc.intent.model import Intent
from drc.intent.read import join, read_annotations, read_statements
from drc.trouble import Place, Trouble


def stated(
    circuit: Circuit, board: Path, project: Project, source: Callable[[Path], bytes] | None = None
) -> tuple[Intent, tuple[SourceFile, ...]]:
    """Everything that is stated about a board, and the files of its own that it stands in.

    `source` gives their bytes where they were edited.
    """
    own = read_annotations(circuit.annotations)
    files: tuple[SourceFile, ...] = ()
    if project.materials is not None:
        own = join(Intent((), _of_materials(circuit, project.materials)), own)
        files = () if project.materials.beside is None else (project.materials.beside,)
    beside, shared = (project.intent, False) if project.intent else file_beside(board, project.tree)
    if beside is None:
        return own, files
    shown = project.shown(beside)
    if shared:
        trouble = Trouble("intent", "warning", Place(shown), _shared(board, beside))
        return join(Intent((), (trouble,)), own), files
    try:
        data = (source or project.tree.paper)(beside)
        text = data.decode("utf-8")
    except OSError as error:
        return join(Intent((), (_unread(shown, f"cannot be read: {error.strerror}"),)), own), files
    except UnicodeDecodeError:
        return join(Intent((), (_unread(shown, "is not UTF-8 text: none of it was heeded"),)), own), files
    read = SourceFile(shown, "intent", sha256(data).hexdigest())
    return join(read_statements(text, shown), own), (*files, read)


def _of_materials(circuit: Circuit, materials: Materials) -> tuple[Trouble, ...]:
    """What of the bill of materials is unread, and where it disagrees with the netlist."""
    from drc.netlist.material_list import disagreements  # most runs have no bill of materials

    return (*materials.troubles, *disagreements(circuit, materials.by_element))


def _shared(board: Path, beside: Path) -> str:
    return (
        f"{beside.name} could belong to several boards here and was not heeded: "
        f"name it {board.name}{INTENT_SUFFIX} if it is about {board.name}"
    )


def _unread(path: str, message: str) -> Trouble:
    return Trouble("intent", "error", Place(path), message)
