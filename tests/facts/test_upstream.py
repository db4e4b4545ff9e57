"""Signals that are stated or drawn behind resistors: how they arrive at a pin, worked by hand."""

import pytest

from drc.facts.pulse_train import train_origin
from tests.facts.test_pulse_trains import ends
from tests.facts.test_signals_on_nets import on, train

EXACT = "assume R* tolerance 0%, tempco 0ppm\nassume C* tolerance 0%, tempco 0ppm\nambient 25degC\n"
BOUNCE = EXACT + "signal contact bounce 8ms, high 20ms, period 100ms"
WAY = "R8 vdd contact 9k\nR9 contact kick 1k\n"


def origin(lines: str, intent: str) -> str:
    """Whose word the pulses of `kick` are."""
    return train_origin(*on(lines, intent))


def test_a_resistor_hands_pulses_on_as_they_are() -> None:
    """Without a capacitor nothing is longer or shorter; through a bead, a link and `same` neither."""
    for lines, more in (
        (WAY, ""),
        ("L9 contact kick 1u\n", ""),
        ("R9 contact a 0\nR10 a kick 1k\n", ""),
        ("R9 contact a 1k\n", "\nsame a kick"),
    ):
        found = train(lines, BOUNCE + more)
        assert ends(found.bounce) == (8e-3, 8e-3, 8e-3)
        assert ends(found.high) == (20e-3, 20e-3, 20e-3)
        assert ends(found.period) == (100e-3, 100e-3, 100e-3)
        assert origin(lines, BOUNCE + more) == "statement"


def test_what_is_drawn_behind_a_resistor_arrives() -> None:
    """A pulse source and its resistor: 1 ms of 4 ms."""
    lines = "V9 contact 0 PULSE(0 3 0 1n 1n 1m 4m)\nR9 contact kick 1k\n"
    assert ends(train(lines, EXACT).period) == (4e-3, 4e-3, 4e-3)
    assert origin(lines, EXACT) == "source"


def test_a_capacitor_on_the_way_may_take_or_add_five_time_constants() -> None:
    """(9 k + 1 k) 20 nF = 0.2 ms, so 1 ms either way; the period stays. The evidence names R C."""
    found = train(WAY + "C9 kick 0 20n\n", BOUNCE)
    assert ends(found.bounce) == pytest.approx((7e-3, 8e-3, 9e-3))
    assert ends(found.high) == pytest.approx((19e-3, 20e-3, 21e-3))
    assert ends(found.low) == pytest.approx((79e-3, 80e-3, 81e-3))
    assert ends(found.period) == (100e-3, 100e-3, 100e-3)
    assert found.inputs[-1][:3] == ("R C before kick", "200 us", "circuit")


def test_capacitors_of_the_way_are_added_and_one_at_the_source_is_not() -> None:
    """Half the capacitance at a net between: the same sum; on the stated net it is part of what is stated."""
    split = (
        "R8 vdd contact 9k\nR9 contact a 500\nR10 a kick 500\nC8 a 0 10n\nC9 kick 0 10n\nC7 contact 0 1u\n"
    )
    assert ends(train(split, BOUNCE).bounce) == pytest.approx((7e-3, 8e-3, 9e-3))


def test_what_is_shorter_than_r_c_is_not_known_behind_it() -> None:
    """10 k and 1 uF: 10 ms. Of 8 ms of bounce nobody knows what is left; 20 ms may be all gone or 70 ms."""
    found = train(WAY + "C9 kick 0 1u\n", BOUNCE)
    assert found.bounce is None
    assert ends(found.high) == pytest.approx((0.0, 20e-3, 70e-3))


def test_a_statement_of_the_pin_itself_goes_before() -> None:
    """Who states what arrives has reckoned with the way."""
    found = train(WAY, BOUNCE + "\nsignal kick bounce 1ms")
    assert ends(found.bounce) == (1e-3, 1e-3, 1e-3)
    assert found.period is None


def test_nothing_is_looked_for_past_rails_transistors_and_capacitors() -> None:
    """A pull-up's rail, a base, a coupling capacitor and a diode hand no pulses on as they are."""
    other = EXACT + "signal far bounce 8ms"
    for lines in (
        "V8 mid 0 3\nR8 far mid 1k\nR9 mid kick 1k\n",
        "R8 vdd kick 10k\nQ1 kick far 0 NPN1\n",
        "C9 far kick 1n\nR9 far 0 1k\n",
        "D9 far kick DX\nR9 far 0 1k\n",
    ):
        assert train(lines, other).bounce is None
        assert origin(lines, other) == "nobody"
