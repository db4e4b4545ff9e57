"""What a rule is once its text is read and checked: plain data, ready to be compiled to closures."""

from collections.abc import Mapping, Sequence
from typing import Any, Literal, NamedTuple, get_args

from drc.facts.model import SubjectKind
from drc.judge.model import RemedyName
from drc.quantity.span import Span
from drc.quantity.unit import Dimension, unit_of
from drc.trouble import Level, Place, Trouble

Tree = list[Any]
"""A checked expression as plain JSON: what it is, where it stands, its parts."""

ENDS = ("upstream.", "downstream.")
"""What stands before the fact names of a pair's two blocks."""

Broken = Literal["fail", "at-risk", "unproven"]


class TwinCase(NamedTuple):
    """A board that breaks a rule, and the one edit (`old` to `new`) that makes it hold."""

    place: Place
    verdict: Broken
    label: str
    board: str
    old: str
    new: str

    @property
    def mended(self) -> str:
        """The board after the edit."""
        return self.board.replace(self.old, self.new)


class Require(NamedTuple):
    """One `require`: its condition, guard, levels, and the fact names that both use."""

    condition: Tree
    guard: Tree | None
    level: Level
    at_risk: Level
    names: tuple[str, ...]


class Message(NamedTuple):
    """A message's pieces, text and trees in turn, and the fact names in it."""

    pieces: tuple[str | Tree, ...]
    names: tuple[str, ...]


class Rule(NamedTuple):
    """One judgement. `functions` and `roles` narrow block subjects, `statement` statement subjects.

    `knobs` holds their values in force. `says` maps a verdict to its message. `line_level` is the level of
    a `line` rule (None: the trouble's own).
    """

    name: str
    place: Place
    title: str
    subject: SubjectKind
    because: str
    source: str
    functions: tuple[str, ...] = ()
    roles: tuple[str, ...] = ()
    statement: str = ""
    wheres: tuple[Tree, ...] = ()
    where_names: tuple[str, ...] = ()
    knobs: Mapping[str, Span] = {}
    requires: tuple[Require, ...] = ()
    unproven: Level = "warning"
    says: Mapping[str, Message] = {}
    line_level: Level | None = None
    advice: str = ""
    remedies: tuple[RemedyName, ...] = ()
    cases: tuple[TwinCase, ...] = ()


class SwitchedOff(NamedTuple):
    """A rule that a house book switches off, and its reason."""

    because: str
    place: Place


class RuleBook(NamedTuple):
    """The rules in force, in order, those switched off, and (path, sha256) of every file they came from."""

    rules: tuple[Rule, ...]
    off: Mapping[str, SwitchedOff] = {}
    files: tuple[tuple[str, str], ...] = ()


class Source(NamedTuple):
    """A rule file: its path as reported, and its text."""

    path: str
    text: str


def rule_of(checked: dict[str, Any]) -> Rule:
    """The Rule of its checked JSON."""
    subject = checked["subject"]
    statement = subject["kind"] == "statement"
    of = tuple(name for name, _ in subject["of"])
    return Rule(
        name=checked["name"],
        place=Place(checked["path"], *checked["at"]),
        title=checked["title"],
        subject=subject["kind"],
        because=checked["because"],
        source=checked["source"],
        functions=() if statement else of,
        roles=tuple(name for name, _ in subject["with"]),
        statement=of[0] if statement and of else "",
        wheres=tuple(checked["where"]),
        where_names=tuple(checked["where_names"]),
        knobs={
            name: Span(low, nominal, high, unit_of(Dimension(*dimension)))
            for name, (low, nominal, high, dimension) in checked["knobs"].items()
        },
        requires=tuple(
            Require(part["if"], part["when"], part["else"], part["at_risk"], tuple(part["names"]))
            for part in checked["require"]
        ),
        unproven=_level(checked.get("unproven")) or "warning",
        says={
            aspect: Message(tuple(pieces), tuple(names))
            for aspect, (pieces, names) in checked["says"].items()
        },
        line_level=_level(subject["level"]),
        advice=checked.get("advice", ""),
        remedies=tuple(name for name, _ in checked.get("remedy", [])),
        cases=tuple(
            TwinCase(
                Place(checked["path"], *case["at"]),
                case["verdict"],
                case["label"],
                case["board"],
                *case["edit"],
            )
            for case in checked["cases"]
        ),
    )


def _level(word: str | None) -> Level | None:
    """A level's word as what it is."""
    for level in get_args(Level):
        if word == level:
            found: Level = level
            return found
    return None


def wrong(path: str, at: Sequence[int], message: str, text: str) -> Trouble:
    """A rule file's trouble at a node's position (line, column, length)."""
    line, column, length = at
    excerpt = text.split("\n")[line - 1].rstrip("\r")
    return Trouble("wrong-rule", "error", Place(path, line, column, length), message, excerpt)
