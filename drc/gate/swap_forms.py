"""What a swap compares, by its three forms: two netlists or folders, two revisions, a list of parts."""

import os
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from drc.circuit.model import SourceFile
from drc.gate.project import Project, Request, open_project
from drc.gate.refusal import named_bytes, refused
from drc.gate.search import find_boards
from drc.gate.swap_list import Replacement, read_swap_list
from drc.gate.swap_side import read_from
from drc.gate.tree import DISK, Tree, tree_at
from drc.outcome import Alone
from drc.report.text import counted
from drc.trouble import InputError


class SwapRequest(NamedTuple):
    """What a swap is asked for: the paths are in `request`; one of `between` and `replace`, or neither.

    `bom_after` is the bill of materials of the board after, where that is another.
    """

    request: Request
    between: tuple[str, str] | None = None
    replace: str | None = None
    bom_after: str | None = None


class Twins(NamedTuple):
    """A board before and after, where each is read; `after` is None where a list's parts are to be put in."""

    before: Path
    after: Path | None


class Swap(NamedTuple):
    """What is compared: projects of both sides, boards in pairs and alone, and the rows of a list."""

    before: Project
    after: Project
    twins: tuple[Twins, ...]
    swapped: str
    alone: tuple[Alone, ...] = ()
    rows: tuple[Replacement, ...] = ()
    inputs: tuple[SourceFile, ...] = ()


def open_swap(asked: SwapRequest) -> Swap:
    """Everything that a swap names, read and checked. InputError for what is wrong."""
    if asked.replace is not None and asked.between is not None:
        raise refused("swap", "found --replace and --between, expected one of them")
    if asked.bom_after is not None and (asked.replace is not None or asked.between is not None):
        raise refused("--bom-after", "is about AFTER, and there is none: leave it out")
    if asked.replace is not None:
        return _by_list(asked, asked.replace)
    return _between_revisions(asked, *asked.between) if asked.between else _of_two(asked)


def _by_list(asked: SwapRequest, name: str) -> Swap:
    """Boards as they are, and with a list's parts on them."""
    path = Path(name).absolute()
    if not os.path.isfile(path):
        raise refused(name, "no such file: expected a list of replacements, CSV")
    project = open_project(asked.request)
    shown = project.shown(path)
    rows = read_swap_list(path, shown)
    source = SourceFile(shown, "swap list", sha256(named_bytes(path, DISK.paper)).hexdigest())
    twins = tuple(Twins(board, None) for board in project.boards)
    swapped = f"parts replaced by {shown}"
    return Swap(project, project, twins, swapped, rows=rows, inputs=(*project.inputs, source))


def _of_two(asked: SwapRequest) -> Swap:
    """Two netlists, or the netlists of two folders by their paths within."""
    request = asked.request
    if len(request.paths) != 2:
        found = counted(len(request.paths), "path")
        message = f"found {found}, expected BEFORE and AFTER, or --replace FILE, or --between REV REV"
        raise refused("swap", message)
    old, new = (Path(path).absolute() for path in request.paths)
    if os.path.isdir(old) != os.path.isdir(new):
        raise refused(str(new), f"{old.name} and {new.name} are a folder and a file: expected two of a kind")
    project = open_project(request._replace(intent=None, bom=None))
    before = _with_papers(project, request.intent, request.bom)
    after = _with_papers(project, request.intent, asked.bom_after or request.bom)
    shown = f"{project.shown(old)} to {project.shown(new)}"
    inputs = tuple(dict.fromkeys([*before.inputs, *after.inputs]))
    if not os.path.isdir(old):
        return Swap(before, after, (Twins(old, new),), shown, inputs=inputs)
    olds, news = ({board.relative_to(top): board for board in find_boards([top])} for top in (old, new))
    twins = tuple(Twins(board, news[name]) for name, board in olds.items() if name in news)
    alone = [Alone(project.shown(board), "before") for name, board in olds.items() if name not in news]
    alone += [Alone(project.shown(board), "after") for name, board in news.items() if name not in olds]
    if not twins:
        raise refused(str(new), f"no board lies in it at the same path as one of {old.name}")
    return Swap(before, after, twins, shown, tuple(alone), inputs=inputs)


def _between_revisions(asked: SwapRequest, old: str, new: str) -> Swap:
    """Boards as they were at two revisions; settings, parts and rules as at the later one for both."""
    request = asked.request
    paths = [Path(path).absolute() for path in request.paths] or [Path.cwd()]
    trees = tree_at(old, paths), tree_at(new, paths)
    olds, news = (_boards_at(tree, paths) for tree in trees)
    if not olds and not news:
        wanted = ", ".join(map(str, request.paths)) or str(Path.cwd())
        raise refused(wanted, f"no netlist there{trees[0].described}, nor{trees[1].described}")
    opened = new if news else old
    project = open_project(request._replace(paths=list(news or olds), revision=opened, touched=None))
    alone = [Alone(project.shown(board), "before") for board in olds if board not in news]
    alone += [Alone(project.shown(board), "after") for board in news if board not in olds]
    before, after = (read_from(project, tree) for tree in trees)
    twins = tuple(Twins(board, board) for board in olds if board in news)
    shown = f"{old or 'what is staged'} to {new or 'what is staged'}"
    return Swap(before, after, twins, shown, tuple(alone), inputs=project.inputs)


def _boards_at(tree: Tree, paths: Sequence[Path]) -> dict[Path, None]:
    """The boards that a tree has of what is named."""
    found: dict[Path, None] = {}
    for path in paths:
        try:
            found.update(dict.fromkeys(find_boards([path], tree)))
        except InputError:
            continue
    return found


def _with_papers(project: Project, intent: object, bom: object) -> Project:
    """The project with an intent file and a bill of materials named."""
    files = {kind: Path(str(name)).absolute() for kind, name in (("intent", intent), ("bom", bom)) if name}
    for kind, path in files.items():
        if not os.path.isfile(path):
            raise refused(
                str(path),
                f"no such file: expected {'an intent file' if kind == 'intent' else 'a bill of materials'}",
            )
    sources = (
        SourceFile(project.shown(path), kind, sha256(named_bytes(path, DISK.paper)).hexdigest())
        for kind, path in files.items()
    )
    project = project._replace(
        intent=files.get("intent"), bom=files.get("bom"), inputs=(*project.inputs, *sources)
    )
    return read_from(project, project.tree)
