"""What an output works, at the edges of what counts: how far, how small, how wired; and what is told."""

from itertools import pairwise

import pytest

from drc.facts.behind_output import loads
from drc.facts.model import Fact, Unknown
from tests.facts.chain_boards import GATES, MODELS
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.test_behind_output import LOW_SIDE
from tests.facts.test_input_pins import SHOT, SHOT_BOARD
from tests.facts.timing_boards import block, book, fact

PARTS = PLAIN + GATES + LOW_SIDE
COIL = "L9 vdd c 100m\n"


def worked(lines: str, intent: str = "") -> list[tuple[str, str, bool]]:
    """Path, output net and sense of each load on the centred board."""
    of = book(f"{CENTRED}{MODELS}.model DX D(IS=1e-14)\n{lines}\n", PARTS, intent)
    return [(each.stage.path, each.stage.output.name, each.on_while_high) for each in loads(of, block(of))]


def told(name: str, lines: str, intent: str = "") -> Fact:
    """A fact of the centred board and more."""
    return fact(book(f"{CENTRED}{MODELS}.model DX D(IS=1e-14)\n{lines}\n", PARTS, intent), name)


def row(count: int) -> str:
    """So many resistors in a row from the output to a base."""
    nets = ["out", *(f"n{k}" for k in range(1, count)), "b"]
    return "".join(f"R1{k} {a} {b} 100\n" for k, (a, b) in enumerate(pairwise(nets)))


@pytest.mark.parametrize(("count", "reached"), [(1, True), (4, True), (5, False)])
def test_a_load_is_looked_for_four_steps_away(count: int, reached: bool) -> None:
    """Four resistors before the base, and no more."""
    assert bool(worked(f"{COIL}{row(count)}Q1 c b 0 NS")) is reached


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        # Beads hand a level on as resistors do; two ways to one base are one load.
        (f"{COIL}L5 out b 1u\nQ1 c b 0 NS", [("Q1", "c", True)]),
        (f"{COIL}R5 out b 1k\nR6 out b 1k\nQ1 c b 0 NS", [("Q1", "c", True)]),
        (f"{COIL}R5 out b 1k\nR6 b out 1k\nR7 out d 1k\nR8 d b 1k\nQ1 c b 0 NS", [("Q1", "c", True)]),
        # The nearer transistor first, then what lies behind.
        (f"{COIL}L8 vdd d 1\nR5 out b 1\nQ2 d b 0 NS\nQ1 c out 0 NS",
         [("Q1", "c", True), ("Q2", "d", True)]),
        # Behind a transistor that works no load of its own nothing is looked for.
        (f"{COIL}R5 vdd m 10k\nQ2 m out 0 NS\nQ1 c m 0 NS", []),
        # Neither through a switch: its output is another level.
        (f"{COIL}X5 vdd out m 0 TW1\nQ1 c m 0 NS", []),
        # A switch that the output feeds is not worked by it.
        ("L9 c 0 100m\nX5 out in c 0 TW1", []),
        # An output that is tied to a rail works nothing.
        (f"{COIL}Q1 c out 0 NS\nR5 out 0 0", []),
        # A base that stands on a rail is not the output's.
        (f"{COIL}R5 out vdd 1k\nQ1 c vdd 0 NS", []),
        # A resistor of 1 kohm is a load, one of more pulls a signal; so is one without a value.
        ("R9 vdd c 1k\nQ1 c out 0 NS", [("Q1", "c", True)]),
        ("R9 vdd c 1001\nQ1 c out 0 NS", []),
        ("R9 vdd c ?\nQ1 c out 0 NS", []),
        # A coil or lamp whose transistor's emitter is on a resistor works it not as a switch.
        (f"{COIL}Q1 c out e NS\nR8 e 0 10", []),
        # A channel or junction type conducts as its kind does, whatever it stands on; without a model as
        # an N-type on ground and a P-type on a rail.
        (f"{COIL}Q1 c out 0 PS", [("Q1", "c", False)]),
        ("L9 c 0 1\nM1 c out vdd MN", [("M1", "c", True)]),
        (f"{COIL}M1 c out 0 NOMODEL", [("M1", "c", True)]),
        ("L9 c 0 1\nM1 c out vdd NOMODEL", [("M1", "c", False)]),
        # A gate that may turn a level round or not leaves it open which way the load works.
        (f"{COIL}XG1 out y vdd 0 TG2\nQ1 c y 0 NS", []),
        (f"{COIL}XG1 out y vdd 0 TG1\nQ1 c y 0 NS", [("Q1", "c", False)]),
        # A transistor between rails works nothing.
        (f"{COIL}Q1 vdd out 0 NS\nM1 0 out vdd MP", []),
        # A diode that is no LED, and what is no diode whatever its name.
        ("D9 vdd c DX\nQ1 c out 0 NS", []),
        ("D9 vdd c\nQ1 c out 0 NS", []),
        ("J9 vdd c LED_PLUG\nQ1 c out 0 NS", []),
        # An adjustable part of three pins is no load that is known; a part of a file is none.
        (f"{COIL}M1 c out 0 0 MN", [("M1", "c", True)]),
        ("X8 c m vdd 0 TG1\nQ1 c out 0 NS", []),
        ("X8 vdd c LAMP\nR9 vdd c 10k\nQ1 c out 0 NS", [("Q1", "c", True)]),
        # Diodes: an LED by its part's name, in any letter case.
        ("D9 vdd c red_led\nQ1 c out 0 NS", [("Q1", "c", True)]),
        # Its own resistor on its own net is the transistor's, not a load; nor is a capacitor.
        ("C9 vdd c 1u\nQ1 c out 0 NS", []),
        ("R9 vdd c 100\nQ1 c out 0 NS\nQ2 x c 0 NS", [("Q1", "c", True)]),
    ],
)  # fmt: skip
def test_what_counts_as_worked(lines: str, expected: list[tuple[str, str, bool]]) -> None:
    """Case by case."""
    assert worked(lines) == expected


def test_what_is_not_fitted_hands_nothing_on_and_takes_nothing() -> None:
    """A base resistor, a transistor, a load resistor."""
    assert worked(f"{COIL}R5 out b 1k\nQ1 c b 0 NS", "fit R5 no") == []
    assert worked(f"{COIL}Q1 c out 0 NS", "fit Q1 no") == []
    assert worked("R9 vdd c 100\nQ1 c out 0 NS", "fit R9 no") == []
    assert worked("R9 vdd c 100\nQ1 c out 0 NS", "assume R9 value 2kohm") == []


def test_nets_that_are_joined_elsewhere_hand_a_level_on() -> None:
    """A statement joins the output to a base."""
    assert worked(f"{COIL}R8 b x 1k\nQ1 c b 0 NS", "same out b") == [("Q1", "c", True)]
    assert worked(f"{COIL}R8 b x 1k\nQ1 c b 0 NS") == []


def test_a_transistor_that_feeds_a_block_works_a_load_beside_it() -> None:
    """A supply or ground pin on its output is no signal; an input pin makes it one."""
    fed = "R6 rt2 0 100k\nXU2 {} cfg o2 {} rt2 {} PL1\nR9 vdd c 100\nQ1 c out 0 NS"
    assert worked(fed.format("vdd", "c", "vdd")) == [("Q1", "c", True)]
    assert worked(fed.format("vdd", "0", "c")) == []
    assert worked("L9 c 0 100m\nM1 c out vdd MP\nR6 rt2 0 100k\nXU2 c cfg o2 0 rt2 c PL1") == []


ACTIVE = """
[part.TA1]
title = "low-side switch"
source = "this test"
function = "transistor-switch"
pins = ["supply", "input", "output", "ground"]
supply = { rated = "2V .. 6V" }
switch = { side = "low", inverts = true, resistance = "50mohm" }
input.input = { active = "high" }

[part.TA2]
like = "TA1"
switch = { side = "high", inverts = false, resistance = "50mohm" }
input.input = { active = "low" }

[part.TA3]
like = "TA1"
switch = { side = "low", inverts = false, resistance = "50mohm" }
"""


@pytest.mark.parametrize(
    ("name", "high"),
    [("TA1", True), ("TA2", False), ("TA3", True), ("TW1", True), ("TH2", False), ("TL1", True)],
)
def test_a_switch_conducts_at_the_level_that_its_input_is_active_at(name: str, high: bool) -> None:
    """Low or high by the part file; a high-side switch that turns its level round conducts while low."""
    of = book(f"{CENTRED}X5 vdd out c 0 {name}\nL9 vdd c 100m\n", PARTS + ACTIVE)
    assert [each.on_while_high for each in loads(of, block(of))] == [high]
    assert fact(of, "load.inverted").value is not high


def test_a_block_without_an_output_works_nothing() -> None:
    """It has no load, no coil, no LED, and whether its output is used nobody can say."""
    pinless = PLAIN.replace('"strap", "output", "ground"', '"strap", "nc", "ground"')
    of = book(CENTRED, pinless)
    assert loads(of, block(of)) == ()
    assert fact(of, "output.unclamped").value == "none"
    assert fact(of, "output.bare_led").value == "none"
    assert fact(of, "output.used").value == Unknown("XU1 has no output pin", ("XU1 output pin",))
    for name in ("load.inverted", "load.at_rest"):
        assert fact(of, name).value == Unknown("no transistor with a load is behind XU1", ("load",))


def test_whether_loads_are_inverted_is_said_of_any() -> None:
    """One on the rail beside one on ground is enough."""
    both = f"{COIL}Q1 c out 0 NS\nM2 d out vdd MP\nL8 d 0 100m"
    assert worked(both) == [("Q1", "c", True), ("M2", "d", False)]
    found = told("load.inverted", both)
    assert (found.value, found.law) == (True, "by the kind of the transistor")
    assert told("load.inverted", f"{COIL}Q1 c out 0 NS").value is False


def resting(lines: str) -> Fact:
    """The load at rest of a one-shot that rests low."""
    return fact(book(f"{SHOT_BOARD}{MODELS}R1 tr vdd 10k\n{lines}\n", SHOT), "load.at_rest")


def test_a_load_at_rest_is_told_with_the_transistor_that_conducts() -> None:
    """The first that does; off where none does."""
    off = resting("M1 d out 0 MN\nL1 vdd d 1")
    assert (off.value, off.law) == ("off", "the output rests low")
    on = resting("M1 d out vdd MP\nL1 d 0 1")
    assert (on.value, on.law) == ("on", "the output rests low, and M1 conducts then")
    mixed = resting("M1 d out 0 MN\nL1 vdd d 1\nM2 e out vdd MP\nL2 e 0 1")
    assert (mixed.value, mixed.law) == ("on", "the output rests low, and M2 conducts then")


def test_a_load_behind_an_output_whose_rest_is_not_known_is_not_known() -> None:
    """As the rest is; an output that is left open says nothing of the load behind it."""
    unsaid = told("load.at_rest", f"{COIL}Q1 c out 0 NS")
    assert isinstance(unsaid.value, Unknown)
    assert unsaid.value.missing == ("PL1 output.disabled",)
    states = {}
    for level in ("open", "high"):
        said = PLAIN.replace('resistance = "25ohm" }', f'resistance = "25ohm", disabled = "{level}" }}')
        states[level] = book(f"{CENTRED}{MODELS}{COIL}Q1 c out 0 NS\n", said)
        assert fact(states[level], "output.rest").value == level
    assert fact(states["open"], "load.at_rest").value == Unknown(
        "the output of XU1 is left open at rest", ("output.rest",)
    )
    found = fact(states["high"], "load.at_rest")
    assert (found.value, found.law) == ("on", "the output rests high, and Q1 conducts then")


@pytest.mark.parametrize(
    ("lines", "value", "law"),
    [
        ("L1 vdd out 1", "L1", "no diode is on out beside L1"),
        ("M1 d out 0 MN\nL1 vdd d 1", "L1", "no diode is on d beside L1"),
        ("L1 vdd out 100u", "none", "no coil is switched without a diode"),
        ("L1 vdd out 101u", "L1", "no diode is on out beside L1"),
        ("L1 vdd out ?", "L1", "no diode is on out beside L1"),
        ("L1 vdd x 1\nR5 out x 0", "L1", "no diode is on x beside L1"),
        ("L2 vdd x 1\nR5 out x 0\nD5 out vdd DX", "L2", "no diode is on x beside L2"),
        # A clamp on either side of the coil, to wherever: what the output meets through it is a rail.
        ("L1 vdd out 1\nD5 out far DX", "none", "no coil is switched without a diode"),
        ("L1 vdd out 1\nL2 0 out 1", "L1", "no diode is on out beside L1"),
        ("L1 out x 1", "none", "no coil is switched without a diode"),
        ("L1 out v2 1\nR5 v2 vdd 0", "L1", "no diode is on out beside L1"),
        # A coil clamped at its own transistor does not clamp the next.
        (
            "M1 d out 0 MN\nL1 vdd d 1\nD1 d vdd DX\nM2 e out 0 MN\nL2 vdd e 1",
            "L2",
            "no diode is on e beside L2",
        ),
        ("L1 vdd out 1\nX5 out 0 tvs5", "none", "no coil is switched without a diode"),
        ("L1 vdd out 1\nR5 out 0 1k", "L1", "no diode is on out beside L1"),
    ],
)
def test_a_coil_and_what_takes_its_current_over(lines: str, value: str, law: str) -> None:
    """On the output, what it is joined to, or a load's transistor; beyond 100 uH, and to a rail."""
    found = told("output.unclamped", lines)
    assert (found.value, found.law) == (value, law)


def test_an_output_whose_levels_are_stated_still_works_its_coil() -> None:
    """What a statement says of its voltage makes no rail of it."""
    found = told("output.unclamped", "L1 vdd out 1", "signal out 0V .. 4V")
    assert found.value == "L1"
    assert told("output.bare_led", "D9 out 0 LED_RED", "signal out 0V .. 4V").value == "D9"


def test_a_coil_or_diode_that_is_left_out_does_not_count() -> None:
    """Either way round."""
    assert told("output.unclamped", "L1 vdd out 1", "fit L1 no").value == "none"
    assert told("output.unclamped", "L1 vdd out 1\nD1 out vdd DX", "fit D1 no").value == "L1"


@pytest.mark.parametrize(
    ("lines", "value", "law"),
    [
        ("D9 out 0 LED_RED", "D9", "D9 stands between out and a rail"),
        ("D9 vdd out led_green", "D9", "D9 stands between out and a rail"),
        ("R9 out a 0\nD9 a vdd LED_RED", "D9", "D9 stands between a and a rail"),
        ("D9 out v2 LED_RED\nR5 v2 0 0", "D9", "D9 stands between out and a rail"),
        ("D8 out 0 DX\nD9 out 0 LED_RED", "D9", "D9 stands between out and a rail"),
        ("D9 out far LED_RED", "none", "no LED stands between the output and a rail"),
        ("R9 out 0 LED_RED", "none", "no LED stands between the output and a rail"),
        ("D9 vdd 0 LED_RED", "none", "no LED stands between the output and a rail"),
        ("D9 out 0", "none", "no LED stands between the output and a rail"),
        ("D9 vdd 0 LED_RED\nL1 vdd out 1", "none", "no LED stands between the output and a rail"),
    ],
)
def test_an_led_on_the_output(lines: str, value: str, law: str) -> None:
    """Either way round, at the output or what it is joined to."""
    found = told("output.bare_led", lines)
    assert (found.value, found.law) == (value, law)


def test_whether_an_output_is_used_is_told_of_its_net() -> None:
    """Something drawn there, or a load stated of it."""
    for lines, intent, used in (
        ("", "", False),
        ("R9 out far 1k", "", True),
        ("", "load out 1mA", True),
        ("", "load vdd 1mA", False),
    ):
        found = told("output.used", lines, intent)
        assert (found.value, found.law) == (used, "what else is on out")


def test_a_rest_is_intended_by_what_speaks_of_it() -> None:
    """Any of the statements that name the block."""
    for intent, meant in (
        ("expect XU1 frequency 1kHz\nexpect XU1 rest low", True),
        ("expect XU9 rest low\nexpect XU1 code 2", True),
        ("expect XU9 rest low\nexpect XU1 period 1ms", False),
    ):
        found = told("rest.intended", "", intent)
        assert (found.value, found.law) == (meant, "an expect statement names its rest, polarity or code")
