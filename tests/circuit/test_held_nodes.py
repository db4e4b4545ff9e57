"""Nodes that sources hold, joined by links and batteries; who gives the current; what is left unknown."""

import numpy as np
import pytest

from drc.circuit import nodal
from drc.circuit.dc import operating, thevenin, voltages
from drc.circuit.network import Branch, Junction, Network
from tests.circuit.networks import divider


def at(network: Network) -> dict[str, float]:
    """Each node's voltage, by Kirchhoff's laws."""
    return dict(zip(network.nodes, voltages(network)[0].tolist(), strict=True))


@pytest.mark.parametrize(
    ("one", "other", "known"),
    [
        (0.0, 0.0, True),
        (5.0, 5.0, True),
        (-5.0, -5.0, True),
        (5.0, 5.0 * (1 + 1e-13), True),
        (5.0, 5.0 * (1 + 1e-11), False),
        (0.0, 1e-9, False),
        (-5.0, 5.0, False),
    ],
)
def test_two_held_nodes_on_one_link(one: float, other: float, known: bool) -> None:
    """The same voltage but for rounding is no contradiction, two grounds at 0 V among them; else nan."""
    joint = (Branch("J1", "a", "b", 0.0), Branch("R1", "b", "m", 1e3), Branch("R2", "m", "z", 1e3))
    found = at(Network(joint, {"a": one, "b": other, "z": one}))
    assert np.isnan(found["a"]) == np.isnan(found["b"]) == np.isnan(found["m"]) == (not known)
    assert not known or found["m"] == pytest.approx(one)
    assert found["z"] == one


def test_how_two_joined_sources_share_a_current_is_not_known() -> None:
    """Nothing tells how they share it; a third one's current is known all the same."""
    joint = (Branch("J1", "a", "b", 0.0), Branch("R1", "b", "0", 1e3))
    point = operating(Network(joint, {"0": 0.0, "a": 5.0, "b": 5.0}))
    assert np.isnan(point.stiff_amperes[0, 1:]).all()
    assert not np.isinf(point.stiff_amperes).any()
    assert point.stiff_amperes[0, 0] == pytest.approx(-5e-3)


def test_a_source_of_unknown_voltage_with_nothing_to_feed_gives_no_current() -> None:
    """A resistor that ends nowhere draws nothing, whatever the voltage; one to ground is unknown."""
    dangling = Network((Branch("R1", "s", "x", 1e3),), {"0": 0.0, "s": np.nan})
    assert operating(dangling).stiff_amperes.tolist() == [[0.0, 0.0]]
    led = dangling._replace(branches=(*dangling.branches, Branch("R2", "x", "0", 1e3)))
    assert np.isnan(operating(led).stiff_amperes).all()


def test_a_ring_of_batteries_that_contradicts_itself_is_unknown_where_nothing_holds_it() -> None:
    """1 V one way and 2 V the other: nan on the ring and what hangs on it, not beyond a held node."""
    ring = (Branch("V1", "a", "b", 0.0, 1.0), Branch("V2", "a", "b", 0.0, 2.0), Branch("R1", "b", "m", 1e3))
    found = at(Network((*ring, Branch("R2", "m", "0", 1e3), Branch("R3", "0", "n", 1e3)), {"0": 0.0}))
    assert np.isnan([found["a"], found["b"], found["m"]]).all()
    assert (found["0"], found["n"]) == (0.0, 0.0)
    fair = Network((*ring[:1], Branch("V2", "b", "a", 0.0, -1.0), ring[2]), {"b": 3.0})
    assert at(fair) == {"b": 3.0, "a": 4.0, "m": 3.0}


def test_a_contradiction_counts_in_its_own_draw_alone() -> None:
    """Of draws with the same links only those whose held voltages differ are unknown."""
    network = Network((Branch("J1", "a", "b", 0.0), Branch("R1", "b", "m", 1.0)), {"a": 1.0, "b": 1.0})
    volts = voltages(network, stiff=np.array([[1.0, 1.0], [1.0, 2.0], [2.0, 2.0]]))
    assert volts[:, 2].tolist()[::2] == [1.0, 2.0]
    assert np.isnan(volts[1]).all()


@pytest.mark.parametrize("order", [(0, 1, 2, 3), (3, 2, 1, 0), (0, 2, 1, 3), (2, 0, 3, 1)])
def test_a_chain_of_batteries_adds_up_in_any_order_of_joining(order: tuple[int, ...]) -> None:
    """a is 1 V over b, b 2 V over c, c 3 V over d, d 4 V over ground; a hangs on 20 V by 1 kohm."""
    chain = [
        Branch("V1", "a", "b", 0.0, 1.0), Branch("V2", "c", "b", 0.0, -2.0),
        Branch("V3", "c", "d", 0.0, 3.0), Branch("V4", "0", "d", 0.0, -4.0),
    ]  # fmt: skip
    branches = (*(chain[k] for k in order), Branch("R1", "s", "a", 1e3))
    network = Network(branches, {"0": 0.0, "s": 20.0})
    assert at(network) == {"0": 0.0, "s": 20.0, "a": 10.0, "b": 9.0, "c": 7.0, "d": 4.0}
    assert operating(network).stiff_amperes[0] == pytest.approx([-10e-3, 10e-3])


@pytest.mark.parametrize("order", [(0, 1, 2, 3, 4), (4, 3, 2, 1, 0), (1, 3, 0, 4, 2), (2, 4, 1, 0, 3)])
def test_a_clash_stays_with_its_group_however_it_is_joined(order: tuple[int, ...]) -> None:
    """Two batteries that differ between a and b, and links from there to c and d: all four are unknown."""
    links = [
        Branch("V1", "a", "b", 0.0, 1.0), Branch("V2", "a", "b", 0.0, 2.0), Branch("J1", "b", "c", 0.0),
        Branch("J2", "d", "c", 0.0), Branch("J3", "e", "f", 0.0),
    ]  # fmt: skip
    branches = (*(links[k] for k in order), Branch("R1", "s", "e", 1e3), Branch("R2", "f", "d", 1e3))
    found = at(Network(branches, {"s": 5.0}))
    assert [name for name, volts in found.items() if np.isnan(volts)] == [
        name for name in found if name != "s"
    ]
    apart = at(Network(branches[:-1], {"s": 5.0}))
    assert (apart["e"], apart["f"]) == (5.0, 5.0)
    assert np.isnan([apart[name] for name in "abcd"]).all()


def test_injected_currents_of_joined_nodes_add_up() -> None:
    """1 mA into one end of a link and 2 mA into the other, over 1 kohm to ground: 3 V, 3 mA into ground."""
    branches = (Branch("J1", "a", "b", 0.0), Branch("R1", "b", "0", 1e3))
    network = Network(branches, {"0": 0.0}, {"a": 1e-3, "b": 2e-3})
    assert at(network) == {"0": 0.0, "a": pytest.approx(3.0), "b": pytest.approx(3.0)}
    assert operating(network).stiff_amperes[0, 0] == pytest.approx(-3e-3)
    held = Network(branches, {"0": 0.0, "a": 1.0}, {"b": 0.4e-3})
    assert operating(held).stiff_amperes[0] == pytest.approx([-1e-3, 0.6e-3])


def test_draws_with_links_in_different_places_come_out_in_their_rows() -> None:
    """Rows that have the same resistors at 0 ohm are solved together, and stand where they stood."""
    network = divider(1e3, 1e3, 4.0)
    ohms = np.array([[1e3, 3e3], [0, 1e3], [1e3, 1e3], [1e3, 0], [0, 5e3], [3e3, 1e3]], dtype=float)
    assert voltages(network, ohms)[:, 2].tolist() == [3.0, 4.0, 2.0, 0.0, 4.0, 1.0]
    volts, ohm = thevenin(network, "m", ohms)
    assert volts.tolist() == [3.0, 4.0, 2.0, 0.0, 4.0, 1.0]
    assert ohm.tolist() == [750.0, 0.0, 500.0, 0.0, 0.0, 750.0]


def test_long_tables_are_solved_in_runs_without_a_seam(monkeypatch: pytest.MonkeyPatch) -> None:
    """However many draws fit a run, each row has its own answer."""
    ohms = np.column_stack([np.arange(1.0, 12.0), np.ones(11)])
    whole = voltages(divider(1.0, 1.0, 1.0), ohms)
    assert whole[:, 2].tolist() == pytest.approx((1 / (1 + np.arange(1.0, 12.0))).tolist())
    for size in (1, 9, 30, 99):
        monkeypatch.setattr(nodal, "_CHUNK_FLOATS", size)
        assert np.array_equal(voltages(divider(1.0, 1.0, 1.0), ohms), whole)


def test_the_equivalent_beside_batteries_and_injections() -> None:
    """1 V and 2 V over ground behind 1 kohm each, and 1 mA: (1 + 2 + 1) / 2 = 2 V behind 500 ohm."""
    branches = (Branch("B1", "m", "0", 1e3, 1.0), Branch("B2", "0", "m", 1e3, -2.0))
    volts, ohm = thevenin(Network(branches, {"0": 0.0}, {"m": 1e-3}), "m")
    assert (volts[0], ohm[0]) == pytest.approx((2.0, 500.0))


def test_the_equivalent_past_inner_nodes() -> None:
    """A tee of 1 kohm between 6 V, ground and a stub: 3 V behind 0.5 + 1 kohm at the stub's end."""
    branches = tuple(Branch(f"R{k}", name, "t", 1e3) for k, name in enumerate(("s", "0", "m")))
    volts, ohm = thevenin(Network(branches, {"0": 0.0, "s": 6.0}), "m")
    assert (volts[0], ohm[0]) == pytest.approx((3.0, 1500.0))
    inner = thevenin(Network(branches, {"0": 0.0, "s": 6.0}), "t")
    assert (inner[0][0], inner[1][0]) == pytest.approx((3.0, 500.0))


def test_open_resistors_join_nothing() -> None:
    """A node that hangs on infinite ohms alone is unknown and open, and those beside it are as without it."""
    opened = (Branch("R3", "x", "m", np.inf), Branch("R4", "0", "x", np.inf), Branch("R5", "x", "y", 1e3))
    network = divider(1e3, 1e3, 4.0)._replace(branches=(*opened, *divider(1e3, 1e3).branches))
    found = at(network)
    assert np.isnan([found["x"], found["y"]]).all()
    assert (found["m"], found["s"], found["0"]) == (2.0, 4.0, 0.0)
    assert thevenin(network, "m")[1].tolist() == [500.0]
    assert thevenin(network, "x")[1].tolist() == [np.inf]
    assert operating(network).stiff_amperes[0] == pytest.approx([-2e-3, 2e-3])
    fed = network._replace(injections={"x": 1e-3})
    assert np.isnan(at(fed)["x"])
    assert at(fed)["m"] == 2.0


def test_tables_of_one_row_serve_all_draws() -> None:
    """A plain row, a table of one row and the network's own values are spread over the others' draws."""
    network = divider(1e3, 1e3, 4.0)
    stiff = np.array([[0.0, 2.0], [0.0, 8.0]])
    assert voltages(network, np.array([3e3, 1e3]), stiff)[:, 2].tolist() == [0.5, 2.0]
    assert voltages(network, np.array([[3e3, 1e3]]), stiff)[:, 2].tolist() == [0.5, 2.0]
    assert voltages(network, None, stiff)[:, 2].tolist() == [1.0, 4.0]
    assert operating(network, stiff=stiff).conducting.shape == (2, 0)


def test_a_junction_s_slope_is_above_nothing() -> None:
    """0 ohm and less are refused, whichever junction has it."""
    good, bad = Junction("D1", "s", "0", 1.0, 1.0), Junction("D2", "s", "0", 1.0, -1.0)
    for junctions in ((good, bad), (bad, good), (bad._replace(slope_ohm=0.0),)):
        with pytest.raises(ValueError, match="slope is not above 0 ohm"):
            voltages(divider(1.0, 1.0)._replace(junctions=junctions))
    assert at(divider(1.0, 1.0)._replace(junctions=(good,)))["m"] == 2.5


def test_nodes_come_in_order_of_first_mention() -> None:
    """Held ones, ends of branches, anodes and cathodes, nodes that a current is fed to."""
    network = Network(
        (Branch("R1", "b", "a", 1.0),),
        {"s": 1.0, "b": 0.0},
        {"z": 0.0, "c": 0.0},
        (Junction("D", "d", "c", 1, 1),),
    )
    assert network.nodes == ("s", "b", "a", "d", "c", "z")
