"""The DC solution of a network, batched over draws: voltages and Thevenin equivalents."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drc.circuit.junctions import Junctions, settle
from drc.circuit.network import Array, Network
from drc.circuit.nodal import Given, Solved, Wiring, solve


class Operating(NamedTuple):
    """An operating point: node voltages (draws, nodes) in the order of `network.nodes`, the current out of
    each stiff node (draws, stiff), and which junctions conduct (draws, junctions).
    """

    volts: Array
    stiff_amperes: Array
    conducting: NDArray[np.bool_]


def voltages(network: Network, ohms: Array | None = None, stiff: Array | None = None) -> Array:
    """Node voltages, (draws, nodes), in the order of `network.nodes`; see `operating`."""
    return operating(network, ohms, stiff).volts


def operating(
    network: Network,
    ohms: Array | None = None,
    stiff: Array | None = None,
    *,
    drops: Array | None = None,
    injections: Array | None = None,
) -> Operating:
    """The operating point of every draw.

    `ohms` (draws, branches), `stiff` V (draws, stiff), `drops` V (draws, junctions) and `injections` A
    (draws, injections) replace the network's own values, columns in its order; a single draw is spread over
    the others. A node that nothing holds, or that hangs on a value not known (nan), is nan; so
    is what two stiff nodes of different voltage, joined by 0 ohm, would fight over.
    Source: nodal analysis, any circuit-theory text. Raises ValueError on a negative resistance.
    """
    solved, conducting = _solved(network, (ohms, stiff, drops, injections), None)
    return Operating(solved.volts, solved.held_amperes, conducting)


def thevenin(
    network: Network,
    node: str,
    ohms: Array | None = None,
    stiff: Array | None = None,
    *,
    drops: Array | None = None,
    injections: Array | None = None,
) -> tuple[Array, Array]:
    """Open-circuit voltage (draws,) and source resistance (draws,) that a node shows; values as `operating`.

    A node joined to a stiff one has exactly 0 ohm; one that nothing holds has an infinite resistance and a
    voltage of nan. With junctions: the straight piece of the curve round the open node.
    Source: Thevenin's theorem, any circuit-theory text. KeyError if the network has no such node.
    """
    at = _index(network, node)
    solved, _ = _solved(network, (ohms, stiff, drops, injections), at)
    with np.errstate(divide="ignore", over="ignore"):
        return solved.volts[:, at], 1.0 / solved.last_siemens


@np.errstate(all="ignore")  # what is beyond numbers comes out infinite or nan
def _solved(
    network: Network, tables: tuple[Array | None, ...], last: int | None
) -> tuple[Solved, NDArray[np.bool_]]:
    """The solution with node number `last` eliminated last, and the junctions' states.

    `tables` are ohms, stiff voltages, drops and injections.
    """
    index = {name: k for k, name in enumerate(network.nodes)}
    own = (
        [b.ohm for b in network.branches],
        list(network.stiff.values()),
        [j.drop_v for j in network.junctions],
        list(network.injections.values()),
    )
    rows = [_table(given, values) for given, values in zip(tables, own, strict=True)]
    draws = max(len(table) for table in rows)
    ohms, held, drops, currents = (np.broadcast_to(t, (draws, t.shape[1])) for t in rows)
    emfs = np.broadcast_to(np.array([b.emf_v for b in network.branches]), ohms.shape)
    injected = np.zeros((draws, len(index)))
    for k, node in enumerate(network.injections):
        injected[:, index[node]] += currents[:, k]
    wiring = Wiring(
        len(index),
        tuple((index[b.a], index[b.b]) for b in network.branches),
        tuple(index[node] for node in network.stiff),
        last,
    )
    given = Given(ohms, emfs, held, injected)
    if not network.junctions:
        return solve(wiring, given), np.zeros((draws, 0), dtype=bool)
    if any(j.slope_ohm <= 0 for j in network.junctions):
        raise ValueError("a junction's slope is not above 0 ohm")
    ends = tuple((index[j.anode], index[j.cathode]) for j in network.junctions)
    slopes = np.broadcast_to(np.array([j.slope_ohm for j in network.junctions]), drops.shape)
    return settle(wiring, given, Junctions(ends, drops, slopes))


def _table(given: Array | None, own: list[float]) -> Array:
    """Given values as (draws, columns), or the network's own as one draw."""
    if given is None:
        return np.array([own], dtype=float)
    return np.atleast_2d(np.asarray(given, dtype=float))


def _index(network: Network, node: str) -> int:
    """The position of a node in `network.nodes`."""
    try:
        return network.nodes.index(node)
    except ValueError:
        raise KeyError(node) from None
