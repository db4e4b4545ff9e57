"""The equivalent of one node tied by resistors to held nodes only: what most straps and rate pins are."""

import numpy as np

from drc.circuit.network import Array


def star(ohms: Array, volts: Array) -> tuple[Array, Array]:
    """Open-circuit voltage (draws,) and source resistance (draws,) of the common node of a star.

    `ohms` and `volts` (draws, arms), ohms above 0; an infinite one is no arm. No arm at all gives a voltage
    of nan behind an infinite resistance. Source: Millman's theorem, any circuit-theory text.
    """
    siemens = 1.0 / ohms
    total = siemens.sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        return (siemens * volts).sum(axis=1) / total, 1.0 / total
