"""Laws of the strap pin and the rate pin as plain array functions, usable without a circuit.

All shapes (draws,), broadcast together; SI units.
"""

import numpy as np

from drc.circuit.network import Array


def rate_current(pin_v: Array, open_v: Array, ohm: Array) -> Array:
    """Current out of a pin held at `pin_v` into a source `open_v` behind `ohm`, A; 0 where that is open.

    Negative where the source stands above the pin. Source: Norton's theorem, any circuit-theory text.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(np.isinf(ohm), 0.0, (pin_v - open_v) / ohm)


def strap_ratio(open_v: Array, ground_v: Array, ohm: Array, leakage_a: Array, reference_v: Array) -> Array:
    """What a converter reads on its strap pin, as a fraction of its reference.

    r = (V_strap - V_ground + I_leak R_th) / V_reference; `ohm` is the strap network's source resistance,
    `leakage_a` what the pin feeds into it. Source: Thevenin's theorem, any circuit-theory text.
    """
    return np.asarray((open_v - ground_v + leakage_a * ohm) / reference_v)


def settling_time(ratio: Array, time_constant_s: Array, start: Array, lower: float, upper: float) -> Array:
    """Time until a strap's ratio, coming from `start`, has passed the last threshold before its code, s.

    t = tau ln(max(1, |r - start| / d)), d the distance of r from the threshold that it comes through:
    `lower` from below, `upper` from above (infinite where a rail bounds the code). Infinite where r does
    not get past that threshold. Source: the charging of a capacitor, any circuit-theory text.
    """
    past = np.where(ratio >= start, ratio - lower, upper - ratio)
    with np.errstate(divide="ignore"):
        steps = np.log(np.maximum(1.0, np.where(past > 0, np.abs(ratio - start) / past, np.inf)))
    with np.errstate(invalid="ignore"):
        return np.where(steps == 0, 0.0, time_constant_s * steps)
