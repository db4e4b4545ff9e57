"""Boards reviewed by the workers of a cluster, through the executor that its library gives."""

import logging
from concurrent.futures import CancelledError, Future
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from drc.gate.away import Away, away, opened
from drc.gate.project import Project, Request
from drc.gate.refusal import refused
from drc.gate.streaming import Answer
from drc.gate.work import work_on
from drc.trouble import InputError

if TYPE_CHECKING:
    from distributed import Client

_REACHED_S = 10.0
"""How long the scheduler, and then a first worker, may take to answer."""

_PATIENCE_S = 5.0
"""How long nothing may come back before the scheduler is asked whether anybody is still there."""

_WORKERLESS = 12
"""How often in a row it may say that nobody is, before the run ends."""

_AT_ONCE = 2
"""Boards given to each thread of a worker."""


class Cluster:
    """An engine that hands boards to the workers of a dask scheduler; they read the same folder as we do."""

    patience: float | None = _PATIENCE_S

    def __init__(self, project: Project, request: Request, address: str) -> None:
        self._address = address
        self._client = _client(address)
        self._workerless = 0
        try:
            self._lost = _lost_errors()
            self._executor = self._client.get_executor(pure=False)
            self._run = away(project, request)
            self.room = max(2, _AT_ONCE * self._threads())
            self._check_folder(project.boards[0])
        except BaseException:
            self.close()
            raise

    def submit(self, board: Path) -> "Future[Answer]":
        """Begins a board."""
        future: Future[Answer] = self._executor.submit(_review, self._run, str(board))
        return future

    def is_lost(self, error: BaseException) -> bool:
        """Whether a board's worker was lost, and others that were given it after that."""
        if isinstance(error, CancelledError):
            raise self._refused("went away; run again: what was reviewed until now is remembered")
        return isinstance(error, self._lost)

    def alone(self, board: Path) -> Answer | None:
        """One more try with nothing else at work."""
        future = self.submit(board)
        while True:
            try:
                return future.result(timeout=self.patience)
            except TimeoutError:
                if not future.done():
                    self.check()
            except self._lost:
                return None

    def check(self) -> None:
        """InputError where the scheduler is gone, or has had no worker for long."""
        self._workerless = 0 if self._threads() else self._workerless + 1
        if self._workerless > _WORKERLESS:
            raise self._refused("has no worker left: start some and run again")

    def close(self) -> None:
        """Takes back what is not done, and leaves the cluster."""
        with suppress(OSError, RuntimeError, CancelledError):
            self._client.close(timeout=_PATIENCE_S)

    def _threads(self) -> int:
        """The threads of all workers now."""
        try:
            return sum(self._client.nthreads().values())
        except (OSError, CancelledError):
            raise self._refused("does not answer any more") from None

    def _check_folder(self, board: Path) -> None:
        """InputError unless a worker opens the project and reads the same bytes as we do."""
        future: Future[str] = self._executor.submit(_digest, self._run, str(board))
        try:
            seen = future.result(timeout=_REACHED_S)
        except TimeoutError:
            raise self._refused("has no worker that answers: start one with `dask worker`") from None
        except (ImportError, AttributeError) as error:
            message = f"has a worker without this version of tickproof ({error}): install it there"
            raise self._refused(message) from None
        except RuntimeError as error:
            # What a scheduler raises, from what it lacks, that cannot unpack the work it is to hand on.
            reason = " ".join(str(error.__cause__ or "it does not say why").split())[:120]
            raise self._refused(f"cannot unpack our work ({reason}): install the same there") from None
        if seen != _digest_here(board):
            raise self._refused(f"has a worker that does not read {board}: it needs the same folder")

    def _refused(self, message: str) -> InputError:
        return refused("--scheduler", f"{self._address} {message}")


def _client(address: str) -> "Client":
    """A client of the scheduler. InputError where its library is missing or it does not answer."""
    try:
        from distributed import Client  # an extra: most installations do without
    except ImportError:
        message = 'needs what is installed with `pip install "tickproof[archive]"`'
        raise refused("--engine", f"dask {message}") from None
    # What the library tells of a cluster that went away is for its own developers; we say it in a line.
    logging.disable(logging.CRITICAL)
    try:
        return Client(address, timeout=_REACHED_S, set_as_default=False)
    except (OSError, ValueError) as error:
        reason = " ".join(str(error).split())[:120]
        expected = "expected the address of a dask scheduler, such as tcp://bench:8786"
        raise refused("--scheduler", f"{address} cannot be reached ({reason}): {expected}") from None


def _lost_errors() -> tuple[type[BaseException], ...]:
    from distributed import KilledWorker

    return (KilledWorker,)


def _review(run: Away, board: str) -> Answer:
    """One board on a worker."""
    return work_on(Path(board), opened(run))


def _digest(run: Away, board: str) -> str:
    """What a worker reads of a board, once it has opened the project."""
    opened(run)
    return _digest_here(Path(board))


def _digest_here(board: Path) -> str:
    try:
        return sha256(board.read_bytes()).hexdigest()
    except OSError:
        return ""
