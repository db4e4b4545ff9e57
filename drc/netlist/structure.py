"""The draft of a whole circuit while its files are read: what has been met so far, and what was wrong."""

from typing import TYPE_CHECKING

from drc.circuit.columns import NamePool
from drc.circuit.model import Annotation
from drc.netlist.draft import Draft
from drc.netlist.evaluate import Evaluator
from drc.netlist.lines import SourceLines
from drc.netlist.options import ReadOptions
from drc.netlist.scopes import Names, empty_names
from drc.trouble import Level, Place, Trouble

if TYPE_CHECKING:
    from drc.netlist.files import Files


class Structure:
    """The state of reading: definitions by number (0 the board), files by number, troubles, annotations."""

    def __init__(self, options: ReadOptions, files: "Files", path: str) -> None:
        self.options, self.files = options, files
        self.pool = NamePool()
        self.sources: list[SourceLines] = []
        self.drafts: list[Draft] = [Draft("", Place(path), -1, [])]
        self.names: list[Names] = [empty_names(-1)]
        self.troubles: list[Trouble] = []
        self.annotations: list[Annotation] = []
        self.shared: set[str] = set()
        self.loose = [0]
        self.title = ""
        self.unsure = 0
        self.foreign = False
        self.evaluator = Evaluator(self.names, self.sources)

    def note(
        self,
        kind: str,
        level: Level,
        at: tuple[SourceLines, int, int],
        message: str,
        *others: Place,
        nets: tuple[str, ...] = (),
    ) -> None:
        """Notes something wrong at a run of characters of a file."""
        lines, start, end = at
        message = "".join(letter if letter.isprintable() else " " for letter in message)
        place = lines.place(start, end)
        self.troubles.append(Trouble(kind, level, place, message, lines.excerpt(start), others, nets))
