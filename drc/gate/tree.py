"""Where a run's files are read: on disk, or as they are at a revision or staged under version control."""

import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from drc.bounded import LARGEST, LARGEST_PAPER, file_bytes

if TYPE_CHECKING:
    from drc.gate.revision import Revision


class Tree:
    """The files on disk."""

    described = ""
    """Where the files are, as the end of a sentence; nothing needs to be said of the disk."""

    def read(self, path: Path, largest: int = LARGEST) -> bytes:
        """A file's bytes. OSError where there is none, or it is beyond bounds."""
        return file_bytes(path, largest)

    def paper(self, path: Path) -> bytes:
        """The bytes of what goes with boards: settings, rules, parts, statements, lists. OSError as above."""
        return self.read(path, LARGEST_PAPER)

    def is_file(self, path: Path) -> bool:
        """Whether a file is there."""
        return os.path.isfile(path)

    def is_dir(self, path: Path) -> bool:
        """Whether a folder is there."""
        return os.path.isdir(path)

    def exists(self, path: Path) -> bool:
        """Whether anything is there."""
        return os.path.exists(path)

    def below(self, folder: Path) -> Iterator[Path]:
        """Every file below a folder, in no order; hidden ones are left out."""
        for top, folders, files in os.walk(folder):
            folders[:] = sorted(name for name in folders if not name.startswith("."))
            yield from (Path(top) / name for name in files if not name.startswith("."))

    def glob(self, folder: Path, pattern: str) -> list[Path]:
        """What a pattern names below a folder, sorted; `*` within a name, `**` at any depth."""
        return sorted(folder.glob(pattern))


class RevisionTree(Tree):
    """The files at a revision. Those outside its repository are no part of any: they are read on disk."""

    def __init__(self, revision: "Revision") -> None:
        self.revision = revision
        self.described = f" {revision.described}"

    def read(self, path: Path, largest: int = LARGEST) -> bytes:
        """See above."""
        return self.revision(path, largest) if self.revision.holds(path) else super().read(path, largest)

    def is_file(self, path: Path) -> bool:
        """See above."""
        return self.revision.is_file(path) if self.revision.holds(path) else super().is_file(path)

    def is_dir(self, path: Path) -> bool:
        """See above."""
        if not self.revision.holds(path):
            return super().is_dir(path)
        return bool(self.revision.paths(path.resolve()))

    def exists(self, path: Path) -> bool:
        """See above."""
        return self.is_file(path) or self.is_dir(path)

    def below(self, folder: Path) -> Iterator[Path]:
        """See above."""
        if not self.revision.holds(folder):
            return super().below(folder)
        full = folder.resolve()
        within = ((path, path.relative_to(full).parts) for path in self.revision.paths(full))
        return (path for path, parts in within if not any(part.startswith(".") for part in parts))

    def glob(self, folder: Path, pattern: str) -> list[Path]:
        """See above."""
        wanted = Path(os.path.normpath(folder.resolve() / pattern)).parts
        named = next((n for n, part in enumerate(wanted) if any(c in part for c in "*?[")), len(wanted))
        above = Path(*wanted[:named])
        if not self.revision.holds(above):
            return super().glob(folder, pattern)
        files = self.revision.paths(above)
        found = {path for file in files for path in (file, *file.parents)}
        return sorted(path for path in found if _matches(path.parts, wanted))


DISK = Tree()


def tree_at(revision: str | None, named: Sequence[Path]) -> Tree:
    """The files of a run: on disk for None, else at a revision of the repository about what is named.

    InputError where there is no such revision.
    """
    if revision is None:
        return DISK
    from drc.gate.revision import revision_at  # most runs read the disk

    return RevisionTree(revision_at(_standing(named), revision))


def changes(tree: Tree) -> list[Path]:
    """What was changed on the way to a tree that is staged: every file added, changed or taken away."""
    if not isinstance(tree, RevisionTree) or tree.revision.name:
        return []
    return tree.revision.changes()


def _standing(named: Sequence[Path]) -> Path:
    """The deepest folder about all that is named that is on disk, even where what is named is not."""
    folder = Path(os.path.commonpath(named)) if named else Path.cwd()
    return next(path for path in (folder, *folder.parents) if path.is_dir())


def _matches(parts: Sequence[str], wanted: Sequence[str]) -> bool:
    """Whether the parts of a path are those of a pattern."""
    from fnmatch import fnmatchcase  # only for a revision

    if not wanted:
        return not parts
    if wanted[0] == "**":
        return any(_matches(parts[skipped:], wanted[1:]) for skipped in range(len(parts) + 1))
    return bool(parts) and fnmatchcase(parts[0], wanted[0]) and _matches(parts[1:], wanted[1:])
