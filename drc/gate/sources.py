"""What a board's outcome hangs on among the files: noted as it is reviewed, and looked at again later.

A file that was looked for and not there is noted as well: once it is there, the outcome no longer holds.
"""

import json
import os
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

from drc.bounded import LARGEST
from drc.gate.project import Project
from drc.gate.tree import Tree

Note = dict[str, str | bool | None]


class Noted(Tree):
    """Files on disk, every answer about them noted."""

    def __init__(self) -> None:
        self.contents: Note = {}
        self.files: Note = {}
        self.links: Note = {}
        self.steady = True
        """Whether each question had one answer, and one that can be asked for again."""

    def read(self, path: Path, largest: int = LARGEST) -> bytes:
        """See above."""
        try:
            data = super().read(path, largest)
        except OSError as error:
            self._note(self.contents, path, None)
            self.steady &= isinstance(error, FileNotFoundError)
            raise
        self._note(self.contents, path, sha256(data).hexdigest())
        return data

    def is_file(self, path: Path) -> bool:
        """See above."""
        found = super().is_file(path)
        self._note(self.files, path, found)
        return found

    def resolve(self, path: Path) -> Path:
        """Where a path leads, links followed."""
        found = path.resolve()
        self._note(self.links, path, str(found))
        return found

    def watching(self, project: Project) -> Project:
        """The project with every question about files asked here."""
        reading = project.reading._replace(source=self.read, is_file=self.is_file, resolve=self.resolve)
        return project._replace(tree=self, reading=reading)

    def text(self, date: str | None) -> str | None:
        """All notes as text, with the date that the outcome hangs on; None where they cannot be trusted."""
        return json.dumps([date, self.contents, self.files, self.links]) if self.steady else None

    def _note(self, notes: Note, path: Path, answer: str | bool | None) -> None:
        self.steady &= notes.setdefault(str(path), answer) == answer


def unchanged(text: str, date: str, digest: Callable[[str], str | None]) -> bool:
    """Whether every noted question has the same answer today; `digest` gives that of a file's bytes."""
    then, contents, files, links = json.loads(text)
    return (
        (then is None or then == date)
        and all(os.path.isfile(path) == answer for path, answer in files.items())
        and all(str(Path(path).resolve()) == answer for path, answer in links.items())
        and all(digest(path) == answer for path, answer in contents.items())
    )
