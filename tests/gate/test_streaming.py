"""Boards handed out a few at a time, and their outcomes in order whatever happens to who does the work."""

from collections.abc import Callable, Sequence
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from pathlib import Path
from threading import Event

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.gate.streaming import AHEAD, Answer, Desk, in_order


class WorkerLostError(Exception):
    """In place of what a library raises when a worker is gone."""


class Bench:
    """An engine of threads; `work` makes the answer, or raises that the worker was lost."""

    patience: float | None = 0.01

    def __init__(self, work: Callable[[Path], bytes], room: int = 2) -> None:
        self.room = room
        self.begun: list[Path] = []
        self.tried_again: list[Path] = []
        self._pool = ThreadPoolExecutor(room)
        self._work = work

    def submit(self, board: Path) -> "Future[Answer]":
        """Begins a board."""
        self.begun.append(board)
        return self._pool.submit(lambda: Answer(self._work(board)))

    def is_lost(self, error: BaseException) -> bool:
        """Whether it was a loss."""
        return isinstance(error, WorkerLostError)

    def alone(self, board: Path) -> Answer | None:
        """Once more."""
        self.tried_again.append(board)
        try:
            return Answer(self._work(board))
        except WorkerLostError:
            return None

    def check(self) -> None:
        """Somebody is always there."""

    def close(self) -> None:
        """Ends the threads."""
        self._pool.shutdown()


def boards(number: int) -> list[Path]:
    """So many boards."""
    return [Path(f"{n}.cir") for n in range(number)]


def name(board: Path) -> bytes:
    """What a board comes to here."""
    return board.name.encode()


def run(engine: Bench, todo: Sequence[Path], desk: Desk) -> list[bytes]:
    """Every outcome, the engine closed."""
    try:
        return list(in_order(todo, engine, desk))
    finally:
        engine.close()


@given(st.integers(0, 40), st.sets(st.integers(0, 39)), st.sets(st.integers(0, 39)), st.integers(1, 5))
def test_outcomes_come_in_order(number: int, known: set[int], lost: set[int], room: int) -> None:
    """Known, done, tried again and given up: each board's outcome stands at its place, once."""
    tries: dict[Path, int] = {}

    def work(board: Path) -> bytes:
        tries[board] = tries.get(board, 0) + 1
        if int(board.stem) in lost:
            raise WorkerLostError
        return name(board)

    kept: list[Path] = []
    desk = Desk(
        given_up=lambda board: b"gave up " + name(board),
        known=lambda board: b"knew " + name(board) if int(board.stem) in known else None,
        done=lambda board, _: kept.append(board),
    )
    todo = boards(number)
    expected = [
        b"knew " + name(board)
        if int(board.stem) in known
        else b"gave up " + name(board)
        if int(board.stem) in lost
        else name(board)
        for board in todo
    ]
    assert run(Bench(work, room), todo, desk) == expected
    assert sorted(kept) == sorted(b for b in todo if int(b.stem) not in known | lost)
    assert max(tries.values(), default=0) <= 2


def test_a_slow_board_holds_a_bounded_number_behind_it() -> None:
    """While the first board is at work no more than so many others are begun."""
    go = Event()

    def work(board: Path) -> bytes:
        if board.stem == "0":
            go.wait(10)
        return name(board)

    engine = Bench(work)
    begun_before: list[int] = []

    def done(board: Path, _: Answer) -> None:
        if len(engine.begun) >= AHEAD:
            begun_before.append(len(engine.begun))
            go.set()

    todo = boards(3 * AHEAD)
    assert run(engine, todo, Desk(given_up=name, done=done)) == [name(board) for board in todo]
    assert begun_before[0] == AHEAD


def test_what_was_lost_once_is_done_by_one_more_try() -> None:
    """A worker that was lost by chance costs nothing: its board is tried again and is there."""
    lost: list[Path] = []

    def work(board: Path) -> bytes:
        if board.stem == "3" and not lost:
            lost.append(board)
            raise WorkerLostError
        return name(board)

    engine = Bench(work)
    todo = boards(9)
    assert run(engine, todo, Desk(given_up=lambda _: b"gave up")) == [name(board) for board in todo]
    assert engine.tried_again == [Path("3.cir")]


def test_another_error_ends_the_run() -> None:
    """What is no loss of a worker is never swallowed."""

    def work(board: Path) -> bytes:
        raise (
            CancelledError if board.stem == "2" else KeyError(board.stem) if board.stem == "1" else IndexError
        )

    with pytest.raises((KeyError, IndexError, CancelledError)):
        run(Bench(work), boards(3), Desk(given_up=name))
