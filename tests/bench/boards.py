"""Netlists of any size for the benches, written with a control block that ends a simulator at once."""

from collections.abc import Iterator
from pathlib import Path
from random import Random

_TAIL = """.model DX d(is=1e-14)
.model QX npn(bf=100)
.subckt HA10 vdd cfg out gnd rt en
R1 vdd gnd 1k
R2 cfg gnd 1k
R3 out gnd 1k
R4 rt gnd 1k
R5 en gnd 1k
.ends
V1 vdd 0 5
.control
quit
.endc
.end
"""


def flat_board(elements: int, blocks: int = 100) -> Iterator[str]:
    """The lines of a flat board: half of it resistors, then capacitors, diodes, transistors, and blocks."""
    random = Random(elements)
    yield "a board for measuring\n"
    every = max(elements // blocks, 10)
    for i in range(elements):
        near = i // 2
        a, b, c = (near + random.randrange(-6, 7) for _ in range(3))
        kind = i % 10
        if i % every == every - 1:
            line = f"XU{i} vdd n{a} n{b} 0 n{c} en HA10"
        elif kind < 5:
            line = f"R{i} n{a} n{b} {random.choice(('10k', '4.7k', '100', '1meg'))}"
        elif kind < 8:
            line = f"C{i} n{a} 0 100n"
        elif kind < 9:
            line = f"D{i} n{a} n{b} DX"
        else:
            line = f"Q{i} n{a} n{b} n{c} QX"
        yield line + "\n"
    yield _TAIL


def deep_board(depth: int, width: int) -> Iterator[str]:
    """The lines of a hierarchy `depth` definitions deep in which each places the next `width` times."""
    lines = ["a deep board for measuring", ".subckt s0 a b", "R1 a m 1k", "R2 m b 1k", ".ends"]
    for level in range(1, depth):
        nodes = ["a", *(f"m{i}" for i in range(1, width)), "b"]
        places = (f"X{i} {nodes[i]} {nodes[i + 1]} s{level - 1}" for i in range(width))
        lines += [f".subckt s{level} a b", *places, ".ends"]
    yield "\n".join([*lines, f"X1 vdd 0 s{depth - 1}", _TAIL])


def library_board(cells: int) -> Iterator[str]:
    """The lines of so many small subcircuits, each placed once."""
    yield "a library for measuring\n"
    for i in range(cells):
        yield f".subckt cell{i} a b y vdd vss\n"
        yield from (f"M{j} n{j} a b vss NX w=1u l=0.1u\n" for j in range(5))
        yield "C1 y vss 1f\n.ends\n"
    yield from (f"XC{i} p{i} q{i} r{i} vdd 0 cell{i}\n" for i in range(cells))
    yield ".model NX nmos level=1\n"
    yield _TAIL


def small_board() -> str:
    """A board of 60 elements with one timing block."""
    lines = [
        "a small board",
        "*@ supply vdd 3.3V +/- 5%",
        "*@ expect XU1 frequency 1Hz .. 1MHz",
        "V1 vdd 0 3.3",
    ]
    lines += ["R1 vdd cfg 100k", "R2 cfg 0 10k", "R3 rt 0 100k", "XU1 vdd cfg out 0 rt vdd HA10"]
    lines += [f"R{i} n{i} n{i + 1} 10k" for i in range(4, 34)] + [f"C{i} n{i} 0 100n" for i in range(25)]
    return "\n".join([*lines, ".end", ""])


def archive(folder: Path, boards: int) -> None:
    """Writes so many boards of about 60 elements below a folder; every tenth has a wrong timing resistor."""
    for number in range(boards):
        text = small_board().replace("a small board", f"board {number}")
        if number % 10 == 3:
            text = text.replace("frequency 1Hz .. 1MHz", "frequency 1Hz .. 2Hz")
        below = folder / f"{number // 100:03}"
        below.mkdir(parents=True, exist_ok=True)
        (below / f"board{number:05}.cir").write_text(text)
