import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.circuit.dc import operating, thevenin, voltages
from drc.circuit.junctions import THERMAL_V, curve, fitted, zener
from drc.circuit.network import Branch, Junction, Network
from tests.circuit.networks import networks


def lamp(series_ohm: float, supply_v: float = 5.0) -> Network:
    """A resistor and a 2 V, 10 ohm junction from a supply to ground."""
    return Network(
        (Branch("R1", "s", "a", series_ohm),),
        {"0": 0.0, "s": supply_v},
        junctions=(Junction("D1", "a", "0", 2.0, 10.0),),
    )


def test_a_junction_takes_its_drop() -> None:
    """5 V through 290 ohm into 2 V and 10 ohm: 10 mA, 2.1 V at the anode."""
    point = operating(lamp(290.0))
    assert point.volts[0, 2] == pytest.approx(2.1, rel=1e-12)
    assert point.stiff_amperes[0] == pytest.approx([-10e-3, 10e-3], rel=1e-12)
    assert point.conducting.tolist() == [[True]]


def test_a_junction_below_its_drop_carries_nothing() -> None:
    """A supply below the drop, or a junction the other way round, leaves the node at the supply."""
    assert voltages(lamp(290.0, 1.5))[0, 2] == 1.5
    turned = lamp(290.0)._replace(junctions=(Junction("D1", "0", "a", 0.7, 1.0),))
    assert operating(turned).volts[0, 2] == 5.0
    assert operating(turned).conducting.tolist() == [[False]]


def test_draws_settle_each_in_its_own_state() -> None:
    """One table holds draws in which the junction conducts and draws in which it does not."""
    stiff = np.array([[0.0, v] for v in (0.0, 1.9, 2.1, 5.0)])
    point = operating(lamp(90.0), stiff=stiff)
    assert point.conducting[:, 0].tolist() == [False, False, True, True]
    assert point.volts[:, 2] == pytest.approx([0.0, 1.9, 2.01, 2.3])


def test_a_node_between_two_blocking_junctions_is_not_known() -> None:
    """Two junctions in series below their drops leave the node between them floating, and only that one."""
    chain = (Junction("D1", "s", "m", 0.7, 1.0), Junction("D2", "m", "0", 0.7, 1.0))
    network = Network((), {"0": 0.0, "s": 1.0}, junctions=chain)
    assert np.isnan(voltages(network)[0, 2])
    assert voltages(network._replace(stiff={"0": 0.0, "s": 2.4}))[0, 2] == pytest.approx(1.2)


def test_a_zener_clamps_both_ways() -> None:
    """5.1 V backward and 0.7 V forward, from the same part."""
    for supply_v, wanted in ((12.0, 5.1), (-12.0, -0.7), (3.0, 3.0)):
        network = Network(
            (Branch("R1", "s", "k", 1e3),),
            {"0": 0.0, "s": supply_v},
            junctions=zener("D1", ("0", "k"), 0.7, 5.1, 1e-6),
        )
        assert voltages(network)[0, 2] == pytest.approx(wanted, abs=1e-6)


def test_a_fitted_junction_touches_the_exponential_curve() -> None:
    """At the current it is fitted for, drop and slope give the diode equation's voltage."""
    part = fitted("D1", ("a", "0"), saturation_a=1e-14, emission=1.5, series_ohm=2.0, at_a=1e-3)
    volts = 1.5 * THERMAL_V * np.log(1e-3 / 1e-14 + 1) + 2e-3
    assert part.drop_v + part.slope_ohm * 1e-3 == pytest.approx(volts, rel=1e-12)
    assert part.slope_ohm == pytest.approx(1.5 * THERMAL_V / 1e-3 + 2.0, rel=1e-9)


def test_an_ideal_junction_is_refused() -> None:
    """A junction needs a slope above zero: without one its current is not determined."""
    with pytest.raises(ValueError, match="slope"):
        voltages(lamp(1.0)._replace(junctions=(Junction("D1", "a", "0", 2.0, 0.0),)))


def test_the_equivalent_at_a_conducting_junction_is_its_straight_piece() -> None:
    """The resistance seen is the junction's slope beside the resistor."""
    volts, ohm = thevenin(lamp(290.0), "a")
    assert (volts[0], ohm[0]) == pytest.approx((2.1, 290 * 10 / 300))


@given(
    networks(decades=(1, 6)), st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), max_size=6), st.data()
)
def test_every_junction_obeys_its_curve(
    network: Network, pairs: list[tuple[int, int]], data: st.DataObject
) -> None:
    """Any set of junctions settles: those on carry forward current, those off stand below their drop."""
    names = network.nodes
    junctions = tuple(
        Junction(f"D{k}", names[a % len(names)], names[b % len(names)], data.draw(st.floats(0.1, 3)), 10.0)
        for k, (a, b) in enumerate(pairs)
        if a % len(names) != b % len(names)
    )
    whole = network._replace(junctions=junctions)
    point = operating(whole)
    index = {name: k for k, name in enumerate(whole.nodes)}
    assert np.isfinite(point.volts).all()
    for k, part in enumerate(junctions):
        over = point.volts[0, index[part.anode]] - point.volts[0, index[part.cathode]] - part.drop_v
        assert over >= -1e-9 if point.conducting[0, k] else over <= 1e-9


def test_drops_and_injections_vary_by_draw() -> None:
    """A table of drops, or of injected currents, gives a row of answers each."""
    drops = np.array([[1.0], [2.0], [6.0]])
    assert operating(lamp(90.0), drops=drops).volts[:, 2] == pytest.approx([1.4, 2.3, 5.0])
    fed = Network((Branch("R1", "m", "0", 1e3),), {"0": 0.0}, {"m": 0.0})
    currents = np.array([[1e-3], [-2e-3]])
    assert thevenin(fed, "m", injections=currents)[0] == pytest.approx([1.0, -2.0])


def test_a_curve_of_straight_pieces_follows_the_exponential() -> None:
    """From 1 uA to 1 A the current through the pieces is the diode equation's within a few millivolts."""
    junctions = curve("D1", ("a", "0"), saturation_a=1e-14, emission=1.5, series_ohm=0.5)
    amperes = np.logspace(-6, 0, 37)
    fed = Network((Branch("R1", "a", "0", np.inf),), {"0": 0.0}, {"a": 0.0}, junctions)
    volts = operating(fed, injections=amperes[:, None]).volts[:, 1]
    wanted = 1.5 * THERMAL_V * np.log1p(amperes / 1e-14) + 0.5 * amperes
    error = (wanted - volts) / (1.5 * THERMAL_V)
    assert -1e-9 < error.min() <= error.max() < 0.17


def test_a_network_that_turning_all_at_once_never_settles_is_settled_one_by_one() -> None:
    """Every junction obeys its curve in the end, found by turning the first violation only (Murty).

    Turned all at once the states go round for ever: a search over random networks found it, no source.
    """
    branches = (
        Branch("R0", "n0", "n3", 1e3), Branch("R1", "n2", "0", 1e4), Branch("R2", "n2", "s", 1e3),
        Branch("R3", "n3", "n2", 1e5), Branch("R4", "n3", "n0", 1e5), Branch("R5", "n2", "0", 100.0),
        *(Branch(f"G{k}", f"n{k}", "0", 1e6) for k in range(4)),
    )  # fmt: skip
    junctions = (
        Junction("D0", "n1", "n2", 2.0, 10.0), Junction("D1", "n0", "0", 2.0, 0.01),
        Junction("D2", "n2", "n1", 3.0, 0.1), Junction("D3", "s", "n1", 2.0, 0.1),
        Junction("D4", "s", "n2", 1.0, 0.1),
    )  # fmt: skip
    network = Network(branches, {"0": 0.0, "s": 5.0}, junctions=junctions)
    point = operating(network)
    index = {name: k for k, name in enumerate(network.nodes)}
    assert np.isfinite(point.volts).all()
    for k, part in enumerate(junctions):
        over = point.volts[0, index[part.anode]] - point.volts[0, index[part.cathode]] - part.drop_v
        assert over >= 0 if point.conducting[0, k] else over <= 0
    # s at 5 V feeds n2 through D4 (1 V, 0.1 ohm) past R5: (5 - 1 - V) / 0.1 = V / 100, some 3.996 V;
    # n1 hangs on s by D3, 2 V below, drawn by G1 alone; n0, fed from n2 by 101 kohm, is held at 2 V by D1.
    assert point.conducting[0].tolist() == [False, True, False, True, True]
    assert point.volts[0, index["n0"]] == pytest.approx(2.0, abs=1e-5)
    assert point.volts[0, index["n1"]] == pytest.approx(3.0, abs=1e-5)
    assert point.volts[0, index["n2"]] == pytest.approx(4 / (1 + 0.1 / 100), rel=1e-3)
