"""What a worker makes of one board: the outcome as it is sent, and what it hangs on."""

from pathlib import Path

from drc.gate.bug import Guard
from drc.gate.outcome_codec import encode_outcome
from drc.gate.pipeline import guarded, review_board, unread
from drc.gate.project import Project
from drc.gate.sources import Noted
from drc.gate.streaming import Answer
from drc.gate.tree import DISK


def work_on(board: Path, project: Project) -> Answer:
    """The review of a board, whatever happens: a bug of ours is an outcome that says so."""
    noted = Noted()
    with Guard() as guard:
        if project.tree is not DISK:
            return Answer(encode_outcome(guarded(review_board, board, project)))
        outcome = guarded(review_board, board, noted.watching(project))
        sources = None if outcome.bug else noted.text(project.date if outcome.dated else None)
        return Answer(encode_outcome(outcome), sources)
    return Answer(encode_outcome(unread(board, project, guard.bug or "")._replace(bug=True)))
