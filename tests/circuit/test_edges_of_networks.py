"""Networks at their edges: no branch, an open one with a battery, 0 ohm under a voltage; Ohm's law."""

import warnings

import numpy as np
import pytest

from drc.circuit.dc import operating, thevenin, voltages
from drc.circuit.network import Branch, Network
from drc.circuit.pin_laws import rate_current, settling_time, strap_ratio


def test_a_network_without_branches_stands_at_what_holds_it() -> None:
    """Two held nodes and nothing between them: no current out of either."""
    point = operating(Network((), {"0": 0.0, "s": 5.0}))
    assert (point.volts.tolist(), point.stiff_amperes.tolist()) == ([[0.0, 5.0]], [[0.0, 0.0]])


@pytest.mark.parametrize("ends", [("s", "m"), ("m", "s")])
def test_current_comes_out_of_the_higher_node(ends: tuple[str, str]) -> None:
    """5 V over 1 kohm and 4 kohm: 1 mA out of 5 V and into ground, whichever way a branch is named."""
    network = Network((Branch("R1", *ends, 1e3), Branch("R2", "m", "0", 4e3)), {"0": 0.0, "s": 5.0})
    assert operating(network).stiff_amperes[0] == pytest.approx([-1e-3, 1e-3], rel=1e-12)


@pytest.mark.parametrize("emf", [2.0, np.nan])
def test_a_battery_behind_an_open_branch_drives_nothing(emf: float) -> None:
    """Infinite ohm carry no current, whatever battery is in line, even an unknown one."""
    branches = (
        Branch("R1", "s", "m", 1e3), Branch("R2", "m", "0", 1e3), Branch("B1", "s", "m", np.inf, emf),
    )  # fmt: skip
    volts = voltages(Network(branches, {"0": 0.0, "s": 5.0}))
    assert volts[0, 2] == pytest.approx(2.5)


def test_a_battery_in_a_branch_adds_with_its_sign() -> None:
    """V(a) - V(b) = emf + R I: 5 V less 2 V over 1 kohm + 2 kohm is 1 mA, 2 V at the node; turned, 7 V."""
    for ends, emf, wanted in (
        (("s", "m"), 2.0, 2.0),
        (("m", "s"), -2.0, 2.0),
        (("s", "m"), -2.0, 14 / 3),
        (("m", "s"), 2.0, 14 / 3),
    ):
        branches = (Branch("B1", *ends, 1e3, emf), Branch("R2", "m", "0", 2e3))
        point = operating(Network(branches, {"0": 0.0, "s": 5.0}))
        assert point.volts[0, 2] == pytest.approx(wanted)
        assert point.stiff_amperes[0] == pytest.approx([-wanted / 2e3, wanted / 2e3])


def test_joints_carry_batteries_along() -> None:
    """m is 1 V above n and n 2 V above k by 0 ohm batteries; k hangs on 5 V by 1 kohm, m on ground by 1 kohm.

    One node: (5 - V) / 1k = (V + 3) / 1k with V at k, so 1 V, 3 V and 4 V.
    """
    branches = (
        Branch("B1", "m", "n", 0.0, 1.0), Branch("B2", "k", "n", 0.0, -2.0),
        Branch("R1", "s", "k", 1e3), Branch("R2", "m", "0", 1e3),
    )  # fmt: skip
    network = Network(branches, {"0": 0.0, "s": 5.0})
    volts = dict(zip(network.nodes, voltages(network)[0], strict=True))
    assert (volts["k"], volts["n"], volts["m"]) == pytest.approx((1.0, 3.0, 4.0))


def test_two_voltages_on_one_node_are_not_known() -> None:
    """Held at 5 V and joined to 3 V: nan; held twice at the same voltage it is that."""
    joint = (Branch("J1", "s", "t", 0.0), Branch("R1", "t", "m", 1e3), Branch("R2", "m", "0", 1e3))
    clash = Network(joint, {"0": 0.0, "s": 5.0, "t": 3.0})
    assert np.isnan(voltages(clash)[0, clash.nodes.index("m")])
    alike = Network(joint, {"0": 0.0, "s": 5.0, "t": 5.0})
    assert voltages(alike)[0, alike.nodes.index("m")] == pytest.approx(2.5)


def test_the_equivalent_of_a_held_node_has_no_resistance() -> None:
    """A stiff node is its voltage at 0 ohm; one that nothing reaches is open."""
    network = Network((Branch("R1", "s", "m", 1e3), Branch("R2", "x", "y", 1e3)), {"0": 0.0, "s": 5.0})
    assert tuple(found[0] for found in thevenin(network, "s")) == (5.0, 0.0)
    assert tuple(found[0] for found in thevenin(network, "m")) == pytest.approx((5.0, 1e3))
    assert np.isinf(thevenin(network, "x")[1][0])


def test_the_pin_laws_divide_by_nothing_without_a_word() -> None:
    """0 ohm under a voltage is an endless current, an open network none, and no warning is printed."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        open_volts, ohms = np.array([0.0, 0.0, 0.5, 2.5]), np.array([0.0, np.inf, 0.0, 1e6])
        found = rate_current(np.full(4, 0.5), open_volts, ohms)
    assert found[:2].tolist() == [np.inf, 0.0]
    assert np.isnan(found[2])
    assert found[3] == pytest.approx(-2e-6)
    assert np.isinf(rate_current(np.array([0.5]), np.array([1.0]), np.array([0.0]))[0])


def test_a_strap_s_ratio_counts_its_ground_and_leakage() -> None:
    """(2.0 V - 0.5 V + 1 uA * 100 kohm) / 3.2 V = 1/2."""
    one = np.ones(1)
    assert strap_ratio(2.0 * one, 0.5 * one, 1e5 * one, 1e-6 * one, 3.2 * one)[0] == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("ratio", "start", "steps"),
    [
        (0.4, 0.0, np.log(4.0)),  # from below through 0.3: 0.4 / 0.1
        (0.4, 1.0, np.log(6.0)),  # from above through 0.5: 0.6 / 0.1
        (0.4, 0.35, 0.0),  # begins inside, 0.05 from its end and 0.1 within
        (0.4, 0.4, 0.0),
        (0.3, 0.0, np.inf),
        (0.5, 1.0, np.inf),
    ],
)
def test_a_strap_settles_past_the_threshold_it_comes_through(
    ratio: float, start: float, steps: float
) -> None:
    """t = tau ln(|r - start| / d) for a code between 0.3 and 0.5, tau = 2 ms."""
    found = settling_time(np.array([ratio]), np.array([2e-3]), np.array([start]), 0.3, 0.5)
    assert found[0] == pytest.approx(2e-3 * steps)
