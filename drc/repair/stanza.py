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

    @property
    def timing(self) -> tuple[float, ...]:
        """What sets the time, ohm."""
        return tuple(value for value in (self.rate, self.control) if value)

    @property
    def strap(self) -> tuple[float, ...]:
        """What sets the strap, ohm."""
        return tuple(value for value in (self.upper, self.lower) if value)

    def lines(self) -> list[str]:
        """The elements, a line each."""
        return _resistors(self)

    def net(self, part: Part, role: str, position: int) -> str:
        """The net of the block's pin at a position of its line."""
        return _net(part, role, position, self)


class RcValues(NamedTuple):
    """Resistors in ohm and the capacitor in F with its relative tolerance, of an RC timer.

    `upper` leads to the discharge pin and `main` from there to the capacitor; None: a one-shot, which has
    `main` alone.
    """

    upper: float | None
    main: float
    farad: float
    tolerance: float

    def distinct(self) -> set[float]:
        """The different resistors to be bought."""
        return {value for value in (self.upper, self.main) if value}

    @property
    def timing(self) -> tuple[float, ...]:
        """What sets the time, ohm."""
        return tuple(value for value in (self.upper, self.main) if value)

    @property
    def strap(self) -> tuple[float, ...]:
        """An RC timer has none."""
        return ()

    def lines(self) -> list[str]:
        """The elements, a line each; a capacitor holds the control pin still."""
        first = "R1 VDD CAP" if self.upper is None else f"R1 VDD DIS {value_text(self.upper, '')}\nR2 DIS CAP"
        return [
            f"{first} {value_text(self.main, '')}",
            f"C2 CAP 0 {value_text(self.farad, '')} tol={100 * self.tolerance:g}%",
            "C3 CTL 0 10n",
        ]

    def net(self, part: Part, role: str, position: int) -> str:
        """The net of the block's pin at a position of its line."""
        if role == "reset":
            return "0" if part.reset_active == "high" else "VDD"
        own = {"threshold": "CAP", "discharge": "DIS", "trigger": "CAP"}
        if self.upper is None:
            own |= {"discharge": "CAP", "trigger": NETS["trigger"]}
        return own.get(role) or NETS.get(role, f"NC{position + 1}")


def stanza(part: Part, values: Values | RcValues, around: Surroundings, statements: Sequence[str]) -> str:
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
        *values.lines(),
        f"XU1 {' '.join(values.net(part, role, i) for i, role in enumerate(part.pins))} {part.name}",
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
