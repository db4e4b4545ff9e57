"""The netlist stanza of one timing block, with its statements, from the values chosen for it."""

from collections.abc import Sequence
from typing import NamedTuple

from drc.blocks.model import Part
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.quantity.unit import VOLT
from drc.repair.change import value_text

NETS = {
    "supply": "VDD", "ground": "0", "output": "OUT", "rate": "RT", "strap": "CFG", "modulate": "MOD",
    "trigger": "TRIG", "signal": "SIG", "control": "CTL",
}  # fmt: skip
"""Net of each role; enable and reset are tied so that the block runs."""


class Surroundings(NamedTuple):
    """What the block lives in: supply (V), ambient (degC), and its resistors' tolerance and tempco (1/K)."""

    supply: Span
    ambient: Span
    tolerance: float
    tempco: float


class Values(NamedTuple):
    """Resistors in ohm: `rate` to ground, `upper` and `lower` of the strap (0: tied there; None: none).

    `control` takes the control voltage to the rate pin; `modulate` is the pair that sets the duty.
    """

    rate: float
    upper: float | None
    lower: float | None
    control: float | None = None
    modulate: tuple[float, float] | None = None

    def distinct(self) -> set[float]:
        """The different values to be bought."""
        each = (self.rate, self.upper, self.lower, self.control, *(self.modulate or ()))
        return {value for value in each if value}


def stanza(part: Part, values: Values, around: Surroundings, statements: Sequence[str]) -> str:
    """Statements, a supply with its bypass, the resistors and the block: a board that can be reviewed.

    `statements` are what is said besides supply, ambient and tolerance.
    """
    percent, per_million = 100 * around.tolerance, 1e6 * around.tempco
    lines = [
        f"{part.name}: {part.title}",
        f"*@ supply VDD {format_span(Span(around.supply.low, None, around.supply.high, VOLT))}",
        f"*@ ambient {_degrees(around.ambient)}",
        f"*@ assume R* tolerance {percent:.6g}%, tempco {per_million:.6g}ppm",
        *(f"*@ {statement}" for statement in statements),
        f"V1 VDD 0 {around.supply.middle:.6g}",
        "C1 VDD 0 1u tol=10%",
        *_resistors(values),
        f"XU1 {' '.join(_net(part, role, i, values) for i, role in enumerate(part.pins))} {part.name}",
    ]
    return "\n".join((*lines, ".end", ""))


def _degrees(span: Span) -> str:
    return f"{span.low:.6g}degC .. {span.high:.6g}degC"


def _resistors(values: Values) -> list[str]:
    lines = [f"R1 VDD CFG {value_text(values.upper, '')}"] if values.upper else []
    lines += [f"R2 CFG 0 {value_text(values.lower, '')}"] if values.lower else []
    lines.append(f"R3 RT 0 {value_text(values.rate, '')}")
    if values.control is not None:
        lines.append(f"R4 CTL RT {value_text(values.control, '')}")
    if values.modulate is not None:
        upper, lower = values.modulate
        lines += [f"R5 VDD MOD {value_text(upper, '')}", f"R6 MOD 0 {value_text(lower, '')}"]
    return lines


def _net(part: Part, role: str, position: int, values: Values) -> str:
    """The net of a pin."""
    if role == "strap":
        if values.upper is None:
            return "0"
        return "VDD" if values.lower is None else "CFG"
    if role in ("enable", "reset"):
        pin = part.inputs.get(role)
        active = (pin.active if pin else None) or (part.reset_active if role == "reset" else None) or "high"
        return "VDD" if (active == "high") == (role == "enable") else "0"
    return NETS.get(role, f"NC{position + 1}")
