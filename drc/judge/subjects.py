"""What rules speak of, the facts they see from there, and the troubles of reading as subjects."""

from drc.facts.book import Book
from drc.facts.catalogue import BY_NAME
from drc.facts.model import Fact, Subject, SubjectKind, Unknown
from drc.intent.model import Statement
from drc.judge.conflicts import contradictory
from drc.judge.drawing import against_drawing
from drc.judge.program import Values
from drc.judge.rule import ENDS
from drc.trouble import Trouble


class Facts:
    """The Book as rules see it: one set of values a subject, shared by all rules."""

    def __init__(self, book: Book) -> None:
        self.book = book
        (self.board,) = book.subjects("board")
        self.blocks = {subject.path: subject for subject in book.subjects("block")}
        self._subjects: dict[SubjectKind, list[tuple[Subject, Values]]] = {}

    def subjects(self, kind: SubjectKind) -> list[tuple[Subject, Values]]:
        """The subjects of a kind with their facts, in source order; all rules share them."""
        if kind not in self._subjects:
            found = self.book.subjects(kind)
            self._subjects[kind] = [(subject, self.values(subject)) for subject in found]
        return self._subjects[kind]

    def values(self, subject: Subject) -> Values:
        """The facts of a subject, by the names that rules use, each fetched when first asked for."""
        return Values(lambda name: self.fact(subject, name))

    def fact(self, subject: Subject, name: str) -> Fact:
        """A fact seen from a subject: its own, its block's, one end's of a pair, or the board's."""
        for end, block in zip(ENDS, (subject.block, subject.partner), strict=True):
            if name.startswith(end):
                found = self.fact(self.blocks[block.path], name.removeprefix(end)) if block else None
                return found._replace(name=name) if found else Fact(name, Unknown("no such block"))
        about = BY_NAME[name].subject
        if about == subject.kind:
            return self.book.fact(subject, name)
        if about == "board":
            return self.book.fact(self.board, name)
        if subject.block is None:
            return Fact(name, Unknown("the statement matches no block", (name,)))
        return self.book.fact(self.blocks[subject.block.path], name)


def statement_kind(statement: Statement) -> str:
    """`expect`, `not-supply` ...: the statement's keyword, as rules write it."""
    name = type(statement).__name__
    return "not-supply" if name == "NotSupply" else name.lower()


def about(subject: Subject) -> dict[str, str]:
    """What a message may say of a subject itself."""
    words = {"subject": subject.path}
    if subject.net:
        words["net"] = subject.net
    if subject.block:
        words.update(block=subject.block.path, part=subject.block.part.name, upstream=subject.block.path)
    if subject.partner:
        words["downstream"] = subject.partner.path
    if subject.statement:
        words["statement"] = subject.statement.text.strip()
        words.setdefault("block", subject.path)
    return words


def line_troubles(book: Book) -> tuple[Trouble, ...]:
    """Every trouble of the board and its intent, each once: of reading, then statements in conflict."""
    conflicts = (*contradictory(book.intent), *against_drawing(book.intent, book.board.circuit))
    read = [subject.trouble for subject in book.subjects("line") if subject.trouble]
    return tuple(dict.fromkeys([*read, *conflicts]))
