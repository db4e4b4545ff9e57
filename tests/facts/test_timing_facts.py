"""Which times each function has, by which methods, and when one is no number."""

import math

import pytest

from drc.blocks.model import TIMING_FUNCTIONS, Block, Function
from drc.facts.book import Book
from drc.facts.dependence import Dependence
from drc.facts.functions import finite, quantities
from drc.facts.model import Case, Cases, Fact, Unknown
from drc.quantity.span import Span, exact
from drc.quantity.unit import HERTZ, SECOND
from tests.facts.chain_boards import chained, parts
from tests.facts.test_rc_timer import BOARD as ASTABLE
from tests.facts.test_rc_timer import parts as rc_parts
from tests.facts.timing_boards import block, book, part

ROW = "XU1 vdd cfg out 0 rt {} {}\nRT rt 0 100k 0%\nRA vdd cfg 50k 0%\nRB cfg 0 30k 0%\n"
STILL = "ambient 25degC .. 25degC\n"


@pytest.mark.parametrize(
    ("function", "names"),
    [
        ("oscillator", {"frequency", "period"}),
        ("slow-oscillator", {"frequency", "period"}),
        ("pulse-modulator", {"frequency", "period", "duty"}),
        ("one-shot", {"pulse_width", "period", "frequency"}),
        ("edge-delay", {"delay", "delay_rising", "delay_falling"}),
        ("rc-timer", {"frequency", "period", "duty", "pulse_width", "high", "low", "first_high"}),
    ],
)
def test_the_times_of_each_function(function: Function, names: set[str]) -> None:
    """Each function's own, and no other."""
    assert quantities(function).keys() == names
    assert function in TIMING_FUNCTIONS


def lone(kind: str, parts_file: str, pin: str, intent: str = "") -> Book:
    """A block alone."""
    return chained(ROW.format(pin, kind), STILL + intent, parts_file)


def law(of: Book, function: Function, name: str) -> object:
    """The law behind a time: its nominal in us where it is one quantity."""
    found = quantities(function)[name].law(of, block(of))
    return round(1e6 * found.nominal, 6) if isinstance(found, Dependence) else found


def test_a_law_stands_behind_what_follows_from_the_parts_alone() -> None:
    """Period, pulse width and delays of 80 us; a one-shot's period is counted in its trigger's periods."""
    assert law(lone("TO1", parts(), "vdd"), "oscillator", "period") == 80
    shot = lone("TS1", parts(), "sig", "signal sig period 1ms, high 10us")
    assert law(shot, "one-shot", "pulse_width") == 80
    assert law(shot, "one-shot", "period") is None
    assert law(shot, "one-shot", "frequency") is None
    delay = lone("TD1", parts(), "sig")
    assert [law(delay, "edge-delay", f"delay{edge}") for edge in ("", "_rising", "_falling")] == [80] * 3


def test_an_rc_timer_s_cycle_has_a_law_where_it_runs_by_itself() -> None:
    """ln 2 (RA + 2 RB) C as an astable; as a one-shot its trigger makes the cycle."""
    astable = book(ASTABLE, rc_parts(), STILL)
    assert law(astable, "rc-timer", "period") == pytest.approx(3465.735903)
    assert law(astable, "rc-timer", "high") == pytest.approx(2079.441542)
    assert law(astable, "rc-timer", "low") == pytest.approx(1386.294361)
    trigger = 'trigger = { edge = "falling", retriggerable = false, recovery = "0s" }'
    once = book(
        "V1 vdd 0 6\nXU1 vdd out c c cv go vdd 0 TR1\nRA vdd c 10k 0%\nC1 c 0 100n tol=0%\n",
        rc_parts(more=trigger),
        STILL + "signal go period 10ms, low 10us",
    )
    assert law(once, "rc-timer", "period") is None
    assert law(once, "rc-timer", "frequency") is None
    assert law(once, "rc-timer", "pulse_width") == pytest.approx(1098.612289)
    found = quantities("rc-timer")["period"].fact(once, block(once), "timing.period", "extreme")
    assert found.span is not None
    assert found.span.middle == pytest.approx(10e-3)
    hertz = quantities("rc-timer")["frequency"].fact(once, block(once), "timing.frequency", "extreme")
    assert hertz.span is not None
    assert hertz.span.middle == pytest.approx(100)


def test_each_method_has_its_own_width() -> None:
    """Two causes of 1 %: 2 % as extremes, 1.4 % as root-sum-square; drawn, between 1 % and 2 %."""
    of = chained(ROW.format("vdd", "TO1").replace("100k 0%", "100k 1%"), STILL, parts())
    period = quantities("oscillator")["period"].fact
    widths = []
    for method in ("extreme", "rss", "monte-carlo"):
        found = period(of, block(of), "timing.period", method)
        assert found.name == "timing.period"
        assert found.span is not None
        assert found.span.middle == pytest.approx(80e-6, rel=1e-3)
        widths.append((found.span.high - found.span.low) / 80e-6 / 2)
    assert widths[0] == pytest.approx(0.02, rel=1e-3)
    assert widths[1] == pytest.approx(math.sqrt(2) * 0.01, rel=1e-2)
    assert 0.01 < widths[2] < 0.016


def clock() -> Block:
    """An oscillator."""
    return block(lone("TO1", parts(), "vdd"))


def test_a_time_that_never_ends_is_no_number() -> None:
    """Nominally without end: a rate pin without current, a threshold out of reach; each named."""
    never = Fact("timing.period", Span(1.0, math.inf, math.inf, SECOND), "law")
    stopped = finite(clock(), never)
    assert stopped.value == Unknown(
        "no current flows out of the rate pin of XU1: it stands still", ("rate.current",)
    )
    assert stopped.law == "law"
    short = finite(block(book(ASTABLE, rc_parts(), STILL)), never)
    assert short.value == Unknown(
        "the capacitor of XU1 settles short of the threshold: its time never ends", ("XU1 timing network",)
    )


def test_an_oscillator_that_may_stand_still_says_so() -> None:
    """A frequency from 0 Hz: a note in the law; nominally 0 it is 0."""
    note = "law; where the rate current reaches zero it stands still"
    for nominal in (0.0, 5.0):
        slow = Fact("timing.frequency", Span(0.0, nominal, 10.0, HERTZ), "law")
        assert finite(clock(), slow) == slow._replace(law=note)


@pytest.mark.parametrize(
    "found",
    [
        Fact("timing.period", Span(0.0, 1.0, 2.0, SECOND), "law"),
        Fact("timing.period", Span(1.0, 2.0, math.inf, SECOND), "law"),
        Fact("timing.frequency", Span(1.0, 2.0, 3.0, HERTZ), "law"),
        Fact("timing.frequency", Span(0.0, None, 3.0, HERTZ), "law"),
        Fact("timing.period", Span(0.0, None, math.inf, SECOND), "law"),
        Fact("timing.period", Unknown("why"), "law"),
        Fact("timing.period", Cases((Case("a", exact(math.inf, SECOND)),)), "law"),
    ],
)
def test_any_other_fact_stays_as_it_is(found: Fact) -> None:
    """Finite, without a nominal, unknown, or in several states."""
    assert finite(clock(), found) == found


def test_a_clock_without_rate_current_stands_still() -> None:
    """The timing resistor to the rate pin's own voltage: no period, no pulse."""
    off = "V9 half 0 0.5\n" + ROW.format("vdd", "TO1").replace("RT rt 0", "RT rt half")
    of = chained(off, STILL, parts())
    found = quantities("oscillator")["period"].fact(of, block(of), "timing.period", "extreme")
    assert isinstance(found.value, Unknown)
    assert found.value.missing == ("rate.current",)


def test_a_modulator_has_its_duty_beside_its_clock() -> None:
    """40 points at 0.4 V of 1 V."""
    more = 'modulate = { full_scale = "0V .. 1V", duty = "0% .. 100%", error = "1points" }'
    of = lone("TP9", part("TP9", "pulse-modulator", "modulate", more), "m", "signal m 0.4V")
    assert law(of, "pulse-modulator", "period") == 80
    duty = quantities("pulse-modulator")["duty"].fact(of, block(of), "timing.duty", "extreme")
    assert duty.span is not None
    assert (duty.span.low, duty.span.middle, duty.span.high) == pytest.approx((39, 40, 41))
