"""What outputs do while their blocks make no time."""

import pytest

from tests.facts.timing_boards import book, fact, part, unknown

BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt in TZ1
RT rt 0 100k 0%
RA vdd cfg {upper} 0%
RB cfg 0 10k 0%
RP in 0 10k
"""
NORMAL, INVERTED = BOARD.format(upper="30k"), BOARD.format(upper="1k")
ONE_SHOT = part("TZ1", "one-shot", "trigger", 'trigger = { edge = "rising" }')


@pytest.mark.parametrize(("board", "idle", "lost"), [(NORMAL, "low", "high"), (INVERTED, "high", "low")])
def test_a_one_shot_idles_inactive(board: str, idle: str, lost: str) -> None:
    """Low at normal polarity, high at inverted; without its resistor a triggered pulse never ends."""
    of = book(board, ONE_SHOT)
    assert [fact(of, name).value for name in ("output.rest", "rest.idle", "rest.lost_rate")] == [
        idle,
        idle,
        lost,
    ]


def test_the_code_table_s_own_rest_wins() -> None:
    """A row that gives `rest` is believed before polarity is."""
    tested = ONE_SHOT.replace("{ code = 1, prescale = 10 }", '{ code = 1, prescale = 10, rest = "high" }')
    assert fact(book(NORMAL, tested), "rest.idle").value == "high"
    assert fact(book(NORMAL, tested), "output.rest").value == "high"


def test_an_oscillator_rests_as_its_part_file_says() -> None:
    """Under reset the output is what `disabled` says; without it nothing is guessed."""
    tested = part("TZ1", "oscillator", "reset")
    assert fact(book(NORMAL, tested), "output.rest").value == "low"
    assert "never idle" in unknown(book(NORMAL, tested), "rest.idle").because
    silent = tested.replace(', disabled = "low"', "")
    assert unknown(book(NORMAL, silent), "rest.disabled").missing == ("TZ1 output.disabled",)


def test_what_no_part_file_says_is_unknown() -> None:
    """The level at power-up, and that of an oscillator that stops, are not known."""
    of = book(NORMAL, part("TZ1", "oscillator", "enable"))
    unknown(of, "rest.power_up")
    unknown(of, "rest.lost_rate")


def test_an_rc_timer_begins_high_and_rests_low() -> None:
    """The empty capacitor of an astable is below the lower threshold; reset makes the output low."""
    parts = """
[part.TZ2]
title = "test part"
source = "this test"
function = "rc-timer"
pins = ["supply", "output", "discharge", "threshold", "trigger", "ground"]
ladder = { lower = "1/3", upper = "2/3", error = "1%" }
discharge = { resistance = "20ohm" }
"""
    of = book("V1 vdd 0 6\nXU1 vdd out d t t 0 TZ2\nRA vdd d 10k\nRB d t 10k\nC1 t 0 10n", parts)
    assert fact(of, "rest.power_up").value == "high"
    assert fact(of, "output.rest").value == "low"
    assert fact(of, "rest.disabled").value == "low"
