"""Input pins as the board leaves them: what holds them, their levels, edges and limits; by hand."""

from math import log

import pytest

from drc.facts.model import Unknown
from tests.facts.chain_boards import GATES
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, part, span, unknown

LEVELS = 'low = "0.3 supply", high = "0.7 supply"'
PULLED = PLAIN.replace('active = "high" }', 'active = "high", pull = "up 100kohm" }')
HYSTERETIC = PLAIN.replace('active = "high" }', 'active = "high", hysteresis = "0.1 supply" }')
LIMITED = PLAIN.replace('active = "high" }', 'active = "high", limit = "supply + 0.3V" }')
FREE = CENTRED.replace("rt vdd PL1", "rt en PL1")
"""The enable pin on a net of its own; supply 4 V."""
CLAMP = ".model DC d(is=1n)\n"


@pytest.mark.parametrize(
    ("lines", "parts", "expected"),
    [
        ("", PLAIN, "enable"),
        ("", PULLED, "none"),
        ("R9 en vdd 10k", PLAIN, "none"),
        ("R9 en 0 10k", PLAIN, "none"),
        ("C9 en 0 1n", PLAIN, "enable"),
        ("R9 en x 10k", PLAIN, "enable"),
        (f"D9 en vdd DC\nD8 0 en DC\n{CLAMP}", PLAIN, "enable"),
        (f"D9 vdd en DC\n{CLAMP}", PLAIN, "none"),
        (f"D9 en 0 DC\n{CLAMP}", PLAIN, "none"),
        (f"D9 en vdd DC\nR9 en 0 10k\n{CLAMP}", PLAIN, "none"),
    ],
)
def test_an_input_floats_unless_something_holds_it(lines: str, parts: str, expected: str) -> None:
    """A pull inside, a resistor or a diode that can conduct hold it; capacitors and clamps do not."""
    assert fact(book(f"{FREE}{lines}\n", parts), "input.floating").value == expected


def test_a_stated_signal_holds_an_input() -> None:
    """Also through a resistor."""
    assert fact(book(FREE, PLAIN, "signal en 0V .. 4V"), "input.floating").value == "none"
    assert fact(book(f"{FREE}R9 en far 1k\n", PLAIN, "signal far 0V .. 4V"), "input.floating").value == "none"


def test_what_only_a_plug_or_an_unknown_part_can_hold_is_unknown() -> None:
    """A connector names the signal that is not stated; a part that nobody knows is named itself."""
    plug = fact(book(f"{FREE}J1 en 0 HEADER\n", PLAIN), "input.floating").value
    other = fact(book(f"{FREE}X9 en 0 OTHER\n", PLAIN), "input.floating").value
    assert isinstance(other, Unknown)
    assert "X9" in other.because
    assert plug == "enable" or (isinstance(plug, Unknown) and plug.missing == ("signal en",))


@pytest.mark.parametrize(
    ("upper", "lower", "margin"),
    [
        ("10k", "90k", 0.8),
        ("90k", "10k", 0.8),
        ("50k", "50k", -0.8),
        ("20k", "80k", 0.4),
        ("80k", "20k", 0.4),
    ],
)
def test_distance_from_the_levels(upper: str, lower: str, margin: float) -> None:
    """Levels 1.2 V and 2.8 V of 4 V: 3.6 V and 0.4 V are 0.8 V beyond them, 2 V is 0.8 V short of both."""
    of = book(f"{FREE}R9 vdd en {upper}\nR8 en 0 {lower}\n", PLAIN)
    assert span(of, "input.level_margin").middle == pytest.approx(margin)
    assert fact(of, "input.level_worst").value == "enable"


def test_levels_count_from_the_block_s_own_ground() -> None:
    """On a ground of 1 V and a supply of 5 V a pin at 4.6 V is 3.6 V up: 0.8 V above 2.8 V."""
    board = FREE.replace("XU1 vdd cfg out 0", "V8 g 0 1\nXU1 v5 cfg out g") + "V9 v5 0 5\n"
    of = book(f"{board}R9 v5 en 10k\nR8 en g 90k\n", PLAIN)
    assert span(of, "input.level_margin").middle == pytest.approx(0.8)


def test_an_input_straight_on_its_supply_has_no_margin_of_its_own() -> None:
    """It is at the level by construction: no fact to judge."""
    assert unknown(book(CENTRED, PLAIN), "input.level_margin").missing == ("XU1 inputs",)
    assert unknown(book(CENTRED, PLAIN), "input.level_worst").missing == ("XU1 inputs",)


def test_rise_behind_a_capacitor() -> None:
    """10 % to 90 % of an exponential step: t = R C ln 9; 10k and 10n take 220 us (circuit theory)."""
    of = book(f"{FREE}R9 vdd en 10k tol=0%\nC9 en 0 10n tol=0%\n", PLAIN, "ambient 25degC .. 25degC")
    assert span(of, "input.edge_time").middle == pytest.approx(10e3 * 10e-9 * log(9))
    assert fact(of, "input.slowest").value == "enable"
    assert unknown(book(f"{FREE}R9 vdd en 10k\n", PLAIN), "input.edge_time").missing == ("XU1 inputs",)


def test_hysteresis_of_the_slowest_input() -> None:
    """A tenth of 4 V; a fixed one as it stands; what the part file does not give is named."""
    slow = f"{FREE}R9 vdd en 10k\nC9 en 0 10n\n"
    assert span(book(slow, HYSTERETIC), "input.hysteresis").middle == pytest.approx(0.4)
    fixed = HYSTERETIC.replace("0.1 supply", "0.25V")
    assert span(book(slow, fixed), "input.hysteresis").middle == pytest.approx(0.25)
    assert unknown(book(slow, PLAIN), "input.hysteresis").missing == ("PL1 input.enable.hysteresis",)


def test_the_slower_of_two_inputs_is_told() -> None:
    """The trigger of a one-shot behind 100 us against its reset behind 1 ms."""
    shot = part(
        "TX1", "one-shot", "trigger reset", f"input.trigger = {{ {LEVELS} }}\ninput.reset = {{ {LEVELS} }}\n"
        'trigger = { edge = "rising" }',
    )  # fmt: skip
    board = """V1 vdd 0 3
XU1 vdd cfg out 0 rt tr rs TX1
RT rt 0 100k
RA vdd cfg 30k
RB cfg 0 10k
R1 vdd tr 10k
C1 tr 0 10n
R2 vdd rs {reset}
C2 rs 0 10n
"""
    assert fact(book(board.format(reset="100k"), shot), "input.slowest").value == "reset"
    assert fact(book(board.format(reset="1k"), shot), "input.slowest").value == "trigger"


@pytest.mark.parametrize(
    ("volts", "ground", "excess"), [("4.6", "0", 0.3), ("4.3", "0", 0.0), ("4.6", "1", 0.3), ("0", "0", -4.3)]
)
def test_excess_over_a_limit_that_moves_with_the_supply(volts: str, ground: str, excess: float) -> None:
    """V(pin) - V(ground) - (supply + 0.3 V), for a block of 4 V; a shifted ground shifts the limit."""
    board = FREE.replace("V1 vdd 0 4", f"V8 g 0 {ground}\nV1 vdd g 4").replace("cfg out 0 rt", "cfg out g rt")
    pin = f"V9 en {'g' if ground != '0' else '0'} {volts}\n"
    assert span(book(board + pin, LIMITED), "input.excess").middle == pytest.approx(excess)


SHOT = part("TX1", "one-shot", "trigger", f'input.trigger = {{ {LEVELS} }}\ntrigger = {{ edge = "falling" }}')
SHOT_BOARD = """V1 vdd 0 3
XU1 vdd cfg out 0 rt tr TX1
RT rt 0 100k
RA vdd cfg 30k
RB cfg 0 10k
"""


@pytest.mark.parametrize(
    ("lines", "intent", "rest"),
    [
        ("R1 tr vdd 10k", "", "high"),
        ("R1 tr 0 10k", "", "low"),
        ("R1 tr vdd 10k\nR2 tr 0 10k", "", "moved"),
        ("R1 tr vdd 10k\nR2 tr 0 3k", "", "low"),
        ("R1 tr vdd 3k\nR2 tr 0 10k", "", "high"),
        ("R1 tr vdd 0", "", "tied"),
        ("R1 tr 0 0", "", "tied"),
        ("R1 tr vdd 10k", "signal tr 0V .. 3V", "moved"),
        ("R1 tr vdd 10k\nSW1 tr 0 BUTTON", "", "high"),
    ],
)
def test_a_trigger_at_rest(lines: str, intent: str, rest: str) -> None:
    """Below a third of the supply low, above two thirds high, between moved; a button counts as open."""
    of = book(f"{SHOT_BOARD}{lines}\n", SHOT, intent)
    assert fact(of, "trigger.rest").value == rest
    assert fact(of, "trigger.edge").value == "falling"


def test_a_trigger_that_nothing_rests_or_describes_is_unknown() -> None:
    """A pin that is not there, an edge that the part file does not give, a net that nothing holds."""
    assert unknown(book(CENTRED, PLAIN), "trigger.rest").missing == ("trigger pin",)
    assert unknown(book(CENTRED, PLAIN), "trigger.edge").missing == ("PL1 trigger.edge",)
    assert isinstance(fact(book(f"{SHOT_BOARD}C1 tr 0 1n\n", SHOT), "trigger.rest").value, Unknown)


def test_a_gate_s_output_moves_a_trigger() -> None:
    """What a gate drives has two states."""
    of = book(f"{SHOT_BOARD}XG1 kick tr vdd 0 TG1\n", SHOT + GATES)
    assert fact(of, "trigger.rest").value == "moved"
