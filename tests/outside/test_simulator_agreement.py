"""Random boards solved here and by a general-purpose circuit simulator, from one and the same file.

Outside reference: ngspice (Debian package of that name), operating point. Where it is not installed the
tests are skipped and say so. Linear boards agree within 1e-6 of their largest voltage; boards with diodes
within 5 %, because there a straight line stands for the simulator's exponential.
"""

import re
import shutil
import subprocess
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest

from drc.circuit.dc import voltages
from drc.circuit.junctions import curve
from drc.circuit.network import Branch, Junction, Network

SIMULATOR = shutil.which("ngspice")
LINEAR_BOARDS = 400
LOADED_BOARDS = 200

pytestmark = pytest.mark.skipif(SIMULATOR is None, reason="the circuit simulator ngspice is not installed")


class Diode(NamedTuple):
    """A diode of a board: saturation current (A), emission coefficient and series resistance (ohm)."""

    name: str
    anode: str
    cathode: str
    saturation_a: float
    emission: float
    series_ohm: float


class Board(NamedTuple):
    """Resistors (name, a, b, ohm), sources to ground (name, node, V) and diodes."""

    resistors: tuple[tuple[str, str, str, float], ...]
    sources: tuple[tuple[str, str, float], ...]
    currents: tuple[tuple[str, str, float], ...] = ()
    diodes: tuple[Diode, ...] = ()

    def text(self, title: str) -> str:
        """The netlist. Numbers are written to 17 digits, so that both sides read the same ones."""
        lines = [title]
        lines += [f"{name} {node} 0 {volts:.17g}" for name, node, volts in self.sources]
        lines += [f"{name} 0 {node} {amperes:.17g}" for name, node, amperes in self.currents]
        lines += [f"{name} {a} {b} {ohm:.17g}" for name, a, b, ohm in self.resistors]
        for d in self.diodes:
            lines.append(f"{d.name} {d.anode} {d.cathode} M{d.name}")
            lines.append(
                f".model M{d.name} D(IS={d.saturation_a:.17g} N={d.emission:.17g} RS={d.series_ohm:.17g})"
            )
        return "\n".join([*lines, ".end", ""])

    def network(self, junctions: tuple[Junction, ...] = ()) -> Network:
        """The same board for our own solution."""
        return Network(
            tuple(Branch(*resistor) for resistor in self.resistors),
            {"0": 0.0, **{node: volts for _, node, volts in self.sources}},
            {node: amperes for _, node, amperes in self.currents},
            junctions,
        )


def random_tree(
    rng: np.random.Generator, count: int, bridges: int, low: float, high: float
) -> list[tuple[str, str, str, float]]:
    """Resistors of a random tree over ground and nodes n1 .. n(count - 1), with bridges across it."""
    names = ["0", *(f"n{k}" for k in range(1, count))]
    pairs = [(int(rng.integers(0, k)), k) for k in range(1, count)]
    while len(pairs) < count - 1 + bridges:
        a, b = (int(v) for v in rng.choice(count, 2, replace=False))
        pairs.append((a, b))
    return [
        (f"R{k}", names[a], names[b], float(10 ** rng.uniform(low, high))) for k, (a, b) in enumerate(pairs)
    ]


def linear_board(rng: np.random.Generator) -> Board:
    """Straps, bridges and steering: a few to forty resistors over up to ten decades, one to three sources."""
    count = int(rng.integers(3, 25))
    high = float(rng.choice([3.0, 6.0, 10.0]))
    resistors = random_tree(rng, count, int(rng.integers(0, 16)), 0.0, high)
    held = rng.choice(np.arange(1, count), int(rng.integers(1, min(4, count))), replace=False)
    sources = tuple((f"V{k}", f"n{k}", float(rng.uniform(-5, 15))) for k in held)
    currents: tuple[tuple[str, str, float], ...] = ()
    free = sorted(set(range(1, count)) - set(held.tolist()))
    if free and high < 7 and rng.random() < 0.4:
        currents = (("I1", f"n{free[0]}", float(rng.uniform(-1e-6, 1e-6))),)
    return Board(tuple(resistors), sources, currents)


def loaded_board(rng: np.random.Generator) -> Board:
    """A supply, a resistive network, and one to four diodes or strings of them as loads behind resistors."""
    count = int(rng.integers(3, 8))
    resistors = random_tree(rng, count, int(rng.integers(0, 4)), 1.0, 3.5)
    volts = float(rng.uniform(3, 12))
    diodes, nodes = [], [f"n{k}" for k in range(1, count)]
    for k in range(int(rng.integers(1, 5))):
        start = str(rng.choice(nodes))
        resistors.append((f"RL{k}", start, f"l{k}", float(10 ** rng.uniform(1.5, 3.5))))
        # A silicon junction, or an LED's larger emission coefficient and smaller saturation current.
        led = bool(rng.random() < 0.5)
        saturation, emission = (1e-20, 2.0) if led else (1e-14, 1.0)
        ends = (f"l{k}", "0") if rng.random() < 0.8 else ("0", f"l{k}")
        diodes.append(Diode(f"D{k}", *ends, saturation, emission, float(rng.uniform(0.1, 5))))
    return Board(tuple(resistors), (("V1", "n1", volts),), (), tuple(diodes))


def simulated(boards: list[Board], folder: Path) -> list[dict[str, float]]:
    """Node voltages by the simulator, a dictionary a board, out of one process."""
    script = ["many boards", ".control", "set numdgt=15"]
    for k, board in enumerate(boards):
        (folder / f"board{k}.cir").write_text(board.text(f"board {k}"), encoding="ascii")
        script += [f"source board{k}.cir", f"echo board-{k}", "op", "print all"]
    (folder / "all.cir").write_text("\n".join([*script, "quit", ".endc", ".end", ""]), encoding="ascii")
    assert SIMULATOR is not None
    run = subprocess.run(
        [SIMULATOR, "-b", "all.cir"], cwd=folder, capture_output=True, text=True, timeout=300, check=False
    )
    found: list[dict[str, float]] = []
    for part in re.split(r"^board-\d+$", run.stdout, flags=re.MULTILINE)[1:]:
        rows = re.findall(r"^([a-z]\w*) = (\S+)$", part, flags=re.MULTILINE)
        found.append({"0": 0.0, **{name: float(value) for name, value in rows}})
    assert len(found) == len(boards), run.stderr[-2000:]
    return found


def junctions_of(board: Board) -> tuple[Junction, ...]:
    """A board's diodes in straight pieces, by their models' IS, N and RS alone."""
    return tuple(
        junction
        for d in board.diodes
        for junction in curve(
            d.name,
            (d.anode, d.cathode),
            saturation_a=d.saturation_a,
            emission=d.emission,
            series_ohm=d.series_ohm,
        )
    )


def worst(ours: dict[str, float], theirs: dict[str, float], scale: float) -> float:
    """The largest difference of a node's voltage over a board, relative to the scale."""
    return max(abs(ours[node] - theirs[node.lower()]) for node in ours) / scale


def test_linear_boards_agree_with_the_simulator(tmp_path: Path) -> None:
    """Every node of 400 linear boards, ratios up to 1e10, agrees within 1e-6 of the largest voltage."""
    rng = np.random.default_rng(20260)
    boards = [linear_board(rng) for _ in range(LINEAR_BOARDS)]
    off = []
    for board, theirs in zip(boards, simulated(boards, tmp_path), strict=True):
        network = board.network()
        ours = dict(zip(network.nodes, voltages(network)[0].tolist(), strict=True))
        off.append(worst(ours, theirs, max(abs(v) for v in theirs.values())))
    assert max(off) < 1e-6


def test_boards_with_diodes_agree_with_the_simulator(tmp_path: Path) -> None:
    """Every node of 200 boards with diode loads agrees within 5 % of the largest voltage, and every load
    current above 1 mA within 5 % of itself.
    """
    rng = np.random.default_rng(20261)
    boards = [loaded_board(rng) for _ in range(LOADED_BOARDS)]
    off, load = [], []
    for board, theirs in zip(boards, simulated(boards, tmp_path), strict=True):
        network = board.network(junctions_of(board))
        ours = dict(zip(network.nodes, voltages(network)[0].tolist(), strict=True))
        off.append(worst(ours, theirs, max(abs(v) for v in theirs.values())))
        for name, a, b, ohm in board.resistors:
            if name.startswith("RL"):
                load.append(((ours[a] - ours[b]) / ohm, (theirs[a] - theirs[b]) / ohm))
    flowing = [(here, there) for here, there in load if max(abs(here), abs(there)) > 1e-3]
    assert max(off) < 0.05
    assert len(flowing) > LOADED_BOARDS / 2
    assert max(abs(here / there - 1) for here, there in flowing) < 0.05
