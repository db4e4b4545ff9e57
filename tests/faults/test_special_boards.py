"""Boards that are right in an unusual way: dual parts, wired functions, sirens, trimmers, look-alikes."""

from functools import cache
from pathlib import Path

import pytest

from drc.blocks.find import find_blocks
from drc.blocks.model import Parts
from drc.blocks.parts import load_parts
from drc.facts.catalogue import open_book
from drc.intent.read import read_annotations
from drc.judge.assess import assess
from drc.judge.model import Finding
from drc.netlist.read import read_text
from tests.judge.boards import built_in_rules

PARTS = """
[part.VV10]
like   = "HA10"
output = { kind = "open-drain", sink = "8mA", resistance = "30ohm", disabled = "open" }

[part.VV14]
like = "QC12"
pins = ["nc", "nc", "nc", "nc", "nc", "nc", "ground", "nc", "nc", "nc", "nc", "nc", "nc", "supply"]
[part.VV14.unit.A]
pins = ["discharge", "threshold", "control", "reset", "output", "trigger", "ground", "-", "-", "-", "-", "-", "-", "supply"]
[part.VV14.unit.B]
pins = ["-", "-", "-", "-", "-", "-", "ground", "trigger", "output", "reset", "control", "threshold", "discharge", "supply"]
"""  # noqa: E501

HEAD = """a board
*@ ambient 0degC .. 50degC
*@ assume R* tolerance 1%, tempco 100ppm
*@ assume C* tolerance 5%, tempco 100ppm
V1 vdd 0 3.3
C99 vdd 0 1u
"""

STRAPS = "R1 vdd cfg 130k\nR2 cfg 0 68.1k\nR3 rt 0 100k\n"
SECOND = "R4 vdd cfg2 130k\nR5 cfg2 0 68.1k\nR6 rt2 0 150k\n"
ASTABLE = "R1 vdd d1 10k\nR2 d1 c1 47k\nC1 c1 0 10n\nC3 cv1 0 10n\nR23 o1 0 10k\n"

RIGHT = {
    "open-drain outputs on one pull-up": (
        STRAPS + SECOND + "XU1 vdd cfg or 0 rt vdd VV10\nXU2 vdd cfg2 or 0 rt2 vdd VV10\nR9 vdd or 4.7k\n"
    ),
    "two timers in one package": (
        ASTABLE + "R11 vdd c2 27k\nC11 c2 0 10n\nC13 cv2 0 10n\nR21 vdd t2 10k\nC21 o1 t2 1n\nR22 o2 0 10k\n"
        "XU3 d1 c1 cv1 vdd o1 c1 0 t2 o2 vdd cv2 c2 c2 vdd VV14\n"
    ),
    "paralleled halves": ASTABLE + "XU3 d1 c1 cv1 vdd o1 c1 0 c1 o1 vdd cv1 c1 d1 vdd VV14\n",
    "a siren of two tones": (
        STRAPS
        + SECOND
        + "XU1 vdd cfg slow 0 rt 0 HA20\nR7 slow rt2 1.5meg\nXU2 vdd cfg2 out 0 rt2 vdd HA10\n"
        "R9 out spk 470\nJ1 spk 0 HORN\n"
    ),
    "a trimmer that can be set right": (
        "*@ adjust RV1 0ohm .. 50kohm\n*@ expect XU1 frequency 16kHz +/- 4%\n"
        + STRAPS.replace("R3 rt 0 100k", "R3 rt m 75k\nRV1 m 0 50k")
        + "XU1 vdd cfg out 0 rt vdd HA10\nR9 out 0 10k\n"
    ),
    "a regulator with a divider": (
        STRAPS + "XU1 vdd cfg out 0 rt vdd HA10\nR9 out 0 10k\n"
        "XU9 vin vreg fb 0 en LDO7\nR91 vreg fb 100k\nR92 fb 0 33k\nR93 en vin 100k\nC91 vin 0 1u\n"
        "V9 vin 0 5\n"
    ),
}


@cache
def _parts(folder: Path) -> Parts:
    path = folder / "parts.toml"
    path.write_text(PARTS, encoding="utf-8")
    return load_parts([path])


def findings(text: str, folder: Path) -> tuple[Finding, ...]:
    """What the built-in rules say of a board, the parts above known."""
    circuit = read_text(text)
    board = find_blocks(circuit, _parts(folder))
    return assess(open_book(board, read_annotations(circuit.annotations)), built_in_rules()).findings


@pytest.mark.parametrize("name", RIGHT)
def test_an_unusual_board_that_is_right_is_left_alone(name: str, tmp_path: Path) -> None:
    """No error and no warning."""
    found = findings(f"{HEAD}{RIGHT[name]}.end\n", tmp_path)
    assert [(f.rule, f.message) for f in found if f.level != "note"] == []


def test_outputs_that_may_disagree_are_found(tmp_path: Path) -> None:
    """The two halves with a capacitor each drive one net at different times."""
    apart = "R31 vdd d2 10k\nR32 d2 c2 47k\nC31 c2 0 10n\n"
    text = f"{HEAD}{ASTABLE}{apart}XU3 d1 c1 cv1 vdd o1 c1 0 c2 o1 vdd cv1 c2 d2 vdd VV14\n.end\n"
    assert "output-contention" in {f.rule for f in findings(text, tmp_path)}
