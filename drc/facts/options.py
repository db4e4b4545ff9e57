"""What the facts of a board are computed under: defaults, the convention of spread, draws and seed."""

from collections.abc import Mapping
from typing import Literal, NamedTuple

from drc.quantity.span import Span
from drc.quantity.unit import CELSIUS
from drc.trouble import Place

Convention = Literal["normal", "uniform"]
"""How a tolerance becomes a distribution: normal with 3 sigma at the tolerance, cut there; or uniform."""


class Material(NamedTuple):
    """What a bill of materials says of one element; None is not said. `value` is SI, the rest as in Reading."""

    place: Place
    value: float | None = None
    tolerance: tuple[float, float] | None = None
    tempco: float | None = None
    fitted: bool = True
    rating: str = ""


class FactOptions(NamedTuple):
    """Settings of this stage.

    Tolerances are relative, tempcos in 1/K; both are marked as assumed where nothing else is said.
    `materials` is keyed by element path in lower case. `inferred` is the relative width given to a rail
    whose voltage is read in its name.
    """

    resistor_tolerance: float = 0.01
    resistor_tempco: float = 100e-6
    capacitor_tolerance: float = 0.10
    capacitor_tempco: float = 0.0
    inferred: float = 0.05
    ambient: Span = Span(25.0, 25.0, 25.0, CELSIUS)
    convention: Convention = "normal"
    draws: int = 20_000
    seed: int = 1
    materials: Mapping[str, Material] = {}
