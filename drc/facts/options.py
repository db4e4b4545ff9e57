"""What the facts of a board are computed under: defaults, the convention of spread, draws and seed."""

from collections.abc import Mapping
from typing import Literal, NamedTuple

from drc.circuit.material import Material
from drc.quantity.span import Span
from drc.quantity.unit import AMPERE

Convention = Literal["normal", "uniform"]
"""How a tolerance becomes a distribution: normal with 3 sigma at the tolerance, cut there; or uniform."""


class FactOptions(NamedTuple):
    """Settings of this stage.

    Tolerances and ageing are relative, tempcos in 1/K; tolerances and tempcos are marked as assumed where
    nothing else is said.
    `materials` is keyed by element path in lower case. `inferred` is the relative width given to a rail
    whose voltage is read in its name; `consumption` is what a part draws, assumed where its file is silent.
    `ambient` is what the settings say, None if nothing: then 25 degC, assumed, where the intent does not
    state it either.
    """

    resistor_tolerance: float = 0.01
    resistor_tempco: float = 100e-6
    capacitor_tolerance: float = 0.10
    capacitor_tempco: float = 0.0
    resistor_ageing: float = 0.0
    capacitor_ageing: float = 0.0
    inferred: float = 0.05
    consumption: Span = Span(0.0, None, 1e-3, AMPERE)
    ambient: Span | None = None
    convention: Convention = "normal"
    draws: int = 20_000
    seed: int = 1
    materials: Mapping[str, Material] = {}
