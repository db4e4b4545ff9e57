"""Pages on a terminal: the one home of colour. Nothing here decides what is said.

Imported only when the output is a terminal, because its library costs more to load than a review.
"""

from collections.abc import Iterable, Iterator
from typing import TextIO, TypeVar

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

Item = TypeVar("Item")


def print_rows(rows: Iterable[Row], stream: TextIO) -> None:
    """Writes the lines with the colours of their meanings; no text is taken as markup."""
    console = Console(file=stream, highlight=False, markup=False, emoji=False, soft_wrap=True)
    for line in rows:
        console.print(Text.assemble(*((piece.text, STYLES[piece.meaning]) for piece in line)), soft_wrap=True)


def with_progress(items: Iterable[Item], total: int, label: str, stream: TextIO) -> Iterator[Item]:
    """The items one by one, while a bar on the terminal shows how far they are; it vanishes at the end."""
    columns = (TextColumn("{task.description}", markup=False), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=Console(file=stream), transient=True) as progress:
        yield from progress.track(items, total=total, description=label)
