"""The networkx views: what a graph holds of a board, and where a region ends."""

import networkx as nx

from drc.circuit.model import Circuit, Element, Net
from drc.netlist.read import read_text

_BOARD = """title
V1 vdd 0 5
R1 vdd mid 1k
R2 mid 0 1k
C1 mid 0 1n
R3 mid far 1k
XU1 far vdd other 0 HA10
R4 other 0 1k
X1 far cell
.subckt cell p
R9 p q 1k
C9 q 0 1n
.ends
"""


def _net(circuit: Circuit, name: str) -> Net:
    net = circuit.net(name)
    assert net is not None
    return net


def _names(graph: "nx.MultiGraph[Net | Element]") -> tuple[list[str], list[str]]:
    """Names of the nets and paths of the elements of a graph, sorted."""
    nets: list[str] = []
    elements: list[str] = []
    for node, kind in graph.nodes(data="bipartite"):
        (nets if kind == "net" else elements).append(node.name if kind == "net" else node.path)
    return sorted(nets), sorted(elements)


def test_the_whole_graph_holds_every_pin() -> None:
    """Every leaf, net and pin of the board is a node or edge, hierarchy included."""
    circuit = read_text(_BOARD)
    graph = circuit.graph()
    assert graph.number_of_nodes() == circuit.element_count + circuit.net_count
    assert graph.number_of_edges() == sum(len(element.nets) for element in circuit.elements())


def test_an_edge_is_a_pin_with_its_position() -> None:
    """Both pins of an element on one net are two edges; elements stand apart from nets."""
    circuit = read_text("title\nR1 a a 1k\nR2 b a 1k\n")
    graph = circuit.graph()
    one, two = circuit.element("R1"), circuit.element("R2")
    assert [data["position"] for data in graph[one][_net(circuit, "a")].values()] == [0, 1]
    assert list(graph[one][_net(circuit, "a")]) == [0, 1]
    assert list(graph[two][_net(circuit, "b")]) == [0]
    assert list(graph[two][_net(circuit, "a")]) == [1]
    assert _names(graph) == (["a", "b"], ["R1", "R2"])
    assert sorted(kind for _, kind in graph.nodes(data="bipartite")) == ["element", "element", "net", "net"]


def test_a_region_ends_at_stops_and_at_what_does_not_lead_on() -> None:
    """A divider's region reaches through resistors into instances, not past rails or parts."""
    circuit = read_text(_BOARD)
    rails = {_net(circuit, "vdd"), _net(circuit, "0")}
    graph = _net(circuit, "mid").region(lambda e: e.kind == "R", lambda net: net in rails)
    nets, elements = _names(graph)
    assert elements == sorted(["C1", "R1", "R2", "R3", "X1.R9", "X1.C9", "XU1"])
    assert nets == sorted(["0", "X1.q", "far", "mid", "other", "vdd"])


def test_a_region_begins_past_its_own_net_whatever_stops_it() -> None:
    """Asked of a rail, what hangs on the rail is told, and what hangs behind each resistor on it."""
    circuit = read_text(_BOARD)
    rails = {_net(circuit, "vdd"), _net(circuit, "0")}
    nets, elements = _names(_net(circuit, "vdd").region(lambda e: e.kind == "R", lambda net: net in rails))
    assert elements == sorted(["C1", "R1", "R2", "R3", "V1", "X1.R9", "X1.C9", "XU1"])
    assert nets == sorted(["0", "X1.q", "far", "mid", "other", "vdd"])


def test_what_does_not_lead_on_is_told_with_all_its_nets() -> None:
    """Nothing is gone through: the elements on the net alone, each with its far nets, and no others."""
    circuit = read_text(_BOARD)
    nets, elements = _names(_net(circuit, "far").region(lambda _: False, lambda _: False))
    assert elements == ["R3", "X1.R9", "XU1"]
    assert nets == ["0", "X1.q", "far", "mid", "other", "vdd"]
    everywhere = _net(circuit, "far").region(lambda _: True, lambda _: False)
    assert _names(everywhere) == _names(circuit.graph())


def test_algorithms_work_on_the_view() -> None:
    """networkx's own algorithms take the graph as it is."""
    circuit = read_text(_BOARD)
    graph = circuit.graph()
    assert nx.is_connected(graph)
    assert nx.shortest_path_length(graph, _net(circuit, "mid"), _net(circuit, "X1.q")) == 4
