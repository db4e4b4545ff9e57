"""Rest by function: what the output does while no time is made, why, and what is named where nobody says."""

import pytest

from drc.facts.model import Unknown
from tests.facts.test_rc_timer import BOARD as RC_BOARD
from tests.facts.test_rc_timer import parts as rc_parts
from tests.facts.timing_boards import book, fact, part, unknown

BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt in TZ1
RT rt 0 100k 0%
RA vdd cfg {upper} 0%
RB cfg 0 10k 0%
{last}
"""
LEVELS = 'low = "0.3 supply", high = "0.7 supply"'
NORMAL, INVERTED = "30k", "1k"
SHOT = part("TZ1", "one-shot", "trigger", 'trigger = { edge = "rising" }')
DELAY = part("TZ1", "edge-delay", "signal", f'input.signal = {{ {LEVELS} }}\nsignal = {{ edges = "both" }}')
CLOCK = part("TZ1", "oscillator", "enable")
OTHER = {"low": "high", "high": "low"}


def board(upper: str = NORMAL, last: str = "RP in 0 10k") -> str:
    """A block of TZ1 with its strap and what is on its last pin."""
    return BOARD.format(upper=upper, last=last)


def given(parts: str, rest: str) -> str:
    """The part with a rest of its own in both rows that these boards read."""
    text = parts.replace("{ code = 1, prescale = 10 }", f'{{ code = 1, prescale = 10, rest = "{rest}" }}')
    return text.replace("inverted = true }", f'inverted = true, rest = "{rest}" }}')


@pytest.mark.parametrize(("upper", "idle"), [(NORMAL, "low"), (INVERTED, "high")])
def test_a_one_shot_s_rest_and_why(upper: str, idle: str) -> None:
    """The inactive level by its polarity, in its idle and as its rest; a lost rate holds the active one."""
    of = book(board(upper), SHOT)
    law = "a pulse is the active level, and polarity says which that is; idle is the other"
    for name in ("output.rest", "rest.idle"):
        found = fact(of, name)
        assert (found.name, found.value, found.law) == (name, idle, law)
    lost = fact(of, "rest.lost_rate")
    assert (lost.name, lost.value) == ("rest.lost_rate", OTHER[idle])
    assert lost.law == "without rate current a pulse that was triggered never ends"


@pytest.mark.parametrize("rest", ["low", "high"])
@pytest.mark.parametrize("upper", [NORMAL, INVERTED])
def test_a_row_s_own_rest_is_believed(upper: str, rest: str) -> None:
    """Of a one-shot in idle and rest, of an oscillator as its rest alone, whatever the polarity."""
    code = 1 if upper == NORMAL else 3
    law = f"the part file's rest for code {code}"
    shot = book(board(upper), given(SHOT, rest))
    for name in ("output.rest", "rest.idle"):
        assert (fact(shot, name).value, fact(shot, name).law) == (rest, law)
    assert fact(shot, "rest.lost_rate").value == OTHER[rest]
    clock = book(board(upper), given(CLOCK, rest))
    assert (fact(clock, "output.rest").value, fact(clock, "output.rest").law) == (rest, law)
    assert fact(clock, "rest.disabled").value == "low"


def test_an_oscillator_rests_disabled() -> None:
    """As the first output row says that speaks of it; silent ones are passed over."""
    for kind in ("low", "high", "open"):
        of = book(board(), CLOCK.replace('disabled = "low"', f'disabled = "{kind}"'))
        for name in ("output.rest", "rest.disabled"):
            assert (fact(of, name).name, fact(of, name).value) == (name, kind)
            assert fact(of, name).law == "the part file's output while reset or not enabled"
    rows = CLOCK.replace(
        'output = { kind = "push-pull", source = "10mA", sink = "10mA", resistance = "20ohm", '
        'disabled = "low" }',
        'output = [ { kind = "push-pull", at_supply = "4V .. 6V" }, '
        '{ kind = "push-pull", resistance = "20ohm", disabled = "high" } ]',
    )
    assert fact(book(board(), rows), "output.rest").value == "high"
    silent = CLOCK.replace(', disabled = "low"', "")
    for name in ("output.rest", "rest.disabled"):
        assert unknown(book(board(), silent), name).missing == ("TZ1 output.disabled",)


def test_what_is_never_idle_is_said() -> None:
    """An oscillator and an RC timer wait for no edge."""
    assert unknown(book(board(), CLOCK), "rest.idle") == Unknown("an oscillator is never idle")
    modulator = part("TZ1", "pulse-modulator", "modulate")
    assert unknown(book(board(), modulator), "rest.idle") == Unknown("a pulse-modulator is never idle")
    assert unknown(book(RC_BOARD, rc_parts()), "rest.idle") == Unknown("an rc-timer is never idle")


@pytest.mark.parametrize("upper", [NORMAL, INVERTED])
@pytest.mark.parametrize(("last", "level"), [("RP in 0 10k", "low"), ("RP in vdd 10k", "high")])
def test_a_delay_rests_as_its_input_does(upper: str, last: str, level: str) -> None:
    """Turned round by its polarity, in idle and rest, even where a row gives a rest for other functions."""
    of = book(board(upper, last), DELAY)
    expected = level if upper == NORMAL else OTHER[level]
    for name in ("output.rest", "rest.idle"):
        found = fact(of, name)
        assert (found.name, found.value) == (name, expected)
        assert found.law == f"the output follows its input, which rests {level}"
    assert unknown(of, "rest.lost_rate").missing == ("output level",)


def test_a_delay_whose_input_moves_or_floats_rests_nowhere() -> None:
    """Switched by a signal; held by nothing, which is named."""
    moved = book(board(), DELAY, "signal in period 1s")
    for name in ("output.rest", "rest.idle"):
        assert unknown(moved, name) == Unknown("the output of XU1 follows its input, which is switched")
        assert unknown(book(board(last="C1 in 0 1n"), DELAY), name).missing == ("voltage of in",)


@pytest.mark.parametrize("parts", [SHOT, DELAY, CLOCK])
def test_without_its_code_a_block_s_rest_is_unknown(parts: str) -> None:
    """The strap hangs on nothing: which row is in force nobody knows."""
    of = book(board().replace("RA vdd", "RA x").replace("RB cfg 0", "RB cfg y"), parts)
    assert unknown(of, "output.rest").missing == ("XU1 strap resistors",)
    if parts != CLOCK:
        assert unknown(of, "rest.idle").missing == ("XU1 strap resistors",)
    if parts == SHOT:
        assert unknown(of, "rest.lost_rate").missing == ("XU1 strap resistors",)


@pytest.mark.parametrize("parts", [SHOT, DELAY, CLOCK])
def test_power_up_and_a_lost_rate_are_not_guessed(parts: str) -> None:
    """No part file says what the output does until it has started, nor where an oscillator stops."""
    of = book(board(), parts)
    assert unknown(of, "rest.power_up") == Unknown(
        "part TZ1 does not say what its output does until it has started",
        ("TZ1 output as the supply comes up",),
    )
    if parts != SHOT:
        assert unknown(of, "rest.lost_rate") == Unknown(
            "without rate current XU1 stops at whichever level it is at", ("output level",)
        )


def test_an_rc_timer_s_rest() -> None:
    """Low under reset and as its rest; an astable begins high, because its capacitor is empty."""
    of = book(RC_BOARD, rc_parts())
    assert (fact(of, "output.rest").value, fact(of, "rest.disabled").value) == ("low", "low")
    assert fact(of, "output.rest").law.startswith("the output of an RC timer is low")
    assert fact(of, "rest.disabled").law.startswith("reset turns an RC timer's discharge switch on")
    assert fact(of, "rest.power_up").value == "high"
    assert fact(of, "rest.power_up").law.startswith("the empty capacitor is below the lower threshold")
    assert unknown(of, "rest.lost_rate").missing == ("output level",)
