"""Which files a review is about: named boards, folders searched for netlists, the project root."""

import os
import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from drc.gate.refusal import refused
from drc.gate.tree import DISK, Tree
from drc.trouble import InputError, Trouble

SUFFIXES = (".cir", ".ckt", ".cdl", ".net", ".sp", ".spi", ".spice", ".edf", ".edif", ".edn")
"""The suffixes under which netlists are usually written (common practice, no source)."""

INTENT_SUFFIX = ".intent"
BILL_SUFFIX = ".bom.csv"
SETTINGS_NAME = "tickproof.toml"

_INCLUDE = re.compile(
    rb"^[ \t]*\.(?:include|inc|lib)[ \t]+(?:\"([^\"\r\n]+)\"|'([^'\r\n]+)'|([^\s;]+))", re.I | re.M
)


def find_upward(name: str, start: Path, tree: Tree = DISK) -> Path | None:
    """The nearest `name` in `start` (a folder) or in one above it."""
    for folder in (start, *start.parents):
        if tree.exists(folder / name):
            return folder / name
    return None


def project_root(paths: Sequence[Path], settings: Path | None, tree: Tree = DISK) -> Path:
    """The folder that reported paths are relative to, and that includes must stay under.

    The folder of the settings file; else the nearest one above the boards that is under version control;
    else the folder the command runs in, if all boards lie below it; else the boards' common folder.
    """
    if settings is not None:
        return settings.parent
    folders = [path if tree.is_dir(path) else path.parent for path in paths] or [Path.cwd()]
    common = Path(os.path.commonpath([str(folder) for folder in folders]))
    kept = find_upward(".git", common)
    if kept is not None:
        return kept.parent
    here = Path.cwd().resolve()
    return here if common.is_relative_to(here) else common


def find_boards(paths: Iterable[Path], tree: Tree = DISK) -> tuple[Path, ...]:
    """The boards that the named files and folders hold, each once, in the order named.

    InputError where a path does not exist, or a folder holds no netlist.
    """
    found: dict[Path, None] = {}
    troubles: list[Trouble] = []
    for path in paths:
        try:
            found.update(dict.fromkeys(_boards_of(path, tree)))
        except InputError as error:
            troubles += error.troubles
    if troubles:
        raise InputError(*troubles)
    return tuple(found)


def _boards_of(path: Path, tree: Tree) -> list[Path]:
    """The boards of one named path."""
    if tree.is_dir(path):
        boards = netlists_below(path, tree)
        if not boards:
            expected = f"expected files ending in {', '.join(SUFFIXES)}"
            raise refused(str(path), f"no netlist in this folder{tree.described}: {expected}")
        return boards
    if not tree.exists(path):
        hint = "check the spelling, paths are relative to where you stand"
        raise refused(str(path), f"no such file or folder{tree.described}: {hint}")
    if not tree.is_file(path):
        raise refused(str(path), "neither a file nor a folder: expected a netlist")
    return [path]


def netlists_below(folder: Path, tree: Tree) -> list[Path]:
    """Netlists below a folder, sorted; hidden ones and those that another one includes left out."""
    netlists = [path for path in tree.below(folder) if path.name.lower().endswith(SUFFIXES)]
    netlists.sort(key=lambda path: path.parts)
    inner = {target for path in netlists for target in included(path, tree=tree)}
    return [path for path in netlists if path not in inner]


def included(path: Path, roots: Iterable[Path] = (), tree: Tree = DISK) -> set[Path]:
    """The files that a netlist's include cards may mean: beside it, or below one of `roots`.

    Nothing from a file that cannot be read here; whether a file is there is not asked.
    """
    try:
        text = tree.read(path)
    except OSError:
        return set()
    names = (next(filter(None, match.groups())) for match in _INCLUDE.finditer(text))
    texts = [name.decode("utf-8", "replace").replace("\\", "/") for name in names]
    folders = (path.parent, *roots)
    return {Path(os.path.normpath(folder / text)) for text in texts for folder in folders} - {path}


def bill_beside(board: Path) -> Path:
    """Where a board's bill of materials lies if it has one of its own: `lamp.bom.csv` for `lamp.cir`."""
    return board.with_suffix(BILL_SUFFIX)


def own_intent(board: Path) -> Path:
    """The intent file that is about this board whatever stands beside it: `lamp.cir.intent`."""
    return board.with_name(board.name + INTENT_SUFFIX)


def file_beside(board: Path, tree: Tree = DISK) -> tuple[Path | None, bool]:
    """The intent file that belongs to a board, and whether another board could claim it as well.

    `lamp.cir` takes `lamp.cir.intent`, else `lamp.intent`; the latter belongs to nobody where two boards
    of a folder share the stem.
    """
    own = own_intent(board)
    if tree.is_file(own):
        return own, False
    by_stem = board.with_suffix(INTENT_SUFFIX)
    if not tree.is_file(by_stem):
        return None, False
    namesakes = [board.with_suffix(suffix) for suffix in SUFFIXES]
    return by_stem, any(path != board and tree.is_file(path) for path in namesakes)
