"""What a chain hands on: times, levels and the slowness of its capacitors, by hand."""

from math import log

import pytest

from tests.facts.chain_boards import (
    TRIGGER,
    block,
    chained,
    pair_fact,
    pair_span,
    pair_unknown,
    parts,
)
from tests.facts.timing_boards import fact, span, unknown

PERIOD = 80e-6
"""2 us * (100 kohm / 25 kohm) * 10, of every block at 100 kohm."""

OSCILLATOR = block("U1", "TO1", "tick", "vdd")
ONE_SHOT = block("U1", "TS1", "pulse", "kick")


def test_an_oscillator_hands_on_its_period_and_no_duty() -> None:
    """80 us, 1 %: the part file gives no duty, so that high and low time are not known."""
    board = chained(OSCILLATOR + block("U2", "TS1", "out", "tick", ohm="50k"))
    period = pair_span(board, "pair.period")
    assert (period.low, period.nominal, period.high) == pytest.approx((79.2e-6, PERIOD, 80.8e-6))
    assert pair_span(board, "pair.spacing") == period
    assert "XU1" in pair_unknown(board, "pair.high").because


def test_the_ceil_law_reaches_the_third_block() -> None:
    """80 us into a pulse of 100 us: every second trigger counts, and 160 us arrive at the third block."""
    board = chained(
        OSCILLATOR + block("U2", "TS1", "pulse", "tick", ohm="125k") + block("U3", "TD1", "out", "pulse")
    )
    assert span(board, "trigger.ignored", "XU2").nominal == 1
    assert pair_span(board, "pair.period", "XU2 -> XU3 signal").nominal == pytest.approx(2 * PERIOD)
    assert pair_span(board, "pair.high", "XU2 -> XU3 signal").nominal == pytest.approx(100e-6)
    assert pair_span(board, "pair.low", "XU2 -> XU3 signal").nominal == pytest.approx(60e-6)


def test_an_inverter_turns_high_and_low_round() -> None:
    """A pulse of 80 us every 1 ms, through an inverter: low for 80 us and high for 920 us."""
    board = chained(
        ONE_SHOT + block("U2", "TD1", "out", "n") + "XG1 pulse n vdd 0 TG1\n", "signal kick period 1ms"
    )
    assert pair_fact(board, "pair.inverted").value is True
    assert pair_span(board, "pair.low").nominal == pytest.approx(80e-6)
    assert pair_span(board, "pair.high").nominal == pytest.approx(920e-6)
    assert span(board, "signal.high", "XU2") == pair_span(board, "pair.high")


def test_a_pulse_width_needs_no_period() -> None:
    """Nobody says how often the first one-shot is triggered: its pulse still arrives with its length."""
    board = chained(ONE_SHOT + block("U2", "TD1", "out", "pulse"))
    assert pair_span(board, "pair.high").nominal == pytest.approx(80e-6)
    assert "kick" in pair_unknown(board, "pair.period").because


def test_a_delay_of_both_edges_hands_pulses_on_unchanged() -> None:
    """A pulse of 300 us behind a delay of 80 us is 300 us long, every 1 ms."""
    board = chained(
        block("U1", "TD1", "late", "din") + block("U2", "TS1", "out", "late"),
        "signal din period 1ms, high 300us",
    )
    high = pair_span(board, "pair.high")
    assert (high.low, high.nominal, high.high) == pytest.approx((300e-6, 300e-6, 300e-6))
    assert pair_span(board, "pair.period").nominal == pytest.approx(1e-3)


def test_a_delay_that_swallows_hands_nothing_on() -> None:
    """A pulse of 50 us never passes a delay of 80 us, so that no period arrives behind it."""
    board = chained(
        block("U1", "TD1", "late", "din") + block("U2", "TS1", "out", "late"),
        "signal din period 1ms, high 50us",
    )
    assert span(board, "signal.slack", "XU1").nominal == pytest.approx(-30e-6)
    assert "swallows" in pair_unknown(board, "pair.period").because
    assert "nothing states" in unknown(board, "timing.period", "XU2").because


@pytest.mark.parametrize(("bounce", "left"), [("60us", 0.0), ("200us", 120e-6)])
def test_what_a_delay_leaves_of_a_bounce(bounce: str, left: float) -> None:
    """A delay of 80 us ends a bounce of 60 us, and leaves 120 us of one of 200 us."""
    board = chained(
        block("U1", "TD1", "clean", "din") + block("U2", "TS1", "out", "clean"), f"signal din bounce {bounce}"
    )
    assert pair_span(board, "pair.bounce").nominal == pytest.approx(left)


def test_through_a_capacitor_only_the_period_arrives() -> None:
    """A differentiated pulse comes as often, and neither its length nor its level is known."""
    board = chained(
        ONE_SHOT + block("U2", "TS1", "out", "t") + "C1 pulse t 1n\nR1 vdd t 10k\n", "signal kick period 1ms"
    )
    assert pair_fact(board, "pair.coupled").value is True
    assert pair_span(board, "pair.period").nominal == pytest.approx(1e-3)
    for name in ("pair.high", "pair.level_high", "pair.high_margin", "pair.settling"):
        assert "capacitor" in pair_unknown(board, name).because


def test_both_edges_trigger_at_the_shorter_spacing() -> None:
    """Where both edges trigger, 80 us of high time is the shortest way to the next."""
    both = parts(TRIGGER.replace("rising", "both"))
    first = block("U1", "TR1", "pulse", "kick")
    board = chained(first + block("U2", "TS1", "out", "pulse"), "signal kick period 1ms", both)
    assert pair_span(board, "pair.spacing").nominal == pytest.approx(80e-6)


def test_a_loop_gives_no_time() -> None:
    """One-shots that trigger each other: the period of neither is known, and the loop is named."""
    board = chained(block("U1", "TS1", "a", "b") + block("U2", "TS1", "b", "a"))
    assert "loop" in unknown(board, "timing.period", "XU1").because
    for path in ("XU1 -> XU2 trigger", "XU2 -> XU1 trigger"):
        assert "XU1" in pair_unknown(board, "pair.period", path).because


def test_a_statement_goes_before_a_chain() -> None:
    """What is stated of the trigger's net wins over what the block before it hands on."""
    board = chained(OSCILLATOR + block("U2", "TS1", "out", "tick"), "signal tick period 5ms")
    assert span(board, "signal.period", "XU2").nominal == pytest.approx(5e-3)
    assert fact(board, "signal.origin", "XU2").value == "statement"
    assert pair_span(board, "pair.period").nominal == pytest.approx(PERIOD)


@pytest.mark.parametrize(
    ("netlist", "intent", "origin"),
    [
        (ONE_SHOT, "", "nobody"),
        (ONE_SHOT + "VK kick 0 PULSE(0 3 0 1n 1n 10u 1m)\n", "", "source"),
        (ONE_SHOT.replace("kick", "tick") + block("U0", "TO1", "tick", "vdd"), "", "chain"),
        (ONE_SHOT, "signal kick period 1ms", "statement"),
    ],
)
def test_whose_word_the_pulses_are(netlist: str, intent: str, origin: str) -> None:
    """A statement, a source, a block before it, or nobody."""
    assert fact(chained(netlist, intent), "signal.origin").value == origin


def levels(way: str, pin: str = "t", supply: str = "vdd") -> dict[str, float]:
    """Nominal levels and margins, V, of an oscillator and a one-shot with a way between."""
    board = chained(OSCILLATOR + block("U2", "TS1", "out", pin, supply=supply) + "V2 v5 0 5\n" + way)
    names = (
        "level_high",
        "level_low",
        "high_wanted",
        "low_wanted",
        "high_margin",
        "low_margin",
        "limit_margin",
    )
    return {name: pair_span(board, f"pair.{name}").middle for name in names}


def test_levels_of_a_direct_wire() -> None:
    """3 V and 0 V against 0.7 and 0.3 of 3 V: 0.9 V each way, and 0.3 V below the limit."""
    assert levels("", pin="tick") == pytest.approx(
        {"level_high": 3.0, "level_low": 0.0, "high_wanted": 2.1, "low_wanted": 0.9, "high_margin": 0.9,
         "low_margin": 0.9, "limit_margin": 0.3}
    )  # fmt: skip


def test_levels_of_a_divider() -> None:
    """20 ohm and 1 kohm over 2 kohm: 3 V * 2000 / 3020 is too little for 0.7 of 3 V."""
    found = levels("R1 tick t 1k 0%\nR2 t 0 2k 0%\n")
    assert found["level_high"] == pytest.approx(3 * 2000 / 3020)
    assert found["high_margin"] == pytest.approx(3 * 2000 / 3020 - 2.1)


def test_levels_into_a_higher_supply() -> None:
    """3 V is 0.5 V short of what an input at 5 V wants."""
    found = levels("", pin="tick", supply="v5")
    assert (found["high_wanted"], found["high_margin"]) == pytest.approx((3.5, -0.5))
    assert found["limit_margin"] == pytest.approx(2.3)


def test_levels_behind_a_transistor() -> None:
    """Off, the pull-up makes 5 V; on, the transistor leaves 0 V to 0.3 V."""
    way = "R1 tick b 10k\nQ1 t b 0 NS\nR2 v5 t 10k\n"
    found = levels(way, supply="v5")
    assert (found["level_high"], found["high_margin"]) == pytest.approx((5.0, 1.5))
    board = chained(OSCILLATOR + block("U2", "TS1", "out", "t", supply="v5") + "V2 v5 0 5\n" + way)
    low = pair_span(board, "pair.level_low")
    assert (low.low, low.high) == pytest.approx((0.0, 0.3))
    assert "Q1 pulls to within" in " ".join(pair_fact(board, "pair.level_low").assumptions)


def test_an_output_with_a_drop_may_lose_all_of_it() -> None:
    """An output that may lose 1.7 V is between 1.3 V and 3 V high into an input that takes nothing."""
    new = 'high_drop = "1.7V at 50mA", low_drop = "0.2V at 10mA"'
    bipolar = parts().replace('resistance = "20ohm"', new)
    assert bipolar != parts()
    board = chained(OSCILLATOR + block("U2", "TS1", "out", "tick"), part_file=bipolar)
    high, low = pair_span(board, "pair.level_high"), pair_span(board, "pair.level_low")
    assert (high.low, high.nominal, high.high) == pytest.approx((1.3, 3.0, 3.0))
    assert (low.low, low.high) == pytest.approx((0.0, 0.2))


def test_a_transistor_without_a_pull_up_leaves_the_pin_open() -> None:
    """Nothing makes the trigger high once the transistor is off: unknown, and it is said."""
    board = chained(OSCILLATOR + block("U2", "TS1", "out", "t") + "R1 tick b 10k\nQ1 t b 0 NS\n")
    assert "nothing" in pair_unknown(board, "pair.level_high").because


def test_the_supply_that_both_share_cancels() -> None:
    """On one supply of 2.7 V to 3.3 V the margin is 0.3 of it: never 3.3 V against 0.7 of 2.7 V."""
    board = chained(OSCILLATOR + block("U2", "TS1", "out", "tick"), "supply vdd 2.7V .. 3.3V")
    margin = pair_span(board, "pair.high_margin")
    assert (margin.low, margin.high) == pytest.approx((0.3 * 2.7, 0.3 * 3.3))


def test_thresholds_that_the_part_file_lacks_are_unknown() -> None:
    """Without levels in the part file the margins are unknown and name what is missing."""
    bare = parts().replace('low = "0.3 supply", high = "0.7 supply", ', "")
    board = chained(OSCILLATOR + block("U2", "TS1", "out", "tick"), part_file=bare)
    assert pair_unknown(board, "pair.high_margin").missing == ("TS1 input.trigger.high",)
    assert pair_unknown(board, "pair.low_margin").missing == ("TS1 input.trigger.low",)


def test_settling_of_an_rc_by_hand() -> None:
    """10 kohm and 1 nF to 0.7 of the supply: tau ln(1 / 0.3), the same down to 0.3."""
    board = chained(OSCILLATOR + block("U2", "TS1", "out", "t") + "R1 tick t 10k 0%\nC1 t 0 1n 0%\n")
    assert pair_span(board, "pair.settling").nominal == pytest.approx(1e-5 * log(1 / 0.3))
    assert pair_span(board, "pair.series").nominal == pytest.approx(10e3)


def test_settling_of_two_sections() -> None:
    """Two sections of 1 kohm and 1 nF: tau = 1 k * 1 n + 2 k * 1 n = 3 us, by Elmore's sum."""
    way = "R1 tick a 1k 0%\nC1 a 0 1n 0%\nR2 a t 1k 0%\nC2 t 0 1n 0%\n"
    board = chained(OSCILLATOR + block("U2", "TS1", "out", "t") + way)
    assert pair_span(board, "pair.settling").nominal == pytest.approx(3e-6 * log(1 / 0.3))


def test_no_capacitor_no_settling() -> None:
    """A wire or a resistor alone settles at once."""
    board = chained(OSCILLATOR + block("U2", "TS1", "out", "t") + "R1 tick t 10k\n")
    assert pair_span(board, "pair.settling").high == 0


WATCHDOG = (
    block("U2", "TR1", "bark", "kick")
    + block("U3", "TO1", "tone", "bark")
    + block("U1", "TS1", "kick", "ext")
)


def test_a_watchdog_is_a_one_shot_that_starts_again_and_holds_others() -> None:
    """The retriggerable one-shot whose output enables a block is one; a plain one-shot is none."""
    board = chained(WATCHDOG, "signal ext period 1ms")
    found = {
        p: pair_fact(board, "pair.watchdog", p).value for p in ("XU1 -> XU2 trigger", "XU2 -> XU3 enable")
    }
    assert found == {"XU1 -> XU2 trigger": True, "XU2 -> XU3 enable": False}
    plain = chained(WATCHDOG.replace("TR1", "TS1"), "signal ext period 1ms")
    assert pair_fact(plain, "pair.watchdog", "XU1 -> XU2 trigger").value is False


@pytest.mark.parametrize(
    ("first", "free"),
    [
        (block("U1", "TO1", "tick", "vdd"), True),
        (block("U1", "TO1", "tick", "0"), False),
        (block("U1", "TS1", "tick", "kick"), False),
    ],
)
def test_what_runs_by_itself(first: str, free: bool) -> None:
    """An oscillator that is enabled does; one that is held still, and a one-shot, do not."""
    board = chained(first + block("U2", "TS1", "out", "tick"))
    assert pair_fact(board, "pair.free_running").value is free
