"""Reviews of many boards: who does the work, what is already known, and what is kept for the reports."""

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from drc.gate.jobs import Processes, jobs_for
from drc.gate.outcome_codec import decode_outcome, encode_outcome
from drc.gate.pipeline import unread
from drc.gate.project import Project, Request
from drc.gate.streaming import Answer, Desk, Engine, in_order
from drc.outcome import BoardOutcome

LOST = "the process that reviewed it was ended from outside, twice: for want of memory, most likely"


def encoded_outcomes(project: Project, engine: Engine) -> Iterator[bytes]:
    """Each board's outcome in order, as `encode_outcome` writes it; whoever stops listening ends the work."""

    def known(board: Path) -> bytes | None:
        return None

    def done(board: Path, answer: Answer) -> None:
        pass

    def given_up(board: Path) -> bytes:
        return encode_outcome(unread(board, project, LOST))

    with closing(engine):
        yield from in_order(project.boards, engine, Desk(known, done, given_up))


def reviewed(project: Project, request: Request, jobs: int | None) -> Iterator[BoardOutcome]:
    """The outcome of each board in order, worked out by several processes."""
    engine = Processes(project, request, jobs_for(len(project.boards), jobs))
    return map(decode_outcome, encoded_outcomes(project, engine))
