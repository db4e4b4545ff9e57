"""What a bill of materials says of one element: the type that its reader fills and the facts read."""

from typing import NamedTuple

from drc.circuit.model import Token
from drc.trouble import Place


class Material(NamedTuple):
    """One element's line of a bill of materials; None is not said.

    `value` is SI, `tolerance` relative (low, high), `tempco` in 1/K and of unknown sign. `token` is where
    the value stands, and `part_token` where the part does, so that an edit can name them.
    """

    place: Place
    value: float | None = None
    tolerance: tuple[float, float] | None = None
    tempco: float | None = None
    fitted: bool = True
    rating: str = ""
    part: str | None = None
    token: Token | None = None
    part_token: Token | None = None
