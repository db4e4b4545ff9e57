"""Reviews of many boards: who does the work, what is already known, and what is kept for the reports."""

from collections.abc import Callable, Generator
from contextlib import closing, nullcontext
from pathlib import Path

from drc.gate.cache import Cache
from drc.gate.effort import MANY, Work
from drc.gate.jobs import Processes, jobs_for
from drc.gate.outcome_codec import decode_outcome, encode_outcome
from drc.gate.pipeline import unread
from drc.gate.project import Project, Request
from drc.gate.spool import Spool
from drc.gate.streaming import Desk, Engine, in_order
from drc.gate.tree import DISK
from drc.outcome import BoardOutcome

LOST = "every process that reviewed it was ended from outside: for want of memory, most likely"


def encoded_outcomes(
    project: Project, engine: Engine, cache: Cache | None = None
) -> Generator[bytes, None, None]:
    """Each board's outcome in order, as `encode_outcome` writes it; whoever stops listening ends the work."""

    def given_up(board: Path) -> bytes:
        return encode_outcome(unread(board, project, LOST))

    with closing(engine), nullcontext() if cache is None else closing(cache):
        desk = Desk(given_up) if cache is None else Desk(given_up, cache.known, cache.done)
        yield from in_order(project.boards, engine, desk)


def spooled(project: Project, request: Request, work: Work, told: Callable[[BoardOutcome], None]) -> Spool:
    """The boards' outcomes, kept on disk; `told` hears of each as soon as it and all before it are there."""
    many = len(project.boards) >= MANY and project.tree is DISK
    cache = Cache(project) if work.cached and many else None
    engine = _engine(project, request, work)
    spool = Spool()
    with closing(encoded_outcomes(project, engine, cache)) as outcomes:
        for encoded in outcomes:
            spool.add(encoded)
            told(decode_outcome(encoded))
    return spool


def _engine(project: Project, request: Request, work: Work) -> Engine:
    """What does the work: processes of this machine, or a cluster. InputError where it cannot be reached."""
    if work.scheduler is None:
        return Processes(project, request, jobs_for(len(project.boards), work.jobs))
    from drc.gate.cluster import Cluster  # an extra

    return Cluster(project, request, work.scheduler)
