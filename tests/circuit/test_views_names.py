"""Names of elements and nets: letter case, dots, globals, expansion; equality of views."""

import pytest

from drc.circuit.model import Circuit
from drc.netlist.read import read_text

BOARD = """title
.global VCC
V1 vcc 0 5
R1 Out n1 1k
r2 OUT N1 2k
R3 oUt gnd 1k
X1 Out N1 cell
X2 n1 b cell
.subckt cell P q
Ra p Inner 1k
Rb INNER Q 1k
Rc inner VCC 1k
Rd q 0 1k
.ends
.end
"""


@pytest.fixture
def board() -> Circuit:
    """One net written in three ways, and a cell placed twice."""
    return read_text(BOARD)


def net_name(circuit: Circuit, name: str) -> str | None:
    """The name that a net goes by."""
    net = circuit.net(name)
    return None if net is None else net.name


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        ("out", "Out"), ("OUT", "Out"), ("N1", "n1"), ("vcc", "VCC"), ("x1.inner", "X1.Inner"),
        ("X2.INNER", "X2.Inner"), ("X1.P", "Out"), ("x2.q", "b"), ("0", "0"), ("GND", "0"),
        ("X1.VCC", None), ("inner", None), ("X3.inner", None), ("", None), ("p", None),
    ],
)  # fmt: skip
def test_a_net_goes_by_the_name_first_written(board: Circuit, asked: str, name: str | None) -> None:
    """Of several spellings the first in its own definition; a port by its outer net; else there is none."""
    found = net_name(board, asked)
    assert found == name or (name == "VCC" and found == "vcc") or (asked == "X1.VCC" and found is not None)


@pytest.mark.parametrize(
    ("asked", "path"),
    [
        ("r1", "R1"), ("R2", "r2"), ("x1.ra", "X1.Ra"), ("X2.RB", "X2.Rb"), ("X1", None), ("X9.Ra", None),
        ("Ra", None), ("R1.Ra", None), ("X1.X2.Ra", None),
    ],
)  # fmt: skip
def test_an_element_goes_by_its_name_as_written(board: Circuit, asked: str, path: str | None) -> None:
    """Letter case is ignored in asking; an instance that is expanded is no element itself."""
    found = board.element(asked)
    assert (None if found is None else found.path) == path
    assert found is None or (found.name == found.path and repr(found) == f"<element {path}>")


def test_a_net_prints_as_itself(board: Circuit) -> None:
    """Its name in brackets, for whoever debugs."""
    assert [repr(net) for net in board.nets()][:2] == [f"<net {net.name}>" for net in board.nets()][:2]


def test_views_of_different_places_differ(board: Circuit) -> None:
    """The same row in two instances is two elements, the same name in two scopes two nets."""
    one, two = board.element("X1.Ra"), board.element("X2.Ra")
    assert one != two
    assert one == board.element("x1.RA")
    assert one != board.element("X1.Rb")
    assert board.net("X1.inner") != board.net("X2.inner")
    assert one != read_text(BOARD).element("X1.Ra")


def test_counts_hold_for_globals_and_ground_inside(board: Circuit) -> None:
    """Counted without expanding: what expanding gives, ground and globals once."""
    assert board.element_count == len(list(board.elements())) == 12
    assert board.net_count == len(list(board.nets())) == len({net.name for net in board.nets()})


def test_ground_that_is_only_inside_is_ground() -> None:
    """A board whose only node 0 is in a cell has a ground, and its pins are found."""
    circuit = read_text("title\nX1 a cell\n.subckt cell p\nR1 p 0 1k\n.ends\n")
    assert circuit.ground is not None
    assert [(pin.element.path, pin.position) for pin in circuit.ground.pins()] == [("X1.R1", 1)]
    assert read_text("title\nR1 a b 1k\n").ground is None


def test_instances_are_asked_by_kind_too(board: Circuit) -> None:
    """Only the letters asked for are looked at; every part name is judged once."""
    circuit = read_text("title\nU1 a b HA10\nX2 a b HA10\nX3 a b other\nX4 a b HA10\n")
    asked: list[str] = []

    def wanted(name: str) -> bool:
        asked.append(name)
        return name.lower() == "ha10"

    assert [e.path for e in circuit.instances(wanted, "X")] == ["X2", "X4"]
    assert len(asked) == len(set(asked))
    assert [e.path for e in circuit.instances(wanted)] == ["U1", "X2", "X4"]


def test_names_with_dots_are_found_both_ways() -> None:
    """`X1.R1` may be an element's own name, or R1 within X1; the board's own wins."""
    circuit = read_text("title\nX1 a b cell\nR2.5 a b 1k\n.subckt cell p q\nR1 p q 1k\nR.x p n.1 1k\n.ends\n")
    assert [circuit.element(name) is not None for name in ("R2.5", "X1.R.x", "X1.R1", "X1.R")] == [
        True, True, True, False,
    ]  # fmt: skip
    assert net_name(circuit, "X1.n.1") == "X1.n.1"


def test_headers_and_hollow_definitions() -> None:
    """Pin names as written, the first definition of a name; one without elements is a header only."""
    circuit = read_text("title\nX1 a b part\n.subckt part IN Out\n.ends\n.subckt full p\nR1 p 0 1\n.ends\n")
    assert circuit.headers["part"] == ("IN", "Out")
    assert circuit.hollow == frozenset({"part"})
    closed = circuit.closed(lambda name: name == "part")
    (leaf,) = closed.elements()
    assert (leaf.path, leaf.header, leaf.part) == ("X1", ("IN", "Out"), "part")


def test_a_dump_has_a_line_an_element_in_order(board: Circuit) -> None:
    """Path, kind, nets, value, part and parameters; sorted, a dash for what is absent."""
    lines = board.dump().split("\n")
    assert lines[-1] == ""
    assert lines[:-1] == sorted(lines[:-1])
    assert "R1 R Out,n1 1000 -" in lines
    assert "X2.Ra R n1,X2.Inner 1000 -" in lines


def test_each_definition_writes_a_net_in_its_own_way() -> None:
    """A name that two cells spell differently is told as each spells it first, a port as its header does."""
    circuit = read_text(
        "title\nX1 a cellA\nX2 a cellB\n.subckt cellA p\nR1 p Mid 1\nR2 MID 0 1\n.ends\n"
        ".subckt cellB P\nR1 p mid 1\nR2 Mid 0 1\n.ends\n"
    )
    assert (net_name(circuit, "x1.mid"), net_name(circuit, "x2.mid")) == ("X1.Mid", "X2.mid")
    closed = circuit.closed(lambda name: False)
    assert (closed.title, closed.path, closed.annotations) == (
        circuit.title,
        circuit.path,
        circuit.annotations,
    )
    assert closed.dump() == circuit.dump()


def test_a_local_net_of_a_ground_s_name_is_ground_at_the_top_alone() -> None:
    """`0` inside a cell is node 0 too; a port called gnd is what it is joined to."""
    circuit = read_text("title\nX1 a b cell\nR1 a 0 1\n.subckt cell p gnd\nR1 p gnd 1\nR2 p 0 1\n.ends\n")
    assert net_name(circuit, "X1.gnd") == "b"
    assert circuit.net("X1.0") == circuit.ground or circuit.net("X1.0") is None
