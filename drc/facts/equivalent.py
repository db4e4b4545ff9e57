"""What a region amounts to: its network as arithmetic over causes, and its Thevenin equivalent at a node."""

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.circuit import dc
from drc.circuit.network import Network
from drc.circuit.star import star
from drc.facts.dependence import Dependence, Quantity, combine, constant, each_state, missing
from drc.facts.model import Unknown
from drc.facts.walk import Region
from drc.quantity.unit import OHM, VOLT

if TYPE_CHECKING:
    from drc.circuit.network import Array


class Equivalent(NamedTuple):
    """The Thevenin equivalent at a net: open-circuit voltage (V) and source resistance (ohm).

    Where nothing connects the net, `resistance` is infinite and `voltage` Unknown. `elements` are the paths
    of the elements that take part, `rails` the names of the held nets reached.
    """

    voltage: Quantity
    resistance: Quantity
    elements: tuple[str, ...] = ()
    rails: tuple[str, ...] = ()


def parts_of(region: Region) -> tuple[Quantity, ...]:
    """The quantities of a region in the order of its arithmetic: ohms, stiff volts, drops, injections."""
    return (
        *(ohm for _, ohm in region.branches),
        *region.stiff.values(),
        *(drop for _, drop in region.junctions),
        *(current for _, current in region.injections),
    )


def equivalent(region: Region, node: str) -> Equivalent | Unknown:
    """The Thevenin equivalent of a region at a node; Unknown names everything that blocks it."""
    values = [ohm for _, ohm in region.branches]
    held = list(region.stiff.values())
    blocked = missing(*region.obstacles, *values, *held)
    if blocked is not None:
        return blocked
    elements = tuple(branch.label for branch, _ in region.branches) + tuple(
        junction.label for junction, _ in region.junctions
    )
    drops = [drop for _, drop in region.junctions]
    solver = _Equivalence(region, node)
    parts = (*values, *held, *drops)
    ohm = each_state(
        lambda *each: combine(solver.ohm, *each, unit=OHM, text=f"source resistance at {node}"), *parts
    )
    if not region.stiff or _floats(region, node) or _open(ohm):
        nothing = Unknown(f"nothing sets the voltage of {node}", (f"voltage of {node}",))
        return Equivalent(nothing, constant(np.inf, OHM, text="open"), elements, region.rails)
    currents = [current for _, current in region.injections]
    volt = each_state(
        lambda *each: combine(solver.volt, *each, unit=VOLT, text=f"open-circuit voltage at {node}"),
        *parts,
        *currents,
    )
    return Equivalent(volt, ohm, elements, region.rails)


def clamped_only(region: Region) -> bool:
    """Whether diodes alone lead to what is held, each standing so that it conducts beyond the rails only."""
    if region.branches or not region.junctions:
        return False
    for junction, _ in region.junctions:
        high, low = region.stiff.get(junction.cathode), region.stiff.get(junction.anode)
        clamp_high = isinstance(high, Dependence) and high.nominal > 0
        clamp_low = isinstance(low, Dependence) and low.nominal <= 0
        if not clamp_high and not clamp_low:
            return False
    return True


def _floats(region: Region, node: str) -> bool:
    """Whether a node lies between clamps, where only a current put into it would move it to one of them."""
    moved = any(current.nominal for _, current in region.injections)
    return node not in region.stiff and not moved and clamped_only(region)


def _open(ohm: Quantity) -> bool:
    """Whether nothing connects the node, in any state."""
    if isinstance(ohm, Dependence):
        return ohm.nominal == np.inf
    return not isinstance(ohm, Unknown) and all(each.nominal == np.inf for _, each in ohm.states)


def _arms(region: Region, node: str) -> list[int] | None:
    """For each branch the held node at its other end, by number; None if the region is more than a star."""
    order = {name: number for number, name in enumerate(region.stiff)}
    far = [branch.b if branch.a == node else branch.a for branch, _ in region.branches]
    batteries = any(branch.emf_v for branch, _ in region.branches)
    touching = all(node in (branch.a, branch.b) for branch, _ in region.branches)
    if region.junctions or batteries or not touching or node in order or any(at not in order for at in far):
        return None
    return [order[at] for at in far]


class Arithmetic:
    """A region's network over columns (draws,): ohms, stiff volts, drops, injections, in this order."""

    def __init__(self, region: Region) -> None:
        self.region = region
        self.sizes = (len(region.branches), len(region.stiff), len(region.junctions))
        self.nodes = tuple(dict.fromkeys(at for at, _ in region.injections))
        self.network = Network(
            tuple(branch for branch, _ in region.branches),
            dict.fromkeys(region.stiff, 0.0),
            dict.fromkeys(self.nodes, 0.0),
            tuple(junction for junction, _ in region.junctions),
        )

    def tables(self, columns: "tuple[Array, ...]") -> "tuple[Array, Array, Array, Array]":
        """Ohms (draws, branches), volts (draws, stiff), drops (draws, junctions), amperes (draws, nodes).

        Injections that the columns do not reach to are none.
        """
        draws = len(columns[0])
        ends = [sum(self.sizes[: k + 1]) for k in range(3)]
        ohms, volts, drops = (
            np.stack(columns[end - size : end], axis=1) if size else np.empty((draws, 0))
            for size, end in zip(self.sizes, ends, strict=True)
        )
        amperes = np.zeros((draws, len(self.nodes)))
        for (at, _), current in zip(self.region.injections, columns[ends[2] :], strict=False):
            amperes[:, self.nodes.index(at)] += current
        return ohms, volts, drops, amperes


class _Equivalence(Arithmetic):
    """The equivalent at one node, kept for the next question with the same columns."""

    def __init__(self, region: Region, node: str) -> None:
        super().__init__(region)
        self.node = node
        self.arms = _arms(region, node) if set(self.nodes) <= {node} else None
        self.last: tuple[Array, tuple[Array, Array]] | None = None

    def ohm(self, *columns: "Array") -> "Array":
        """Source resistance, (draws,)."""
        return self._solved(columns)[1]

    def volt(self, *columns: "Array") -> "Array":
        """Open-circuit voltage with the injections, (draws,)."""
        return self._solved(columns)[0]

    def _solved(self, columns: "tuple[Array, ...]") -> "tuple[Array, Array]":
        """Voltage and resistance."""
        table = np.stack(columns, axis=1)
        if self.last is not None and np.array_equal(self.last[0], table):
            return self.last[1]
        ohms, volts, drops, amperes = self.tables(columns)
        if self.arms is not None and (ohms > 0).all():
            open_v, ohm = star(ohms, volts[:, self.arms])
            result = (open_v + ohm * amperes[:, 0] if self.nodes else open_v, ohm)
        else:
            result = dc.thevenin(self.network, self.node, ohms, volts, drops=drops, injections=amperes)
        self.last = (table, result)
        return result
