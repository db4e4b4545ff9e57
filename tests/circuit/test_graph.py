"""The networkx views: what a graph holds of a board, and where a region ends."""

import networkx as nx

from drc.circuit.graph import region_graph, whole_graph
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
    graph = whole_graph(circuit)
    assert graph.number_of_nodes() == circuit.element_count + circuit.net_count
    assert graph.number_of_edges() == sum(len(element.nets) for element in circuit.elements())


def test_a_region_ends_at_stops_and_at_what_does_not_lead_on() -> None:
    """A divider's region reaches through resistors into instances, not past rails or parts."""
    circuit = read_text(_BOARD)
    rails = {_net(circuit, "vdd"), _net(circuit, "0")}
    graph = region_graph(_net(circuit, "mid"), lambda e: e.kind == "R", lambda net: net in rails)
    nets, elements = _names(graph)
    assert elements == sorted(["C1", "R1", "R2", "R3", "X1.R9", "X1.C9", "XU1"])
    assert nets == sorted(["0", "X1.q", "far", "mid", "other", "vdd"])


def test_algorithms_work_on_the_view() -> None:
    """networkx's own algorithms take the graph as it is."""
    circuit = read_text(_BOARD)
    graph = whole_graph(circuit)
    assert nx.is_connected(graph)
    assert nx.shortest_path_length(graph, _net(circuit, "mid"), _net(circuit, "X1.q")) == 4
