"""Which loads an output works, and at which level: N-types conduct while high, P-types while low."""

import pytest

from drc.facts.behind_output import loads
from tests.facts.chain_boards import chained, parts
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import block, book, fact

MODELS = ".model NS NPN(IS=1e-14)\n.model PS PNP(IS=1e-14)\n.model MN NMOS\n.model MP PMOS\n"
GATES = """
[part.LI1]
title = "inverter"
source = "this test"
function = "gate"
pins = ["input", "output", "supply", "ground"]
supply = { rated = "2V .. 6V" }
gate = { logic = "inverter" }
output = { kind = "push-pull", resistance = "40ohm" }

[part.LX1]
like = "LI1"
gate = { logic = "xor" }

[part.LS1]
title = "high-side switch"
source = "this test"
function = "transistor-switch"
pins = ["supply", "input", "output", "ground"]
supply = { rated = "2V .. 6V" }
switch = { side = "high", inverts = false, resistance = "50mohm" }

[part.LS2]
like = "LS1"
switch = { side = "high", inverts = true, resistance = "50mohm" }

[part.LS3]
like = "LS1"
pins = ["ground", "input", "output", "supply"]
switch = { side = "low", inverts = true, resistance = "50mohm" }
"""
COIL = "L9 vdd c 100m\n"


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (COIL + "Q1 c out 0 NS", [("Q1", True)]),
        (COIL + "R5 out b 1k\nQ1 c b 0 NS", [("Q1", True)]),
        (COIL + "M1 c out 0 MN", [("M1", True)]),
        ("L9 c 0 100m\nQ1 c out vdd PS", [("Q1", False)]),
        ("L9 c 0 100m\nM1 c out vdd MP", [("M1", False)]),
        ("R9 vdd c 100\nQ1 c out 0 NS", [("Q1", True)]),
        ("R9 vdd c 100k\nQ1 c out 0 NS", []),
        ("X9 vdd c LAMP\nQ1 c out 0 NS", [("Q1", True)]),
        ("D9 vdd c LED_RED\nQ1 c out 0 NS", [("Q1", True)]),
        ("D9 vdd c DIODE\nQ1 c out 0 NS", []),
        (COIL + "Q1 c out e NS", []),
        (COIL + "Q1 vdd out 0 NS", []),
        (COIL + "Q1 0 out 0 NS", []),
        (COIL + "Q1 c b out NS", []),
        (COIL + "D5 out b DX\nQ1 c b 0 NS", []),
        (COIL + "C5 out b 1n\nQ1 c b 0 NS", []),
        (COIL + "X5 out y vdd 0 LI1\nQ1 c y 0 NS", [("Q1", False)]),
        (COIL + "X5 out y vdd 0 LI1\nX6 y z vdd 0 LI1\nQ1 c z 0 NS", [("Q1", True)]),
        (COIL + "X5 out y vdd 0 LX1\nQ1 c y 0 NS", []),
        ("L9 c 0 100m\nX5 vdd out c 0 LS1", [("X5", True)]),
        ("L9 c 0 100m\nX5 vdd out c 0 LS2", [("X5", False)]),
        (COIL + "X5 0 out c vdd LS3", [("X5", True)]),
        (COIL + "Q1 c out 0 NS\nL8 vdd d 100m\nM1 d out 0 MN", [("Q1", True), ("M1", True)]),
        (COIL, []),
    ],
)
def test_what_the_output_works(lines: str, expected: list[tuple[str, bool]]) -> None:
    """A coil, lamp, LED or small resistor behind a transistor that stands on a rail; behind gates as well."""
    of = book(f"{CENTRED}{MODELS}.model DX D(IS=1e-14)\n{lines}\n", PLAIN + GATES)
    assert [(each.stage.path, each.on_while_high) for each in loads(of, block(of))] == expected
    inverted = fact(of, "load.inverted").value
    if expected:
        assert inverted is (not all(high for _, high in expected))


def test_a_transistor_that_works_the_next_block_is_no_load() -> None:
    """Its collector is another block's trigger, pulled up by little: a signal."""
    of = chained(
        "XU1 vdd cfg out 0 rt kick TS1\nXU2 vdd cfg2 o2 0 rt2 c TS1\nR9 vdd c 100\nQ1 c out 0 NS\n",
        part_file=parts(),
    )
    assert loads(of, block(of)) == ()


@pytest.mark.parametrize(
    ("lines", "coil", "led", "used"),
    [
        ("", "none", "none", False),
        ("TP9 out PAD", "none", "none", True),
        ("L9 vdd out 100m", "L9", "none", True),
        ("L9 vdd out 100m\nD8 out vdd DX", "none", "none", True),
        ("L9 vdd out 1u", "none", "none", True),
        ("L9 far out 100m", "none", "none", True),
        ("L9 vdd c 100m\nQ1 c out 0 NS", "L9", "none", True),
        ("L9 vdd c 100m\nQ1 c out 0 NS\nD8 c vdd DX", "none", "none", True),
        ("D8 out 0 LED_RED", "none", "D8", True),
        ("D8 vdd out LED_RED", "none", "D8", True),
        ("R8 out a 330\nD8 a 0 LED_RED", "none", "none", True),
        ("R8 out a 0\nD8 a 0 LED_RED", "none", "D8", True),
        ("D8 out far LED_RED", "none", "none", True),
        ("D8 out 0 DX", "none", "none", True),
    ],
)
def test_what_stands_at_the_output(lines: str, coil: str, led: str, used: bool) -> None:
    """A coil without a diode beside it, an LED without a resistor; anything at all."""
    of = book(f"{CENTRED}{MODELS}.model DX D(IS=1e-14)\n{lines}\n", PLAIN)
    assert fact(of, "output.unclamped").value == coil
    assert fact(of, "output.bare_led").value == led
    assert fact(of, "output.used").value is used
