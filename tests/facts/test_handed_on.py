"""The pulses that a block's output hands on, by hand from its own times and what comes in.

A clock of `parts` makes 2 us at 25 kohm: 80 us at 100 kohm and a prescale of 10, +/- 1 %.
"""

import pytest

from drc.facts.book import Book
from drc.facts.chains import chains
from drc.facts.handed_on import handed_on, output_train, train_arriving
from drc.facts.pulse_train import PulseTrain
from drc.quantity.span import Span
from drc.quantity.unit import SECOND
from tests.facts.chain_boards import chained, parts
from tests.facts.test_rc_timer import BOARD as ASTABLE
from tests.facts.test_rc_timer import parts as rc_parts
from tests.facts.timing_boards import block, book, part

STILL = "ambient 25degC .. 25degC\nassume R* tempco 0ppm\n"
ROW = "XU1 vdd cfg out 0 rt {} {}\nRT rt 0 100k 0%\nRA vdd cfg 50k 0%\nRB cfg 0 30k 0%\n"
OPEN = "XU1 vdd cfg out 0 rt {} {}\nRT rt 0 100k 0%\n"
OFFSET = 'offset = "1us .. 3us"'


def delay(edges: str, timing: str = OFFSET) -> str:
    """An edge delay of these edges: 80 us +/- 0.8 us, and 1 us to 3 us for each edge."""
    signal = f'signal = {{ edges = "{edges}", restart = true }}'
    return part("TD9", "edge-delay", "signal", signal, timing)


def made(
    parts_file: str, kind: str, intent: str, pin: str = "sig", strap: str = "RA vdd cfg 50k"
) -> PulseTrain:
    """The pulses of a lone block's output."""
    of = chained(ROW.format(pin, kind).replace("RA vdd cfg 50k", strap), STILL + intent, parts_file)
    return output_train(of, block(of))


def ends(span: Span | None) -> list[float] | None:
    """Low, middle and high in microseconds."""
    if span is None:
        return None
    assert span.unit == SECOND
    return [round(1e6 * value, 6) for value in (span.low, span.middle, span.high)]


STATED = "signal sig period 1ms, high 400us .. 600us, bounce 50us .. 150us\n"


def test_a_delay_of_rising_edges_takes_from_the_high_time_and_adds_to_the_low() -> None:
    """Rising 80.2, 82, 83.8 us; falling 1, 2, 3 us: high 400 - 83.8 + 1, 500 - 82 + 2, 600 - 80.2 + 3."""
    train = made(delay("rising"), "TD9", STATED)
    assert ends(train.period) == [1000, 1000, 1000]
    assert ends(train.high) == [317.2, 420, 522.8]
    assert ends(train.low) == [477.2, 580, 682.8]
    # What is left of a bounce: less than nothing is nothing.
    assert ends(train.bounce) == [0, 18, 69.8]


def test_a_delay_of_falling_edges_does_the_opposite() -> None:
    """Rising 1, 2, 3 us; falling 80.2, 82, 83.8 us."""
    train = made(delay("falling"), "TD9", STATED)
    assert ends(train.high) == [477.2, 580, 682.8]
    assert ends(train.low) == [317.2, 420, 522.8]
    assert ends(train.bounce) == [0, 18, 69.8]


@pytest.mark.parametrize("timing", [OFFSET, ""])
def test_a_delay_of_both_edges_alike_leaves_the_pulses_as_they_are(timing: str) -> None:
    """One law serves both edges of a pulse: not even its spread moves the width."""
    train = made(delay("both", timing), "TD9", STATED)
    assert ends(train.high) == [400, 500, 600]
    assert ends(train.low) == [400, 500, 600]


def test_high_and_low_times_are_kept_apart() -> None:
    """High 200 us to 300 us of 1 ms, low what is left: each is shifted by itself."""
    train = made(delay("rising"), "TD9", "signal sig period 1ms, high 200us .. 300us\n")
    assert ends(train.high) == [117.2, 170, 222.8]
    assert ends(train.low) == [777.2, 830, 882.8]


@pytest.mark.parametrize("edge", ["rising", "falling"])
def test_edges_of_figures_of_their_own_are_shifted_apart(edge: str) -> None:
    """One edge at 4 %, the other at 1 %: 76.8 .. 83.2 us and 79.2 .. 80.8 us, 4 us apart at most."""
    train = made(delay("both", f'{edge} = {{ error = "4%" }}'), "TD9", STATED)
    assert ends(train.high) == [396, 500, 604]
    assert ends(train.low) == [396, 500, 604]


def test_an_inverting_delay_turns_its_pulses_round() -> None:
    """Prescale 10 at code 3 as at code 1, inverted: what was high is low."""
    train = made(delay("rising"), "TD9", STATED, strap="RA vdd cfg 1k")
    assert ends(train.low) == [317.2, 420, 522.8]
    assert ends(train.high) == [477.2, 580, 682.8]
    assert ends(train.bounce) == [0, 18, 69.8]


def test_a_delay_whose_polarity_is_not_known_hands_on_its_period_alone() -> None:
    """Without the strap neither the polarity nor the delay is known; the period passes whatever they are."""
    of = chained(OPEN.format("sig", "TD9"), STILL + STATED, delay("both"))
    train = output_train(of, block(of))
    assert ends(train.period) == [1000, 1000, 1000]
    assert (train.high, train.low, train.bounce) == (None, None, None)
    assert [each.label for each in train.inputs] == ["sig period", "sig high", "sig bounce"]


def test_an_edge_that_passes_at_an_unknown_speed_leaves_the_widths_unknown() -> None:
    """No offset in the part file: how late the falling edges come is not known."""
    train = made(delay("rising", ""), "TD9", STATED)
    assert (train.high, train.low) == (None, None)
    assert ends(train.period) == [1000, 1000, 1000]
    assert ends(train.bounce) == [0, 20, 70.8]


@pytest.mark.parametrize(
    ("edges", "signal", "passes"),
    [
        ("rising", "high 70us", False),
        ("rising", "high 90us", True),
        ("rising", "low 90us", True),
        ("falling", "high 70us", True),
        ("falling", "high 900us", True),
        ("falling", "low 70us", False),
        ("both", "high 70us", False),
        ("both", "low 70us", False),
    ],
)
def test_pulses_shorter_than_the_delay_vanish(edges: str, signal: str, passes: bool) -> None:
    """82 us against what the signal holds; of what vanishes only the evidence stays."""
    train = made(delay(edges), "TD9", f"signal sig period 1ms, {signal}\n")
    if passes:
        assert ends(train.period) == [1000, 1000, 1000]
        assert train.high is not None
    else:
        assert train[:4] == (None, None, None, None)
        assert [each.label for each in train.inputs] == ["sig period", f"sig {signal.split(maxsplit=1)[0]}"]


def test_the_evidence_is_the_signal_and_both_delays() -> None:
    """In this order, each with its value, whose word it is and where."""
    train = made(delay("rising"), "TD9", STATED)
    assert [(each.label, each.value, each.origin) for each in train.inputs] == [
        ("sig period", "1 ms", "statement"),
        ("sig high", "400 us .. 600 us", "statement"),
        ("sig bounce", "50 us .. 150 us", "statement"),
        ("XU1 timing.delay_rising", "80.2 us .. 83.8 us (nominal 82 us)", "timing.delay_rising"),
        ("XU1 timing.delay_falling", "1 us .. 3 us (nominal 2 us)", "timing.delay_falling"),
    ]
    assert train.inputs[-1].place is not None


def test_a_delay_without_a_signal_pin_or_a_signal_hands_nothing_on() -> None:
    """Nothing comes in, nothing goes out."""
    none = part("TD9", "edge-delay", "enable", 'signal = { edges = "both", restart = true }')
    assert made(none, "TD9", "", "vdd") == PulseTrain()
    quiet = made(delay("both"), "TD9", "")
    assert quiet[:4] == (None, None, None, None)


def test_a_delay_that_waits_on_its_own_output_hands_nothing_on() -> None:
    """A ring of one has no time of its own that could be told."""
    of = chained(ROW.format("out", "TD9"), STILL, delay("both"))
    assert output_train(of, block(of)) == PulseTrain()


def test_a_clock_hands_on_its_period_alone() -> None:
    """80 us +/- 1 %; its high and low time are not known."""
    train = made(parts(), "TO1", "", "vdd")
    assert ends(train.period) == [79.2, 80, 80.8]
    assert (train.high, train.low, train.bounce) == (None, None, None)
    assert [(each.label, each.origin) for each in train.inputs] == [("XU1 timing.period", "timing.period")]


def test_a_modulator_s_duty_gives_its_high_time() -> None:
    """40 points +/- 2 of 80 us +/- 1 %: 79.2 * 0.38, 80 * 0.4, 80.8 * 0.42 us."""
    law = 'modulate = { full_scale = "0V .. 1V", duty = "0% .. 100%", error = "2points" }'
    train = made(part("TP9", "pulse-modulator", "modulate", law), "TP9", "signal m 0.4V\n", "m")
    assert ends(train.high) == [30.096, 32, 33.936]
    assert train.low is None
    assert [each.label for each in train.inputs] == ["XU1 timing.period", "XU1 timing.duty"]
    still = made(part("TP9", "pulse-modulator", "modulate", law), "TP9", "", "m")
    assert ends(still.period) == [79.2, 80, 80.8]
    assert still.high is None


@pytest.mark.parametrize(("strap", "level"), [("RA vdd cfg 50k", "high"), ("RA vdd cfg 1k", "low")])
def test_a_one_shot_s_pulse_is_high_or_low_by_its_polarity(strap: str, level: str) -> None:
    """80 us +/- 1 % at every trigger, 1 ms apart."""
    train = made(parts(), "TS1", "signal sig period 1ms, high 10us\n", strap=strap)
    assert ends(train.period) == [1000, 1000, 1000]
    other = {"high": "low", "low": "high"}[level]
    assert ends(getattr(train, level)) == [79.2, 80, 80.8]
    assert getattr(train, other) is None
    assert [each.label for each in train.inputs] == ["XU1 timing.period", "XU1 timing.pulse_width"]


def test_a_one_shot_whose_polarity_is_not_known_tells_no_level() -> None:
    """A strap that hangs on nothing leaves the pulse width unknown as well."""
    of = chained(OPEN.format("sig", "TS1"), STILL + "signal sig period 1ms, high 10us\n")
    train = output_train(of, block(of))
    assert (train.high, train.low) == (None, None)


def test_an_rc_timer_hands_on_its_cycle_or_its_pulse() -> None:
    """Astable: T = ln 2 (RA + 2 RB) C, high ln 2 (RA + RB) C; one-shot: a high pulse of ln 3 R C.

    Source: the charging law between thirds of the supply, any text on RC timers.
    """
    astable = book(ASTABLE.replace("C1 th 0 100n 0%", "C1 th 0 100n tol=0%"), rc_parts(), STILL)
    train = output_train(astable, block(astable))
    assert ends(train.period) == pytest.approx([3465.735903] * 3)
    assert ends(train.high) == pytest.approx([2079.441542] * 3)
    once = book(
        "V1 vdd 0 6\nXU1 vdd out c c cv go vdd 0 TR1\nRA vdd c 10k 0%\nC1 c 0 100n tol=0%\n",
        rc_parts(more='trigger = { edge = "falling", retriggerable = false, recovery = "0s" }'),
        STILL + "signal go period 10ms, low 10us\n",
    )
    train = output_train(once, block(once))
    assert ends(train.period) == [10000, 10000, 10000]
    assert ends(train.high) == pytest.approx([1098.612289] * 3)
    assert train.low is None


TWO = "XU1 vdd cfg out 0 rt sig TS1\nRT rt 0 100k 0%\nXU2 vdd cfg o2 0 rt2 {} TS1\nRT2 rt2 0 100k 0%\n" + (
    "RA vdd cfg 50k 0%\nRB cfg 0 30k 0%\n"
)
COMING = "signal sig period 1ms, high 10us\n"


def arrives(lines: str, pin: str = "out") -> tuple[Book, PulseTrain | None]:
    """What arrives at the second block's trigger."""
    of = chained(TWO.format(pin) + lines + "\n", STILL + COMING)
    net = of.board.circuit.net(pin)
    assert net is not None
    return of, train_arriving(of, net)


def test_what_arrives_is_completed_by_its_period() -> None:
    """A pulse of 80 us each ms leaves 920 us between: 1000 - 80.8 .. 1000 - 79.2."""
    _, train = arrives("")
    assert train is not None
    assert ends(train.high) == [79.2, 80, 80.8]
    assert ends(train.low) == [919.2, 920, 920.8]


def test_a_way_that_inverts_turns_the_pulses_round() -> None:
    """Through a transistor: high is low."""
    _, train = arrives("Q1 n out 0 NS\nR9 vdd n 10k", "n")
    assert train is not None
    assert ends(train.low) == [79.2, 80, 80.8]
    assert ends(train.high) == [919.2, 920, 920.8]


@pytest.mark.parametrize(("lines", "pin"), [("C9 out n 1n\nR9 n 0 10k", "n"), ("XG1 out n vdd 0 TG2", "n")])
def test_behind_a_capacitor_or_a_way_of_either_sense_the_widths_are_not_known(lines: str, pin: str) -> None:
    """Edges alone come through a capacitor; an exclusive-or may invert or not: the period is what is left."""
    _, train = arrives(lines, pin)
    assert train is not None
    assert ends(train.period) == [1000, 1000, 1000]
    assert (train.high, train.low) == (None, None)


def test_what_nobody_or_more_than_one_drives_has_no_train() -> None:
    """No chain, or two."""
    of, _ = arrives("")
    net = of.board.circuit.net("sig")
    assert net is not None
    assert train_arriving(of, net) is None
    both = chained(
        TWO.format("n") + "R8 out n 1k\nXU3 vdd cfg o3 0 rt3 sig TS1\nRT3 rt3 0 100k\nR9 o3 n 1k\n",
        STILL + COMING,
    )
    net = both.board.circuit.net("n")
    assert net is not None
    assert train_arriving(both, net) is None


def test_each_chain_hands_on_its_own_sense() -> None:
    """The same driver, straight and turned round."""
    of, _ = arrives("")
    (chain,) = chains(of)
    straight, turned = handed_on(of, chain), handed_on(of, chain._replace(inverted=True))
    assert (turned.high, turned.low) == (straight.low, straight.high)
    for unsure in (chain._replace(inverted=None), chain._replace(coupled=True)):
        train = handed_on(of, unsure)
        assert train == straight._replace(high=None, low=None)
