"""RC timers whose diodes steer: a straight piece of 1 ohm behind a drop is a linear network, solved by hand.

While the diode conducts, R_B beside (drop + 1 ohm) is rp = 1 / (1 + 1 / R_B) behind drop * rp, so that
i = (V_supply - drop rp - V) / (R_A + rp), and t = (R_A + rp) C ln of the start over the end of that.
"""

from math import log

import pytest

from drc.facts.model import Cases
from tests.facts.test_rc_timer import BOARD, parts
from tests.facts.timing_boards import book, fact, span, unknown

STILL = "ambient 25degC .. 25degC"
DIODE = f"{BOARD}D1 dis th DX\n"
RB, RP = 20e3, 1 / (1 + 1 / 20e3)


def by_hand(drop: float, leak: float = 0.0, ohm: float = 10e3, farad: float = 100e-9) -> float:
    """High time from 2 V to 4 V at 6 V, a leakage into the capacitor counted in."""
    final = 6 - drop * RP + leak * (ohm + RP)
    return (ohm + RP) * farad * log((final - 2) / (final - 4))


def test_the_drop_of_a_steering_diode_moves_the_high_time() -> None:
    """0.6 V to 0.8 V where no model says more; the low time goes through R_B alone."""
    of = book(DIODE, parts(), STILL)
    high = span(of, "timing.high")
    assert (high.low, high.middle, high.high) == pytest.approx(
        (by_hand(0.6), by_hand(0.7), by_hand(0.8)), rel=1e-6
    )
    low = span(of, "timing.low")
    assert (low.low, low.middle, low.high) == pytest.approx((RB * 100e-9 * log(2),) * 3, rel=1e-6)
    found = fact(of, "timing.high")
    assert found.law == "t_high = integral of C dV / i(V), diodes solved at 33 voltages"
    assert fact(of, "timing.low").law == "t_low = integral of C dV / i(V), diodes solved at 33 voltages"
    assert any(note.startswith("D1 drop") for note in found.assumptions)
    assert {"V1", "C1", "RA", "RB", "D1 drop"} <= {each.label for each in found.inputs}
    assert span(of, "timing.period").middle == pytest.approx(by_hand(0.7) + low.middle, rel=1e-6)


@pytest.mark.parametrize(
    ("change", "low", "high"),
    [
        (("100n 0%", "100n 5%"), by_hand(0.6) * 0.95, by_hand(0.8) * 1.05),
        (("dis 10k 0%", "dis 10k 1%"), by_hand(0.6, ohm=9.9e3), by_hand(0.8, ohm=10.1e3)),
    ],
)
def test_tolerances_reach_a_steered_time(change: tuple[str, str], low: float, high: float) -> None:
    """Of the capacitor, and of the resistor that charges it."""
    found = span(book(DIODE.replace(*change), parts(), STILL), "timing.high")
    assert (found.low, found.high) == pytest.approx((low, high), rel=1e-6)


def test_a_leakage_into_the_capacitor_is_counted_in() -> None:
    """1 uA either way at the threshold pin; trigger silent, which is an assumption."""
    of = book(DIODE, parts(more='input.threshold = { leakage = "1uA" }'), STILL)
    high = span(of, "timing.high")
    assert high.low == pytest.approx(by_hand(0.6, 1e-6), rel=1e-6)
    assert high.high == pytest.approx(by_hand(0.8, -1e-6), rel=1e-6)
    assert "XU1 trigger leakage assumed to be none" in fact(of, "timing.high").assumptions


def test_a_leakage_elsewhere_in_a_steered_network_is_not_guessed_at() -> None:
    """A current source at the discharge node: unknown, and the node is named."""
    of = book(f"{DIODE}I9 0 dis 1u\n", parts(), STILL)
    assert unknown(of, "timing.high").missing == ("dis",)
    assert unknown(of, "timing.low").missing == ("dis",)


@pytest.mark.parametrize(
    ("board", "missing"),
    [
        (DIODE.replace("dis 10k 0%", "dis ?"), "RA value"),
        (DIODE.replace("V1 vdd 0 6", "R8 vdd 0 1k"), "voltage of vdd"),
        (f"{DIODE}X9 dis OTHER\n", "X9"),
    ],
)
def test_what_a_steered_network_lacks_is_named(board: str, missing: str) -> None:
    """A resistor's value, a rail, a part whose currents nobody knows."""
    assert missing in unknown(book(board, parts(), STILL), "timing.high").missing


def test_the_drop_falls_as_it_warms() -> None:
    """2 mV for each kelvin: at 75 degC 0.1 V less, at -25 degC 0.1 V more (common practice, no source)."""
    exact = DIODE.replace("0%", "tol=0% tc=0")
    of = book(exact, parts(), "ambient -25degC .. 75degC")
    high = span(of, "timing.high")
    assert (high.low, high.high) == pytest.approx((by_hand(0.5), by_hand(0.9)), rel=1e-6)


def test_a_diode_the_wrong_way_round_does_nothing_while_charging() -> None:
    """From capacitor to discharge pin it conducts as the capacitor empties: the high time is R_A + R_B's."""
    of = book(f"{BOARD}D1 th dis DX\n", parts(), STILL)
    assert span(of, "timing.high").middle == pytest.approx(30e3 * 100e-9 * log(2), rel=1e-6)
    # Behind 0.7 V and 1 ohm to the switch at 0 V, R_B beside.
    final, ohm = 0.7 * RP, RP
    assert span(of, "timing.low").middle == pytest.approx(
        ohm * 100e-9 * log((4 - final) / (2 - final)), rel=1e-3
    )


def test_each_state_of_what_else_steers_has_its_time() -> None:
    """R_A on another output instead of the supply: a case for high, and none that ends for low."""
    lines = DIODE.replace("RA vdd dis", "RA o2 dis") + "XU2 vdd o2 d2 t2 cv2 t2 vdd 0 TR1\n"
    value = fact(book(lines, parts(), STILL), "timing.high").value
    assert isinstance(value, Cases)
    assert {case.label: case.value.middle for case in value.cases} == pytest.approx(
        {"XU2 = high": by_hand(0.7), "XU2 = low": float("inf")}
    )


THERMAL = 1.380649e-23 * 300.15 / 1.602176634e-19
"""kT/q at 27 degC, the simulators' nominal temperature: 25.865 mV."""


def shockley(saturation: float, emission: float, series: float) -> float:
    """High time through R_A and a diode beside R_B by the exponential law, integrated in 2,000 steps."""

    def across(diode: float) -> float:
        return emission * THERMAL * log(diode / saturation + 1) + series * diode

    def current(volts: float) -> float:
        low, high = 0.0, 6 / 10e3
        for _ in range(60):
            diode = (low + high) / 2
            total = diode + across(diode) / RB
            low, high = (diode, high) if 6 - 10e3 * total - across(diode) > volts else (low, diode)
        return low + across(low) / RB

    step = 2 / 2000
    return sum(100e-9 * step / current(2 + step * (k + 0.5)) for k in range(2000))


@pytest.mark.parametrize(
    ("model", "saturation", "emission", "series"),
    [
        ("is=1e-9 n=1.8", 1e-9, 1.8, 0.0),
        ("is=1e-14", 1e-14, 1.0, 0.0),
        ("is=1e-6 n=1.05", 1e-6, 1.05, 0.0),
        ("is=1e-9 n=1.8 rs=500", 1e-9, 1.8, 500.0),
    ],
)
def test_a_modelled_diode_is_solved_on_its_own_curve(
    model: str, saturation: float, emission: float, series: float
) -> None:
    """V = N V_T ln(i / IS + 1) + RS i (any semiconductor text); N is 1 and RS none where not given."""
    found = span(book(f"{DIODE}.model DX d({model})\n", parts(), STILL), "timing.high")
    assert found.middle == pytest.approx(shockley(saturation, emission, series), rel=5e-4)


@pytest.mark.parametrize("model", ["", ".model DX d(is=0)\n", ".model DX d(n=2)\n"])
def test_a_model_without_a_saturation_current_is_a_usual_drop(model: str) -> None:
    """No exponential can be made of it."""
    found = span(book(DIODE + model, parts(), STILL), "timing.high")
    assert (found.low, found.high) == pytest.approx((by_hand(0.6), by_hand(0.8)), rel=1e-6)


def test_a_base_emitter_junction_steers_as_its_straight_piece() -> None:
    """An emitter at 3.5 V holds the discharge node by its base: knee and slope of IS = 1e-14 A at 5 mA.

    V_T at 27 degC; V_T ln(5e-3 / 1e-14 + 1) = 0.697 V less a slope of V_T / 5 mA = 5.17 ohm.
    """
    slope = THERMAL / 5e-3
    drop = THERMAL * log(5e-3 / 1e-14 + 1) - slope * 5e-3
    side = 1 / (1 / 10e3 + 1 / slope)
    final, ohm = (6 / 10e3 + (3.5 + drop) / slope) * side, side + RB
    of = book(f"{BOARD}V9 e 0 3.5\nQ1 vdd dis e NS\n.model NS NPN(IS=1e-14)\n", parts(), STILL)
    by_law = ohm * 100e-9 * log((final - 2) / (final - 4))
    assert span(of, "timing.high").middle == pytest.approx(by_law, rel=1e-4)
