"""How a control voltage steers an oscillator: both ends, where it stands still, what is told; by hand.

With 0.5 V on the pin, R1 to ground and R2 to the control, I = 0.5 / R1 + (0.5 - V) / R2; the period is
2 us * 10 * 20 uA / I, so that the frequency is I / 400 pC. It stands still at V = 0.5 (1 + R2 / R1).
"""

import pytest

from drc.facts.book import Book
from drc.facts.model import Fact
from drc.facts.oscillator import Steering, steering
from tests.facts.chain_boards import MODELS
from tests.facts.timing_boards import block, book, fact, part, span, unknown

PART = part("TO1", "oscillator", "enable").replace('error = "1%"', 'error = "0%"')
BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt vdd TO1
R1 rt 0 100k 0%
RA vdd cfg 30k 0%
RB cfg 0 10k 0%
"""
ONE = f"{BOARD}R2 rt ctl 200k 0%\n"
TWO = f"{ONE}R3 rt trim 400k 0%\n"


def hertz(ctl: float, trim: float | None = None) -> float:
    """The law."""
    ampere = 0.5 / 100e3 + (0.5 - ctl) / 200e3
    if trim is not None:
        ampere += (0.5 - trim) / 400e3
    return ampere / 400e-12


def told(of: Book, end: str) -> Fact:
    """The fact of one end."""
    return fact(of, f"timing.steering_{end}")


@pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (0.2, 0.4), (-0.5, 0.5)])
def test_both_ends_of_a_control(low: float, high: float) -> None:
    """The lowest voltage makes the fastest clock."""
    of = book(ONE, PART, f"signal ctl {low}V .. {high}V")
    assert span(of, "timing.steering_low").middle == pytest.approx(hertz(high))
    assert span(of, "timing.steering_high").middle == pytest.approx(hertz(low))
    found = steering(of, block(of))
    assert isinstance(found, Steering)
    assert found.nets == ("ctl",)


def test_of_two_controls_every_corner_counts() -> None:
    """Slowest with both high, fastest with both low; two nets have no one voltage of standstill."""
    of = book(TWO, PART, "signal ctl 0V .. 1V\nsignal trim 0.1V .. 0.9V")
    assert span(of, "timing.steering_low").middle == pytest.approx(hertz(1.0, 0.9))
    assert span(of, "timing.steering_high").middle == pytest.approx(hertz(0.0, 0.1))
    found = steering(of, block(of))
    assert isinstance(found, Steering)
    assert sorted(found.nets) == ["ctl", "trim"]
    assert "ctl = 1 V" in told(of, "low").law
    assert "trim = 900 mV" in told(of, "low").law
    assert unknown(of, "steering.zero").missing == ("control signal",)


@pytest.mark.parametrize(("r1", "r2"), [(100e3, 200e3), (200e3, 100e3), (150e3, 50e3)])
def test_the_voltage_of_standstill(r1: float, r2: float) -> None:
    """V = 0.5 (1 + R2 / R1), within what is declared or beyond it, moving with the pin's 2 %."""
    board = BOARD.replace("R1 rt 0 100k", f"R1 rt 0 {r1}") + f"R2 rt ctl {r2} 0%\n"
    for declared in ("0V .. 0.3V", "0.1V .. 2.5V"):
        zero = span(book(board, PART, f"signal ctl {declared}"), "steering.zero")
        whole = 0.5 * (1 + r2 / r1)
        assert (zero.low, zero.middle, zero.high) == pytest.approx((0.98 * whole, whole, 1.02 * whole))


def test_a_control_that_stops_the_clock_at_either_end() -> None:
    """Above 1.5 V no current flows out: 0 Hz is the slowest and the fastest."""
    of = book(ONE, PART, "signal ctl 1.6V .. 2V")
    for end in ("low", "high"):
        assert span(of, f"timing.steering_{end}").middle == 0
        assert "it has stopped" in told(of, end).law


def test_a_control_that_is_declared_at_one_voltage_steers_nothing() -> None:
    """A signal without width has no ends, nor has one of times alone, nor a source of one voltage."""
    for stated in ("signal ctl 0.3V", "signal ctl 0.3V .. 0.3V", ""):
        drawn = "" if stated else "V2 ctl 0 0.3\n"
        of = book(f"{ONE}{drawn}", PART, stated)
        assert unknown(of, "timing.steering_low").missing == ("control signal",)
        assert unknown(of, "steering.zero").missing == ("control signal",)
        assert "nothing steers" in unknown(of, "timing.steering_high").because


def test_the_voltage_of_a_control_is_the_statement_s() -> None:
    """Its span and place are the evidence of either end."""
    of = book(ONE, PART, "signal ctl 0V .. 1V")
    for end in ("low", "high"):
        (evidence,) = [each for each in told(of, end).inputs if each.label == "ctl"]
        assert (evidence.value, evidence.origin) == ("0 V .. 1 V", "statement")
        assert evidence.place is not None
        assert evidence.place.path == "board.intent"


RATED = "1uA .. 20uA"


@pytest.mark.parametrize(
    ("ohm", "declared", "slow", "fast"),
    [
        ("200k", "0V .. 1V", "", ""),
        ("200k", "0V .. 1.5V", "it has stopped", ""),
        ("200k", "0V .. 1.6V", "it has stopped", ""),
        ("200k", "0V .. 1.4V", "outside the rated", ""),
        ("25k", "0V .. 0.5V", "", "outside the rated"),
        ("100k", "-1V .. 0.5V", "", ""),
        ("100k", "-1.1V .. 0.5V", "", "outside the rated"),
        ("100k", "0V .. 0.9V", "", ""),
        ("100k", "0V .. 0.91V", "outside the rated", ""),
    ],
)
def test_what_is_said_of_the_current_at_either_end(ohm: str, declared: str, slow: str, fast: str) -> None:
    """Rated for 1 uA to 20 uA, both included; at nothing and below it has stopped, and no more is said."""
    of = book(f"{BOARD}R2 rt ctl {ohm} 0%\n", PART, f"signal ctl {declared}")
    for end, remark in (("low", slow), ("high", fast)):
        law = told(of, end).law
        assert "rate current" in law
        for each in ("it has stopped", "outside the rated"):
            assert (each in law) is (each == remark)
    unrated = PART.replace(f'current = "{RATED}", ', "")
    assert (
        "outside"
        not in told(book(f"{BOARD}R2 rt ctl 25k 0%\n", unrated, "signal ctl 0V .. 0.5V"), "high").law
    )


def test_states_that_steer_are_the_slowest_and_the_fastest() -> None:
    """Of an output that may be high, low or off, high is the slowest and low the fastest."""
    three = PART + PART.replace("TO1", "TO3").replace('kind = "push-pull"', 'kind = "three-state"')
    board = f"{BOARD}R2 rt o2 1meg 0%\nR6 r2 0 100k 0%\nXU2 vdd cfg o2 0 r2 vdd TO3\n"
    of = book(board, three)
    found = steering(of, block(of))
    assert isinstance(found, Steering)
    assert found.nets == ("XU2",)
    low, high = 5e-6 + (0.5 - 3) / 1000020, 5e-6 + 0.5 / 1000020
    assert found.slow.nominal == pytest.approx(low / 400e-12)
    assert found.fast.nominal == pytest.approx(high / 400e-12)
    assert unknown(of, "steering.zero").missing == ("control signal",)


def test_a_control_beside_a_source_of_states_is_told_by_the_states() -> None:
    """At the first corner of the control the pin still takes states: their slowest and fastest are told."""
    board = f"{ONE}R4 rt sw 400k 0%\nV2 sw 0 PULSE(0 0.4 0 1u 1u 1m 2m)\n"
    of = book(board, PART, "signal ctl 0V .. 0.4V")
    found = steering(of, block(of))
    assert isinstance(found, Steering)
    assert found.nets == ("sw",)
    assert found.slow.nominal == pytest.approx(hertz(0.0, 0.4))
    assert found.fast.nominal == pytest.approx(hertz(0.0, 0.0))
    assert "takes states" in unknown(of, "steering.zero").because


def test_what_steering_wants_is_named() -> None:
    """A block without a rate pin, a network that is not solved, a part without a rate voltage."""
    pinless = PART.replace('"ground", "rate", "enable"]', '"ground", "nc", "enable"]')
    of = book(ONE, pinless, "signal ctl 0V .. 1V")
    for name in ("timing.steering_low", "timing.steering_high", "steering.zero"):
        assert unknown(of, name).missing == ("rate pin",)
    blocked = book(f"{ONE}X9 rt 0 MYSTERY\n", PART, "signal ctl 0V .. 1V")
    for name in ("timing.steering_low", "timing.steering_high", "steering.zero"):
        assert unknown(blocked, name).missing == ("X9",)
    dark = book(ONE, PART.replace('voltage = "0.5V +/- 2%", ', ""), "signal ctl 0V .. 1V")
    for name in ("timing.steering_low", "steering.zero"):
        assert unknown(dark, name).missing == ("TO1 rate voltage",)


def test_the_clock_takes_its_offset_and_never_its_jitter() -> None:
    """60 ns to 200 ns upon every period, at rest as at either end of the control."""
    offset = PART.replace('supply_error = "0.1%/V"', 'supply_error = "0.1%/V", offset = "60ns .. 200ns"')
    jittery = offset.replace('"60ns .. 200ns"', '"60ns .. 200ns", jitter = "1us"')
    for file in (offset, jittery):
        of = book(ONE, file, "signal ctl 0V .. 1V")
        slow = 1 / hertz(1.0)
        low, high = span(of, "timing.steering_low"), span(of, "timing.steering_high")
        assert low.middle == pytest.approx(1 / (slow + 130e-9))
        assert low.high > 1 / (slow + 130e-9)
        assert high.middle == pytest.approx(1 / (1 / hertz(0.0) + 130e-9))
        plain = span(book(BOARD, file, "ambient 25degC .. 25degC"), "timing.period")
        assert (plain.low, plain.middle, plain.high) == pytest.approx((80.06e-6, 80.13e-6, 80.2e-6))


def test_a_transistor_on_the_control_is_no_straight_line() -> None:
    """A part that may conduct at the pin leaves both the range and the standstill unknown."""
    of = book(f"{ONE}D9 rt 0 DX\n{MODELS}.model DX d(is=1e-9)\n", PART, "signal ctl 0V .. 1V")
    assert unknown(of, "timing.steering_low").because
    assert unknown(of, "steering.zero").because
