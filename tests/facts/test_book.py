"""The Book: facts once, and loops that look the same from wherever they are entered."""

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.facts.book import Book
from drc.facts.catalogue import ENTRIES
from drc.facts.model import Unknown
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import block, book, unknown


def empty() -> Book:
    """A book of a small board."""
    return book(CENTRED, PLAIN)


def test_what_is_asked_twice_is_computed_once() -> None:
    """The second asking gives what the first computed."""
    of, calls = empty(), []

    def compute() -> int:
        calls.append(1)
        return 7

    assert [of.once(("seven", "x"), compute) for _ in range(3)] == [7, 7, 7]
    assert len(calls) == 1


def ask(of: Book, edges: dict[str, str], name: str) -> str | Unknown:
    """A computation that asks its neighbours and falls back on its own name where they are unknown."""

    def compute() -> str:
        answers = [ask(of, edges, other) for other in edges[name]]
        return "".join(sorted(a if isinstance(a, str) else "?" for a in answers)) + name

    return of.once(("asks", name), compute)


def test_a_loop_is_unknown_and_named() -> None:
    """a asks b, b asks a: both unknown, naming the two."""
    found = ask(empty(), {"a": "b", "b": "a"}, "a")
    assert isinstance(found, Unknown)
    assert found.because == "loop a, b"


@given(st.dictionaries(st.sampled_from("abcde"), st.text("abcde", max_size=3), min_size=5, max_size=5))
def test_the_answer_does_not_depend_on_who_asks_first(edges: dict[str, str]) -> None:
    """For any graph of questions, every answer is the same in whatever order they are asked."""
    answers = set()
    for order in list(permutations("abcde"))[::7]:
        of = empty()
        found = {name: ask(of, edges, name) for name in order}
        answers.add(tuple(found[name] for name in "abcde"))
    assert len(answers) == 1


def test_blocks_that_feed_each_other_are_a_loop() -> None:
    """Two regulators that feed each other prove no supply, and the block on them says that it is a loop."""
    board = CENTRED.replace("V1 vdd 0 4", "XA vdd 0 other RG3\nXB other 0 vdd RG3")
    of = book(board, PLAIN)
    assert "loop" in unknown(of, "supply.voltage").because


def test_the_catalogue_has_each_name_once_and_knows_no_other() -> None:
    """Names are unique; an unknown one is a KeyError."""
    names = [line.name for line in ENTRIES]
    assert len(names) == len(set(names))
    of = empty()
    with pytest.raises(KeyError):
        of.fact(of.subjects("block")[0], "strap.colour")


def test_every_fact_answers_for_every_subject() -> None:
    """No fact of the catalogue fails on a plain board, and each carries its own name."""
    of = book(CENTRED + "*@ expect XU1 frequency 50kHz +/- 5%\n", PLAIN)
    for line in ENTRIES:
        for subject in of.subjects(line.subject):
            assert of.fact(subject, line.name).name == line.name


def test_a_statement_that_matches_nothing_is_a_trouble() -> None:
    """A block, a net and an element that do not exist are each named."""
    of = book(CENTRED, PLAIN, "expect XU9 frequency 1kHz +/- 1%\nsupply vbat 3V\nassume R9 tolerance 1%\n")
    found = [s.trouble.message for s in of.subjects("line") if s.trouble]
    assert len(found) == 3
    assert all(name in message for name, message in zip(("XU9", "vbat", "R9"), found, strict=True))


def test_blocks_are_found_by_element() -> None:
    """A block is known by its element's path in any letter case."""
    of = empty()
    assert of.at("xu1") == (block(of),)
    assert of.at("R1") == ()
