"""Forward drops of diodes and LEDs by name, model and temperature."""

import numpy as np
import pytest

from drc.facts.forward import forward
from tests.facts.strap_boards import PLAIN
from tests.facts.timing_boards import book


def drop(part: str, more: str = "", intent: str = "", name: str = "D9") -> tuple[float, float, float]:
    """Knee voltage of a diode of that part name, low, nominal, high, at the ends of its causes."""
    of = book(f"V1 a 0 5\n{name} a 0 {part}\n{more}", PLAIN, intent)
    element = of.board.circuit.element(name)
    assert element is not None
    found, _ = forward(of, element)
    volts = [cause for cause in found.causes if cause.name.endswith("drop")]
    return (volts[0].low, volts[0].nominal, volts[0].high) if volts else (found.nominal,) * 3


@pytest.mark.parametrize(
    ("part", "low", "high"),
    [
        ("IR_LED", 1.2, 1.6),
        ("LED_INFRARED", 1.2, 1.6),
        ("LED_RED", 1.8, 2.2),
        ("led-amber-3mm", 2.0, 2.1),
        ("ORANGE_LED", 2.0, 2.1),
        ("LED_YELLOW", 2.0, 2.2),
        ("LED5_GREEN", 2.1, 3.5),
        ("LED_BLUE", 3.0, 3.6),
        ("WHITE_LED", 2.8, 3.6),
        ("LED_UV", 3.0, 4.4),
    ],
)
def test_an_led_drops_what_its_colour_says(part: str, low: float, high: float) -> None:
    """Source: forward voltage charts of two hobby electronics sites, at 20 mA; the middle is the nominal."""
    assert drop(part) == pytest.approx((low, (low + high) / 2, high))


def test_an_led_without_a_colour_may_be_any() -> None:
    """From the least of the charts, infrared, to the most, ultraviolet; also where its own name tells."""
    assert drop("LED") == pytest.approx((1.2, 2.8, 4.4))
    assert drop("X55", name="DLED1")[2] == pytest.approx(0.8)
    of = book("V1 a 0 5\nX7 a 0 lamp\n.subckt lamp a k\nDLAMP a k X55\n.ends\n", PLAIN)
    element = of.board.circuit.element("X7.DLAMP")
    assert element is not None
    assert forward(of, element)[0].nominal == pytest.approx(0.7)


def test_a_diode_that_nothing_is_said_of_is_silicon() -> None:
    """0.6 to 0.8 V at milliamperes (common practice, no source); a colour word alone makes no LED."""
    assert drop("DX") == pytest.approx((0.6, 0.7, 0.8))
    assert drop("RED") == pytest.approx((0.6, 0.7, 0.8))


def test_a_warm_junction_drops_less() -> None:
    """2 mV less for each kelvin above 25 degC: 100 K warmer, 0.2 V less (common practice, no source)."""
    of = book("V1 a 0 5\nD9 a 0 DX\n", PLAIN, "ambient 25degC .. 125degC")
    element = of.board.circuit.element("D9")
    assert element is not None
    found, slope = forward(of, element)
    assert [cause.name for cause in found.causes] == ["D9 drop", "ambient"]
    at = found.law(np.array([[0.7, 25.0], [0.7, 125.0]]))
    assert at.tolist() == pytest.approx([0.7, 0.5])
    assert 0 < slope <= 1


def test_a_model_sets_the_drop_by_the_diode_equation() -> None:
    """The tangent at I has the slope N Vt / (I + IS) + RS; its knee is V(I) - slope I (any circuit text)."""
    from math import log

    of = book("V1 a 0 5\nD9 a 0 DM\n.model DM d(is=2n n=1.5 rs=3)\n", PLAIN)
    element = of.board.circuit.element("D9")
    assert element is not None
    knee, slope = forward(of, element, 10e-3)
    thermal = 1.5 * 0.025865
    assert slope == pytest.approx(thermal / (10e-3 + 2e-9) + 3)
    assert knee.nominal == pytest.approx(thermal * log(10e-3 / 2e-9 + 1) + 3 * 10e-3 - slope * 10e-3)


def test_a_base_takes_the_emitters_figures() -> None:
    """Of a transistor's model NF and RE stand for the junction, not a diode's N and RS."""
    of = book("V1 a 0 5\nQ9 a a 0 QM\n.model QM npn(is=2n nf=1.5 re=3 n=9 rs=9)\n", PLAIN)
    element = of.board.circuit.element("Q9")
    assert element is not None
    assert forward(of, element, 10e-3)[1] == pytest.approx(1.5 * 0.025865 / (10e-3 + 2e-9) + 3)
