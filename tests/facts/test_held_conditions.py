"""What stands under a condition: where it is stated, which state it picks, what it overrules."""

import pytest

from drc.facts.dependence import Dependence
from drc.facts.expect import book_under
from drc.facts.model import Cases
from drc.facts.stated import about_net
from drc.facts.stiff import held
from drc.intent.model import Expect, Signal
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, part, span

STEERED = CENTRED.replace("R3 rt 0 100k tol=1%", "R3 rt 0 100k tol=0%\nR4 rt ctl 100k tol=0%")


@pytest.mark.parametrize("stated", ["supply ctl 0.1V .. 0.2V", "signal ctl 0V .. 1V"])
def test_a_condition_overrules_what_is_stated_of_its_net(stated: str) -> None:
    """At 0.25 V: 0.5 V / 100k + 0.25 V / 100k = 7.5 uA, so 2 us * 10 * 20 / 7.5, stated on the third line."""
    intent = f"{stated}\nambient 25degC .. 25degC\nexpect XU1 period 1s when ctl = 0.25V\nexpect XU1 duty 50%"
    of = book(STEERED, PLAIN, intent)
    found = of.fact(of.subjects("statement")[0], "expect.actual")
    assert found.span is not None
    assert found.span.middle == pytest.approx(2e-6 * 10 * 20 / 7.5)
    statement = next(s for s in of.intent.statements if isinstance(s, Expect))
    under = book_under(of, statement.condition)
    assert not isinstance(under, tuple)
    net = under.board.circuit.net("ctl")
    assert net is not None
    volts = held(under, net)
    assert isinstance(volts, Dependence)
    assert volts.nominal == 0.25
    signal = about_net(under, Signal, net)
    assert signal is not None
    assert (signal.text, signal.place.line) == ("when ctl", 3)


def test_jitter_is_a_pulse_s_and_not_a_period_s() -> None:
    """Over many cycles it averages out: +/- 100 ns widen a single pulse alone."""
    for function, pins, name in (
        ("oscillator", "enable", "timing.period"),
        ("one-shot", "trigger", "timing.pulse_width"),
    ):
        trigger = 'trigger = { edge = "rising", retriggerable = false, recovery = "0s" }'
        more = trigger if function == "one-shot" else ""
        board = (
            "V1 vdd 0 3\nXU1 vdd cfg out 0 rt vdd TJ1\nRT rt 0 100k 0%\nRA vdd cfg 50k 0%\nRB cfg 0 30k 0%\n"
        )
        still = "ambient 25degC .. 25degC"
        plain = span(book(board, part("TJ1", function, pins, more), still), name)
        moved = span(book(board, part("TJ1", function, pins, more, 'jitter = "100ns"'), still), name)
        extra = 100e-9 if function == "one-shot" else 0.0
        assert moved.high - plain.high == pytest.approx(extra, abs=1e-15)
        assert plain.low - moved.low == pytest.approx(extra, abs=1e-15)
        assert plain.middle == pytest.approx(80e-6)


def test_a_condition_on_another_output_picks_its_state() -> None:
    """XU2's output high or low at the end of R4 makes two cases; `when XU2 = high` takes the one."""
    board = STEERED.replace("rt ctl", "rt o2") + "R8 r2 0 100k\nXU2 vdd cfg o2 0 r2 vdd PL1\n"
    both = book(board, PLAIN, "expect XU1 period 1s")
    value = both.fact(both.subjects("statement")[0], "expect.actual").value
    assert isinstance(value, Cases)
    found = {}
    for level in ("high", "low"):
        of = book(board, PLAIN, f"expect XU1 period 1s when XU2 = {level}")
        one = of.fact(of.subjects("statement")[0], "expect.actual").span
        assert one is not None
        found[level] = one
    # Low: 0.5 V over 100k and over 100k + 25 ohm. High: (0.5 - 4) V, which stops the pin.
    assert found["low"].middle == pytest.approx(2e-6 * 10 * 20e-6 / (5e-6 + 0.5 / 100025), rel=1e-6)
    assert {case.value for case in value.cases} == set(found.values())
