"""One-shots: pulse width, and what the signal on the trigger makes of the output."""

import pytest

from tests.facts.timing_boards import book, fact, part, span, unknown

BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt trg TS1
RT rt 0 100k 0%
RA vdd cfg 30k 0%
RB cfg 0 10k 0%
"""


def one_shot(
    trigger: str = 'edge = "rising", retriggerable = false, recovery = "5us"', timing: str = ""
) -> str:
    """A one-shot whose pulse is 80 us on BOARD, give or take 1 %."""
    return part("TS1", "one-shot", "trigger", f"trigger = {{ {trigger} }}", timing)


AGAIN = one_shot('edge = "rising", retriggerable = true, recovery = "0s"')


def test_width_by_hand() -> None:
    """2 us * 4 * 10 = 80 us, 1 %, and the part's offset of 60 ns to 200 ns on top."""
    width = span(book(BOARD, one_shot(timing='offset = "60ns .. 200ns"')), "timing.pulse_width")
    assert width.low == pytest.approx(79.2e-6 + 60e-9)
    assert width.high == pytest.approx(80.8e-6 + 200e-9)


def test_jitter_widens_a_single_pulse() -> None:
    """+/- 100 ns of jitter is on every single pulse."""
    width = span(book(BOARD, one_shot(timing='jitter = "100ns"')), "timing.pulse_width")
    assert (width.low, width.high) == pytest.approx((79.1e-6, 80.9e-6))


@pytest.mark.parametrize(
    ("every", "low", "high", "ignored"),
    [("100us", 100e-6, 100e-6, (0, 0)), ("50us", 100e-6, 100e-6, (1, 1)), ("85us", 85e-6, 170e-6, (0, 1))],
)
def test_output_period_by_the_ceil_law(every: str, low: float, high: float, ignored: tuple[int, int]) -> None:
    """79.2 to 80.8 us and 5 us of recovery: triggers every 100 us all count, every 50 us each second one."""
    board = book(BOARD, one_shot(), f"signal trg period {every}")
    period, lost = span(board, "timing.period"), span(board, "trigger.ignored")
    assert (period.low, period.high) == pytest.approx((low, high))
    assert (lost.low, lost.high) == ignored
    assert span(board, "timing.frequency").high == pytest.approx(1 / low)


def test_retriggered_too_soon_never_returns() -> None:
    """A trigger every 50 us holds a retriggerable pulse of 80 us for ever: no period, and it is said."""
    board = book(BOARD, AGAIN, "signal trg period 50us")
    assert "does not return" in unknown(board, "timing.period").because
    assert span(board, "trigger.slack").high < 0


def test_retriggered_in_time_follows_the_trigger() -> None:
    """A trigger every 100 us lets every pulse end: the output's period is the trigger's."""
    board = book(BOARD, AGAIN, "signal trg period 100us")
    assert span(board, "timing.period").nominal == pytest.approx(100e-6)
    assert span(board, "trigger.slack").low == pytest.approx(100e-6 - 80.8e-6)


def test_returning_only_nominally_is_no_bound() -> None:
    """A trigger every 80.5 us beats the longest pulse but not the nominal: the period has no upper end."""
    period = span(book(BOARD, AGAIN, "signal trg period 80.5us"), "timing.period")
    assert period.nominal == pytest.approx(80.5e-6)
    assert period.high == float("inf")


def test_both_edges_trigger_at_the_shorter_spacing() -> None:
    """With both edges the way from high to low counts: 30 us of 100 us, so that 90 us pass between pulses."""
    both = one_shot('edge = "both", retriggerable = false, recovery = "5us"')
    board = book(BOARD, both, "signal trg period 100us, high 30us")
    assert span(board, "trigger.slack").nominal == pytest.approx(30e-6 - 85e-6)


def test_bounce_after_the_pulse_starts_another() -> None:
    """A contact that bounces for 200 us outlasts 80 us and recovery: its pulses cannot be counted."""
    board = book(BOARD, one_shot(), "signal trg bounce 200us")
    assert "bounces" in unknown(board, "timing.active").because
    assert span(book(BOARD, AGAIN, "signal trg bounce 200us"), "timing.active").high == pytest.approx(
        280.8e-6
    )


@pytest.mark.parametrize(("held", "active"), [("20us", 80.8e-6), ("300us", 300e-6)])
def test_a_level_trigger_holds_the_output(held: str, active: float) -> None:
    """A level trigger held for 300 us keeps a pulse of 80 us going as long; one of 20 us does not matter."""
    level = one_shot('edge = "falling", retriggerable = false, recovery = "0s", level = true')
    board = book(BOARD, level, f"signal trg period 1ms, low {held}")
    assert span(board, "timing.active").high == pytest.approx(active)


def test_a_drawn_source_triggers_too() -> None:
    """A pulse source on the trigger net is as good as a statement."""
    board = book(f"{BOARD}V2 trg 0 PULSE(0 3 0 1n 1n 10u 200u)\n", one_shot())
    assert span(board, "signal.period").nominal == pytest.approx(200e-6)
    assert span(board, "timing.period").nominal == pytest.approx(200e-6)


def test_another_block_triggers_too() -> None:
    """An oscillator of 40 kHz on the trigger: 25 us times ceil(85 / 25) is 100 us."""
    feeder = "XU2 vdd vdd trg 0 rt2 TO2\nRT2 rt2 0 31.25k 0%\n"
    slow = part("TO2", "oscillator").replace("prescale = 10, inverted", "prescale = 10, inverted")
    board = book(f"{BOARD}{feeder}", one_shot() + slow)
    assert span(board, "timing.period", "XU2").nominal == pytest.approx(25e-6)
    assert span(board, "timing.period").nominal == pytest.approx(100e-6)


def test_rest_is_the_other_level() -> None:
    """A one-shot rests low, and high where its polarity is inverted."""
    assert fact(book(BOARD, one_shot()), "output.rest").value == "low"
    inverted = BOARD.replace("RA vdd cfg 30k", "RA vdd cfg 1k")
    assert fact(book(inverted, one_shot()), "output.rest").value == "high"


@pytest.mark.parametrize(
    ("parts", "intent", "fact_name", "missing"),
    [
        (one_shot(), "", "timing.period", "signal trg period"),
        (one_shot('edge = "rising", retriggerable = false'), "signal trg period 1ms", "timing.period",
         "TS1 trigger.recovery"),
        (one_shot('edge = "rising", recovery = "0s"'), "signal trg period 1ms", "timing.period",
         "TS1 trigger.retriggerable"),
        (one_shot().replace('error = "1%", ', ""), "", "timing.pulse_width", "timing.error"),
    ],
)  # fmt: skip
def test_what_is_taken_away_is_named(parts: str, intent: str, fact_name: str, missing: str) -> None:
    """Without a signal, recovery, kind of trigger or error there is no number."""
    assert missing in unknown(book(BOARD, parts, intent), fact_name).missing
