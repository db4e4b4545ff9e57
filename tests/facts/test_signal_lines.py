"""What comes in on a trigger or signal pin, whose word it is, and what is named where nobody says."""

import pytest

from drc.facts.model import Unknown
from tests.facts.chain_boards import block, chained
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, part, span, unknown

LEVELS = 'low = "0.3 supply", high = "0.7 supply"'
BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt in TX1
RT rt 0 100k 0%
RA vdd cfg 30k 0%
RB cfg 0 10k 0%
R9 in 0 10k
"""
SHOT = part(
    "TX1",
    "one-shot",
    "trigger",
    f'input.trigger = {{ {LEVELS}, width = "40ns" }}\n'
    'trigger = { edge = "rising", retriggerable = false, recovery = "5us" }',
)
DELAY = part(
    "TX1",
    "edge-delay",
    "signal",
    f'input.signal = {{ {LEVELS}, width = "70ns" }}\nsignal = {{ edges = "rising" }}',
)
STATED = "signal in period 5ms .. 6ms, high 1ms .. 2ms, bounce 3ms"


@pytest.mark.parametrize(("parts", "role", "width"), [(SHOT, "trigger", 40e-9), (DELAY, "signal", 70e-9)])
def test_the_pulses_on_the_pin_that_takes_them(parts: str, role: str, width: float) -> None:
    """Period, high and bounce as stated, low what is left of the period; the rest by the part file."""
    of = book(BOARD, parts, STATED)
    for name, ends in {
        "period": (5e-3, 5.5e-3, 6e-3),
        "high": (1e-3, 1.5e-3, 2e-3),
        "low": (3e-3, 4e-3, 5e-3),
        "bounce": (3e-3, 3e-3, 3e-3),
    }.items():
        found = fact(of, f"signal.{name}")
        assert found.span is not None
        assert (found.span.low, found.span.middle, found.span.high) == pytest.approx(ends), name
        assert found.law == f"{name} of the signal on in"
        assert [each.label for each in found.inputs] == ["in period", "in high", "in bounce"]
        assert found.name == f"signal.{name}"
    assert fact(of, "signal.origin").value == "statement"
    rated = fact(of, "signal.width_rated")
    assert rated.span is not None
    assert rated.span.middle == pytest.approx(width)
    assert rated.law == f"the part file's shortest pulse on the {role} pin"


@pytest.mark.parametrize(("parts", "role"), [(SHOT, "trigger"), (DELAY, "signal")])
def test_what_nobody_says_of_the_pulses_is_named(parts: str, role: str) -> None:
    """Each part by the net's name; the shortest pulse by the part file's gap."""
    of = book(BOARD, parts)
    for name in ("period", "high", "low", "bounce"):
        assert unknown(of, f"signal.{name}") == Unknown(
            f"nothing states the {name} of in", (f"signal in {name}",)
        )
    assert fact(of, "signal.origin").value == "nobody"
    for silent in (
        parts.replace(', width = "40ns"', "").replace(', width = "70ns"', ""),
        _without_inputs(parts),
    ):
        assert unknown(book(BOARD, silent), "signal.width_rated").missing == (f"TX1 input.{role}.width",)


def _without_inputs(parts: str) -> str:
    """The part with nothing said of its inputs."""
    return "\n".join(line for line in parts.splitlines() if not line.startswith("input."))


def test_a_block_without_such_a_pin_has_no_pulses() -> None:
    """Of an oscillator each is unknown, and nobody's word."""
    of = book(CENTRED, PLAIN)
    for name in ("period", "high", "low", "bounce"):
        assert unknown(of, f"signal.{name}") == Unknown("XU1 has no trigger or signal pin")
    assert fact(of, "signal.origin").value == "nobody"
    assert unknown(of, "signal.width_rated").missing == ("PL1 input.signal.width",)
    assert unknown(of, "signal.slack").missing == ("PL1 signal.edges",)
    assert unknown(of, "trigger.slack").missing == ("PL1 trigger.edge",)
    assert unknown(of, "trigger.ignored").missing == ("PL1 trigger.edge",)
    assert unknown(of, "timing.active").missing == ("PL1 trigger.retriggerable",)


@pytest.mark.parametrize(
    ("more", "intent", "origin"),
    [
        ("V2 in 0 PULSE(0 3 0 1n 1n 1m 5m)", "", "source"),
        ("V2 in 0 PULSE(0 3 0 1n 1n 1m 5m)", "signal in period 4ms", "statement"),
        ("V2 in 0 3", "", "nobody"),
        ("", "signal in 0V .. 1V", "nobody"),
    ],
)
def test_whose_word_the_pulses_are(more: str, intent: str, origin: str) -> None:
    """A statement before a source before nobody; a voltage alone says nothing of pulses."""
    assert fact(book(f"{BOARD}{more}\n", SHOT, intent), "signal.origin").value == origin


def test_pulses_of_another_block_are_the_chain_s() -> None:
    """Its output on the trigger."""
    of = chained(block("U1", "TO1", "tick", "vdd") + block("U2", "TS1", "out", "tick"))
    assert fact(of, "signal.origin", "XU2").value == "chain"
    assert fact(of, "signal.origin", "XU1").value == "nobody"


STEERED = CENTRED.replace("R3 rt 0 100k tol=1%", "R3 rt 0 100k tol=0%\nR4 rt ctl 100k tol=0%")
STILL = "ambient 25degC .. 25degC"


def test_the_ends_of_steering_by_hand() -> None:
    """0.5 V over 100k and (0.5 V - V) over 100k: 10 uA at 0 V, 5 uA at 0.5 V, none at 1 V.

    T = 2 us * 10 * 20 uA / I * V / 0.5 V, 25 kHz and 12.5 kHz; the pin's 2 % count where V / I moves with
    them: 0.49 / 0.48 and 0.51 / 0.52 at 0.5 V, nothing at 0 V. The part's 1 % counts at both.
    """
    of = book(STEERED, PLAIN, f"{STILL}\nsignal ctl 0V .. 0.5V")
    fast, slow = span(of, "timing.steering_high"), span(of, "timing.steering_low")
    assert fast.nominal == pytest.approx(25e3)
    assert slow.nominal == pytest.approx(12.5e3)
    assert (fast.low, fast.high) == pytest.approx((25e3 / 1.01, 25e3 / 0.99))
    assert slow.low == pytest.approx(12.5e3 / 1.01 * 0.48 / 0.49)
    assert slow.high == pytest.approx(12.5e3 / 0.99 * 0.52 / 0.51)
    zero = span(of, "steering.zero")
    assert zero.nominal == pytest.approx(1.0)
    assert fact(of, "timing.steering_high").name == "timing.steering_high"
    assert fact(of, "steering.zero").name == "steering.zero"


def test_what_nothing_steers_has_no_ends() -> None:
    """A plain resistor to ground."""
    of = book(CENTRED, PLAIN, STILL)
    for name in ("timing.steering_low", "timing.steering_high", "steering.zero"):
        assert unknown(of, name).missing == ("control signal",)


ENABLED = PLAIN.replace('"rate", "enable"]', '"rate", "enable", "reset"]').replace(
    "input.enable", f'input.reset = {{ {LEVELS}, active = "high" }}\ninput.enable'
)
BOTH = CENTRED.replace("rt vdd PL1", "rt {} {} PL1")


@pytest.mark.parametrize(
    ("enable", "reset", "value", "law"),
    [
        ("vdd", "0", "always", "by the level of the enable and reset pin"),
        ("0", "0", "never", "0 holds its enable pin inactive"),
        ("vdd", "vdd", "never", "vdd holds its reset pin active"),
        ("0", "vdd", "never", "0 holds its enable pin inactive"),
        ("x", "vdd", "never", "vdd holds its reset pin active"),
        ("moved", "0", "switched", "by the level of the enable and reset pin"),
        ("vdd", "moved", "switched", "by the level of the enable and reset pin"),
        ("moved", "vdd", "never", "vdd holds its reset pin active"),
        ("moved", "moved", "switched", "by the level of the enable and reset pin"),
    ],
)
def test_enable_and_reset_together(enable: str, reset: str, value: str, law: str) -> None:
    """Either can stop the block for good; one that moves makes it switched; both let it run."""
    lines = BOTH.format(enable, reset) + "R9 moved 0 1k\nC9 x 0 1n\n"
    found = fact(book(lines, ENABLED, f"{STILL}\nsignal moved period 1s"), "block.running")
    assert (found.value, found.law, found.name) == (value, law, "block.running")


def test_one_unknown_pin_leaves_it_open_whether_the_block_runs() -> None:
    """Enable floats, reset lets it run; or the other way round: the floating net is named."""
    for pins in (("x", "0"), ("vdd", "x")):
        of = book(BOTH.format(*pins) + "C9 x 0 1n\n", ENABLED, STILL)
        assert unknown(of, "block.running").missing == ("voltage of x",)
    silent = ENABLED.replace(', active = "high" }\ninput.enable', " }\ninput.enable")
    of = book(BOTH.format("vdd", "0"), silent, STILL)
    assert unknown(of, "block.running") == Unknown(
        "part PL1 does not say at which level its reset pin is active", ("PL1 reset active",)
    )
    unsaid = PLAIN.replace('input.enable = { low = "0.3 supply", high = "0.7 supply", active = "high" }', "")
    assert unknown(book(CENTRED, unsaid, STILL), "block.running").missing == ("PL1 enable active",)


def test_the_reset_table_goes_before_the_input_s_own_word() -> None:
    """`reset = { active = "low" }` with the pin on the supply: it runs."""
    both = ENABLED.replace("input.reset", 'reset = { active = "low" }\ninput.reset')
    assert fact(book(BOTH.format("vdd", "vdd"), both, STILL), "block.running").value == "always"
    assert fact(book(BOTH.format("vdd", "0"), both, STILL), "block.running").value == "never"
    alone = both.replace(', active = "high" }\ninput.enable', " }\ninput.enable")
    assert fact(book(BOTH.format("vdd", "vdd"), alone, STILL), "block.running").value == "always"


def test_a_block_without_such_pins_always_runs() -> None:
    """And says why."""
    of = book(BOARD, SHOT)
    assert (fact(of, "block.running").value, fact(of, "block.running").law) == (
        "always",
        "XU1 has no enable or reset pin",
    )


def test_a_block_that_never_runs_has_no_time() -> None:
    """Each timing fact says why; what its function lacks is said before."""
    of = book(BOTH.format("0", "0"), ENABLED, STILL)
    found = fact(of, "timing.frequency")
    assert found.value == Unknown("XU1 never runs: 0 holds its enable pin inactive", ("block.running",))
    assert found.law == "0 holds its enable pin inactive"
    lacking = fact(of, "timing.pulse_width")
    assert lacking.value == Unknown("an oscillator has no pulse width")
    assert lacking.law == ""
    shot = book(BOARD, SHOT)
    assert unknown(shot, "timing.delay_rising") == Unknown("a one-shot has no delay rising")
    late = book(BOARD, DELAY)
    assert unknown(late, "timing.duty") == Unknown("an edge-delay has no duty")
    assert unknown(late, "timing.duty.rss") == Unknown("an edge-delay has no duty")
