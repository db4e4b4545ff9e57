"""Nodal analysis of linear resistive networks by node elimination, batched over draws.

Each inner node is eliminated by the star-mesh transform: the conductance g(i,k) g(k,j) / sum g(k,.) joins
every pair of its neighbours. Nothing is ever subtracted, so that every conductance between the nodes that
remain keeps its relative accuracy whatever the ratio of the resistances (the elimination of Grassmann,
Taksar and Heyman, known for Markov chains). Branches of 0 ohm join their nodes before that.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drc.circuit.network import Array

_CHUNK_FLOATS = 4_000_000
"""Draws are taken in runs so that a conductance table stays near 32 MB."""


class Wiring(NamedTuple):
    """Which nodes each branch joins, which nodes are held, and which is wanted as a terminal.

    Nodes are numbered from 0 to `nodes` - 1; `ends` are (a, b) of each branch; `held` the stiff nodes.
    `last` is eliminated after all others, so that what remains there is its Thevenin equivalent.
    """

    nodes: int
    ends: tuple[tuple[int, int], ...]
    held: tuple[int, ...]
    last: int | None = None


class Given(NamedTuple):
    """The numbers of a wiring: ohms and emfs (draws, branches), held_volts (draws, held), injected amperes
    (draws, nodes).
    """

    ohms: Array
    emfs: Array
    held_volts: Array
    injected: Array


class Solved(NamedTuple):
    """Node voltages (draws, nodes); the current out of each stiff node into the network (draws, held);
    and the conductance that the `last` node sees (draws,): 0 is open, infinite is stiff.
    """

    volts: Array
    held_amperes: Array
    last_siemens: Array


class _Joined(NamedTuple):
    """Nodes joined by 0 ohm: V(node) = V(root[node]) + offset[node]; `clash` where a loop contradicts itself.

    `offset` is (nodes, draws), `clash` (nodes, draws) true at the roots.
    """

    root: tuple[int, ...]
    offset: Array
    clash: NDArray[np.bool_]


class _Mesh(NamedTuple):
    """What joins the groups of nodes: conductances g (groups, groups, draws); conductance times battery,
    w[i, j] driving current into i; and injected current (groups, draws).
    """

    g: Array
    w: Array
    source: Array


def solve(wiring: Wiring, given: Given) -> Solved:
    """Solves every draw.

    A node that nothing holds is nan, and so is one that hangs on an unknown (nan) value.
    Raises ValueError on a negative resistance.
    """
    if np.any(given.ohms < 0):
        raise ValueError("a resistance is negative")
    draws = given.ohms.shape[0]
    volts = np.empty((draws, wiring.nodes))
    amperes = np.empty((draws, len(wiring.held)))
    siemens = np.empty(draws)
    for pick in _runs(given.ohms == 0, wiring.nodes):
        part = _solve_alike(wiring, Given(*(table[pick].T for table in given)))
        volts[pick], amperes[pick], siemens[pick] = part.volts.T, part.held_amperes.T, part.last_siemens
    return Solved(volts, amperes, siemens)


def _runs(zero: NDArray[np.bool_], nodes: int) -> list[NDArray[np.intp]]:
    """Draws with the same branches at 0 ohm, in runs of bounded size."""
    if (zero == zero[:1]).all():
        groups = [np.arange(zero.shape[0])]
    else:
        _, which = np.unique(zero, axis=0, return_inverse=True)
        which = which.reshape(-1)
        groups = [np.flatnonzero(which == k) for k in range(int(which.max()) + 1)]
    size = max(1, _CHUNK_FLOATS // max(1, nodes * nodes))
    return [group[at : at + size] for group in groups for at in range(0, len(group), size)]


def _solve_alike(wiring: Wiring, given: Given) -> Solved:
    """Solves draws that have the same branches at 0 ohm; draws are the last axis here, for speed."""
    joined = _join(wiring, given.ohms[:, 0] == 0, given.emfs)
    number = {root: k for k, root in enumerate(dict.fromkeys(joined.root))}
    of = [number[root] for root in joined.root]
    level = _hold(wiring, joined, of, given.held_volts)
    mesh, neighbours = _assemble(wiring, given, joined, of)
    last = of[wiring.last] if wiring.last is not None else None
    order = _eliminate(mesh, neighbours, set(number.values()) - set(level), last)
    volts = _read_back(mesh, level, order)
    siemens = np.full(volts.shape[1], np.nan)
    if last is not None:
        at = np.array(list(level), dtype=np.intp)
        siemens = np.full_like(siemens, np.inf) if last in level else mesh.g[last, at].sum(axis=0)
    amperes = _held_amperes(mesh, level, volts, [of[node] for node in wiring.held])
    return Solved(volts[np.array(of)] + joined.offset, amperes, siemens)


def _assemble(
    wiring: Wiring, given: Given, joined: _Joined, of: Sequence[int]
) -> tuple[_Mesh, list[set[int]]]:
    """The conductances between groups of joined nodes, and which groups are neighbours."""
    count, draws = max(of) + 1, given.ohms.shape[1]
    mesh = _Mesh(np.zeros((count, count, draws)), np.zeros((count, count, draws)), np.zeros((count, draws)))
    neighbours: list[set[int]] = [set() for _ in range(count)]
    for node, group in enumerate(of):
        mesh.source[group] += given.injected[node]
    for k, (a, b) in enumerate(wiring.ends):
        i, j = of[a], of[b]
        if i == j:
            continue
        siemens = 1.0 / given.ohms[k]
        lift = given.emfs[k] - joined.offset[a] + joined.offset[b]
        driven = np.where(siemens == 0, 0.0, siemens * lift)
        mesh.g[i, j] += siemens
        mesh.g[j, i] += siemens
        mesh.w[i, j] += driven
        mesh.w[j, i] -= driven
        neighbours[i].add(j)
        neighbours[j].add(i)
    return mesh, neighbours


def _join(wiring: Wiring, zero: NDArray[np.bool_], emfs: Array) -> _Joined:
    """Joins the nodes at the ends of 0 ohm branches, keeping the batteries among them as offsets."""
    draws = emfs.shape[1]
    root = list(range(wiring.nodes))
    offset = np.zeros((wiring.nodes, draws))
    clash = np.zeros((wiring.nodes, draws), dtype=bool)
    members = {k: [k] for k in root}
    for k, (a, b) in enumerate(wiring.ends):
        if not zero[k]:
            continue
        step = offset[b] + emfs[k] - offset[a]  # V(root of a) - V(root of b)
        keep, drop = root[b], root[a]
        if keep == drop:
            clash[keep] |= step != 0
            continue
        if len(members[drop]) > len(members[keep]):
            keep, drop, step = drop, keep, -step
        clash[keep] |= clash[drop]
        for node in members.pop(drop):
            root[node] = keep
            offset[node] += step
            members[keep].append(node)
    return _Joined(tuple(root), offset, clash)


def _hold(wiring: Wiring, joined: _Joined, of: Sequence[int], held_volts: Array) -> dict[int, Array]:
    """The voltage of each group that a stiff node, or a contradiction, fixes: nan where two disagree."""
    level: dict[int, Array] = {}
    for k, node in enumerate(wiring.held):
        here = held_volts[k] - joined.offset[node]
        there = level.get(of[node])
        level[of[node]] = here if there is None else np.where(_alike(here, there), there, np.nan)
    for node, root in enumerate(joined.root):
        if node == root and joined.clash[root].any():
            value = level.get(of[node], np.zeros(joined.clash.shape[1]))
            level[of[node]] = np.where(joined.clash[root], np.nan, value)
    return level


def _alike(a: Array, b: Array) -> NDArray[np.bool_]:
    """Whether two voltages are the same but for rounding."""
    return np.abs(a - b) <= 1e-12 * np.maximum(np.abs(a), np.abs(b))


def _eliminate(mesh: _Mesh, neighbours: list[set[int]], inner: set[int], last: int | None) -> list[int]:
    """Eliminates the inner groups in place, fewest neighbours first; returns the order taken.

    What belongs to a group is left as it was when the group went, for reading the voltages back.
    """
    g, w, source = mesh
    driven = bool(w.any())
    waiting = set(inner)
    order: list[int] = []
    while waiting:
        k = min(waiting, key=lambda n: (n == last, len(neighbours[n]), n))
        waiting.discard(k)
        order.append(k)
        around = sorted(neighbours[k])
        if not around:
            continue
        at = np.array(around)
        row = g[k, at]
        total = row.sum(axis=0)
        share = np.divide(row, total, out=np.zeros_like(row), where=total != 0)
        star = row[:, None] * share[None, :]
        star[np.arange(len(around)), np.arange(len(around))] = 0.0
        g[np.ix_(at, at)] += star
        if driven:
            lifted = share[:, None] * w[k, at][None, :]
            w[np.ix_(at, at)] += lifted - lifted.transpose(1, 0, 2)
        source[at] += share * source[k]
        for n in around:
            neighbours[n] |= neighbours[k]
            neighbours[n] -= {n, k}
    return order


def _read_back(mesh: _Mesh, level: dict[int, Array], order: Sequence[int]) -> Array:
    """Group voltages (groups, draws), from the last group eliminated back to the first."""
    g, w, source = mesh
    volts = np.full(source.shape, np.nan)
    for k, value in level.items():
        volts[k] = value
    known = list(level)
    for k in reversed(order):
        at = np.array(known, dtype=np.intp)
        total = g[k, at].sum(axis=0)
        pull = np.where(g[k, at] == 0, 0.0, g[k, at] * volts[at]) + w[k, at]
        np.divide(pull.sum(axis=0) + source[k], total, out=volts[k], where=total != 0)
        known.append(k)
    return volts


def _held_amperes(mesh: _Mesh, level: dict[int, Array], volts: Array, held: Sequence[int]) -> Array:
    """Current out of each stiff node, (held, draws); nan where two stiff nodes are joined: how they share
    it is not determined. `held` are the groups of the stiff nodes.
    """
    g, w, source = mesh
    amperes = np.full((len(held), volts.shape[1]), np.nan)
    at = np.array(list(level), dtype=np.intp)
    for k, group in enumerate(held):
        if held.count(group) == 1:
            flow = np.where(g[group, at] == 0, 0.0, g[group, at] * (volts[group] - volts[at]))
            amperes[k] = (flow - w[group, at]).sum(axis=0) - source[group]
    return amperes
