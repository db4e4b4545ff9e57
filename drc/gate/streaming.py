"""Boards handed out a few at a time; their outcomes in the order of the boards, as soon as they are there."""

from collections import deque
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from concurrent.futures import ALL_COMPLETED, FIRST_COMPLETED, CancelledError, Future, wait
from pathlib import Path
from typing import NamedTuple, Protocol

AHEAD = 64
"""Boards that may be done, or at work, while an earlier one is still waited for; more for many workers."""


class Answer(NamedTuple):
    """What a worker makes of a board: its outcome as `encode_outcome` writes it, and what that hangs on.

    `sources` None: nothing is to be kept of it.
    """

    outcome: bytes
    sources: str | None = None


class Engine(Protocol):
    """What does the work."""

    @property
    def room(self) -> int:
        """How many boards it is given at once."""

    @property
    def patience(self) -> float | None:
        """After how many seconds without news `check` is asked; None: never."""

    def submit(self, board: Path) -> "Future[Answer]":
        """Begins a board."""

    def is_lost(self, error: BaseException) -> bool:
        """Whether an error means that the worker was lost, so that the board is worth one more try."""

    def alone(self, board: Path) -> Answer | None:
        """One more try with nothing else at work; None where the worker was lost again."""

    def check(self) -> None:
        """Raises what ends the run where nothing can be waited for any more."""

    def close(self) -> None:
        """Ends the work, done or not, and leaves no process behind."""


class Desk(NamedTuple):
    """What a board comes to that nobody could do, what is known beforehand, and who is told of the rest."""

    given_up: Callable[[Path], bytes]
    known: Callable[[Path], bytes | None] = lambda _: None
    done: Callable[[Path, Answer], None] = lambda _, __: None


class _Slot:
    """A board's place in the line, and its outcome once it is there."""

    def __init__(self, board: Path, outcome: bytes | None) -> None:
        self.board, self.outcome = board, outcome


def in_order(boards: Sequence[Path], engine: Engine, desk: Desk) -> Iterator[bytes]:
    """The outcome of each board, encoded, in the order of the boards.

    However slow one board is, no more than a bounded number of others is held behind it.
    """
    todo = iter(boards)
    ahead = max(AHEAD, 4 * engine.room)
    line: deque[_Slot] = deque()
    at_work: dict[Future[Answer], _Slot] = {}
    more = True
    while line or more:
        while line and line[0].outcome is not None:
            yield line.popleft().outcome or b""
        while more and len(line) < ahead and len(at_work) < engine.room:
            board = next(todo, None)
            if board is None:
                more = False
                break
            slot = _Slot(board, desk.known(board))
            line.append(slot)
            if slot.outcome is None:
                at_work[engine.submit(board)] = slot
            elif len(line) == 1:
                break
        if line and line[0].outcome is None:
            _settle(engine, desk, at_work)


def _settle(engine: Engine, desk: Desk, at_work: dict["Future[Answer]", _Slot]) -> None:
    """Waits for the next boards that are done; those whose worker was lost are tried once more, alone."""
    lost = _taken(_awaited(engine, at_work, FIRST_COMPLETED), engine, desk, at_work)
    if not lost:
        return
    # Who of all that were at work brought the worker down is not known.
    for slot in (*lost, *_taken(_awaited(engine, at_work, ALL_COMPLETED), engine, desk, at_work)):
        answer = engine.alone(slot.board)
        if answer is None:
            slot.outcome = desk.given_up(slot.board)
        else:
            _take(slot, answer, desk)


def _awaited(
    engine: Engine, at_work: Collection["Future[Answer]"], which: str
) -> Collection["Future[Answer]"]:
    """The futures that are done once one of them is, or all are."""
    while True:
        done, left = wait(at_work, engine.patience, which)
        if not left or (done and which == FIRST_COMPLETED):
            return done
        engine.check()


def _taken(
    done: Iterable["Future[Answer]"], engine: Engine, desk: Desk, at_work: dict["Future[Answer]", _Slot]
) -> list[_Slot]:
    """Takes in what was done, and gives the slots whose worker was lost."""
    lost = []
    for future in done:
        slot = at_work.pop(future)
        error = CancelledError() if future.cancelled() else future.exception()
        if error is None:
            _take(slot, future.result(), desk)
        elif engine.is_lost(error):
            lost.append(slot)
        else:
            raise error
    return lost


def _take(slot: _Slot, answer: Answer, desk: Desk) -> None:
    slot.outcome = answer.outcome
    desk.done(slot.board, answer)
