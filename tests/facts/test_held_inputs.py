"""What holds the inputs of a block, how near to their levels and limits they stand, how slowly they move.

By hand: dividers by Ohm's law, 10 % to 90 % of a step through R and C in R C ln 9 (circuit theory).
"""

import math

import pytest

from drc.blocks.model import Relative
from drc.facts.book import Book
from drc.facts.input_levels import holds
from drc.facts.inputs import excess, limited_inputs
from drc.facts.model import Cases, Unknown
from tests.facts.chain_boards import GATES
from tests.facts.timing_boards import block, book, fact, part, span, unknown

STILL = "ambient 25degC .. 25degC\nassume R* tempco 0ppm\nassume C* tempco +/- 0ppm\n"
LEVELS = 'low = "0.3 supply", high = "0.7 supply"'
PULSES = 'edge = "rising", retriggerable = false, recovery = "0s"'


def shot(trigger: str = LEVELS, reset: str = LEVELS, *, edge: str = PULSES) -> str:
    """A one-shot with a trigger and a reset pin of these figures."""
    more = f"input.trigger = {{ {trigger} }}\ninput.reset = {{ {reset} }}\n"
    return part("TH1", "one-shot", "trigger reset", f"{more}trigger = {{ {edge} }}") + GATES


ROW = "XU1 vdd cfg out {} rt tr rs TH1\nRT rt 0 100k 0%\nRA vdd cfg 50k 0%\nRB cfg 0 30k 0%\n"
SUPPLY = "V1 vdd 0 3\n.model DX D(IS=1e-14)\n"
HIGH = "R9 rs vdd 10k 0%\n"
"""The reset pin held high."""


def board(
    lines: str, intent: str = "", parts: str | None = None, ground: str = "0", supply: str = SUPPLY
) -> Book:
    """The one-shot with some lines on its trigger `tr` and its reset `rs`."""
    return book(f"{supply}{ROW.format(ground)}{lines}\n", parts or shot(), STILL + intent)


@pytest.mark.parametrize(
    ("lines", "role"),
    [
        ("R1 tr vdd 10k\nR9 rs 0 10k", "none"),
        ("R1 tr vdd 10k", "reset"),
        (HIGH, "trigger"),
        ("", "reset"),
        ("X9 tr 0 MYSTERY", "reset"),
        ("X9 rs 0 MYSTERY", "trigger"),
    ],
)
def test_the_first_input_that_nothing_holds(lines: str, role: str) -> None:
    """Reset before trigger; one that certainly floats before one that may."""
    of = board(lines)
    found = fact(of, "input.floating")
    assert found.value == role
    net = {"reset": "rs", "trigger": "tr", "none": ""}[role]
    assert found.law == (
        f"nothing on {net} holds a level, and the pin has no pull of its own"
        if net
        else "each input is held, driven or pulled"
    )


def test_of_several_doubts_the_first_is_told() -> None:
    """Both inputs on parts that nobody knows: that of the reset pin."""
    value = fact(board("X9 tr 0 MYSTERY\nX8 rs 0 RIDDLE"), "input.floating").value
    assert isinstance(value, Unknown)
    assert value.missing == ("X8",)
    value = fact(board(f"{HIGH}X9 tr 0 MYSTERY"), "input.floating").value
    assert isinstance(value, Unknown)
    assert value.missing == ("X9",)


@pytest.mark.parametrize(
    ("lines", "intent", "held"),
    [
        ("R1 tr vdd 10k", "", True),
        ("R1 tr far 10k", "", False),
        ("R1 tr far 10k", "signal far 0V .. 3V", True),
        ("R1 tr far 10k", "signal far period 1ms", True),
        ("R1 tr far 10k", "signal rs period 1ms", False),
        ("", "signal tr period 1ms", True),
        ("D1 tr vdd DX", "", False),
        ("D1 0 tr DX", "", False),
        ("V9 low 0 -2\nD1 low tr DX", "", False),
        ("V9 low 0 -2\nD1 tr low DX", "", True),
        ("D1 vdd tr DX", "", True),
        ("D1 tr 0 DX", "", True),
        ("D1 tr vdd DX\nD2 0 tr DX", "", False),
        ("D1 tr vdd DX\nD2 tr 0 DX", "", True),
        ("D1 0 tr DX\nD2 vdd tr DX", "", True),
        ("R1 tr m 10k\nD1 m vdd DX", "", True),
        ("I1 0 tr 1u", "", True),
        ("I1 0 tr 0", "", False),
        ("I1 0 tr 0\nI2 tr 0 1u", "", True),
        ("SW1 tr 0 BUTTON", "", False),
        ("XG1 kick tr vdd 0 TG1", "", True),
    ],
)
def test_what_holds_a_pin(lines: str, intent: str, held: bool) -> None:
    """A way to a held net but a clamp's, a statement, a current, an output; an open button holds nothing."""
    of = board(lines, intent)
    net = of.board.circuit.net("tr")
    assert net is not None
    assert holds(of, block(of), "trigger", net) is held


@pytest.mark.parametrize(
    ("lines", "missing"),
    [
        ("X9 tr 0 MYSTERY", "X9"),
        ("SW1 tr 0 BUTTON\nX9 tr 0 MYSTERY", "X9"),
        ("J1 tr PLUG", "signal tr"),
        ("R1 tr far 1k\nJ1 far PLUG", "signal tr"),
    ],
)
def test_what_may_hold_a_pin_is_named(lines: str, missing: str) -> None:
    """A part whose currents nobody knows; a world behind a connector, whose signal is not stated."""
    of = board(lines)
    net = of.board.circuit.net("tr")
    assert net is not None
    found = holds(of, block(of), "trigger", net)
    assert isinstance(found, Unknown)
    assert found.missing == (missing,)


def test_a_pull_of_the_pin_s_own_holds_it() -> None:
    """The part file gives it, whatever else is on the net."""
    parts = shot(f'{LEVELS}, pull = "down 100kohm"')
    of = board("X9 tr 0 MYSTERY", parts=parts)
    net = of.board.circuit.net("tr")
    assert net is not None
    assert holds(of, block(of), "trigger", net) is True
    assert fact(of, "input.floating").value == "reset"


FIXED = 'low = "0.8V", high = "2V"'


@pytest.mark.parametrize(
    ("levels", "upper", "lower", "margin"),
    [
        (LEVELS, 10e3, 90e3, 2.7 - 2.1),
        (LEVELS, 90e3, 10e3, 0.9 - 0.3),
        (LEVELS, 50e3, 50e3, 0.9 - 1.5),
        (LEVELS, 40e3, 60e3, 1.8 - 2.1),
        (FIXED, 10e3, 90e3, 2.7 - 2.0),
        (FIXED, 90e3, 10e3, 0.8 - 0.3),
        (FIXED, 50e3, 50e3, -0.5),
        ('low = "0.1 supply + 0.2V", high = "0.5 supply + 0.4V"', 10e3, 90e3, 2.7 - 1.9),
        ('low = "0.1 supply + 0.2V", high = "0.5 supply + 0.4V"', 90e3, 10e3, 0.5 - 0.3),
    ],
)
@pytest.mark.parametrize("lift", [0.0, 1.0])
def test_how_far_a_pin_stands_from_its_levels(
    levels: str, upper: float, lower: float, margin: float, lift: float
) -> None:
    """max(V_low - V, V - V_high) above the block's own ground, which may be lifted with its supply."""
    supply = f"V8 g 0 {lift}\nV1 vdd g 3\n"
    of = board(
        f"R1 vdd tr {upper} 0%\nR2 tr g {lower} 0%\nR9 rs vdd 0", "", shot(levels), "g" if lift else "0",
        supply if lift else SUPPLY + "R7 g 0 0\n",
    )  # fmt: skip
    found = span(of, "input.level_margin")
    assert found.middle == pytest.approx(margin)
    assert (found.low, found.high) == pytest.approx((margin, margin))
    assert fact(of, "input.level_worst").value == "trigger"
    assert fact(of, "input.level_margin").law == "max(V_low - V, V - V_high)"
    assert fact(of, "input.level_worst").law == "the input nearest to neither level"


def test_the_worse_of_two_inputs() -> None:
    """2.7 V is 0.6 V clear, 2.4 V only 0.3 V: whichever pin stands there."""
    near, far = "R{0} vdd {1} 10k 0%\nR{2} {1} 0 40k 0%\n", "R{0} vdd {1} 10k 0%\nR{2} {1} 0 90k 0%\n"
    for trigger, reset, worst in ((near, far, "trigger"), (far, near, "reset")):
        of = board(trigger.format(1, "tr", 2) + reset.format(3, "rs", 4))
        assert span(of, "input.level_margin").middle == pytest.approx(0.3)
        assert fact(of, "input.level_worst").value == worst


def test_an_input_whose_level_is_not_known_is_not_the_worst() -> None:
    """A trigger that its own pull holds, beside a part that nobody knows: the reset's 0.3 V are told."""
    parts = shot(f'{LEVELS}, pull = "down 100kohm"')
    of = board("X9 tr 0 MYSTERY\nR3 vdd rs 10k 0%\nR4 rs 0 40k 0%", parts=parts)
    assert span(of, "input.level_margin").middle == pytest.approx(0.3)
    assert fact(of, "input.level_worst").value == "reset"


def test_an_input_of_several_states_counts_by_its_worst() -> None:
    """A source of 3 V and 1.5 V: 0.9 V clear and 0.6 V between the levels, against 0.3 V of the reset."""
    of = board("R1 tr sq 1k\nV9 sq 0 PULSE(1.5 3 0 1n 1n 1m 2m)\nR3 vdd rs 10k 0%\nR4 rs 0 40k 0%")
    assert fact(of, "input.level_worst").value == "trigger"
    value = fact(of, "input.level_margin").value
    assert isinstance(value, Cases)
    assert [each.label for each in value.cases] == ["sq = 1.5 V", "sq = 3 V"]
    assert [each.value.middle for each in value.cases] == pytest.approx([-0.6, 0.9])


@pytest.mark.parametrize(
    ("lines", "intent", "trigger"),
    [
        ("R9 rs vdd 0\nR1 tr far 10k", "", LEVELS),
        ("R9 rs vdd 0\nR1 tr vdd 10k", "signal tr 0V .. 3V", LEVELS),
        ("R9 rs vdd 0\nXU2 vdd cfg tr 0 r2 k2 k3 TH1\nR8 r2 0 100k", "", LEVELS),
        ("R9 rs vdd 0\nR1 tr vdd 10k", "", 'low = "0.3 supply"'),
        ("R9 rs vdd 0\nR1 tr vdd 10k", "", 'high = "0.7 supply"'),
        ("R9 rs vdd 0\nR1 tr vdd 10k", "", 'width = "1us"'),
    ],
)
def test_an_input_that_has_no_distance(lines: str, intent: str, trigger: str) -> None:
    """Floating, moved by a stated signal, driven by another block, or of levels that are not given."""
    of = board(lines, intent, shot(trigger, 'width = "1us"'))
    assert unknown(of, "input.level_margin").missing == ("XU1 inputs",)
    assert unknown(of, "input.level_worst").missing == ("XU1 inputs",)


def test_a_signal_of_pulses_alone_leaves_the_level_to_the_resistors() -> None:
    """`signal tr period 1ms` says nothing of a voltage: the pull-up's 3 V are 0.9 V clear."""
    of = board("R9 rs vdd 0\nR1 tr vdd 10k", "signal tr period 1ms")
    assert span(of, "input.level_margin").middle == pytest.approx(0.9)


@pytest.mark.parametrize("pin", ["vdd", "0"])
def test_an_input_on_the_block_s_own_rails_is_not_judged(pin: str) -> None:
    """Straight on its supply or its ground: at the level by construction, and never slow."""
    row = ROW.format("0").replace("rt tr rs", f"rt {pin} {pin}")
    of = book(f"{SUPPLY}{row}C9 vdd 0 1u\n", shot(), STILL)
    for name in ("input.level_margin", "input.edge_time", "input.slowest", "input.hysteresis"):
        assert unknown(of, name).missing == ("XU1 inputs",), name


@pytest.mark.parametrize(
    ("lines", "seconds", "role"),
    [
        ("R1 tr vdd 10k 0%\nC1 tr 0 1n 0%", 10e3 * 1e-9, "trigger"),
        ("R1 tr vdd 10k 0%\nR2 tr 0 10k 0%\nC1 tr 0 1n 0%\nC2 tr vdd 1n 0%", 5e3 * 2e-9, "trigger"),
        ("R1 tr vdd 10k 0%\nC1 tr 0 1n 0%\nR9 rs vdd 20k 0%\nC9 rs 0 1n 0%", 20e3 * 1e-9, "reset"),
        ("R1 tr vdd 10k 0%\nC1 tr 0 3n 0%\nR9 rs vdd 20k 0%\nC9 rs 0 1n 0%", 10e3 * 3e-9, "trigger"),
        ("C1 tr 0 1n 0%\nR9 rs vdd 20k 0%\nC9 rs 0 1n 0%", 20e3 * 1e-9, "reset"),
        ("R1 tr vdd 10k 0%\nC1 tr 0 {NOPE}\nR9 rs vdd 20k 0%\nC9 rs 0 1n 0%", 20e3 * 1e-9, "reset"),
        ("X8 tr 0 MYSTERY\nC1 tr 0 1n 0%\nR9 rs vdd 20k 0%\nC9 rs 0 1n 0%", 20e3 * 1e-9, "reset"),
        ("R1 tr vdd 10k 0%\nR9 rs vdd 20k 0%\nC9 rs 0 1n 0%", 20e3 * 1e-9, "reset"),
    ],
)
def test_the_slowest_input(lines: str, seconds: float, role: str) -> None:
    """R C ln 9 of the largest R C; an open, unknown or bare input is passed over."""
    of = board(lines)
    found = span(of, "input.edge_time")
    assert found.middle == pytest.approx(seconds * math.log(9))
    assert found.low == pytest.approx(found.high)
    assert fact(of, "input.edge_time").law == "t = ln 9 R C"
    assert (fact(of, "input.slowest").value, fact(of, "input.slowest").law) == (
        role,
        "the input behind the largest R C",
    )


SLOW = "R9 rs vdd 10k\nR1 tr vdd 10k\nC1 tr 0 1n"


@pytest.mark.parametrize(
    ("figure", "volts"),
    [
        ('hysteresis = "0.1 supply"', 0.3),
        ('hysteresis = "0.25V"', 0.25),
        ('hysteresis = "0.1 supply + 0.1V"', 0.4),
    ],
)
def test_the_hysteresis_of_the_slowest_input(figure: str, volts: float) -> None:
    """A share of 3 V, a voltage, or both."""
    found = span(board(SLOW, parts=shot(f"{LEVELS}, {figure}")), "input.hysteresis")
    assert (found.low, found.nominal, found.high) == pytest.approx((volts, volts, volts))


def test_a_hysteresis_that_is_not_known_is_named() -> None:
    """Not in the part file; or a share of a supply that nothing states."""
    assert unknown(board(SLOW), "input.hysteresis").missing == ("TH1 input.trigger.hysteresis",)
    bare = part("TH1", "one-shot", "trigger reset", f"trigger = {{ {PULSES} }}")
    assert unknown(board(SLOW, parts=bare), "input.hysteresis").missing == ("TH1 input.trigger.hysteresis",)
    dark = f"{ROW.format('0')}V9 v9 0 3\nR9 rs v9 10k\nR1 tr v9 10k\nC1 tr 0 1n\n"
    of = book(dark, shot(f'{LEVELS}, hysteresis = "0.1 supply"'), STILL)
    assert unknown(of, "input.hysteresis").missing == ("voltage of vdd",)
    of = book(dark, shot(f'{LEVELS}, hysteresis = "0.1V"'), STILL)
    assert span(of, "input.hysteresis").middle == 0.1


@pytest.mark.parametrize(
    ("supply", "lines", "missing"),
    [
        ("V1 vdd 0 0\n", "R1 tr 0 10k", "supply.voltage"),
        ("", "R1 tr 0 10k", "voltage of vdd"),
        (SUPPLY, "C1 tr 0 1n", "voltage of tr"),
        (SUPPLY, "D1 tr vdd DX", "voltage of tr"),
        (SUPPLY, "D1 0 tr DX", "voltage of tr"),
        (SUPPLY, "X9 tr 0 MYSTERY", "X9"),
    ],
)
def test_a_trigger_whose_rest_is_not_known(supply: str, lines: str, missing: str) -> None:
    """No supply to speak of, none that is stated, nothing but a clamp on the net, an unknown part."""
    of = book(f"{supply}{ROW.format('0')}{lines}\n", shot(), STILL)
    assert missing in unknown(of, "trigger.rest").missing


def test_a_lifted_ground_lifts_the_thirds() -> None:
    """Between 1 V and 4 V: 2.5 V is the middle, 1.9 V low, 3.1 V high."""
    for upper, lower, rest in ((10e3, 10e3, "moved"), (21e3, 9e3, "low"), (9e3, 21e3, "high")):
        of = board(f"R1 vdd tr {upper}\nR2 tr g {lower}", "", None, "g", "V8 g 0 1\nV1 vdd g 3\n")
        assert fact(of, "trigger.rest").value == rest
        assert fact(of, "trigger.rest").law == "the resistors on tr leave it there"


LIMIT = 'limit = "supply + 0.3V"'


@pytest.mark.parametrize(
    ("trigger", "reset", "volts", "worst", "over"),
    [
        (LIMIT, LIMIT, (3.5, 3.4), "trigger", 0.2),
        (LIMIT, LIMIT, (3.4, 3.5), "reset", 0.2),
        (LIMIT, LIMIT, (1.0, 2.0), "reset", -1.3),
        ('limit = "5V"', LIMIT, (4.5, 2.9), "reset", -0.4),
        ('limit = "4V"', LIMIT, (4.5, 2.9), "trigger", 0.5),
        (LIMIT, LEVELS, (1.0, 9.0), "trigger", -2.3),
    ],
)
def test_the_input_nearest_to_its_limit(
    trigger: str, reset: str, volts: tuple[float, float], worst: str, over: float
) -> None:
    """Each against its own limit; one without a limit does not count."""
    of = board(f"V8 tr 0 {volts[0]}\nV9 rs 0 {volts[1]}", parts=shot(trigger, reset))
    assert span(of, "input.excess").middle == pytest.approx(over)
    assert fact(of, "input.excess").law == f"V({worst} pin) - its limit"
    assert (fact(of, "input.worst").value, fact(of, "input.worst").law) == (
        worst,
        "the input nearest to its limit",
    )
    limits = limited_inputs(block(of))
    assert list(limits) == [
        role for role in ("trigger", "reset") if "limit" in {"trigger": trigger, "reset": reset}[role]
    ]


def test_an_input_of_several_states_counts_by_its_highest() -> None:
    """5 V or 0 V on the trigger against 4 V on the reset: 1.7 V over, in the one state."""
    of = board("V8 tr 0 PULSE(0 5 0 1n 1n 1m 2m)\nV9 rs 0 4", parts=shot(LIMIT, LIMIT))
    assert fact(of, "input.worst").value == "trigger"
    value = fact(of, "input.excess").value
    assert isinstance(value, Cases)
    assert [each.value.middle for each in value.cases] == pytest.approx([-3.3, 1.7])
    of = board("V8 tr 0 PULSE(0 3.5 0 1n 1n 1m 2m)\nV9 rs 0 4", parts=shot(LIMIT, LIMIT))
    assert fact(of, "input.worst").value == "reset"


@pytest.mark.parametrize(
    ("lines", "missing"),
    [
        ("X8 tr 0 MYSTERY\nV9 rs 0 4", ("X8",)),
        ("V8 tr 0 9\nX9 rs 0 RIDDLE", ("X9",)),
        ("X8 tr 0 MYSTERY\nX9 rs 0 RIDDLE", ("X8", "X9")),
    ],
)
def test_an_input_whose_voltage_is_not_known_leaves_the_worst_unknown(
    lines: str, missing: tuple[str, ...]
) -> None:
    """Whatever the other stands at."""
    of = board(lines, parts=shot(LIMIT, LIMIT))
    for name in ("input.excess", "input.worst"):
        assert unknown(of, name).missing == missing


def test_what_an_excess_lacks_is_named() -> None:
    """The part file's limit, the supply, or the pin."""
    plain = board("V8 tr 0 1\nV9 rs 0 1")
    assert unknown(plain, "input.excess").missing == ("TH1 input limit",)
    assert unknown(plain, "input.worst").missing == ("TH1 input limit",)
    limits = shot(LIMIT, LIMIT)
    dark = book(f"{ROW.format('0')}V8 tr 0 1\nV9 rs 0 1\n", limits, STILL)
    assert unknown(dark, "input.excess").missing == ("voltage of vdd",)
    of = board("V8 tr 0 1\nV9 rs 0 1", parts=limits)
    assert excess(of, block(of), "enable", Relative(1.0, 0.3)) == Unknown(
        "XU1 has no enable pin", ("XU1 enable pin",)
    )
