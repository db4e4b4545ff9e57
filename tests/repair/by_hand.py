"""Halyard's and Brae's timing parts worked out by hand: what is copied here stands in their part files.

Nothing here imports the package under test. A rate pin holds V volts, so a resistor R to ground draws V / R,
and T = period * prescale * at_current / (V / R) = period * prescale * R / unit, unit = V / at_current. The
strap's code is the whole number of levels * lower / (upper + lower). E24 and E96: IEC 60063.
"""

import re
from typing import NamedTuple

E24 = [
    100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300, 330, 360, 390, 430, 470, 510, 560, 620, 680,
    750, 820, 910,
]  # fmt: skip
E96 = [round(100 * 10 ** (i / 96)) for i in range(96)]
VALUES = sorted({v * 10.0**e for v in (*E24, *E96) for e in range(1, 5)})

HEAD = (
    "board\n*@ supply VDD 3.2V .. 3.4V\n*@ ambient 0degC .. 50degC\n"
    "*@ assume R* tolerance 1%, tempco 100ppm\nV1 VDD 0 3.3\nC1 VDD 0 1u tol=10%\n"
)
SIGNALS = {
    "trigger": "*@ signal TRG period 200ms .. 300ms, low 5us .. 10us\n",
    "signal": "*@ signal SIG period 200ms .. 300ms, low 50ms .. 60ms\n",
    "modulate": "R4 VDD MOD 22k\nR5 MOD 0 {}\n",
}
NETS = {
    "supply": "VDD", "ground": "0", "output": "OUT", "strap": "CFG", "rate": "RT", "enable": "VDD",
    "trigger": "TRG", "signal": "SIG", "modulate": "MOD",
}  # fmt: skip


class Sheet(NamedTuple):
    """A part: pins in order, strap levels, period (s), unit (ohm), rated ohms, code to (prescale, inverted).

    `spread` is the worst of the part's own errors over the surroundings of HEAD, relative; `reset` the net
    that lets it run. `last` is its own input. `offset` is added to the time, s.
    """

    last: str
    brae: bool
    period: float
    rows: dict[int, tuple[int, bool]]
    spread: float
    reset: str = ""
    offset: tuple[float, float] = (0.0, 0.0)

    @property
    def pins(self) -> tuple[str, ...]:
        """The roles in the order of the line."""
        if self.brae:
            return ("output", "ground", "strap", self.last, "supply", "rate")
        return ("supply", "strap", "output", "ground", "rate", self.last)

    @property
    def levels(self) -> int:
        """Strap levels."""
        return 8 if self.brae else 16

    @property
    def unit(self) -> float:
        """Ohms at which the master period is the part file's: 0.96 V / 32 uA, 0.60 V / 30 uA."""
        return 30e3 if self.brae else 20e3

    @property
    def ohms(self) -> tuple[float, float]:
        """Rated resistance."""
        return (30e3, 320e3) if self.brae else (20e3, 400e3)

    def code(self, upper: float, lower: float) -> int:
        """What the strap reads."""
        return min(int(self.levels * lower / (upper + lower)), self.levels - 1)

    def seconds(self, prescale: int, rate: float) -> float:
        """The nominal output time."""
        return self.period * prescale * rate / self.unit + sum(self.offset) / 2

    def wide(self, seconds: float) -> float:
        """The worst of the part's own errors at a time, relative."""
        return self.spread + (self.offset[1] - self.offset[0]) / 2 / seconds

    def line(self, part: str) -> str:
        """The block's line."""
        nets = {**NETS, "reset": self.reset}
        return f"XU1 {' '.join(nets[role] for role in self.pins)} {part}\n"

    def board(self, part: str, upper: str, lower: str, rate: str, modulate: str = "22k") -> str:
        """A board with the part on it, its supply and its resistors."""
        own = SIGNALS.get(self.last, "").format(modulate)
        resistors = f"R1 VDD CFG {upper}\nR2 CFG 0 {lower}\nR3 RT 0 {rate}\n"
        return f"{HEAD}{own}{resistors}{self.line(part)}.end\n"


def _rows(*prescales: int, inverted: dict[int, int] | None = None) -> dict[int, tuple[int, bool]]:
    """Codes from 0 up, a 0 for a reserved one; `inverted` by code."""
    rows = {code: (prescale, False) for code, prescale in enumerate(prescales) if prescale}
    return rows | {code: (prescale, True) for code, prescale in (inverted or {}).items()}


# Spreads over 3.2 V .. 3.4 V and 0 .. 50 degC: error + tempco * 25 K + supply_error * volts from
# at_supply: 3.3 V with Halyard, 3.0 V with Brae. The rate voltage cancels with Halyard; Brae's
# counts, at 1.2 %.
HA10 = Sheet(
    "enable", False, 0.25e-6,
    _rows(1, 0, 10, 20, 0, 50, 100, 0, 200, 500, 0, 1000, 2000, 0, 5000,
          inverted={1: 20, 4: 100, 7: 500, 10: 1000, 15: 5000}),
    0.012 + 45e-6 * 25 + 0.0012 * 0.1,
)  # fmt: skip
HA20 = Sheet(
    "reset", False, 0.5e-3,
    _rows(1, 0, 10, 100, 0, 1000, 10**4, 0, 10**5, 0, 10**6, 0, 10**7,
          inverted={1: 10, 4: 100, 7: 1000, 9: 10**4, 11: 10**5, 13: 10**6, 15: 10**7}),
    0.014 + 60e-6 * 25 + 0.0012 * 0.1, "0",
)  # fmt: skip
HA30 = Sheet(
    "modulate", False, 0.5e-6,
    _rows(1, 0, 5, 20, 0, 50, 100, 0, 200, 500, 0, 1000, 2000, 0, 5000,
          inverted={1: 1, 4: 20, 7: 100, 10: 500, 13: 2000}),
    0.016 + 55e-6 * 25 + 0.0015 * 0.1,
)  # fmt: skip
HA40 = Sheet(
    "trigger", False, 1e-6,
    _rows(1, 0, 10, 100, 0, 1000, 10**4, 0, 10**5, 0, 10**6, 0, 10**7,
          inverted={1: 10, 4: 100, 7: 1000, 9: 10**4, 11: 10**5, 13: 10**6}),
    0.018 + 60e-6 * 25 + 0.0015 * 0.1, offset=(70e-9, 240e-9),
)  # fmt: skip
HA50 = Sheet(
    "signal", False, 0.8e-6,
    _rows(1, 0, 10, 100, 0, 1000, 10**4, 0, 10**5, 0, 10**6,
          inverted={1: 10, 4: 100, 7: 1000, 9: 10**4, 11: 10**5}),
    0.018 + 60e-6 * 25 + 0.0015 * 0.1, offset=(90e-9, 310e-9),
)  # fmt: skip
_BRAE = 0.002 * 0.4 + 0.012
_FAST = _rows(1, 2, 16, 32, 64, 256, 1024, 2048)
BR10 = Sheet("enable", True, 0.4e-6, _FAST, 0.010 + 70e-6 * 25 + _BRAE)
BR20 = Sheet(
    "reset", True, 2e-3, _rows(1, 8, 64, 128, 1024, 8192, 65536, 524288), 0.011 + 80e-6 * 25 + _BRAE, "VDD"
)
BR30 = Sheet("modulate", True, 0.4e-6, _FAST, 0.010 + 70e-6 * 25 + _BRAE)
BR40 = Sheet(
    "trigger",
    True,
    1.5e-6,
    _rows(1, 8, 64, 512, 2048, 16384, 131072, 1048576),
    0.014 + 80e-6 * 25 + _BRAE,
    offset=(40e-9, 150e-9),
)
BR50 = Sheet(
    "signal",
    True,
    1.2e-6,
    _rows(1, 8, 64, 128, 512, 4096, 16384, 131072),
    0.014 + 80e-6 * 25 + _BRAE,
    offset=(50e-9, 180e-9),
)

SHEETS = {
    "HA10": HA10, "HA20": HA20, "HA30": HA30, "HA30C": HA30, "HA40F": HA40, "HA40FG": HA40, "HA50B": HA50,
    "BR10": BR10, "BR20": BR20, "BR30": BR30, "BR40": BR40, "BR41": BR40, "BR50": BR50,
}  # fmt: skip
PAIRS = [
    ("HA10", "BR10"), ("HA20", "BR20"), ("HA30", "BR30"), ("HA40F", "BR40"), ("HA40FG", "BR41"),
    ("HA50B", "BR50"),
]  # fmt: skip
QUANTITY = {
    "enable": "period", "reset": "period", "modulate": "period", "trigger": "pulse-width", "signal": "delay",
}  # fmt: skip

_SUFFIX = {"": 1.0, "k": 1e3, "meg": 1e6, "m": 1e-3, "u": 1e-6, "n": 1e-9, "p": 1e-12}


def value(text: str, name: str) -> float:
    """The value on an element's line."""
    match = re.search(rf"^{name} \S+ \S+ ([\d.]+)([a-z]*)", text, re.MULTILINE | re.IGNORECASE)
    assert match is not None, f"no {name} in\n{text}"
    return float(match[1]) * _SUFFIX[match[2]]
