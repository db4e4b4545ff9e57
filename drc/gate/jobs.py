"""Boards reviewed by several processes of this machine."""

import os
import signal
import threading
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import active_children, connection, get_all_start_methods, get_context, parent_process
from pathlib import Path
from typing import TYPE_CHECKING

from drc.gate.away import Away, away, opened
from drc.gate.effort import MANY
from drc.gate.project import Project, Request
from drc.gate.refusal import refused
from drc.gate.streaming import Answer
from drc.gate.work import work_on

if TYPE_CHECKING:
    from multiprocessing.process import BaseProcess

_AT_ONCE = 2
"""Boards given to each process: the one that it works on, and the next."""


def jobs_for(boards: int, jobs: int | None) -> int:
    """How many processes serve so many boards: as many as asked for, else by the number of boards."""
    if jobs is None:
        jobs = _cores() if boards >= MANY else 1
    return max(1, min(jobs, boards))


def _cores() -> int:
    """The cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class Processes:
    """An engine of `jobs` processes, started when the first board is to be done.

    None of them outlives this one: they watch a pipe, and leave when it says so or when this process is gone.
    """

    def __init__(self, project: Project, request: Request, jobs: int) -> None:
        self.room = _AT_ONCE * jobs
        self.patience: float | None = None
        self._jobs = jobs
        # A forked process has the project already; elsewhere each opens it for itself.
        forks = "fork" in get_all_start_methods() and os.name == "posix"
        self._context = get_context("fork" if forks else None)
        self._given = project if forks else away(project, request)
        self._pool: ProcessPoolExecutor | None = None
        self._leave: connection.Connection | None = None
        self._others: frozenset[BaseProcess] = frozenset()

    def submit(self, board: Path) -> "Future[Answer]":
        """Begins a board; a pool that a lost process broke is replaced."""
        try:
            return self._submit(board)
        except BrokenExecutor:
            self.close()
            return self._submit(board)

    def is_lost(self, error: BaseException) -> bool:
        """Whether a process was lost: one takes all boards that were at work with it."""
        return isinstance(error, BrokenExecutor)

    def alone(self, board: Path) -> Answer | None:
        """One more try in a process of its own, the others gone."""
        self.close()
        self._open(1)
        try:
            return self._submit(board).result()
        except BrokenExecutor:
            return None
        finally:
            self.close()

    def check(self) -> None:
        """Nothing is asked: a process that ends is noticed at once."""

    def close(self) -> None:
        """Ends every process at once, whatever it does, and waits for it.

        The pool itself is not waited for: a process that ends in the middle of an answer leaves it waiting
        for the rest, for ever.
        """
        pool, self._pool = self._pool, None
        leave, self._leave = self._leave, None
        if pool is None or leave is None:
            return
        leave.send_bytes(b"leave")
        pool.shutdown(wait=False, cancel_futures=True)
        for process in frozenset(active_children()) - self._others:
            process.join()
        leave.close()

    def _submit(self, board: Path) -> "Future[Answer]":
        if self._pool is None:
            self._open(self._jobs)
        assert self._pool is not None
        # A process that is only just forked would take an interrupt for its own.
        with _uninterrupted(), started():
            return self._pool.submit(_review, board)

    def _open(self, jobs: int) -> None:
        self._others = frozenset(active_children())
        with started():
            told, self._leave = self._context.Pipe(duplex=False)
            self._pool = ProcessPoolExecutor(
                jobs, mp_context=self._context, initializer=_begin, initargs=(self._given, told)
            )


@contextmanager
def started() -> Iterator[None]:
    """InputError where the machine has no room for another process, or for what processes share."""
    try:
        yield
    except OSError as error:
        message = f"no process could be started: {error.strerror}: make room (memory, /dev/shm)"
        raise refused("--jobs", message) from None


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Interrupts wait until this is over; who is forked meanwhile never gets one."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


_OPENED: list[Project] = []
"""The project of this worker process."""


def _begin(given: Project | Away, told: connection.Connection) -> None:
    """Readies a worker; an interrupt is the parent's to handle."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_leave_when_told, args=(told,), daemon=True).start()
    _OPENED[:] = [given if isinstance(given, Project) else opened(given)]


def _leave_when_told(told: connection.Connection) -> None:
    """Ends this process as soon as the pipe says so, or the parent is no more."""
    parent = parent_process()
    connection.wait([told] if parent is None else [told, parent.sentinel])
    os._exit(1)


def _review(board: Path) -> Answer:
    """One board in a worker."""
    return work_on(board, _OPENED[0])
