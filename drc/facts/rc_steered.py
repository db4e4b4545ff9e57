"""RC timers whose current diodes steer: the time from the current into the capacitor, step by step."""

from typing import TYPE_CHECKING

import numpy as np

from drc.blocks.model import Block
from drc.circuit import dc
from drc.circuit.charging import charge_time
from drc.circuit.network import Network
from drc.facts.dependence import Quantity, lift, missing
from drc.facts.model import Unknown
from drc.facts.rc_wiring import Phase, RcWiring, of_level
from drc.facts.walk import Region
from drc.quantity.unit import SECOND

if TYPE_CHECKING:
    from drc.circuit.network import Array

STEPS = 32
"""Steps of voltage: a straight piece of the current's curve that bends inside one is met within its width."""


def steered_time(block: Block, wiring: RcWiring, phase: Phase, start: Quantity, end: Quantity) -> Quantity:
    """Time from one voltage to another, junctions switching on the way.

    dt = C dV / i(V), i solved with the capacitor's node held at each of STEPS + 1 voltages.
    """
    region, node = phase.region, wiring.node.name
    elsewhere = [at for at, _ in region.injections if at != node]
    if elsewhere:
        because = f"the leakage into {elsewhere[0]} is not reckoned with where diodes steer {block.path}"
        return Unknown(because, (elsewhere[0],))
    values = [of_level(ohm, block, phase.level) for _, ohm in region.branches]
    held = [of_level(volt, block, phase.level) for volt in region.stiff.values()]
    blocked = missing(*region.obstacles, *values, *held)
    if blocked is not None:
        return blocked
    drops = [drop for _, drop in region.junctions]
    leaks = [current for _, current in region.injections]
    solver = _Steered(region, node)
    return lift(
        solver.time,
        start,
        end,
        wiring.capacitance,
        *values,
        *held,
        *drops,
        *leaks,
        unit=SECOND,
        text=f"t_{phase.level} = integral of C dV / i(V), diodes as straight pieces",
    )


class _Steered:
    """The current into the capacitor over its voltage, for columns of a region's values (draws,)."""

    def __init__(self, region: Region, node: str) -> None:
        self.region = region
        stiff = {**dict.fromkeys(region.stiff, 0.0), node: 0.0}
        branches = tuple(branch for branch, _ in region.branches)
        self.network = Network(branches, stiff, {}, tuple(junction for junction, _ in region.junctions))

    def time(self, start: "Array", end: "Array", capacitance: "Array", *columns: "Array") -> "Array":
        """Seconds, (draws,)."""
        share = np.linspace(0.0, 1.0, STEPS + 1)
        volts = start[:, None] + (end - start)[:, None] * share
        current = np.stack([self._current(volts[:, k], columns) for k in range(STEPS + 1)], axis=1)
        return charge_time(volts, current, capacitance)

    def _current(self, volts: "Array", columns: "tuple[Array, ...]") -> "Array":
        """Amperes into the capacitor at a voltage, (draws,)."""
        ohms, held = len(self.region.branches), len(self.region.stiff)
        drops = ohms + held + len(self.region.junctions)
        table = np.stack(columns, axis=1) if columns else np.empty((len(volts), 0))
        current = np.empty(len(volts))
        for row in np.unique(table[:, ohms + held : drops], axis=0):
            rows = (table[:, ohms + held : drops] == row).all(axis=1)
            junctions = tuple(
                junction._replace(drop_v=float(drop))
                for junction, drop in zip(self.network.junctions, row, strict=True)
            )
            stiff = np.column_stack([table[rows, ohms : ohms + held], volts[rows]])
            point = dc.operating(self.network._replace(junctions=junctions), table[rows, :ohms], stiff)
            current[rows] = -point.stiff_amperes[:, -1]
        return np.asarray(current + table[:, drops:].sum(axis=1))
