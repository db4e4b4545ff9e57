"""Diodes, LEDs, zeners and base-emitter junctions as piecewise-linear loads, solved by active set."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drc.circuit.network import Array, Junction
from drc.circuit.nodal import Given, Solved, Wiring, solve

_LEAK_OHM = 1e18
"""Slope of a junction's curve below its drop while the states are sought: it makes the curve strictly
monotonic, so that the solution is unique. The final solution leaves such junctions out."""

THERMAL_V = 0.025865
"""kT/q at 300.15 K, which general-purpose simulators take as nominal temperature (27 degC)."""


class Junctions(NamedTuple):
    """The junctions of a wiring: `ends` are node numbers (anode, cathode); the rest (draws, junctions)."""

    ends: tuple[tuple[int, int], ...]
    drops: Array
    slopes: Array


def fitted(
    label: str, ends: tuple[str, str], *, saturation_a: float, emission: float, series_ohm: float, at_a: float
) -> Junction:
    """The junction between `ends` (anode, cathode) that touches an exponential diode's curve at a current.

    The tangent at I: slope = N Vt / I + Rs, drop = V(I) - slope * I, with V(I) = N Vt ln(I/Is + 1) + Rs I.
    Source: the diode equation, any circuit-theory text. All SI; at_a > 0.
    """
    thermal = emission * THERMAL_V
    volts = thermal * math.log1p(at_a / saturation_a) + series_ohm * at_a
    slope = thermal / (at_a + saturation_a) + series_ohm
    return Junction(label, *ends, volts - slope * at_a, slope)


def curve(
    label: str, ends: tuple[str, str], *, saturation_a: float, emission: float, series_ohm: float
) -> tuple[Junction, ...]:
    """Junctions in parallel that follow an exponential diode's curve from 1 uA to 10 A.

    Straight chords between two points a decade of current, each junction adding its share of conductance
    above its drop, so that in the range the voltage at a current is at most 0.17 N Vt too low.
    Source: as `fitted`. The current of the diode is the sum over the junctions.
    """
    amperes = np.logspace(-6, 1, 15)
    volts = emission * THERMAL_V * np.log1p(amperes / saturation_a) + series_ohm * amperes
    first = fitted(
        label, ends, saturation_a=saturation_a, emission=emission, series_ohm=series_ohm, at_a=amperes[0]
    )
    steps = np.concatenate([[1 / first.slope_ohm], np.diff(amperes) / np.diff(volts)])
    drops = np.concatenate([[first.drop_v], volts[:-1]])
    siemens = np.diff(steps, prepend=0.0)
    return tuple(Junction(label, *ends, float(v), float(1 / g)) for v, g in zip(drops, siemens, strict=True))


def zener(
    label: str, ends: tuple[str, str], forward_v: float, breakdown_v: float, slope_ohm: float
) -> tuple[Junction, Junction]:
    """A zener as two junctions: forward, and reverse with the breakdown voltage as its drop."""
    anode, cathode = ends
    return (
        Junction(f"{label} forward", anode, cathode, forward_v, slope_ohm),
        Junction(f"{label} breakdown", cathode, anode, breakdown_v, slope_ohm),
    )


def settle(wiring: Wiring, given: Given, junctions: Junctions) -> tuple[Solved, NDArray[np.bool_]]:
    """Solves a network with junctions: the solution, and which conduct (draws, junctions).

    All violations are turned at once while that helps, then the first one only, which for a monotonic
    network cannot go round (Murty's least-index rule). A draw that still has not settled after that is nan
    throughout: not known.
    """
    draws, count = junctions.drops.shape
    on = np.ones((draws, count), dtype=bool)
    extended = wiring._replace(ends=wiring.ends + junctions.ends)
    emfs = np.hstack([given.emfs, junctions.drops])
    left = np.arange(draws)
    at_once = 2 * count + 4
    for turn in range(at_once + 8 * count * count + 64):
        curve = np.where(on[left], junctions.slopes[left], _LEAK_OHM)
        ohms = np.hstack([given.ohms[left], curve])
        trial = Given(ohms, emfs[left], given.held_volts[left], given.injected[left])
        wrong = _wrong(solve(extended, trial).volts, junctions, left, on[left])
        if turn >= at_once:
            wrong &= np.cumsum(wrong, axis=1) == 1
        on[left] ^= wrong
        left = left[wrong.any(axis=1)]
        if not len(left):
            break
    ohms = np.hstack([given.ohms, np.where(on, junctions.slopes, np.inf)])
    solved = solve(extended, Given(ohms, emfs, given.held_volts, given.injected))
    for result in solved:
        result[left] = np.nan
    return solved, on


def _wrong(
    volts: Array, junctions: Junctions, draws: NDArray[np.intp], on: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Junctions whose state contradicts the voltage across them, (draws, junctions)."""
    anode, cathode = np.array(junctions.ends).T
    drops = junctions.drops[draws]
    over = volts[:, anode] - volts[:, cathode] - drops
    slack = 1e-12 * (np.abs(volts[:, anode]) + np.abs(volts[:, cathode]) + np.abs(drops))
    return np.where(on, over < -slack, over > slack)
