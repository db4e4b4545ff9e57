"""The Book: every fact of one board, computed once, when asked."""

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple, TypeVar

from drc.blocks.model import Block, Board
from drc.circuit.model import Element, Net, Pin
from drc.facts.model import Fact, Subject, SubjectKind, Unknown
from drc.facts.options import FactOptions
from drc.intent.model import Intent
from drc.trouble import Place

T = TypeVar("T")


class _Frame:
    """A computation under way or not yet settled: Tarjan's index and low link over "asks for"."""

    def __init__(self, key: tuple[str, ...], index: int) -> None:
        self.key = key
        self.index = index
        self.low = index
        self.loops = False


class Book:
    """Facts of one board by subject and catalogue name, and the quantities behind them.

    What asks for itself again (blocks that feed each other) comes back unknown, naming the loop. All
    members of a loop are unknown, whichever was asked first: strongly connected components, found as
    R. Tarjan, "Depth-first search and linear graph algorithms" (1972) does. What each name means, the
    catalogue says: `drc.facts.catalogue.open_book` opens a Book with it.
    """

    def __init__(self, board: Board, intent: Intent, options: FactOptions, catalogue: "Catalogue") -> None:
        self.board = board
        self.intent = intent
        self.options = options
        self._catalogue = catalogue
        self._pins: dict[str, tuple[Pin, ...]] = {}
        self._blocks: dict[str, list[Block]] = {}
        self._own: dict[Element, list[Block]] = {}
        for block in (*board.blocks, *board.helpers):
            self._blocks.setdefault(block.element.path.lower(), []).append(block)
            self._own.setdefault(block.element, []).append(block)
        self._lost: dict[str, list[Place]] = {}
        for trouble in board.circuit.troubles:
            for name in dict.fromkeys(name.lower() for name in trouble.nets):
                self._lost.setdefault(name, []).append(trouble.place)
        self._done: dict[tuple[str, ...], Any] = {}
        self._open: dict[tuple[str, ...], _Frame] = {}
        self._stack: list[_Frame] = []
        self._asked = 0

    def once(self, key: tuple[str, ...], compute: Callable[[], T]) -> T | Unknown:
        """What `compute` gives, computed once a book; `key` is (what, about what, ...).

        Unknown, naming the loop, where the computation needs its own result.
        """
        if key in self._done:
            done: T | Unknown = self._done[key]
            return done
        if key in self._open:
            frame = self._open[key]
            frame.loops = True
            if self._stack:
                self._stack[-1].low = min(self._stack[-1].low, frame.index)
            return _loop([f.key for f in self._open.values() if f.index >= frame.index])
        self._asked += 1
        frame = _Frame(key, self._asked)
        self._open[key] = frame
        self._stack.append(frame)
        try:
            value: T | Unknown = compute()
        except BaseException:
            del self._open[key]
            raise
        finally:
            self._stack.pop()
        if self._stack:
            self._stack[-1].low = min(self._stack[-1].low, frame.low)
        if frame.low == frame.index:
            value = self._settle(frame, value)
        return value

    def _settle(self, root: _Frame, value: T) -> T | Unknown:
        """Close the component that `root` heads: its own value if it stands alone, else all unknown."""
        members = [frame for frame in self._open.values() if frame.index >= root.index]
        for frame in members:
            del self._open[frame.key]
        if len(members) == 1 and not root.loops:
            self._done[root.key] = value
            return value
        unknown = _loop([frame.key for frame in members])
        for frame in members:
            self._done[frame.key] = unknown
        return unknown

    def at(self, path: str) -> tuple[Block, ...]:
        """The timing blocks and helpers at a path: several where a package has units."""
        return tuple(self._blocks.get(path.lower(), ()))

    def of(self, element: Element) -> tuple[Block, ...]:
        """The timing blocks and helpers of an element: several where a package has units."""
        return tuple(self._own.get(element, ()))

    def pins(self, net: Net) -> tuple[Pin, ...]:
        """Every leaf element's pin on a net, in source order, looked up once."""
        found = self._pins.get(net.name)
        if found is None:
            found = self._pins[net.name] = net.pins()
        return found

    def lost(self, net: Net) -> tuple[Unknown, ...]:
        """Lines that could not be read and seem to name a net: it never counts as solved."""
        return tuple(
            Unknown(f"the line at {place} could not be read and touches {net.name}", (str(place),))
            for place in self._lost.get(net.name.lower(), ())
        )

    def under(self, intent: Intent) -> "Book":
        """The same board under other statements, nothing of it computed yet."""
        return Book(self.board, intent, self.options, self._catalogue)

    def subjects(self, kind: SubjectKind) -> tuple[Subject, ...]:
        """Every subject of a kind, in source order."""
        result = self.once(("subjects", kind), lambda: self._catalogue.subjects(self, kind))
        return () if isinstance(result, Unknown) else result

    def fact(self, subject: Subject, name: str) -> Fact:
        """The fact of that catalogue name about a subject. KeyError if the catalogue has no such name."""
        compute = self._catalogue.facts[name]
        key = (name, subject.path, subject.kind, str(subject.place))
        result = self.once(key, lambda: compute(self, subject))
        return Fact(name, result) if isinstance(result, Unknown) else result


class Catalogue(NamedTuple):
    """How a Book computes: the function behind each name, and what subjects of a kind there are."""

    facts: Mapping[str, Callable[[Book, Subject], Fact]]
    subjects: Callable[[Book, SubjectKind], tuple[Subject, ...]]


def _loop(keys: list[tuple[str, ...]]) -> Unknown:
    """The loop by what it runs through, sorted so that the place of entry leaves no trace."""
    names = sorted({key[1] if len(key) > 1 else key[0] for key in keys})
    return Unknown(f"loop {', '.join(names)}", tuple(sorted({key[0] for key in keys})))
