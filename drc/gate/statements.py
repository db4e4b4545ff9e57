"""The statements about one board: from the file beside it (or the one named), then from its own netlist."""

from hashlib import sha256
from pathlib import Path

from drc.circuit.model import Circuit, SourceFile
from drc.gate.project import Materials, Project
from drc.gate.search import SUFFIXES
from drc.intent.model import Intent
from drc.intent.read import join, read_annotations, read_statements
from drc.trouble import Place, Trouble

SUFFIX = ".intent"


def stated(circuit: Circuit, board: Path, project: Project) -> tuple[Intent, tuple[SourceFile, ...]]:
    """Everything that is stated about a board, and the files it stands in."""
    own = read_annotations(circuit.annotations)
    if project.materials is not None:
        own = join(Intent((), _of_materials(circuit, project.materials)), own)
    beside, shared = (project.intent, False) if project.intent else file_beside(board)
    if beside is None:
        return own, ()
    shown = project.shown(beside)
    if shared:
        trouble = Trouble("intent", "warning", Place(shown), _shared(board, beside))
        return join(Intent((), (trouble,)), own), ()
    try:
        data = beside.read_bytes()
        text = data.decode("utf-8")
    except OSError as error:
        return join(Intent((), (_unread(shown, f"cannot be read: {error.strerror}"),)), own), ()
    except UnicodeDecodeError:
        return join(Intent((), (_unread(shown, "is not UTF-8 text: none of it was heeded"),)), own), ()
    source = SourceFile(shown, "intent", sha256(data).hexdigest())
    return join(read_statements(text, shown), own), (source,)


def _of_materials(circuit: Circuit, materials: Materials) -> tuple[Trouble, ...]:
    """What of the bill of materials is unread, and where it disagrees with the netlist."""
    from drc.netlist.material_list import disagreements  # most runs have no bill of materials

    return (*materials.troubles, *disagreements(circuit, materials.by_element))


def file_beside(board: Path) -> tuple[Path | None, bool]:
    """The intent file that belongs to a board, and whether another board could claim it as well.

    `lamp.cir` takes `lamp.cir.intent`, else `lamp.intent`; the latter belongs to nobody where two boards
    of a folder share the stem.
    """
    own = board.with_name(board.name + SUFFIX)
    if own.is_file():
        return own, False
    by_stem = board.with_suffix(SUFFIX)
    if not by_stem.is_file():
        return None, False
    namesakes = [board.with_suffix(suffix) for suffix in SUFFIXES]
    return by_stem, any(path != board and path.is_file() for path in namesakes)


def _shared(board: Path, beside: Path) -> str:
    return (
        f"{beside.name} could belong to several boards here and was not heeded: "
        f"name it {board.name}{SUFFIX} if it is about {board.name}"
    )


def _unread(path: str, message: str) -> Trouble:
    return Trouble("intent", "error", Place(path), message)
