"""A Book whose facts are simply given, for tests of judging alone."""

from collections.abc import Mapping, Sequence
from typing import Any, cast

from drc.blocks.model import Block, Board, Function, Part
from drc.circuit.model import Element
from drc.facts.book import Book, Catalogue
from drc.facts.model import Fact, Subject, SubjectKind, Unknown, Value
from drc.facts.options import FactOptions
from drc.intent.model import Intent
from drc.judge.book import read_rules
from drc.judge.rule import Rule, RuleBook, Source
from drc.netlist.read import read_text
from drc.trouble import Place, Trouble

PLACE = Place("board.cir", 3, 1, 3)
REST = """
    say "{subject} is wrong" because "a test" source "a test"
"""


class GivenBook(Book):
    """Facts by name, the same for every block; what is not given is unknown."""

    def __init__(
        self,
        facts: Mapping[str, Value | Fact],
        blocks: Sequence[str] = ("XU1",),
        function: Function = "oscillator",
        roles: Sequence[str] = ("supply", "strap"),
        troubles: Sequence[Trouble] = (),
    ) -> None:
        super().__init__(
            Board(read_text("title\n"), ()), Intent(), FactOptions(), Catalogue({}, lambda *_: ())
        )
        self.facts = facts
        self.lines = troubles
        part = Part("HX", PLACE, function=function)
        pins: dict[str, Any] = dict.fromkeys(roles, ())
        element = cast(Element, None)
        self.blocks = [Block(path, None, part, element, "part", pins, PLACE) for path in blocks]

    def subjects(self, kind: SubjectKind) -> tuple[Subject, ...]:
        """The given blocks, troubles, and the board."""
        if kind == "block":
            return tuple(Subject("block", block.path, PLACE, block) for block in self.blocks)
        if kind == "board":
            return (Subject("board", "board.cir", Place("board.cir")),)
        if kind == "pair":
            first, second = self.blocks
            return (Subject("pair", f"{first.path} to {second.path}", PLACE, first, partner=second),)
        if kind == "line":
            return tuple(Subject("line", str(t.place), t.place, trouble=t) for t in self.lines)
        return ()

    def fact(self, subject: Subject, name: str) -> Fact:
        """The given value: of this subject (`XU1 timing.period`), or of any."""
        value = self.facts.get(name, Unknown(f"{name} is not given"))
        value = self.facts.get(f"{subject.path} {name}", value)
        return value if isinstance(value, Fact) else Fact(name, value)


def rules(text: str, *house: str) -> RuleBook:
    """The rules of a text, and of house books after it."""
    sources = [Source("book.rule", text)]
    return read_rules([*sources, *(Source(f"house{n}.rule", t) for n, t in enumerate(house))])


def rule(require: str, more: str = "") -> RuleBook:
    """A book of one rule on blocks with these clauses."""
    return rules(f'rule the-rule title "All is well" for block\n{more}\n{require}\n{REST}')


def only(book: RuleBook) -> Rule:
    """The one rule of a book."""
    (found,) = book.rules
    return found
