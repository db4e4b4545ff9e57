"""Junctions against the diode equation, V = N Vt ln(I / Is + 1) + Rs I, and many draws that settle apart."""

import numpy as np
import pytest

from drc.circuit.dc import operating
from drc.circuit.junctions import THERMAL_V, curve, fitted, zener
from drc.circuit.network import Branch, Junction, Network


def test_the_thermal_voltage_is_that_of_27_degrees() -> None:
    """kT/q with the SI's defining constants (k = 1.380649e-23 J/K, e = 1.602176634e-19 C) at 300.15 K."""
    assert pytest.approx(1.380649e-23 * 300.15 / 1.602176634e-19, rel=1e-5) == THERMAL_V


def diode_volts(amperes: float, saturation_a: float, emission: float, series_ohm: float) -> float:
    """The diode equation's voltage at a current."""
    return float(emission * THERMAL_V * np.log(amperes / saturation_a + 1) + series_ohm * amperes)


@pytest.mark.parametrize("at_a", [1e-3, 2e-6])
def test_a_fitted_junction_is_the_tangent(at_a: float) -> None:
    """Also where the saturation current is no small part of the current: slope by difference quotients."""
    law = {"saturation_a": 1e-6, "emission": 1.8, "series_ohm": 3.0}
    part = fitted("D1", ("a", "k"), at_a=at_a, **law)
    step = 1e-4 * at_a
    slope = (diode_volts(at_a + step, **law) - diode_volts(at_a - step, **law)) / (2 * step)
    assert part.slope_ohm == pytest.approx(slope, rel=1e-6)
    assert part.drop_v == pytest.approx(diode_volts(at_a, **law) - slope * at_a, rel=1e-5)
    assert (part.label, part.anode, part.cathode) == ("D1", "a", "k")


def test_a_curve_meets_the_diode_equation_at_two_currents_a_decade() -> None:
    """1 uA, 3.16 uA ... 10 A; between them it is at most 0.17 N Vt too low, and nowhere too high."""
    law = {"saturation_a": 1e-12, "emission": 1.7, "series_ohm": 0.1}
    junctions = curve("D1", ("a", "0"), **law)
    assert len(junctions) == 15
    assert {(part.label, part.anode, part.cathode) for part in junctions} == {("D1", "a", "0")}
    drops = [part.drop_v for part in junctions]
    assert drops == sorted(drops)
    assert all(part.slope_ohm > 0 for part in junctions)

    def volts(amperes: float) -> float:
        """The voltage at which the pieces together carry a current."""
        fed = Network((), {"0": 0.0}, {"a": amperes}, junctions)
        return float(operating(fed).volts[0, fed.nodes.index("a")])

    for k in range(15):
        amperes = 10 ** (-6 + k / 2)
        assert volts(amperes) == pytest.approx(diode_volts(amperes, **law), rel=1e-9)
    thermal = 1.7 * THERMAL_V
    short = [
        (diode_volts(amperes, **law) - volts(amperes)) / thermal
        for amperes in np.logspace(-6, 1, 71).tolist()
    ]
    assert min(short) > -1e-9
    assert 0.15 < max(short) < 0.17


def test_below_its_first_tangent_a_curve_carries_next_to_nothing() -> None:
    """Under the drop of the tangent at 1 uA nothing flows at all."""
    junctions = curve("D1", ("a", "0"), saturation_a=1e-12, emission=1.0, series_ohm=0.0)
    first = fitted("D1", ("a", "0"), saturation_a=1e-12, emission=1.0, series_ohm=0.0, at_a=1e-6)
    assert junctions[0].drop_v == pytest.approx(first.drop_v, rel=1e-12)
    assert junctions[0].slope_ohm == pytest.approx(first.slope_ohm, rel=1e-12)
    held = Network((), {"0": 0.0, "a": first.drop_v - 1e-6}, junctions=junctions)
    assert operating(held).stiff_amperes.tolist() == [[0.0, 0.0]]


def test_a_zener_is_two_junctions() -> None:
    """Forward from anode to cathode at its forward voltage, backward at its breakdown voltage."""
    assert zener("Z1", ("a", "k"), 0.7, 5.1, 2.0) == (
        Junction("Z1 forward", "a", "k", 0.7, 2.0),
        Junction("Z1 breakdown", "k", "a", 5.1, 2.0),
    )


def bridge(supply_v: float) -> Network:
    """Four 0.7 V, 1 ohm diodes that turn a source round for a load of 96 ohm between p and n."""
    return Network(
        (Branch("RL", "p", "n", 96.0),),
        {"0": 0.0, "s": supply_v},
        junctions=tuple(
            Junction(f"D{k}", a, b, 0.7, 1.0)
            for k, (a, b) in enumerate((("s", "p"), ("0", "p"), ("n", "s"), ("n", "0")))
        ),
    )


def test_a_bridge_of_four_diodes_in_many_draws() -> None:
    """|V| - 1.4 V over 98 ohm through the two diodes of that polarity; nothing below 1.4 V."""
    supplies = np.array([[0.0, v] for v in (11.2, -11.2, 1.3, 6.3, -1.3, -6.3)])
    point = operating(bridge(0.0), stiff=supplies)
    nodes = bridge(0.0).nodes
    across = point.volts[:, nodes.index("p")] - point.volts[:, nodes.index("n")]
    wanted = [9.8 * 96 / 98, 9.8 * 96 / 98, np.nan, 4.9 * 96 / 98, np.nan, 4.9 * 96 / 98]
    assert across[[0, 1, 3, 5]] == pytest.approx([wanted[k] for k in (0, 1, 3, 5)])
    assert point.stiff_amperes[:, 1] == pytest.approx([0.1, -0.1, 0.0, 0.05, 0.0, -0.05])
    assert point.conducting[[0, 1, 3, 5]].tolist() == [
        [True, False, False, True], [False, True, True, False], [True, False, False, True],
        [False, True, True, False],
    ]  # fmt: skip


HARD = Network(
    (
        Branch("R0", "n0", "n3", 1e3), Branch("R1", "n2", "0", 1e4), Branch("R2", "n2", "s", 1e3),
        Branch("R3", "n3", "n2", 1e5), Branch("R4", "n3", "n0", 1e5), Branch("R5", "n2", "0", 100.0),
        *(Branch(f"G{k}", f"n{k}", "0", 1e6) for k in range(4)),
    ),
    {"0": 0.0, "s": 5.0},
    junctions=(
        Junction("D0", "n1", "n2", 2.0, 10.0), Junction("D1", "n0", "0", 2.0, 0.01),
        Junction("D2", "n2", "n1", 3.0, 0.1), Junction("D3", "s", "n1", 2.0, 0.1),
        Junction("D4", "s", "n2", 1.0, 0.1),
    ),
)  # fmt: skip
"""Turned all at once its states go round for ever: a search over random networks found it, no source."""


def test_draws_that_settle_one_by_one_do_so_each_by_itself() -> None:
    """Beside draws that settle at once, several that do not all end in the state that obeys every curve."""
    supplies = np.array([[0.0, v] for v in (0.0, 5.0, 1.0, 5.0, 4.9, 5.1)])
    point = operating(HARD, stiff=supplies)
    index = {name: k for k, name in enumerate(HARD.nodes)}
    assert np.isfinite(point.volts).all()
    for k, part in enumerate(HARD.junctions):
        over = point.volts[:, index[part.anode]] - point.volts[:, index[part.cathode]] - part.drop_v
        assert ((over >= -1e-9) == point.conducting[:, k]).all()
    alone = [operating(HARD, stiff=row[None, :]).volts[0] for row in supplies]
    assert np.array_equal(point.volts, np.array(alone))
    assert point.conducting[1].tolist() == [False, True, False, True, True]


def test_a_chain_of_diodes_takes_every_state_at_once() -> None:
    """Twelve lamps of 1 V .. 12 V in parallel behind resistors: those below 6.5 V conduct."""
    branches = tuple(Branch(f"R{k}", "s", f"n{k}", 90.0) for k in range(12))
    junctions = tuple(Junction(f"D{k}", f"n{k}", "0", k + 1.0, 10.0) for k in range(12))
    point = operating(Network(branches, {"0": 0.0, "s": 6.5}, junctions=junctions))
    assert point.conducting[0].tolist() == [k < 6 for k in range(12)]
    assert point.stiff_amperes[0, 1] == pytest.approx(sum((6.5 - k) / 100 for k in range(1, 7)))
