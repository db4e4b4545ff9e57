"""Hierarchical circuits against a plain expansion: written here by recursion, without columns or indices."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drc.circuit.model import Circuit, Net
from drc.netlist.read import read_text

GROUND, GLOBAL = {"0", "gnd"}, "vcc"
NAMES = ("a", "A", "b", "n", "0", "gnd", "GND", "vcc", "Vcc")


class Line(NamedTuple):
    """An element line: its name, its nodes, and the part or subcircuit that it names."""

    name: str
    nodes: tuple[str, ...]
    part: str


class Cell(NamedTuple):
    """A subcircuit, or the board, whose header is empty."""

    name: str
    ports: tuple[str, ...]
    lines: tuple[Line, ...]


class Place(NamedTuple):
    """Where a cell is expanded: its path, the nodes given to its ports, and the place around it."""

    cell: Cell
    path: str = ""
    nodes: tuple[str, ...] = ()
    outer: "Place | None" = None


@st.composite
def boards(draw: st.DrawFn) -> tuple[Cell, ...]:
    """The board and up to three cells, each placing later ones, at times with a node missing or over."""
    count = draw(st.integers(0, 3))
    cells: list[Cell] = []
    for level in range(count, -1, -1):
        ports: tuple[str, ...] = ()
        if level:
            ports = tuple(draw(st.lists(st.sampled_from(NAMES), max_size=3, unique_by=str.lower)))
        lines = []
        for k in range(draw(st.integers(1, 4))):
            if draw(st.booleans()) and cells:
                inner = draw(st.sampled_from(cells))
                size = max(0, len(inner.ports) + draw(st.sampled_from((0, 0, 0, -1, 1))))
                part, name = inner.name, f"X{k}"
            else:
                size, part = 2, draw(st.sampled_from(("", "PA", "pb")))
                name = f"X{k}" if part else f"R{k}"
            nodes = draw(st.lists(st.sampled_from(NAMES), min_size=size, max_size=size))
            lines.append(Line(name, tuple(nodes), part))
        cells.append(Cell(f"C{level}" if level else "", ports, tuple(lines)))
    return tuple(reversed(cells))


def text_of(cells: tuple[Cell, ...]) -> str:
    """The netlist."""

    def lines(cell: Cell) -> list[str]:
        return [" ".join((line.name, *line.nodes, line.part or "1k")) for line in cell.lines]

    board, *rest = cells
    pieces = ["title", f".global {GLOBAL}", *lines(board)]
    for cell in rest:
        pieces += [" ".join((".subckt", cell.name, *cell.ports)), *lines(cell), ".ends"]
    return "\n".join([*pieces, ".end", ""])


def meant(place: Place, name: str) -> tuple[str, str]:
    """What a name means in a place: the path of the cell that owns the net, and the name in lower case."""
    low = name.lower()
    ports = [port.lower() for port in place.cell.ports]
    if place.outer is not None and low in ports:
        at = ports.index(low)
        return meant(place.outer, place.nodes[at]) if at < len(place.nodes) else (place.path, low)
    if low in GROUND:
        return "", "0"
    return ("" if low == GLOBAL else place.path), low


def leaves(
    cells: tuple[Cell, ...], place: Place, is_leaf: Callable[[str], bool]
) -> Iterator[tuple[str, tuple[tuple[str, str], ...], str]]:
    """Every leaf in source order: path, what its nodes mean, part."""
    by_name = {cell.name: cell for cell in cells[1:]}
    for line in place.cell.lines:
        path = f"{place.path}.{line.name}" if place.path else line.name
        inner = by_name.get(line.part)
        if inner is not None and not is_leaf(line.part):
            yield from leaves(cells, Place(inner, path, line.nodes, place), is_leaf)
        else:
            yield path, tuple(meant(place, node) for node in line.nodes), line.part


def key(net: Net) -> tuple[str, str]:
    """A net as the plain expansion names it."""
    if net.is_ground:
        return "", "0"
    path, _, name = net.name.rpartition(".")
    return path, name.lower()


def agree(circuit: Circuit, wanted: list[tuple[str, tuple[tuple[str, str], ...], str]]) -> None:
    """Elements, their nets and parts, and the pins of every net, are those of the plain expansion."""
    elements = list(circuit.elements())
    assert [(e.path, tuple(key(net) for net in e.nets)) for e in elements] == [row[:2] for row in wanted]
    assert [e.part for e in elements] == [row[2] or None for row in wanted]
    headers = {name.lower(): pins for name, pins in circuit.headers.items()}
    assert [e.header for e in elements] == [headers.get((e.part or "").lower()) for e in elements]
    assert circuit.element_count == len(wanted)
    pins: dict[tuple[str, str], list[tuple[str, int]]] = {}
    for path, nodes, _ in wanted:
        for position, node in enumerate(nodes):
            pins.setdefault(node, []).append((path, position))
    nets = list(circuit.nets())
    assert [key(net) for net in nets] == list(pins)
    for net in nets:
        assert [(pin.element.path, pin.position) for pin in net.pins()] == pins[key(net)]
        again = circuit.net(net.name.swapcase())
        assert again == net
        assert hash(again) == hash(net)
    ground = circuit.ground
    assert ("", "0") not in pins or (ground is not None and ground.is_ground)
    for element in elements:
        found = circuit.element(element.path.swapcase())
        assert found == element
        assert hash(found) == hash(element)


@settings(max_examples=40, deadline=None)
@given(boards())
def test_a_circuit_is_its_plain_expansion(cells: tuple[Cell, ...]) -> None:
    """Ports, ports left open, nodes too many, globals, ground inside and names that hide them."""
    agree(read_text(text_of(cells)), list(leaves(cells, Place(cells[0]), lambda _: False)))


@settings(max_examples=30, deadline=None)
@given(boards(), st.sets(st.sampled_from(("C1", "C2", "C3"))))
def test_closed_cells_are_leaves_wherever_they_stand(cells: tuple[Cell, ...], parts: set[str]) -> None:
    """A cell taken as a part is not gone into, closed at once or one after the other."""
    circuit = read_text(text_of(cells))
    wanted = list(leaves(cells, Place(cells[0]), parts.__contains__))
    agree(circuit.closed(parts.__contains__), wanted)
    for part in sorted(parts):
        circuit = circuit.closed(part.__eq__)
    agree(circuit, wanted)


def test_the_board_itself_is_no_part() -> None:
    """With everything taken as a part its own lines are left, each a leaf."""
    circuit = read_text("title\nX1 a b cell\nR1 a b 1\n.subckt cell p q\nR1 p q 1\n.ends\n")
    closed = circuit.closed(lambda _: True)
    assert [element.path for element in closed.elements()] == ["X1", "R1"]
    assert (closed.element_count, closed.net_count) == (2, 2)
    assert (circuit.element_count, circuit.headers) == (2, {"cell": ("p", "q")})


@settings(max_examples=25, deadline=None)
@given(boards(), st.sampled_from(("PA", "pb", "C2")), st.sampled_from(("", "X", "R", "RX")))
def test_instances_are_the_leaves_of_that_part(cells: tuple[Cell, ...], part: str, kinds: str) -> None:
    """In source order, of the kinds asked for or of all; a cell that is gone into is no instance."""
    circuit = read_text(text_of(cells))
    wanted = [path for path, _, name in leaves(cells, Place(cells[0]), lambda _: False) if name == part]
    found = [element.path for element in circuit.instances(part.__eq__, kinds)]
    assert found == (wanted if not kinds or "X" in kinds else [])
    closed = circuit.closed("C2".__eq__)
    wanted = [path for path, _, name in leaves(cells, Place(cells[0]), "C2".__eq__) if name == part]
    assert [element.path for element in closed.instances(part.__eq__)] == wanted


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("R1 a b 1\n", 2),
        ("R1 a 0 1\nR2 b GND 1\n", 3),
        (".global vcc\nR1 a vcc 1\nX1 a c\n.subckt c p\nR1 p VCC 1\nR2 p n 1\n.ends\n", 3),
        (".global vcc\nX1 a c\nX2 b c\n.subckt c p\nR1 p vcc 1\nR2 n 0 1\n.ends\n", 6),
        (
            "X1 a b c\nX2 a b d\n.subckt c p q\nR1 p q 1\n.ends\n.subckt d p q r\nR1 p r 1\n.ends\n",
            3,
        ),
        ("X1 a c\n.subckt c p q r\nR1 p q 1\nR2 q r 1\n.ends\n", 3),
    ],
)
def test_nets_are_counted_as_they_are_expanded(text: str, count: int) -> None:
    """Ground under all its names once, globals once, inner nets and open ports once a placing: by hand."""
    circuit = read_text("title\n" + text)
    assert circuit.net_count == len(list(circuit.nets())) == count


def test_a_board_whose_only_gnd_is_a_port_has_no_ground() -> None:
    """The name stands for what the instance connects; nothing on the board is node 0."""
    circuit = read_text("title\nX1 a vneg cell\n.subckt cell p gnd\nR1 p gnd 1k\n.ends\n")
    assert circuit.ground is None
    assert [net.is_ground for net in circuit.nets()] == [False, False]
    assert circuit.net_count == 2


def test_a_node_too_many_hangs_on_nothing_inside() -> None:
    """An instance with a node more than its definition has ports: that net has no pin there."""
    circuit = read_text("title\nX1 a b c cell\nR1 a c 1k\n.subckt cell p q\nR1 p q 1k\n.ends\n")
    for name, pins in (("a", ["X1.R1", "R1"]), ("b", ["X1.R1"]), ("c", ["R1"])):
        net = circuit.net(name)
        assert net is not None
        assert [pin.element.path for pin in net.pins()] == pins
