"""The DC solution against networkx's resistance distance and against published networks."""

from itertools import combinations, product

import networkx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.circuit.dc import thevenin, voltages
from drc.circuit.network import Branch, Network
from tests.circuit.networks import networks


def resistance(pairs: list[tuple[str, str]], a: str, b: str, ohm: float = 1.0) -> float:
    """Resistance between two nodes of a network of equal resistors."""
    branches = tuple(Branch(f"R{k}", *pair, ohm) for k, pair in enumerate(pairs))
    return float(thevenin(Network(branches, {b: 0.0}), a)[1][0])


def cube(dimensions: int) -> list[tuple[str, str]]:
    """The edges of a cube of so many dimensions, corners named by their coordinates."""
    corners = ["".join(c) for c in product("01", repeat=dimensions)]
    return [
        (a, b) for a, b in combinations(corners, 2) if sum(x != y for x, y in zip(a, b, strict=True)) == 1
    ]


@given(networks(nodes=12, extra=14, decades=(0, 4)), st.data())
def test_resistance_is_networkx_s_resistance_distance(network: Network, data: st.DataObject) -> None:
    """Between any two nodes of a random network: networkx.resistance_distance (pseudo-inverse)."""
    graph = networkx.MultiGraph()
    for branch in network.branches:
        graph.add_edge(branch.a, branch.b, weight=branch.ohm)
    a, b = data.draw(st.sampled_from(list(combinations(sorted(graph.nodes), 2))))
    theirs = networkx.resistance_distance(graph, a, b, weight="weight", invert_weight=True)
    ours = thevenin(network._replace(stiff={b: 0.0}), a)[1][0]
    assert ours == pytest.approx(theirs, rel=1e-6)


@pytest.mark.parametrize(
    ("pairs", "ends", "wanted"),
    [
        # schoolphysics, "Resistance networks".
        (cube(3), ("000", "111"), 5 / 6),
        (cube(3), ("000", "011"), 3 / 4),
        (cube(3), ("000", "001"), 7 / 12),
        # djm.cc, resistor puzzles: the cube of four dimensions.
        (cube(4), ("0000", "1111"), 2 / 3),
        # The same family of puzzles: a square with both diagonals.
        (list(combinations("abcd", 2)), ("a", "b"), 1 / 2),
    ],
)
def test_published_puzzles(pairs: list[tuple[str, str]], ends: tuple[str, str], wanted: float) -> None:
    """Cubes and the complete square of equal resistors."""
    assert resistance(pairs, *ends) == pytest.approx(wanted, rel=1e-13)


def ladder(series: list[float], shunt: list[float]) -> float:
    """Input resistance of a ladder, its first step outermost: `series` then `shunt` to ground each."""
    branches = []
    for k, (along, across) in enumerate(zip(series, shunt, strict=True)):
        branches += [Branch(f"S{k}", f"n{k}", f"n{k + 1}", along), Branch(f"P{k}", f"n{k + 1}", "0", across)]
    return float(thevenin(Network(tuple(branches), {"0": 0.0}), "n0")[1][0])


def test_a_ladder_of_equal_resistors_tends_to_the_golden_ratio() -> None:
    """2, 5/3, 13/8, 34/21 ... (keenonmaths), after ten steps 1.61803400."""
    steps = [ladder([1.0] * n, [1.0] * n) for n in range(1, 11)]
    assert steps[:4] == pytest.approx([2, 5 / 3, 13 / 8, 34 / 21], rel=1e-13)
    assert steps[9] == pytest.approx((1 + 5**0.5) / 2, abs=1e-7)


def test_a_ladder_with_two_series_resistors_a_step() -> None:
    """(1 + sqrt 3) R with a resistor in both rails (schoolphysics; perplexus 5169)."""
    branches = []
    for k in range(30):
        branches += [
            Branch(f"A{k}", f"a{k}", f"a{k + 1}", 1.0),
            Branch(f"B{k}", f"b{k}", f"b{k + 1}", 1.0),
            Branch(f"C{k}", f"a{k + 1}", f"b{k + 1}", 1.0),
        ]
    network = Network(tuple(branches), {"b0": 0.0})
    assert thevenin(network, "a0")[1][0] == pytest.approx(1 + 3**0.5, rel=1e-12)


def test_a_ladder_that_doubles_each_step() -> None:
    """2, 9/5, 41/23, 187/105, 853/479 (math.stackexchange 4824174): each step twice the one before."""
    got = [ladder([2.0**k for k in range(n)], [2.0**k for k in range(n)]) for n in range(1, 6)]
    assert got == pytest.approx([2, 9 / 5, 41 / 23, 187 / 105, 853 / 479], rel=1e-13)


def test_an_infinite_grid_between_neighbours() -> None:
    """R/2 between neighbours of an infinite square grid, 2/pi on a diagonal; 41 by 41 comes within 0.5 %.

    Source: sigh.github.io/puzzles/resistors; the diagonal is from memory.
    """
    size = 41
    pairs = []
    for x, y in product(range(size), repeat=2):
        pairs += [(f"{x},{y}", f"{x + 1},{y}")] if x + 1 < size else []
        pairs += [(f"{x},{y}", f"{x},{y + 1}")] if y + 1 < size else []
    assert resistance(pairs, "20,20", "20,21") == pytest.approx(1 / 2, rel=5e-3)
    assert resistance(pairs, "20,20", "21,21") == pytest.approx(2 / np.pi, rel=5e-3)


def test_a_loaded_divider() -> None:
    """12 V over 220 and 470 ohm: 8.17 V; 150 ohm across the 470 makes 114 ohm and 4.10 V.

    Source: jirvine.co.uk tutorial 7, question 2, which computes the last from the rounded 114 ohm; the
    exact figures, recomputed with lcapy, are 8.1739 V, 113.71 ohm and 4.0889 V.
    """
    divider = (Branch("R1", "s", "m", 220.0), Branch("R2", "m", "0", 470.0))
    load = Branch("RL", "m", "0", 150.0)
    unloaded = Network(divider, {"0": 0.0, "s": 12.0})
    loaded = unloaded._replace(branches=(*divider, load))
    lower = Network((divider[1], load), {"0": 0.0})
    assert voltages(unloaded)[0, 2] == pytest.approx(8.1739, rel=1e-5)
    assert voltages(unloaded)[0, 2] == pytest.approx(8.17, rel=1e-3)
    assert thevenin(lower, "m")[1][0] == pytest.approx(113.71, rel=1e-4)
    assert voltages(loaded)[0, 2] == pytest.approx(4.0889, rel=1e-5)
    assert voltages(loaded)[0, 2] == pytest.approx(4.10, rel=5e-3)


def test_a_thevenin_equivalent() -> None:
    """12 V through 1 and 5 ohm, seen across 4 ohm: 4.8 V and 2.4 ohm; 0.8 ohm then draws 1.5 A.

    Source: jirvine.co.uk tutorial 8, question 1; lcapy gives 24/5 and 12/5.
    """
    branches = (Branch("R1", "s", "a", 1.0), Branch("R2", "a", "m", 5.0), Branch("R3", "m", "0", 4.0))
    volts, ohm = thevenin(Network(branches, {"0": 0.0, "s": 12.0}), "m")
    assert (volts[0], ohm[0]) == pytest.approx((4.8, 2.4), rel=1e-13)
    assert volts[0] / (ohm[0] + 0.8) == pytest.approx(1.5, rel=1e-13)
