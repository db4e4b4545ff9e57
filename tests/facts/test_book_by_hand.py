"""What a Book keeps and finds: by key, by path, by net; loops by all that they run through."""

import pytest

from drc.blocks.model import Board
from drc.facts.book import Book, Catalogue
from drc.facts.lead import Obstacle
from drc.facts.leads import leads
from drc.facts.model import Fact, Subject, Unknown
from drc.facts.options import FactOptions
from drc.facts.strap import strap_ratio
from drc.intent.model import Intent
from drc.intent.read import read_statements
from drc.netlist.read import read_text
from drc.quantity.span import exact
from drc.quantity.unit import VOLT
from drc.trouble import Place
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.test_holders import net
from tests.facts.timing_boards import block, book


def bare(catalogue: Catalogue | None = None) -> Book:
    """The book of an empty board."""
    empty = Catalogue({}, lambda *_: ())
    return Book(Board(read_text("title\n"), ()), Intent(), FactOptions(), catalogue or empty)


def asked(of: Book, edges: dict[str, str], name: str, what: str = "it") -> object:
    """A computation that asks those that it needs, in turn."""
    return of.once((what, name), lambda: tuple(str(asked(of, edges, each, what)) for each in edges[name]))


@pytest.mark.parametrize("first", ["a", "b", "c", "d", "e"])
def test_two_loops_that_hang_together_by_one_way_are_two(first: str) -> None:
    """a and b ask each other, b asks c, c and d ask each other, and e asks all: e alone is known."""
    edges = {"a": "b", "b": "ca", "c": "d", "d": "c", "e": "abcd"}
    of = bare()
    asked(of, edges, first)
    found = {name: asked(of, edges, name) for name in edges}
    assert found["a"] == found["b"] == Unknown("loop a, b", ("it",))
    assert found["c"] == found["d"] == Unknown("loop c, d", ("it",))
    assert isinstance(found["e"], tuple)


@pytest.mark.parametrize("first", ["a", "b", "c", "d"])
def test_a_loop_with_a_short_way_home_is_one(first: str) -> None:
    """a to b to c to d, d back to a and c back to b: all four, whoever is asked first."""
    edges = {"a": "b", "b": "c", "c": "bd", "d": "a"}
    of = bare()
    asked(of, edges, first)
    assert {asked(of, edges, name) for name in edges} == {Unknown("loop a, b, c, d", ("it",))}


def test_a_loop_names_what_it_is_about_and_what_it_asks() -> None:
    """Each once and sorted; a key of one word stands for itself."""
    of = bare()

    def outer() -> object:
        return of.once(("volts", "XU2"), lambda: of.once(("amperes", "XU1"), inner))

    def inner() -> object:
        return of.once(("watts",), lambda: of.once(("volts", "XU2"), lambda: 1))

    assert outer() == Unknown("loop XU1, XU2, watts", ("amperes", "volts", "watts"))
    assert of.once(("watts",), lambda: 3) == Unknown("loop XU1, XU2, watts", ("amperes", "volts", "watts"))


def test_who_closes_a_loop_is_told_all_of_it_at_once() -> None:
    """a asks b asks c asks b: c is told of b and c, and not of a, which only asks."""
    of, told = bare(), []

    def third() -> int:
        told.append(of.once(("it", "b"), lambda: 1))
        return 1

    def second() -> int:
        of.once(("it", "c"), third)
        return 2

    loop = Unknown("loop b, c", ("it",))
    assert of.once(("it", "a"), lambda: (of.once(("it", "b"), second), 3)) == (loop, 3)
    assert told == [loop]


def test_what_asks_for_itself_alone_is_a_loop_of_one() -> None:
    """And what does not is none, though asked for from inside."""
    of = bare()
    assert of.once(("it", "a"), lambda: of.once(("it", "a"), lambda: 1)) == Unknown("loop a", ("it",))
    again = bare()
    made: object = again.once(("it", "a"), lambda: (asked(again, {"a": ""}, "a"), 1))
    assert made == Unknown("loop a", ("it",))
    assert of.once(("it", "b"), lambda: (of.once(("it", "c"), lambda: 1), 2)) == (1, 2)
    assert of.once(("it", "c"), lambda: 9) == 1


def test_what_fails_inside_leaves_nothing_open() -> None:
    """Neither the failed nor what asked for it: both are computed again, and are no loop."""
    of = bare()
    fails = [True]

    def inner() -> int:
        if fails:
            fails.pop()
            raise KeyboardInterrupt
        return 5

    def outer() -> object:
        return of.once(("it", "outer"), lambda: (of.once(("it", "inner"), inner), 1))

    with pytest.raises(KeyboardInterrupt):
        outer()
    assert outer() == (5, 1)


def test_none_and_falsehood_are_kept_as_what_they_are() -> None:
    """A result that is nothing is a result."""
    of = bare()
    for key, value in (("a", None), ("b", False), ("c", 0), ("d", ())):
        assert of.once(("it", key), lambda value=value: value) == value  # type: ignore[misc]
        again: object = of.once(("it", key), lambda: "again")
        assert again == value


def test_facts_are_kept_by_name_path_kind_and_place() -> None:
    """Two subjects that differ in any of these are two; a name that the catalogue lacks is a KeyError."""
    count = iter(range(99))

    def compute(_: Book, subject: Subject) -> Fact:
        return Fact(subject.path, exact(float(next(count))))

    of = bare(Catalogue({"x": compute, "y": compute}, lambda *_: ()))
    here, there = Place("board.cir", 1), Place("board.cir", 2)
    subjects = [
        Subject("block", "XU1", here),
        Subject("statement", "XU1", here),
        Subject("block", "XU1", there),
        Subject("block", "XU2", here),
    ]
    first = [of.fact(subject, "x") for subject in subjects]
    assert [fact.value for fact in first] == [exact(float(k)) for k in range(4)]
    assert [of.fact(subject, "x") for subject in subjects] == first
    assert of.fact(subjects[0], "y").value == exact(4.0)
    with pytest.raises(KeyError):
        of.fact(subjects[0], "z")


def test_a_fact_that_needs_itself_is_unknown_under_its_name() -> None:
    """As a fact, whoever asks."""
    here = Subject("block", "XU1", Place("board.cir", 1))

    def compute(of: Book, subject: Subject) -> Fact:
        return of.fact(subject, "x")

    of = bare(Catalogue({"x": compute}, lambda *_: ()))
    assert of.fact(here, "x") == Fact("x", Unknown("loop XU1", ("x",)))


def test_subjects_are_those_of_the_catalogue_by_kind_looked_for_once() -> None:
    """In its order; of a kind that needs itself there are none."""
    calls: list[str] = []

    def subjects(of: Book, kind: str) -> tuple[Subject, ...]:
        calls.append(kind)
        if kind == "net":
            return of.subjects("part")
        if kind == "part":
            return (*of.subjects("net"), Subject("part", "R1", Place("board.cir", 1)))
        return (
            Subject("block", "XU1", Place("board.cir", 1)),
            Subject("block", "XU2", Place("board.cir", 2)),
        )

    of = bare(Catalogue({}, subjects))
    for _ in range(2):
        assert [subject.path for subject in of.subjects("block")] == ["XU1", "XU2"]
    assert calls == ["block"]
    assert of.subjects("net") == ()


def test_blocks_and_helpers_are_found_by_path_and_element() -> None:
    """In any letter case; what is neither gives none."""
    of = book(f"{CENTRED}XReg vin 0 vx RG3\n", PLAIN)
    (helper,) = of.board.helpers
    assert of.at("xreg") == of.at("XREG") == (helper,)
    assert of.at("XU1") == (block(of),)
    assert (of.at("R1"), of.at("")) == ((), ())
    assert of.of(helper.element) == (helper,)
    assert of.of(block(of).element) == (block(of),)
    resistor = of.board.circuit.element("R1")
    assert resistor is not None
    assert of.of(resistor) == ()


def test_of_two_of_one_name_the_second_is_known_by_its_element_alone() -> None:
    """The name means the first; the second is no block, and in the way of all that it touches."""
    of = book(f"{CENTRED}XU1 vdd cfg o2 0 rt2 vdd PL1\nR9 rt2 0 100k\n", PLAIN)
    (first,) = of.board.blocks
    assert of.at("XU1") == of.of(first.element) == (first,)
    (second,) = (pin.element for pin in of.pins(net(of, "o2")))
    assert of.of(second) == ()
    assert leads(of, net(of, "o2")) == (Obstacle("XU1", "two elements are called XU1"),)
    assert strap_ratio(of, first) == Unknown("two elements are called XU1", ("XU1",))


def test_the_pins_of_a_net_are_looked_up_once() -> None:
    """As the net itself tells them."""
    of = book(CENTRED, PLAIN)
    net = of.board.circuit.net("cfg")
    assert net is not None
    assert of.pins(net) == net.pins()
    assert [(pin.element.path, pin.position) for pin in of.pins(net)] == [("R1", 1), ("R2", 0), ("XU1", 1)]
    assert of.pins(net) is of.pins(net)


def test_lines_that_could_not_be_read_are_told_of_the_nets_that_they_name() -> None:
    """In any letter case, each with its place; of other nets nothing."""
    of = book(f"{CENTRED}R8 CFG\nR9 cfg\nR7 far\n", PLAIN)
    net, other = of.board.circuit.net("cfg"), of.board.circuit.net("out")
    assert net is not None
    assert other is not None
    lost = [each for each in of.board.circuit.troubles if each.kind == "unreadable-line"]
    assert len(lost) == 3
    assert of.lost(net) == tuple(
        Unknown(f"the line at {each.place} could not be read and touches cfg", (str(each.place),))
        for each in lost[:2]
    )
    assert of.lost(other) == ()


def test_the_same_board_under_other_statements_is_computed_anew() -> None:
    """Board, options and catalogue are the same; nothing that was computed is carried over."""
    of = book(CENTRED, PLAIN, "supply vdd 4V")
    assert of.once(("it", "a"), lambda: 1) == 1
    other = of.under(read_statements("supply vdd 5V", "board.intent"))
    assert (other.board, other.options) == (of.board, of.options)
    assert other.once(("it", "a"), lambda: 2) == 2
    subject = of.subjects("block")[0]
    assert of.fact(subject, "supply.voltage").value == exact(4.0, VOLT)
    assert other.fact(subject, "supply.voltage").value == exact(5.0, VOLT)
