"""Pulses shorter than a delay, and one-shots that are triggered again. Common practice, no source."""

import pytest

from tests.facts.timing_boards import book, span


@pytest.mark.parametrize(("high", "passes"), [("15ms", False), ("17ms", True)])
def test_a_delay_swallows_what_is_shorter(high: str, passes: bool) -> None:
    """A 16 ms delay on both edges swallows a 15 ms pulse and lets one of 17 ms through."""
    parts = """
[part.T11]
title = "test part"
source = "this test"
function = "edge-delay"
pins = ["ground", "signal", "rate", "supply", "output"]
rate = { voltage = "0.55V", current = "1uA .. 30uA", law = "ratio" }
timing = { period = "8ms", at_current = "22uA", at_supply = "3V", error = "0%" }
signal = { edges = "both", restart = true }
"""
    board = book(
        "V1 vdd 0 3\nXU1 0 in rt vdd out T11\nRT rt 0 50k 0%", parts, f"signal in period 100ms, high {high}"
    )
    assert span(board, "timing.delay").nominal == pytest.approx(16e-3)
    slack = span(board, "signal.slack")
    assert (slack.low > 0) is passes
    assert (slack.high > 0) is passes


@pytest.mark.parametrize(("again", "longest"), [("true", 21e-3), ("false", 16e-3)])
def test_the_last_or_the_first_trigger_counts(again: str, longest: float) -> None:
    """With triggers for 5 ms, a 16 ms one-shot ends 16 ms after the last one if each starts it again, else
    16 ms after the first."""
    parts = f"""
[part.T12]
title = "test part"
source = "this test"
function = "one-shot"
pins = ["output", "trigger", "supply", "rate", "ground"]
rate = {{ voltage = "1.3V", current = "1uA .. 30uA", law = "current" }}
timing = {{ period = "4ms", at_current = "26uA", at_supply = "3V", error = "0%" }}
trigger = {{ edge = "rising", retriggerable = {again}, recovery = "0s" }}
"""
    board = book("V1 vdd 0 3\nXU1 out in vdd rt 0 T12\nRT rt 0 200k 0%", parts, "signal in bounce 5ms")
    active = span(board, "timing.active")
    assert (active.low, active.high) == pytest.approx((16e-3, longest))
