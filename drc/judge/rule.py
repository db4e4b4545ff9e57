"""What a rule is once its text is read and checked: plain data, ready to be compiled to closures."""

from collections.abc import Mapping
from typing import Any, Literal, NamedTuple

from drc.facts.model import SubjectKind
from drc.judge.model import RemedyName
from drc.quantity.span import Span
from drc.trouble import Level, Place

Tree = list[Any]
"""A checked expression as plain JSON: what it is, where it stands, its parts."""

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
