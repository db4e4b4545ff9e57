"""Values and expressions of random netlists as a general-purpose circuit simulator reads the same file.

Outside reference: ngspice (Debian package of that name), operating point: a current driven through a
resistor shows its value as a voltage. Where it is not installed the tests are skipped and say so.
"""

from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from drc.netlist.read import read_circuit
from tests.outside.operating_point import SIMULATOR, WHY_SKIPPED, operating_points

pytestmark = pytest.mark.skipif(SIMULATOR is None, reason=WHY_SKIPPED)

BOARDS = 12
VALUES = 40


def _number(random: Random) -> str:
    """A number with a scale factor in any case and a unit behind it."""
    digits = random.choice(
        (f"{random.randrange(1, 1000)}", f"{random.uniform(0.1, 99):.3f}", f"{random.randrange(1, 9)}e2")
    )
    suffix = random.choice(("", "t", "g", "meg", "k", "mil", "m", "u", "n", "p", "f"))
    suffix = random.choice((suffix, suffix.upper(), suffix.capitalize()))
    return digits + suffix + random.choice(("", "", "A", "Hz", "Ohm") if suffix else ("", "V"))


def _expression(random: Random, depth: int = 3) -> str:
    """Arithmetic that stays positive and within range."""
    if depth == 0 or random.random() < 0.2:
        return random.choice(("alpha", "beta", f"{random.randrange(1, 9)}", "2.5", "1k", "500m"))
    one, two = _expression(random, depth - 1), _expression(random, depth - 1)
    return random.choice(
        (
            f"({one}+{two})",
            f"({one}*{two})",
            f"({one}/{two})",
            f"(abs({one}-{two})+1)",
            f"min({one},{two})",
            f"max({one},{two})",
            f"sqrt({one})",
            f"(({depth}>{random.randrange(4)}) ? {one} : {two})",
            f"pow({one},2)",
            f"(-({one})**2+({one})**2+1)",
            f"(log(1+{one})+1)",
        )
    )


def _source_board(random: Random) -> list[str]:
    return [f"I{i} 0 n{i} {_number(random)}\nR{i} n{i} 0 1" for i in range(VALUES)]


def _expression_board(random: Random) -> list[str]:
    head = [".param alpha={beta*3}", ".param beta=2", ".func twice(x) {x*2}"]
    calls = [f"I{VALUES} 0 m {{twice({_expression(random, 1)})}}", f"R{VALUES} m 0 1"]
    return [*head, *calls, *(f"I{i} 0 n{i} {{{_expression(random)}}}\nR{i} n{i} 0 1" for i in range(VALUES))]


def _hierarchy_board(random: Random) -> list[str]:
    """Instances whose parameters hang on the board's, on defaults and on each other.

    The two subcircuits name theirs apart: the simulator would take `r={k}` from within the inner one.
    """
    lines = [
        ".param alpha=3",
        ".subckt inner p q k=2 r={k*alpha}",
        "R1 p q {r*k}",
        ".ends",
        ".subckt outer p q j=5",
        ".param local={j+1}",
        "X1 p q inner k={local}",
        "X2 p q inner r={j}",
        "R1 p q {local}",
        ".ends",
    ]
    for i in range(VALUES):
        cell, name = random.choice((("inner", "k"), ("outer", "j")))
        given = random.choice(("", f"{name}={random.randrange(1, 9)}", f"{name}={{alpha*2}}"))
        lines += [f"X{i} n{i} 0 {cell} {given}", f"I{i} 0 n{i} 1"]
    return lines


def _conductance(path: Path) -> dict[str, float]:
    """For each net the voltage that one ampere per source makes over the resistors to ground."""
    circuit = read_circuit(path, path.parent)
    assert not circuit.troubles
    current: dict[str, float] = {}
    conductance: dict[str, float] = {}
    for element in circuit.elements():
        value, net = element.value, element.nets[1 if element.kind == "I" else 0].name
        assert value is not None, element.path
        if element.kind == "I":
            current[net] = value
        else:
            conductance[net] = conductance.get(net, 0.0) + 1 / value
    return {net: amps / conductance[net] for net, amps in current.items()}


@pytest.mark.parametrize("build", [_source_board, _expression_board, _hierarchy_board])
def test_values_are_those_of_the_simulator(build: Callable[[Random], list[str]], tmp_path: Path) -> None:
    """Every value of every board is the one that the simulator works with."""
    random = Random(11)
    paths = [tmp_path / f"board{k}.cir" for k in range(BOARDS)]
    for path in paths:
        path.write_text("\n".join(["random board", *build(random), ".end", ""]), encoding="ascii")
    for path, found in zip(paths, operating_points(paths, tmp_path), strict=True):
        for net, volts in _conductance(path).items():
            assert volts == pytest.approx(found[net.lower()], rel=1e-9), (path.read_text(), net)
