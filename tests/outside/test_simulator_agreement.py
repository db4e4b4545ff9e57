"""Random boards solved here and by a general-purpose circuit simulator, from one and the same file.

Outside reference: ngspice (Debian package of that name), operating point. Where it is not installed the
tests are skipped and say so. Linear boards agree within 1e-6 of their largest voltage; boards with diodes
within 5 %, because there straight pieces stand for the simulator's exponential.
"""

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from drc.circuit.dc import voltages
from drc.circuit.junctions import curve
from drc.circuit.model import Circuit
from drc.circuit.network import Branch, Junction, Network
from drc.netlist.read import read_circuit
from tests.outside.operating_point import SIMULATOR, WHY_SKIPPED, operating_points
from tests.outside.random_boards import linear_board, loaded_board

LINEAR_BOARDS = 400
LOADED_BOARDS = 200

pytestmark = pytest.mark.skipif(SIMULATOR is None, reason=WHY_SKIPPED)


def written(
    build: Callable[[np.random.Generator, str], str], count: int, seed: int, folder: Path
) -> list[Path]:
    """So many board files, out of one random stream."""
    rng = np.random.default_rng(seed)
    paths = [folder / f"board{k}.cir" for k in range(count)]
    for path in paths:
        path.write_text(build(rng, path.stem), encoding="ascii")
    return paths


def network_of(circuit: Circuit) -> Network:
    """The circuit's resistors, sources and diodes, the last in straight pieces by their models alone."""
    branches: list[Branch] = []
    stiff = {"0": 0.0}
    injections: dict[str, float] = {}
    junctions: list[Junction] = []
    for element in circuit.elements():
        a, b = (net.name for net in element.nets)
        if element.kind == "R":
            assert element.value is not None
            branches.append(Branch(element.path, a, b, element.value))
        elif element.kind == "D":
            assert element.model is not None
            given = element.model.parameters
            junctions += curve(
                element.path, (a, b), saturation_a=given["is"], emission=given["n"], series_ohm=given["rs"]
            )
        else:
            assert element.waveform is not None
            level = element.waveform.settled
            assert level is not None
            if element.kind == "I":
                injections[b] = level
            elif b == "0":
                stiff[a] = level
            else:
                branches.append(Branch(element.path, a, b, 0.0, level))
    return Network(tuple(branches), stiff, injections, tuple(junctions))


def solved(path: Path, folder: Path) -> dict[str, float]:
    """Node voltages by our own reading and solution."""
    circuit = read_circuit(path, folder)
    assert not circuit.troubles
    network = network_of(circuit)
    return dict(zip(network.nodes, voltages(network)[0].tolist(), strict=True))


def worst(ours: dict[str, float], theirs: dict[str, float]) -> float:
    """The largest difference of a node's voltage over a board, relative to the largest voltage."""
    apart = np.array([ours[node] - theirs[node] for node in ours])
    return float(np.abs(apart).max() / max(abs(v) for v in theirs.values()))


def test_linear_boards_agree_with_the_simulator(tmp_path: Path) -> None:
    """Every node of 400 linear boards, ratios up to 1e10, agrees within 1e-6 of the largest voltage."""
    paths = written(linear_board, LINEAR_BOARDS, 20260, tmp_path)
    reference = operating_points(paths, tmp_path)
    off = [worst(solved(path, tmp_path), theirs) for path, theirs in zip(paths, reference, strict=True)]
    assert np.max(off) < 1e-6


def test_boards_with_diodes_agree_with_the_simulator(tmp_path: Path) -> None:
    """Every node of 200 boards with diode loads agrees within 5 % of the largest voltage, and every load
    current above 1 mA within 5 % of itself.
    """
    paths = written(loaded_board, LOADED_BOARDS, 20261, tmp_path)
    off, flowing = [], []
    for path, theirs in zip(paths, operating_points(paths, tmp_path), strict=True):
        ours = solved(path, tmp_path)
        off.append(worst(ours, theirs))
        for a, b, ohm in re.findall(r"^RL\d+ (\S+) (\S+) (\S+)$", path.read_text(), flags=re.MULTILINE):
            here, there = ((volts[a] - volts[b]) / float(ohm) for volts in (ours, theirs))
            if max(abs(here), abs(there)) > 1e-3:
                flowing.append(abs(here / there - 1))
    assert np.max(off) < 0.05
    assert len(flowing) > LOADED_BOARDS / 2
    assert np.max(flowing) < 0.05
