"""Circuits as views: hierarchy, nets through ports, globals, counts, expanding no more than asked."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.circuit.model import Circuit, Element, Net
from drc.netlist.options import Limits, ReadOptions
from drc.netlist.read import read_text

_BOARD = """title
.global VDD
Vs VDD 0 5
X1 in mid stage
X2 mid out stage
R9 out 0 1k
.subckt stage a b
XA a n pair
R1 n b 2k
R2 n VDD 3k
.ends
.subckt pair p q
R1 p m 1k
R2 m q 1k
C1 m 0 1n
XU m VDD HA10
.ends
"""


@pytest.fixture
def board() -> Circuit:
    """Two stages of two pairs, with a global supply and ground inside."""
    return read_text(_BOARD)


def _net(circuit: Circuit, name: str) -> Net:
    found = circuit.net(name)
    assert found is not None, name
    return found


def _element(circuit: Circuit, path: str) -> Element:
    found = circuit.element(path)
    assert found is not None, path
    return found


def _pins(net: Net) -> list[tuple[str, int]]:
    return [(pin.element.path, pin.position) for pin in net.pins()]


def test_elements_come_expanded_in_source_order(board: Circuit) -> None:
    """Leaves come in the order of the lines, an instance's where the instance stands."""
    assert [element.path for element in board.elements()] == [
        "Vs",
        "X1.XA.R1",
        "X1.XA.R2",
        "X1.XA.C1",
        "X1.XA.XU",
        "X1.R1",
        "X1.R2",
        "X2.XA.R1",
        "X2.XA.R2",
        "X2.XA.C1",
        "X2.XA.XU",
        "X2.R1",
        "X2.R2",
        "R9",
    ]


def test_a_net_is_named_by_its_outermost_owner(board: Circuit) -> None:
    """A port hands on the outer name; a local name carries the path; globals and ground belong to the top."""
    names = [net.name for net in _element(board, "X1.XA.R1").nets]
    assert names == ["in", "X1.XA.m"]
    assert [net.name for net in _element(board, "X1.XA.R2").nets] == ["X1.XA.m", "X1.n"]
    assert [net.name for net in _element(board, "X2.R2").nets] == ["X2.n", "VDD"]
    assert _element(board, "X2.XA.C1").nets[1].is_ground


def test_pins_descend_into_every_instance(board: Circuit) -> None:
    """The pins of a net are those of all leaves on it, whatever their depth, in source order."""
    assert _pins(_net(board, "mid")) == [("X1.R1", 1), ("X2.XA.R1", 0)]
    assert _pins(_net(board, "VDD")) == [
        ("Vs", 0),
        ("X1.XA.XU", 1),
        ("X1.R2", 1),
        ("X2.XA.XU", 1),
        ("X2.R2", 1),
    ]
    assert _pins(_net(board, "0")) == [("Vs", 1), ("X1.XA.C1", 1), ("X2.XA.C1", 1), ("R9", 1)]


def test_a_name_inside_finds_the_net_it_stands_for(board: Circuit) -> None:
    """A port's name inside an instance is another name of the outer net; letter case is ignored."""
    assert _net(board, "x1.xa.P") == _net(board, "IN")
    assert _net(board, "X2.a") == _net(board, "mid")
    assert board.net("X1.nothing") is None
    assert board.net("p") is None


def test_counts_need_no_expansion(board: Circuit) -> None:
    """Counting by definition gives what expanding gives."""
    assert board.element_count == len(list(board.elements()))
    assert board.net_count == len(list(board.nets()))


def test_exponential_hierarchies_are_counted_at_once() -> None:
    """A hierarchy of ten to the thirty leaves is counted, and a part in a side branch is found."""
    lines = ["title", ".subckt l0 a b", "R1 a b 1", ".ends"]
    for level in range(1, 31):
        lines += [f".subckt l{level} a b", *(f"X{i} a b l{level - 1}" for i in range(10)), ".ends"]
    options = ReadOptions(limits=Limits(expansion=10**31))
    circuit = read_text("\n".join([*lines, "X1 p q l30", "XU3 p q HA10", ""]), options=options)
    assert circuit.element_count == 10**30 + 1
    assert [e.path for e in circuit.instances(lambda name: name == "HA10")] == ["XU3"]
    assert circuit.element("X1" + ".X9" * 30 + ".R1") is not None


def test_a_closed_definition_is_one_leaf(board: Circuit) -> None:
    """A definition whose name is a part's is not descended into: it keeps its header and its pins."""
    closed = board.closed(lambda name: name.lower() == "pair")
    assert [e.path for e in closed.elements()] == [
        "Vs",
        "X1.XA",
        "X1.R1",
        "X1.R2",
        "X2.XA",
        "X2.R1",
        "X2.R2",
        "R9",
    ]
    leaf = _element(closed, "X1.XA")
    assert (leaf.kind, leaf.part, leaf.header) == ("X", "pair", ("p", "q"))
    assert _pins(_net(closed, "in")) == [("X1.XA", 0)]
    assert closed.element_count == 8
    assert closed.net_count == len(list(closed.nets()))
    assert closed.element("X1.XA.R1") is None


def test_instances_are_found_by_part_name_anywhere(board: Circuit) -> None:
    """Leaves whose part name is wanted come with their paths; others are not looked at."""
    assert [e.path for e in board.instances(lambda name: name == "HA10")] == ["X1.XA.XU", "X2.XA.XU"]
    assert not list(board.instances(lambda name: name == "pair"))


def test_views_are_equal_when_they_mean_the_same(board: Circuit) -> None:
    """Asked for twice, an element or net compares and hashes equal; those of another circuit do not."""
    other = read_text(_BOARD)
    assert _element(board, "X1.R1") == _element(board, "x1.r1")
    assert len({_element(board, "X1.R1"), _element(board, "X1.R1"), _element(board, "X2.R1")}) == 2
    assert len({_net(board, "mid"), _net(board, "X1.b"), _net(board, "X2.a")}) == 1
    assert _net(board, "mid") != _net(other, "mid")


def test_an_open_port_is_a_net_within() -> None:
    """An instance with too few nodes leaves the port inside, and the finding names both places."""
    circuit = read_text("title\nX1 a cell\n.subckt cell p q\nR1 p q 1k\n.ends\n")
    assert [net.name for net in _element(circuit, "X1.R1").nets] == ["a", "X1.q"]
    assert circuit.net_count == 2
    (trouble,) = circuit.troubles
    assert (trouble.kind, trouble.place.line, trouble.others[0].line) == ("pin-count", 2, 3)


def test_a_loop_of_subcircuits_is_cut_and_named() -> None:
    """Definitions that contain each other are named, and the circuit stays finite."""
    circuit = read_text(
        "title\nX1 a b one\n.subckt one p q\nX2 p q two\n.ends\n.subckt two p q\nX3 p q one\n.ends\n"
    )
    assert [trouble.kind for trouble in circuit.troubles] == ["recursive-subcircuit"]
    assert [element.path for element in circuit.elements()] == ["X1.X2.X3"]


def test_a_port_hides_a_global_of_its_name() -> None:
    """A port called gnd is what the instance connects, not node 0."""
    circuit = read_text("title\nX1 a vneg cell\nR2 a 0 1\n.subckt cell p gnd\nR1 p gnd 1k\n.ends\n")
    assert [net.name for net in _element(circuit, "X1.R1").nets] == ["a", "vneg"]


@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=1, max_size=12))
def test_pins_and_nets_are_two_views_of_one_relation(edges: list[tuple[int, int]]) -> None:
    """A pin stands on a net exactly if the net is at that position of its element."""
    lines = [f"R{i} n{a} n{b} 1k" for i, (a, b) in enumerate(edges)]
    circuit = read_text(
        "\n".join(["title", *lines, "X1 n0 n1 cell", ".subckt cell a b", *lines, "Rx a b 1", ".ends", ""])
    )
    relation = {(e.path, i, net.name) for e in circuit.elements() for i, net in enumerate(e.nets)}
    assert relation == {(p.element.path, p.position, n.name) for n in circuit.nets() for p in n.pins()}
