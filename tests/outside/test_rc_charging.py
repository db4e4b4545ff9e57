"""The charging law of a capacitor against textbook figures, over the networks that charge it."""

from math import log

import numpy as np
import pytest

from drc.circuit.charging import Array, charge_time, rc_time
from drc.circuit.dc import operating, thevenin
from drc.circuit.network import Branch, Junction, Network


def one(*values: float) -> Array:
    """A one-dimensional array."""
    return np.array(values, dtype=np.float64)


def moves(network: Network, node: str, farad: float, start_v: float, end_v: float) -> float:
    """Time of a capacitor on a node from one voltage to another, s."""
    volts, ohm = thevenin(network, node)
    return float(rc_time(ohm, one(farad), one(start_v), one(end_v), volts)[0])


@pytest.mark.parametrize(("taus", "percent"), [(1, 63.2), (2, 86.5), (5, 99.3)])
def test_time_constants(taus: float, percent: float) -> None:
    """One, two and five time constants reach 63.2, 86.5 and 99.3 % (10 V, RC 0.1 s; jiskha 1383091936)."""
    network = Network((Branch("R1", "s", "c", 100e3),), {"0": 0.0, "s": 10.0})
    assert moves(network, "c", 1e-6, 0.0, 10 * percent / 100) == pytest.approx(0.1 * taus, rel=0.01)
    assert 10 * (1 - np.exp(-5)) == pytest.approx(9.93, abs=0.005)


def test_a_discharge_from_100_v() -> None:
    """100 V falling to 1 V in 8.0 s: tau 1.737 s; 0.0178 V after 15 s (homeworksource 4480368)."""
    network = Network((Branch("R1", "c", "0", 1.737e6),), {"0": 0.0})
    assert moves(network, "c", 1e-6, 100.0, 1.0) == pytest.approx(8.0, rel=1e-3)
    assert moves(network, "c", 1e-6, 100.0, 0.0178) == pytest.approx(15.0, rel=1e-3)


def astable(upper: float, lower: float) -> tuple[Network, Network]:
    """The charging and discharging networks of an ideal ladder timer on 9 V; the capacitor is on `c`."""
    branches = (Branch("RA", "s", "d", upper), Branch("RB", "d", "c", lower))
    return Network(branches, {"0": 0.0, "s": 9.0}), Network(branches[1:], {"d": 0.0})


def test_a_nearly_square_astable() -> None:
    """RA 2 k, RB 100 k, 0.01 uF: 714.2 Hz, 50.495 % (FOSSEE textbook companion 2204, example 13.5).

    The companion stores the formula; the figures are computed from it with ln 2.
    """
    charge, discharge = astable(2e3, 100e3)
    high, low = moves(charge, "c", 1e-8, 3.0, 6.0), moves(discharge, "c", 1e-8, 6.0, 3.0)
    assert 1 / (high + low) == pytest.approx(714.2, rel=1e-4)
    assert 100 * high / (high + low) == pytest.approx(50.495, rel=1e-4)
    assert 1 / (high + low) == pytest.approx(1 / (log(2) * 202e3 * 1e-8), rel=1e-12)


def test_a_diode_across_the_lower_resistor() -> None:
    """R1 2.2 k, R2 4.7 k with a diode across R2: duty 31.9 % (Floyd, Digital Fundamentals, Example 7-14,
    related problem; the answer is from memory). The book's diode is ideal: here a drop of 0 V and 1 mohm.
    """
    charge, discharge = astable(2.2e3, 4.7e3)
    charge = charge._replace(junctions=(Junction("D1", "d", "c", 0.0, 1e-3),))
    levels = np.linspace(3.0, 6.0, 200)
    held = Network(charge.branches, {**charge.stiff, "c": 3.0}, {}, charge.junctions)
    stiff = np.column_stack([np.zeros_like(levels), np.full_like(levels, 9.0), levels])
    amperes = -operating(held, stiff=stiff).stiff_amperes[:, 2]
    high = float(charge_time(levels[None, :], amperes[None, :], one(22e-9))[0])
    low = moves(discharge, "c", 22e-9, 6.0, 3.0)
    assert 100 * high / (high + low) == pytest.approx(31.9, rel=0.002)
    assert 100 * high / (high + low) == pytest.approx(100 * 2.2 / 6.9, rel=1e-6)
