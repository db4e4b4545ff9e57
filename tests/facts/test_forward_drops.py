"""Forward drops: the tangent to the diode equation (circuit theory), colours by charts, -2 mV/K by use."""

import math

import pytest

from drc.facts.dependence import Dependence, spread
from drc.facts.forward import LED_DROPS, forward
from drc.facts.options import FactOptions
from drc.quantity.unit import VOLT
from tests.facts.strap_boards import PLAIN
from tests.facts.timing_boards import book

STILL = "ambient 25degC .. 25degC"
VT = 0.025865
"""kT/q at 27 degC, which simulators take as nominal, V."""


def drop_of(
    line: str, model: str = "", intent: str = STILL, at: float | None = None
) -> tuple[Dependence, float]:
    """Knee and slope of the line's junction."""
    of = book(f"V1 vdd 0 4\n{line}\n{model}", PLAIN, intent)
    element = of.board.circuit.element(line.split(maxsplit=1)[0])
    assert element is not None
    return forward(of, element) if at is None else forward(of, element, at)


def ends(found: Dependence) -> tuple[float, float, float]:
    """Low, nominal and high."""
    span = spread(found, "extreme", FactOptions(), "x")
    return span.low, span.middle, span.high


def tangent(ampere: float, saturation: float, emission: float = 1.0, ohm: float = 0.0) -> tuple[float, float]:
    """Knee (V) and slope (ohm) of the straight piece that touches N Vt ln(1 + I/Is) + R I at a current."""
    slope = emission * VT / (ampere + saturation) + ohm
    volts = emission * VT * math.log1p(ampere / saturation) + ohm * ampere
    return volts - slope * ampere, slope


@pytest.mark.parametrize(
    ("line", "model", "given"),
    [
        ("D5 a 0 DX", "d(is=1e-14)", (1e-14, 1.0, 0.0)),
        ("D5 a 0 DX", "d(is=1e-9 n=1.8)", (1e-9, 1.8, 0.0)),
        ("D5 a 0 DX", "d(is=1e-9 n=1.8 rs=2)", (1e-9, 1.8, 2.0)),
        ("D5 a 0 DX", "d(is=1e-9 nf=1.8 re=2)", (1e-9, 1.0, 0.0)),
        ("Q5 c a 0 DX", "npn(is=1e-14)", (1e-14, 1.0, 0.0)),
        ("Q5 c a 0 DX", "npn(is=1e-14 nf=1.2 re=3)", (1e-14, 1.2, 3.0)),
        ("Q5 c a 0 DX", "npn(is=1e-14 n=1.2 rs=3)", (1e-14, 1.0, 0.0)),
    ],
)
@pytest.mark.parametrize("ampere", [5e-3, 1e-4])
def test_a_model_gives_the_tangent_at_a_current(
    line: str, model: str, given: tuple[float, float, float], ampere: float
) -> None:
    """A diode's N and RS, a transistor's NF and RE; 5 mA where no current is asked for."""
    found, slope = drop_of(line, f".model DX {model}\n", at=None if ampere == 5e-3 else ampere)
    knee, ohm = tangent(ampere, given[0], given[1], given[2])
    assert (found.nominal, slope) == pytest.approx((knee, ohm))
    assert (found.causes, found.unit, found.text) == ((), VOLT, f"{line[:2]} drop")
    (told, *_) = found.inputs
    assert (told.label, told.origin) == (f"{line[:2]} drop", "model DX")
    assert told.value.endswith(" at 5 mA" if ampere == 5e-3 else " at 100 uA")
    assert told.value.startswith(f"{1000 * (knee + ohm * ampere):.4g} mV")
    assert found.assumptions == ()


@pytest.mark.parametrize("model", ["", ".model DX d(n=1.8)\n", ".model DX d(is=0)\n", ".model DX d(is=-1)\n"])
def test_without_a_saturation_current_the_drop_is_the_usual_one(model: str) -> None:
    """0.6 to 0.8 V and 1 ohm, assumed and said."""
    found, slope = drop_of("D5 a 0 DX", model)
    assert ends(found) == pytest.approx((0.6, 0.7, 0.8))
    assert slope == 1.0
    assert found.assumptions == ("D5 drop 600 mV .. 800 mV (nominal 700 mV) assumed",)
    assert [(each.name, each.bias) for each in found.causes] == [("D5 drop", False)]
    (told, *_) = found.inputs
    assert (told.value, told.origin) == (
        "600 mV .. 800 mV (nominal 700 mV)",
        "usual forward drop (common practice, no source)",
    )
    assert told.place is not None


@pytest.mark.parametrize(
    ("line", "low", "high"),
    [
        ("D5 a 0 LED_INFRARED", 1.2, 1.6),
        ("D5 a 0 IR_LED", 1.2, 1.6),
        ("D5 a 0 LED_RED", 1.8, 2.2),
        ("D5 a 0 RED_LED_0603", 1.8, 2.2),
        ("D5 a 0 led-orange", 2.0, 2.1),
        ("D5 a 0 LED_AMBER", 2.0, 2.1),
        ("D5 a 0 LED_YELLOW", 2.0, 2.2),
        ("D5 a 0 LED_GREEN", 2.1, 3.5),
        ("D5 a 0 LED_BLUE", 3.0, 3.6),
        ("D5 a 0 LED_WHITE", 2.8, 3.6),
        ("D5 a 0 LED_UV", 3.0, 4.4),
        ("D5 a 0 LED", 1.2, 4.4),
        ("D5 a 0 LED_PINK", 1.2, 4.4),
        ("D5 a 0 RED", 0.6, 0.8),
        ("D5 a 0 SLED_RED", 0.6, 0.8),
        ("D5 a 0 LEDRED", 0.6, 0.8),
    ],
)
def test_a_light_s_drop_by_its_colour(line: str, low: float, high: float) -> None:
    """By whole words of the part's name (charts of two hobby electronics sites); of no colour, any."""
    assert ends(drop_of(line)[0]) == pytest.approx((low, (low + high) / 2, high))
    assert LED_DROPS[0].low_v == 1.2


@pytest.mark.parametrize("line", ["D5 a 0 DIODE", "D5 a 0 DX"])
def test_a_drop_falls_by_2_mv_a_kelvin(line: str) -> None:
    """At 75 degC 0.1 V less, at -25 degC 0.1 V more than at 25 degC (common practice, no source)."""
    model = ".model DX d(is=1e-14)\n"
    still = ends(drop_of(line, model)[0])
    warm, _ = drop_of(line, model, "ambient -25degC .. 75degC")
    assert ends(warm) == pytest.approx((still[0] - 0.1, still[1], still[2] + 0.1))
    assert (warm.unit, warm.text) == (VOLT, "D5 drop")
    assert warm.causes[-1].name == "ambient"
