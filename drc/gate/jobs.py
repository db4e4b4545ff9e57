"""Boards reviewed by several processes; the outcome is the same, in the same order, as by one."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, cast

from drc.blocks.model import Block
from drc.circuit.model import Element, Net
from drc.gate.pipeline import guarded, review_board
from drc.gate.project import Project, Request, open_project
from drc.outcome import BoardOutcome

if TYPE_CHECKING:
    from concurrent.futures import Executor

MANY = 16
"""From so many boards all cores are used unless the number of jobs is given."""


class NamedNet(NamedTuple):
    """What is left of a net when its circuit is let go: the name, and whether it is ground."""

    name: str
    is_ground: bool


class NamedElement(NamedTuple):
    """What is left of an element when its circuit is let go."""

    path: str
    kind: str
    part: str | None


def jobs_for(boards: int, jobs: int | None) -> int:
    """How many processes serve so many boards: as many as asked for, else by the number of boards."""
    if jobs is None:
        jobs = _cores() if boards >= MANY else 1
    return max(1, min(jobs, boards))


def _cores() -> int:
    """The cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def reviewed(project: Project, request: Request, jobs: int) -> Iterator[BoardOutcome]:
    """The outcome of each board in order, worked out by `jobs` processes that open the project themselves.

    They are started at once, before whoever shows how far they are starts threads.
    """
    from concurrent.futures import ProcessPoolExecutor  # one process does without

    pool = ProcessPoolExecutor(jobs, initializer=_begin, initargs=(request,))
    return _in_turn(
        pool, pool.map(_review, project.boards, chunksize=max(1, len(project.boards) // (8 * jobs)))
    )


def _in_turn(pool: "Executor", outcomes: Iterator[BoardOutcome]) -> Iterator[BoardOutcome]:
    """The outcomes; whoever stops listening stops the work.

    The processes are waited for: the command leaves without the interpreter's own end, and one that it left
    behind would hold its output open for ever.
    """
    try:
        yield from outcomes
    finally:
        pool.shutdown(cancel_futures=True)


_OPENED: list[Project] = []
"""The project of this worker process."""


def _begin(request: Request) -> None:
    """Readies a worker; an interrupt is the parent's to handle."""
    from signal import SIG_IGN, SIGINT, signal

    signal(SIGINT, SIG_IGN)
    _OPENED[:] = [open_project(request)]


def _review(board: Path) -> BoardOutcome:
    """One board in a worker."""
    return let_go(guarded(review_board, board, _OPENED[0]))


def let_go(outcome: BoardOutcome) -> BoardOutcome:
    """The outcome with names in place of views of the circuit, so that it can go from process to process."""
    blocks = tuple(found._replace(block=_named(found.block)) for found in outcome.blocks)
    return outcome._replace(blocks=blocks)


def _named(block: Block) -> Block:
    pins = {
        role: tuple(cast(Net, NamedNet(net.name, net.is_ground)) for net in nets)
        for role, nets in block.pins.items()
    }
    element = NamedElement(block.element.path, block.element.kind, block.element.part)
    return block._replace(pins=pins, element=cast(Element, element))
