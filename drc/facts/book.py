"""The Book: every fact of one board, computed once, when asked."""

from drc.blocks.model import Board
from drc.facts.model import Fact, Subject, SubjectKind
from drc.intent.model import Intent


class Book:
    """Facts of one board by subject and catalogue name.

    A fact that asks for itself again (blocks that feed each other) comes back unknown, naming the loop.
    """

    def __init__(self, board: Board, intent: Intent) -> None:
        self.board = board
        self.intent = intent

    def subjects(self, kind: SubjectKind) -> tuple[Subject, ...]:
        """Every subject of a kind, in source order."""
        raise NotImplementedError

    def fact(self, subject: Subject, name: str) -> Fact:
        """The fact of that catalogue name about a subject. KeyError if the catalogue has no such name."""
        raise NotImplementedError
