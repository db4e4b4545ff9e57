"""How long a capacitor takes between two voltages, as plain array functions, usable without a circuit."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def rc_time(
    resistance_ohm: Array, capacitance_f: Array, start_v: Array, end_v: Array, final_v: Array
) -> Array:
    """Time from `start_v` to `end_v` of a capacitor that a resistance pulls towards `final_v`, s.

    t = R C ln((V_final - V_start) / (V_final - V_end)), the step response of a first-order network (any
    circuit-theory text). Shapes: all broadcast together. Infinite where `final_v` lies short of `end_v`, or
    on the other side of `start_v`; nan where one of the voltages is.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = (final_v - start_v) / (final_v - end_v)
        reached = (ratio >= 1) & np.isfinite(ratio)
        time_s = resistance_ohm * capacitance_f * np.log(np.where(reached, ratio, 1.0))
    never = np.where(np.isnan(final_v + start_v + end_v), np.nan, np.inf)
    return np.where(reached, time_s, never)


def charge_time(voltage_v: Array, current_a: Array, capacitance_f: Array) -> Array:
    """Time a capacitor takes along voltages at each of which the current into it is known, s.

    `voltage_v` and `current_a` (draws, points), `capacitance_f` (draws,). Between two points the current is
    taken as straight in the voltage, which is exact for a linear network and for one of straight pieces
    that bend at the points: t = C dV / (logarithmic mean of the two currents), summed. Infinite where
    the current stops or flows the other way before the last point. Source: dt = C dV / i, integrated.
    """
    step = np.diff(voltage_v, axis=-1)
    first, last = current_a[..., :-1], current_a[..., 1:]
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = last / first
        mean = np.where(np.abs(ratio - 1) < 1e-6, (first + last) / 2, (last - first) / np.log(ratio))
        seconds = np.where(step == 0, 0.0, capacitance_f[..., None] * step / mean)
        moving = (first * step > 0) & (last * step > 0)
    stuck = (~moving & (step != 0)).any(axis=-1)
    return np.where(stuck, np.inf, seconds.sum(axis=-1))
