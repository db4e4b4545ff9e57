"""A resistive network as arithmetic sees it: branches, junctions, stiff nodes and injected currents."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class Branch(NamedTuple):
    """A resistor, link or battery between two nodes: V(a) - V(b) = emf_v + ohm * I, I from a to b.

    0 ohm joins the nodes exactly, an infinite resistance is no branch at all, nan is a value not known.
    """

    label: str
    a: str
    b: str
    ohm: float
    emf_v: float = 0.0


class Junction(NamedTuple):
    """A diode-like load: no current below `drop_v`, `slope_ohm` above it. V, ohm (> 0)."""

    label: str
    anode: str
    cathode: str
    drop_v: float
    slope_ohm: float


class Network(NamedTuple):
    """A region of a circuit at DC. `stiff` nodes are held at a voltage (V); `injections` flow in (A)."""

    branches: tuple[Branch, ...]
    stiff: Mapping[str, float]
    injections: Mapping[str, float] = {}
    junctions: tuple[Junction, ...] = ()

    @property
    def nodes(self) -> tuple[str, ...]:
        """Every node, in order of first mention: stiff ones, branches, junctions, injections."""
        names = dict.fromkeys(self.stiff)
        for branch in self.branches:
            names.update({branch.a: None, branch.b: None})
        for junction in self.junctions:
            names.update({junction.anode: None, junction.cathode: None})
        names.update(dict.fromkeys(self.injections))
        return tuple(names)
