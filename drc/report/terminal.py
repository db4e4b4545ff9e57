"""Pages on a terminal: the one home of colour. Nothing here decides what is said.

Imported only when the output is a terminal, because its library costs more to load than a review.
"""

from collections.abc import Iterable
from time import monotonic
from typing import TextIO

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
from rich.text import Text

from drc.report.text import Meaning, Row

STYLES: dict[Meaning, str] = {
    "plain": "",
    "heading": "bold",
    "error": "bold red",
    "warning": "yellow",
    "note": "cyan",
    "good": "green",
    "quiet": "dim",
    "name": "bold",
}
"""One style a meaning; NO_COLOR is heeded by the library."""

_REDRAWN_S = 0.1
"""A drawn bar stays so long."""


def print_rows(rows: Iterable[Row], stream: TextIO) -> None:
    """Writes the lines with the colours of their meanings; no text is taken as markup."""
    console = Console(file=stream, highlight=False, markup=False, emoji=False, soft_wrap=True)
    for line in rows:
        console.print(Text.assemble(*((piece.text, STYLES[piece.meaning]) for piece in line)), soft_wrap=True)


class Bar:
    """A bar on a terminal that shows how far a run is; it makes way for what is printed, and ends with it.

    It is drawn by the thread that steps it: a process that is forked meanwhile finds no other thread holding
    a lock.
    """

    def __init__(self, total: int, label: str, stream: TextIO) -> None:
        self._progress = Progress(
            TextColumn("{task.description}", markup=False),
            BarColumn(),
            MofNCompleteColumn(),
            console=Console(file=stream),
            transient=True,
            auto_refresh=False,
            redirect_stdout=False,
            redirect_stderr=False,
        )
        self._task = self._progress.add_task(label, total=total)
        self._drawn = 0.0

    def __enter__(self) -> "Bar":
        self._draw()
        return self

    def __exit__(self, kind: object, error: object, trace: object) -> None:
        self.hide()

    def step(self) -> None:
        """One more is done."""
        self._progress.advance(self._task)
        if monotonic() - self._drawn > _REDRAWN_S:
            self._draw()

    def hide(self) -> None:
        """Takes the bar away until it is next drawn."""
        self._progress.stop()

    def _draw(self) -> None:
        self._progress.start()
        self._progress.refresh()
        self._drawn = monotonic()
