"""Capacitors' class codes: how far the capacitance moves over which temperatures."""

import re
from typing import NamedTuple


class Dielectric(NamedTuple):
    """A class: relative change (low, high) between `coldest` and `hottest` degC, or a tempco in 1/K.

    Class 1 (C0G) has a tempco either way; class 2 (X7R) a band within its temperatures.
    """

    code: str
    change: tuple[float, float]
    coldest: float
    hottest: float
    tempco: float = 0.0


# Source: the EIA-198 code, as tables in several capacitor application texts print it.
_COLDEST = {"X": -55.0, "Y": -30.0, "Z": 10.0}
_HOTTEST = {"4": 65.0, "5": 85.0, "6": 105.0, "7": 125.0, "8": 150.0, "9": 200.0}
_CHANGE = {
    "A": (-0.01, 0.01), "B": (-0.015, 0.015), "C": (-0.022, 0.022), "D": (-0.033, 0.033),
    "E": (-0.047, 0.047), "F": (-0.075, 0.075), "P": (-0.10, 0.10), "R": (-0.15, 0.15),
    "S": (-0.22, 0.22), "T": (-0.33, 0.22), "U": (-0.56, 0.22), "V": (-0.82, 0.22),
}  # fmt: skip
_CLASS_2 = re.compile(r"(?<![A-Z0-9])([XYZ])([4-9])([A-FPR-V])(?![A-Z0-9])", re.IGNORECASE)
_CLASS_1 = re.compile(r"(?<![A-Z0-9])(?:C[0O]G|NP[0O])(?![A-Z0-9])", re.IGNORECASE)

C0G_TEMPCO = 30e-6
"""Tempco of C0G either way, 1/K: the same source."""


def dielectric_of(text: str) -> Dielectric | None:
    """The class that a capacitor's value, part name or rating carries, None if none."""
    if _CLASS_1.search(text):
        return Dielectric("C0G", (0.0, 0.0), -55.0, 125.0, C0G_TEMPCO)
    match = _CLASS_2.search(text)
    if match is None:
        return None
    cold, hot, change = (part.upper() for part in match.groups())
    return Dielectric(match[0].upper(), _CHANGE[change], _COLDEST[cold], _HOTTEST[hot])
