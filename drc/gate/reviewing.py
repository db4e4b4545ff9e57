"""Who reviews the boards of a run: this process one after the other, or, where they are many, several."""

import sys
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from typing import TYPE_CHECKING

from drc.gate.effort import MANY, Work
from drc.gate.pipeline import each_board
from drc.gate.project import Project, Request
from drc.outcome import BoardOutcome

if TYPE_CHECKING:
    from drc.report.terminal import Bar

_WATCHED = 8
"""From so many boards a terminal shows how far they are."""


def reviewed_boards(
    project: Project, request: Request, work: Work, told: Callable[[BoardOutcome], None]
) -> Sequence[BoardOutcome]:
    """The boards' outcomes in order; `told` hears of each as soon as it and all before it are there."""
    number = len(project.boards)
    several = work.scheduler is not None or (number > 1 and (number >= MANY or (work.jobs or 1) > 1))
    if several and number:
        from drc.gate.archive import spooled  # a few boards do without

        return spooled(project, request, work, told)
    boards = []
    for board in each_board(project):
        boards.append(board)
        told(board)
    return tuple(boards)


class NoBar(nullcontext["NoBar"]):
    """In place of a bar where nobody would see it."""

    def __enter__(self) -> "NoBar":
        return self

    def step(self) -> None:
        """Nothing is shown."""

    def hide(self) -> None:
        """Nothing was."""


def watching(project: Project) -> "Bar | NoBar":
    """A context that shows on a terminal how far many boards are."""
    if len(project.boards) < _WATCHED or not sys.stderr.isatty():
        return NoBar()
    from drc.report.terminal import Bar  # its library is slow to load

    return Bar(len(project.boards), "reviewing", sys.stderr)
