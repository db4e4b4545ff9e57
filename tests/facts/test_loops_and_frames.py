"""A Book computes each thing once, and tells a loop by the names of what needs itself."""

import pytest

from drc.blocks.model import Board
from drc.facts.book import Book, Catalogue
from drc.facts.model import Unknown
from drc.facts.options import FactOptions
from drc.intent.model import Intent
from drc.netlist.read import read_text


def empty() -> Book:
    """The book of an empty board."""
    return Book(Board(read_text("title\n"), ()), Intent(), FactOptions(), Catalogue({}, lambda *_: ()))


def test_a_thing_is_computed_once() -> None:
    """Asked for twice, it is the same value, and the work is done once; another key is another thing."""
    of, done = empty(), iter(range(9))
    assert [of.once(("what", key), lambda: next(done)) for key in ("a", "a", "b", "a")] == [0, 0, 1, 0]


def test_what_needs_itself_is_unknown() -> None:
    """One thing that asks for itself, straight, names itself; what merely asks for it keeps its value."""
    of = empty()
    found = of.once(
        ("outer", "Y"), lambda: (3, of.once(("loop", "X"), lambda: of.once(("loop", "X"), lambda: 1)))
    )
    assert isinstance(found, tuple)
    assert found[0] == 3
    assert isinstance(found[1], Unknown)
    assert "X" in found[1].because
    assert "Y" not in found[1].because
    assert of.once(("loop", "X"), lambda: 5) == found[1]


def test_all_members_of_a_loop_are_unknown_whoever_asks_first() -> None:
    """A needs B, B needs A, and B also needs C, which needs nothing: A and B are a loop, C has its value."""
    for first in ("A", "B"):
        of = empty()

        def ask(name: str, book: Book = of) -> object:
            needs = {"A": ("B",), "B": ("C", "A"), "C": ()}[name]
            return book.once(("it", name), lambda: [ask(other, book) for other in needs])

        ask(first)
        for name in ("A", "B"):
            found = ask(name)
            assert isinstance(found, Unknown)
            assert ("A" in found.because, "B" in found.because) == (True, True)
            assert "C" not in found.because
        assert ask("C") == []


def test_what_fails_is_not_kept() -> None:
    """An error leaves nothing open: asked again, the thing is computed again."""
    of = empty()

    def broken() -> int:
        raise ValueError("once")

    with pytest.raises(ValueError, match="once"):
        of.once(("it", "A"), broken)
    assert of.once(("it", "A"), lambda: 4) == 4
