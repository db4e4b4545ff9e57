"""Random resistive networks for the property tests of the DC solution and of spread."""

from collections.abc import Sequence

import numpy as np
from hypothesis import strategies as st

from drc.circuit.network import Array, Branch, Network


def divider(upper_ohm: float, lower_ohm: float, supply_v: float = 5.0) -> Network:
    """Two resistors between a supply and ground; the tap is `m`."""
    branches = (Branch("R1", "s", "m", upper_ohm), Branch("R2", "m", "0", lower_ohm))
    return Network(branches, {"0": 0.0, "s": supply_v})


@st.composite
def networks(
    draw: st.DrawFn, nodes: int = 6, extra: int = 6, decades: tuple[float, float] = (0, 6)
) -> Network:
    """A connected network: a random tree over the nodes, random bridges, ground and one or two supplies."""
    count = draw(st.integers(3, nodes))
    names = [f"n{k}" for k in range(count)]
    pairs = [(draw(st.integers(0, k - 1)), k) for k in range(1, count)]
    for _ in range(draw(st.integers(0, extra))):
        a, b = draw(st.integers(0, count - 1)), draw(st.integers(0, count - 1))
        if a != b:
            pairs.append((a, b))
    exponents = draw(st.lists(st.floats(*decades), min_size=len(pairs), max_size=len(pairs)))
    branches = tuple(
        Branch(f"R{k}", names[a], names[b], 10.0**exponent)
        for k, ((a, b), exponent) in enumerate(zip(pairs, exponents, strict=True))
    )
    stiff = {names[0]: 0.0, names[-1]: draw(st.floats(1, 15))}
    if count > 3 and draw(st.booleans()):
        stiff[names[1]] = draw(st.floats(-15, 15))
    return Network(branches, stiff)


def ohms_of(network: Network) -> Array:
    """The network's own resistances, (branches,)."""
    return np.array([b.ohm for b in network.branches])


def renamed(network: Network, order: Sequence[int]) -> Network:
    """The same network with its branches in another order and every branch turned round."""
    turned = [network.branches[k] for k in order]
    return network._replace(
        branches=tuple(Branch(b.label, b.b, b.a, b.ohm, -b.emf_v) for b in turned),
        stiff=dict(reversed(list(network.stiff.items()))),
    )
