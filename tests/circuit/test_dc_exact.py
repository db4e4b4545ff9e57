"""The DC solution against exact rational arithmetic on badly scaled networks."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drc.circuit.dc import thevenin, voltages
from drc.circuit.network import Branch, Network
from tests.circuit.networks import networks


def exact_voltages(network: Network) -> dict[str, Fraction]:
    """Node voltages by Gauss-Jordan elimination over fractions; every float is taken as it stands."""
    inner = [n for n in network.nodes if n not in network.stiff]
    held = {n: Fraction(v) for n, v in network.stiff.items()}
    at = {n: k for k, n in enumerate(inner)}
    rows = [[Fraction(0)] * (len(inner) + 1) for _ in inner]
    for branch in network.branches:
        siemens = 1 / Fraction(branch.ohm)
        for here, there in ((branch.a, branch.b), (branch.b, branch.a)):
            if here in held:
                continue
            rows[at[here]][at[here]] += siemens
            if there in held:
                rows[at[here]][-1] += siemens * held[there]
            else:
                rows[at[here]][at[there]] -= siemens
    for k in range(len(inner)):
        pivot = next(r for r in range(k, len(inner)) if rows[r][k])
        rows[k], rows[pivot] = rows[pivot], rows[k]
        rows[k] = [x / rows[k][k] for x in rows[k]]
        for r in range(len(inner)):
            if r != k and rows[r][k]:
                factor = rows[r][k]
                rows[r] = [x - factor * y for x, y in zip(rows[r], rows[k], strict=True)]
    return {**held, **{n: rows[at[n]][-1] for n in inner}}


@settings(max_examples=60, deadline=None)
@given(networks(nodes=7, extra=6, decades=(-3, 12)))
def test_every_digit_is_right_over_fifteen_decades(network: Network) -> None:
    """From a milliohm to a teraohm beside each other, voltages are right to twelve digits of the largest."""
    exact = exact_voltages(network)
    scale = max(abs(v) for v in network.stiff.values())
    for node, volts in zip(network.nodes, voltages(network)[0].tolist(), strict=True):
        assert abs(Fraction(volts) - exact[node]) <= Fraction(1e-12) * Fraction(scale)


@settings(max_examples=60, deadline=None)
@given(networks(nodes=7, extra=6, decades=(-3, 12)), st.data())
def test_a_source_resistance_keeps_its_relative_accuracy(network: Network, data: st.DataObject) -> None:
    """The Thevenin resistance is right to twelve digits of itself, however small beside the others."""
    ground = next(iter(network.stiff))
    node = data.draw(st.sampled_from([n for n in network.nodes if n not in network.stiff] or [ground]))
    fed = Network(network.branches, dict.fromkeys(network.stiff, 0.0))
    inner = exact_resistance(fed, node)
    assert float(thevenin(network, node)[1][0]) == pytest.approx(float(inner), rel=1e-12)


def exact_resistance(dead: Network, node: str) -> Fraction:
    """Volts at a node held at 1 V over the current that this takes, all sources dead."""
    if node in dead.stiff:
        return Fraction(0)
    held = dead._replace(stiff={**dead.stiff, node: 1.0})
    volts = exact_voltages(held)
    amperes = Fraction(0)
    for branch in dead.branches:
        for here, there in ((branch.a, branch.b), (branch.b, branch.a)):
            if here == node:
                amperes += (1 - volts[there]) / Fraction(branch.ohm)
    return 1 / amperes


def test_positive_sources_keep_relative_accuracy() -> None:
    """With sources of one sign a tiny voltage keeps its own digits: 1e-3 over 1e12 of 1 V."""
    rng = np.random.default_rng(2)
    branches = tuple(
        Branch(f"R{k}", f"n{k}", f"n{k + 1}", float(10 ** rng.uniform(-3, 12))) for k in range(8)
    ) + tuple(Branch(f"P{k}", f"n{k}", "n0", float(10 ** rng.uniform(-3, 12))) for k in range(2, 8))
    network = Network(branches, {"n0": 0.0, "n8": 1.0})
    exact = exact_voltages(network)
    for node, volts in zip(network.nodes, voltages(network)[0].tolist(), strict=True):
        assert volts == pytest.approx(float(exact[node]), rel=1e-13)
