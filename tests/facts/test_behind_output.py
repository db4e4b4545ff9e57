"""What the output works on: a transistor's or a switch's load, coils and LEDs, and its state at rest."""

import pytest

from tests.facts.chain_boards import GATES
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, unknown

MODELS = ".model NS NPN(IS=1e-14)\n.model PS PNP(IS=1e-14)\n.model MN NMOS\n.model MP PMOS\n"
LOW_SIDE = """
[part.TL1]
title = "low-side switch"
source = "this test"
function = "transistor-switch"
pins = ["supply", "input", "output", "ground"]
supply = { rated = "2V .. 6V" }
switch = { side = "low", inverts = true, resistance = "50mohm" }

[part.TL2]
like = "TL1"
input.input = { active = "low" }

[part.TH2]
like = "TL1"
switch = { side = "high", inverts = true, resistance = "50mohm" }
"""


def loads(lines: str, intent: str = "") -> dict[str, object]:
    """The facts about the load of the centred board, whose output rests low at code 2 (normal)."""
    of = book(f"{CENTRED}{MODELS}{lines}\n", PLAIN + GATES + LOW_SIDE, intent)
    return {name: fact(of, name).value for name in ("load.at_rest", "load.inverted", "output.unclamped")}


@pytest.mark.parametrize(
    ("lines", "inverted"),
    [
        ("R9 out b 1k\nQ1 c b 0 NS\nL1 vdd c 1", False),
        ("M1 d out 0 MN\nL1 vdd d 1", False),
        ("M1 d out vdd MP\nL1 d 0 1", True),
        ("R9 out b 1k\nQ1 c b vdd PS\nL1 c 0 1", True),
        ("XG1 out g vdd 0 TG1\nM1 d g 0 MN\nL1 vdd d 1", True),
        ("XG1 out g vdd 0 TG1\nM1 d g vdd MP\nL1 d 0 1", False),
        ("X9 vdd out d 0 TL1\nL1 vdd d 1", False),
        ("X9 vdd out d 0 TL2\nL1 vdd d 1", True),
        ("X9 vdd out d 0 TW1\nL1 d 0 1", False),
        ("X9 vdd out d 0 TH2\nL1 d 0 1", True),
        ("M1 d out 0 MN\nR1 vdd d 100", False),
        ("M1 d out 0 MN\nD1 vdd d LED_RED", False),
        ("M1 d out 0 MN\nX1 vdd d LAMP", False),
        ("M1 d out 0 NOMODEL\nL1 vdd d 1", False),
        ("M1 d out vdd NOMODEL\nL1 d 0 1", True),
    ],
)
def test_whether_a_load_is_on_while_the_output_is_low(lines: str, inverted: bool) -> None:
    """An n-type on ground conducts while its input is high, a p-type on the rail while it is low."""
    assert loads(lines)["load.inverted"] is inverted


@pytest.mark.parametrize(
    "lines",
    [
        "M1 d out 0 MN\nR1 vdd d 10k",
        "M1 d out 0 MN\nD1 vdd d DX",
        "C9 out b 1n\nQ1 c b 0 NS\nL1 vdd c 1",
        "D9 out b DX\nQ1 c b 0 NS\nL1 vdd c 1",
        "",
    ],
)
def test_what_is_no_load(lines: str) -> None:
    """A pull-up of 10k carries a signal; a capacitor or diode before the base hands no level on."""
    of = book(f"{CENTRED}{MODELS}{lines}\n", PLAIN)
    assert unknown(of, "load.inverted").missing == ("load",)
    assert unknown(of, "load.at_rest").missing == ("load",)


@pytest.mark.parametrize(
    ("lines", "coil"),
    [
        ("L1 vdd out 1", "L1"),
        ("L1 out 0 1", "L1"),
        ("L1 vdd out 1\nD1 out vdd DX", "none"),
        ("L1 vdd out 1u", "none"),
        ("L1 x out 1", "none"),
        ("M1 d out 0 MN\nL1 vdd d 1", "L1"),
        ("M1 d out 0 MN\nL1 vdd d 1\nD1 d vdd DX", "none"),
        ("M1 d out 0 MN\nL1 vdd d 1\nX8 d 0 TVS5", "none"),
        ("M1 d out 0 MN\nL1 vdd d 1\nX8 d 0 LAMP", "L1"),
    ],
)
def test_a_coil_without_a_diode(lines: str, coil: str) -> None:
    """On the output or its transistor, to a rail; 1 uH is a bead; a diode or clamp takes it over."""
    assert loads(lines)["output.unclamped"] == coil


@pytest.mark.parametrize(
    ("lines", "led"),
    [
        ("D9 out 0 LED_RED", "D9"),
        ("D9 vdd out LED_RED", "D9"),
        ("D9 out 0 DX", "none"),
        ("D9 out a LED_RED\nR9 a 0 470", "none"),
        ("R9 out a 0\nD9 a 0 LED_RED", "D9"),
        ("R9 out a 470\nD9 a 0 LED_RED", "none"),
    ],
)
def test_a_bare_led(lines: str, led: str) -> None:
    """An LED straight between the output, or what it is joined to, and a rail."""
    assert fact(book(f"{CENTRED}{lines}\n", PLAIN), "output.bare_led").value == led


@pytest.mark.parametrize(
    ("lines", "intent", "used"),
    [("", "", False), ("R9 out 0 1k", "", True), ("", "load out 1mA", True), ("", "load vdd 1mA", False)],
)
def test_an_output_is_used_where_something_is_on_it(lines: str, intent: str, used: bool) -> None:
    """Drawn or stated."""
    assert fact(book(f"{CENTRED}{lines}\n", PLAIN, intent), "output.used").value is used


@pytest.mark.parametrize(
    ("intent", "meant"),
    [
        ("expect XU1 rest low", True),
        ("expect XU1 polarity normal", True),
        ("expect XU* code 2", True),
        ("expect XU1 frequency 1kHz", False),
        ("expect XU2 rest low", False),
        ("", False),
    ],
)
def test_a_rest_is_intended_where_an_expectation_speaks_of_it(intent: str, meant: bool) -> None:
    """Rest, polarity and code say how the output stands; a frequency does not."""
    assert fact(book(CENTRED, PLAIN, intent), "rest.intended").value is meant


def test_the_load_at_rest() -> None:
    """A one-shot rests low at a normal code: an n-type's coil is off then, a p-type's on."""
    from tests.facts.test_input_pins import SHOT, SHOT_BOARD

    board = f"{SHOT_BOARD}{MODELS}R1 tr vdd 10k\n"
    off = book(f"{board}M1 d out 0 MN\nL1 vdd d 1\n", SHOT)
    on = book(f"{board}M1 d out vdd MP\nL1 d 0 1\n", SHOT)
    assert fact(off, "output.rest").value == "low"
    assert (fact(off, "load.at_rest").value, fact(on, "load.at_rest").value) == ("off", "on")


def test_what_is_not_fitted_works_nothing() -> None:
    """Neither a transistor, nor a coil or lamp behind one, nor an LED."""
    for lines, gone in (("L1 vdd d 1", "M1"), ("L1 vdd d 1", "L1"), ("X8 vdd d LAMP", "X8")):
        of = book(f"{CENTRED}{MODELS}M1 d out 0 MN\n{lines}\n", PLAIN, f"fit {gone} no")
        assert unknown(of, "load.inverted").missing == ("load",)
    led = book(f"{CENTRED}D9 out 0 LED_RED\n", PLAIN, "fit D9 no")
    assert fact(led, "output.bare_led").value == "none"
