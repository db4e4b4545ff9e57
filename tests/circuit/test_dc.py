from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.circuit.dc import operating, thevenin, voltages
from drc.circuit.network import Branch, Network
from drc.circuit.pin_laws import rate_current
from tests.circuit.networks import divider, networks, ohms_of, renamed

GROUND = {"0": 0.0}


def test_a_divider_divides() -> None:
    """Two thirds of 5 V stand behind 1 k over 2 k, with 667 ohm behind them."""
    network = divider(1e3, 2e3)
    assert voltages(network)[0, network.nodes.index("m")] == pytest.approx(10 / 3, rel=1e-14)
    volts, ohm = thevenin(network, "m")
    assert volts == pytest.approx([10 / 3], rel=1e-14)
    assert ohm == pytest.approx([2000 / 3], rel=1e-14)
    assert rate_current(np.zeros(1), volts, ohm) == pytest.approx([-5e-3], rel=1e-14)


def test_draws_are_solved_each_by_itself() -> None:
    """A table of resistances and supplies gives one solution a row, rows with a short among them."""
    network = divider(1e3, 1e3)
    ohms = np.array([[1e3, 1e3], [0.0, 1e3], [1e3, 0.0], [np.inf, 1e3], [1e3, np.inf]])
    stiff = np.array([[0.0, 5.0], [0.0, 5.0], [0.0, 5.0], [1.0, 5.0], [1.0, 4.0]])
    volts, ohm = thevenin(network, "m", ohms, stiff)
    assert volts.tolist() == [2.5, 5.0, 0.0, 1.0, 4.0]
    assert ohm.tolist() == [500.0, 0.0, 0.0, 1e3, 1e3]


def test_a_link_of_0_ohm_joins_exactly() -> None:
    """A link gives the same voltage to the last bit, however large the resistances beside it are."""
    branches = (
        Branch("R1", "s", "a", 10e9),
        Branch("R2", "a", "b", 0.0),
        Branch("R3", "b", "0", 10e9),
        Branch("R4", "b", "c", 0.0),
    )
    volts = voltages(Network(branches, {"0": 0.0, "s": 4.0}))
    assert volts[0].tolist() == [0.0, 4.0, 2.0, 2.0, 2.0]


def test_an_open_node_is_not_known_and_its_resistance_is_infinite() -> None:
    """What nothing holds is nan, with infinite resistance and no current into a short."""
    network = Network((Branch("R1", "a", "b", 1e3), Branch("R2", "s", "0", 1e3)), {"0": 0.0, "s": 5.0})
    volts, ohm = thevenin(network, "a")
    assert np.isnan(volts).all()
    assert np.isinf(ohm).all()
    assert rate_current(np.zeros(1), volts, ohm).tolist() == [0.0]
    assert np.isnan(voltages(network)[0, network.nodes.index("b")])


def test_a_shorted_node_has_exactly_no_resistance() -> None:
    """A pin on a rail, or linked to it, shows the rail and 0 ohm."""
    network = Network((Branch("R1", "m", "s", 0.0), Branch("R2", "m", "0", 1e3)), {"0": 0.0, "s": 5.0})
    for answer, wanted in (
        (thevenin(network, "m"), [5.0, 0.0]),
        (thevenin(network, "s"), [5.0, 0.0]),
        (thevenin(network, "0"), [0.0, 0.0]),
    ):
        assert np.concatenate(answer).tolist() == wanted


def test_two_sources_joined_by_a_link_leave_the_node_unknown() -> None:
    """Unequal stiff voltages at the two ends of 0 ohm have no solution; equal ones have."""
    link = (Branch("R1", "a", "b", 0.0), Branch("R2", "b", "m", 1e3), Branch("R3", "m", "0", 1e3))
    assert np.isnan(voltages(Network(link, {"0": 0.0, "a": 5.0, "b": 3.0}))[0, 1:]).all()
    same = operating(Network(link, {"0": 0.0, "a": 5.0, "b": 5.0}))
    assert same.volts[0].tolist() == [0.0, 5.0, 5.0, 2.5]
    assert np.isnan(same.stiff_amperes[0, 1:]).all()


def test_an_unknown_value_spoils_only_what_hangs_on_it() -> None:
    """A resistance that is nan makes its neighbours nan and leaves what stiff nodes part from it."""
    branches = (
        Branch("R1", "s", "a", float("nan")),
        Branch("R2", "a", "0", 1e3),
        Branch("R3", "s", "b", 1e3),
        Branch("R4", "b", "0", 1e3),
    )
    network = Network(branches, {"0": 0.0, "s": 4.0})
    volts = dict(zip(network.nodes, voltages(network)[0], strict=True))
    assert np.isnan(volts["a"])
    assert volts["b"] == 2.0


def test_a_battery_between_two_nodes_lifts_one_over_the_other() -> None:
    """A floating source in a 0 ohm branch, or behind resistance, shifts the voltage by its own."""
    ideal = Network((Branch("V1", "p", "m", 0.0, 1.5), Branch("R1", "m", "0", 1e3)), GROUND)
    assert voltages(ideal)[0].tolist() == [0.0, 1.5, 0.0]
    lifted = Network((*divider(1e3, 1e3).branches, Branch("V1", "p", "m", 10.0, 1.5)), {"0": 0.0, "s": 5.0})
    assert dict(zip(lifted.nodes, voltages(lifted)[0], strict=True))["p"] == pytest.approx(4.0)
    ring = Network((Branch("V1", "a", "0", 0.0, 1.0), Branch("V2", "a", "0", 0.0, 2.0)), GROUND)
    assert np.isnan(voltages(ring)[0, 1])


def test_an_injected_current_makes_its_voltage() -> None:
    """1 mA into 1 kohm makes 1 V; into an open node it makes nothing that is known."""
    network = Network((Branch("R1", "m", "0", 1e3),), GROUND, {"m": 1e-3, "x": 1e-3})
    volts = voltages(network)[0]
    assert volts[1] == pytest.approx(1.0, rel=1e-14)
    assert np.isnan(volts[2])
    assert operating(network).stiff_amperes[0, 0] == pytest.approx(-1e-3, rel=1e-14)


def test_a_negative_resistance_is_refused() -> None:
    """No part has one; it would spoil the elimination."""
    with pytest.raises(ValueError, match="negative"):
        voltages(divider(-1.0, 1.0))


def test_a_node_that_is_not_there_is_named() -> None:
    """Asking at an unknown node is the caller's mistake."""
    with pytest.raises(KeyError, match="nowhere"):
        thevenin(divider(1.0, 1.0), "nowhere")


def test_ratios_of_1e20_keep_their_digits() -> None:
    """A milliohm beside 1e17 ohm: the divider's fraction keeps its relative accuracy."""
    branches = (Branch("R1", "s", "a", 1e17), Branch("R2", "a", "b", 1e-3), Branch("R3", "b", "0", 1e-3))
    network = Network(branches, {"0": 0.0, "s": 1.0})
    volts = dict(zip(network.nodes, voltages(network)[0], strict=True))
    assert volts["b"] == pytest.approx(1e-3 / (1e17 + 2e-3), rel=1e-14)


def test_hundreds_of_resistors_in_a_bridged_ladder_are_solved() -> None:
    """300 nodes with bridges obey Kirchhoff's current law at every node."""
    rng = np.random.default_rng(5)
    names = [str(k) for k in range(300)]
    branches = [Branch(f"R{k}", names[k], names[k + 1], 10 ** rng.uniform(0, 6)) for k in range(299)]
    for k in range(200):
        a, b = rng.choice(300, 2, replace=False)
        branches.append(Branch(f"B{k}", names[a], names[b], 10 ** rng.uniform(0, 6)))
    network = Network(tuple(branches), {"0": 0.0, "299": 10.0})
    point = operating(network)
    index = {name: k for k, name in enumerate(network.nodes)}
    sums, sizes = np.zeros(300), np.zeros(300)
    for branch in network.branches:
        amperes = (point.volts[0, index[branch.a]] - point.volts[0, index[branch.b]]) / branch.ohm
        sums[index[branch.a]] += amperes
        sums[index[branch.b]] -= amperes
        sizes[[index[branch.a], index[branch.b]]] += abs(amperes)
    assert np.abs(sums[2:] / sizes[2:]).max() < 1e-7
    assert sums[:2] == pytest.approx(point.stiff_amperes[0], rel=1e-9)


@given(networks(), st.randoms(use_true_random=False))
def test_the_order_of_the_branches_does_not_matter(network: Network, random: Random) -> None:
    """The same network written in another order has the same voltages."""
    order = list(range(len(network.branches)))
    random.shuffle(order)
    other = renamed(network, order)
    here = dict(zip(network.nodes, voltages(network)[0], strict=True))
    there = dict(zip(other.nodes, voltages(other)[0], strict=True))
    for node, volts in here.items():
        assert there[node] == pytest.approx(volts, rel=1e-12, abs=1e-12)


@given(networks())
def test_sources_superpose(network: Network) -> None:
    """The voltages with all sources are the sum of those with one source alive at a time."""
    total = voltages(network)[0]
    alone = [
        voltages(network._replace(stiff={n: v if n == alive else 0.0 for n, v in network.stiff.items()}))[0]
        for alive in network.stiff
    ]
    assert np.sum(alone, axis=0) == pytest.approx(total, rel=1e-9, abs=1e-9)


@given(networks(decades=(-5, 5)))
def test_no_node_leaves_the_range_of_the_sources(network: Network) -> None:
    """Without injections every voltage lies between the lowest and the highest stiff one."""
    volts = voltages(network)[0]
    slack = 1e-12 * 15
    assert volts.min() >= min(network.stiff.values()) - slack
    assert volts.max() <= max(network.stiff.values()) + slack


@given(networks(), st.data())
def test_a_voltage_is_monotonic_in_each_resistance(network: Network, data: st.DataObject) -> None:
    """Over one resistance's whole range a node's voltage only rises or only falls."""
    branch = data.draw(st.integers(0, len(network.branches) - 1))
    ohms = np.repeat(ohms_of(network)[None, :], 20, axis=0)
    ohms[:, branch] = np.logspace(-3, 9, 20)
    steps = np.diff(voltages(network, ohms), axis=0)
    slack = 1e-9
    assert ((steps >= -slack).all(axis=0) | (steps <= slack).all(axis=0)).all()


@given(networks(), st.floats(1, 1e6), st.data())
def test_a_thevenin_equivalent_stands_for_the_network(
    network: Network, load_ohm: float, data: st.DataObject
) -> None:
    """A load on a node sees the voltage that the equivalent gives it."""
    node = data.draw(st.sampled_from([n for n in network.nodes if n not in network.stiff] or [""]))
    if not node:
        return
    volts, ohm = thevenin(network, node)
    ground = next(iter(network.stiff))
    loaded = network._replace(branches=(*network.branches, Branch("RL", node, ground, load_ohm)))
    there = voltages(loaded)[0, loaded.nodes.index(node)]
    assert there == pytest.approx(volts[0] * load_ohm / (load_ohm + ohm[0]), rel=1e-9, abs=1e-12)
