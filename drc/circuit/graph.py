"""Circuits as networkx graphs, on request: the whole, or the region round one net.

Nodes are `Net` and `Element` views; an edge is a pin, keyed and labelled by its `position` on the line.
"""

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from drc.circuit.model import Circuit, Element, Net

if TYPE_CHECKING:
    from networkx import MultiGraph


def whole_graph(circuit: Circuit) -> "MultiGraph[Net | Element]":
    """Every net and leaf element of a board. Costs as much as the board is large."""
    return _graph(circuit.elements())


def region_graph(
    start: Net, through: Callable[[Element], bool], stops: Callable[[Net], bool]
) -> "MultiGraph[Net | Element]":
    """What hangs on a net: its elements, and past those that `through` admits their other nets, and so on.

    A net that satisfies `stops` (a rail, ground) is in the graph and is not gone past; the start always is.
    """
    seen: set[Net] = {start}
    found: dict[Element, None] = {}
    pending = [start]
    while pending:
        net = pending.pop()
        for pin in net.pins():
            if pin.element in found:
                continue
            found[pin.element] = None
            if not through(pin.element):
                continue
            for other in pin.element.nets:
                if other not in seen:
                    seen.add(other)
                    if not stops(other):
                        pending.append(other)
    return _graph(found)


def _graph(elements: Iterable[Element]) -> "MultiGraph[Net | Element]":
    """The graph of these elements and all their nets."""
    from networkx import MultiGraph

    graph: MultiGraph[Net | Element] = MultiGraph()
    for element in elements:
        graph.add_node(element, bipartite="element")
        for position, net in enumerate(element.nets):
            graph.add_node(net, bipartite="net")
            graph.add_edge(element, net, key=position, position=position)
    return graph
