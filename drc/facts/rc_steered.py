"""RC timers whose current diodes steer: the time from the current into the capacitor, step by step."""

from typing import TYPE_CHECKING

import numpy as np

from drc.blocks.model import Block
from drc.circuit import dc
from drc.circuit.charging import charge_time
from drc.circuit.junctions import fitted
from drc.circuit.model import Element, Model
from drc.circuit.network import Junction, Network
from drc.facts.dependence import Dependence, Quantity, combine, each_state, missing
from drc.facts.model import Unknown
from drc.facts.rc_wiring import Phase, RcWiring, of_level
from drc.facts.walk import Region
from drc.quantity.unit import SECOND

if TYPE_CHECKING:
    from drc.circuit.network import Array

STEPS = 32
"""Steps of voltage: a straight piece of the current's curve that bends inside one is met within its width."""

ROUNDS = 8
"""Newton steps from a junction's usual drive to its own current: each squares what is left of the error."""

LEAST_AMPERE = 1e-9
"""Below this current a junction is taken as one at it: it carries nothing that moves the time."""


def steered_time(block: Block, wiring: RcWiring, phase: Phase, ends: tuple[Quantity, Quantity]) -> Quantity:
    """Time from one voltage to another (`ends`), junctions switching on the way.

    dt = C dV / i(V), i solved with the capacitor's node held at each of STEPS + 1 voltages. A junction
    with a model is, at each voltage, the tangent to its exponential at the current it carries nominally.
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
    models = [_model(region.diodes.get(junction.label)) for junction, _ in region.junctions]

    def time(*parts: Dependence) -> Dependence:
        law = _Steered(region, node, models, [part.nominal for part in parts])
        text = f"t_{phase.level} = integral of C dV / i(V), diodes solved at {STEPS + 1} voltages"
        return combine(law.time, *parts, unit=SECOND, text=text)

    return each_state(time, *ends, wiring.capacitance, *values, *held, *drops, *leaks)


def _model(diode: Element | None) -> Model | None:
    """The exponential behind a diode, None where only a usual drop is known."""
    model = diode.model if diode is not None and diode.kind == "D" else None
    return model if model is not None and model.parameters.get("is", 0.0) > 0 else None


class _Steered:
    """The current into the capacitor over its voltage, for columns of a region's values (draws,)."""

    def __init__(self, region: Region, node: str, models: list[Model | None], nominal: list[float]) -> None:
        self.region = region
        stiff = {**dict.fromkeys(region.stiff, 0.0), node: 0.0}
        branches = tuple(branch for branch, _ in region.branches)
        self.network = Network(branches, stiff, {}, tuple(junction for junction, _ in region.junctions))
        self.models = models
        self.ohms, self.held = len(region.branches), len(region.stiff)
        self.usual = np.array(nominal[3 + self.ohms + self.held :][: len(models)])
        columns = np.array([nominal[3:]])
        volts = np.linspace(nominal[0], nominal[1], STEPS + 1)
        self.steps = [self._at(float(v), columns) for v in volts]

    def time(self, start: "Array", end: "Array", capacitance: "Array", *columns: "Array") -> "Array":
        """Seconds, (draws,)."""
        share = np.linspace(0.0, 1.0, STEPS + 1)
        volts = start[:, None] + (end - start)[:, None] * share
        table = np.stack(columns, axis=1)
        current = np.stack(
            [self._current(volts[:, k], table, self.steps[k]) for k in range(STEPS + 1)], axis=1
        )
        return charge_time(volts, current, capacitance)

    def _at(self, volts: float, columns: "Array") -> tuple[Junction, ...]:
        """The junctions as they stand with the capacitor at a voltage, nominally."""
        junctions = tuple(
            j._replace(drop_v=float(drop)) for j, drop in zip(self.network.junctions, self.usual, strict=True)
        )
        index = {name: k for k, name in enumerate(self.network.nodes)}
        for _ in range(ROUNDS):
            point = self._operating(junctions, np.array([volts]), columns)
            across = [point.volts[0, index[j.anode]] - point.volts[0, index[j.cathode]] for j in junctions]
            junctions = tuple(
                j if model is None else _tangent(j, model, max(LEAST_AMPERE, (v - j.drop_v) / j.slope_ohm))
                for j, model, v in zip(junctions, self.models, across, strict=True)
            )
        return junctions

    def _current(self, volts: "Array", table: "Array", junctions: tuple[Junction, ...]) -> "Array":
        """Amperes into the capacitor at a voltage, (draws,).

        Every junction is moved by as much as its drop differs from the nominal one in a row of columns.
        """
        first, beyond = self.ohms + self.held, self.ohms + self.held + len(junctions)
        drops = np.array([j.drop_v for j in junctions]) + table[:, first:beyond] - self.usual
        point = self._operating(junctions, volts, table, drops)
        return np.asarray(table[:, beyond:].sum(axis=1) - point.stiff_amperes[:, -1])

    def _operating(
        self, junctions: tuple[Junction, ...], volts: "Array", table: "Array", drops: "Array | None" = None
    ) -> dc.Operating:
        """The network with the capacitor's node held at voltages; `drops` (draws, junctions) in volts."""
        stiff = np.column_stack([table[:, self.ohms : self.ohms + self.held], volts])
        network = self.network._replace(junctions=junctions)
        return dc.operating(network, table[:, : self.ohms], stiff, drops=drops)


def _tangent(junction: Junction, model: Model, at_a: float) -> Junction:
    """The junction that touches its model's curve at a current, A."""
    given = model.parameters
    return fitted(
        junction.label, (junction.anode, junction.cathode),
        saturation_a=given["is"], emission=given.get("n", 1.0), series_ohm=given.get("rs", 0.0), at_a=at_a,
    )  # fmt: skip
