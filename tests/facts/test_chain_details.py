"""Chains in detail: levels of RC timers, switches and several rails, delays of unlike edges; by hand."""

import pytest

from tests.facts.chain_boards import block, chained, pair_fact, pair_span, pair_unknown, parts
from tests.facts.test_rc_timer import parts as rc_parts
from tests.facts.timing_boards import part, span, unknown

OSCILLATOR = block("U1", "TO1", "tick", "vdd")
TIMER = "XU2 vdd out2 dis th cv {trigger} vdd 0 TR1\nRA vdd dis 10k 0%\nRB dis th 20k 0%\nC1 th 0 100n 0%\n"
DELAY = 'input.signal = { low = "0.3 supply", high = "0.7 supply" }\n'


def with_timer(trigger: str, more: str = "") -> str:
    """An oscillator at 3 V, and an RC timer whose trigger hangs on a net."""
    return OSCILLATOR + TIMER.format(trigger=trigger) + more


def test_an_rc_timer_triggers_at_its_ladder() -> None:
    """A third of the supply, the ladder's 2 % either way: 3 V is 1.98 V above, 0 V is 0.98 V below."""
    board = chained(with_timer("tick"), part_file=parts() + rc_parts(error="2%").replace("TR1", "TR9"))
    assert board.subjects("pair") == ()
    board = chained(
        with_timer("tick").replace("TR1", "TR9"), part_file=parts() + rc_parts("2%").replace("TR1", "TR9")
    )
    path = "XU1 -> XU2 trigger"
    assert pair_span(board, "pair.high_wanted", path).middle == pytest.approx(1.02)
    assert pair_span(board, "pair.low_wanted", path).middle == pytest.approx(0.98)
    assert pair_span(board, "pair.high_margin", path).middle == pytest.approx(1.98)
    assert pair_span(board, "pair.low_margin", path).middle == pytest.approx(0.98)


def test_a_loaded_control_pin_leaves_the_trigger_s_level_unknown() -> None:
    """The ladder's thresholds move with the load; a capacitor alone moves nothing."""
    file = parts() + rc_parts("2%").replace("TR1", "TR9")
    for more, known in (("C5 cv 0 10n\n", True), ("R5 cv 0 10k\n", False)):
        board = chained(with_timer("tick", more).replace("TR1", "TR9"), part_file=file)
        found = pair_fact(board, "pair.high_wanted", "XU1 -> XU2 trigger")
        assert (found.span is not None) is known
        if not known:
            assert pair_unknown(board, "pair.high_wanted", "XU1 -> XU2 trigger").missing == ("control",)


@pytest.mark.parametrize(
    ("way", "high", "low"),
    [
        ("", 3.0, 0.0),
        ("R1 tick t 1k 0%\nR2 t vdd 1k 0%\n", 3.0, 3 * 1020 / 2020),
        ("R1 tick t 1k 0%\nR2 t 0 1k 0%\n", 3 * 1000 / 2020, 0.0),
        ("XG1 tick t vdd 0 TG1\nR2 t 0 1k 0%\n", 3 * 1000 / 1040, 0.0),
        ("R1 tick b 1k\nQ1 t b 0 NS\nR2 t vdd 1k 0%\n", 3.0, 0.1),
        ("M1 t tick vdd MP\nR2 t 0 1k 0%\n", 2.9, 0.0),
        ("R1 tick b 1k\nQ1 c b 0 NS\nR2 c vdd 1k 0%\nR3 c t 1k 0%\n", 3.0, 0.1),
    ],
)
def test_levels_that_arrive(way: str, high: float, low: float) -> None:
    """The divider law with the driver's 20 ohm or the gate's 40; a transistor that is on leaves 0.1 V."""
    pin = "t" if way else "tick"
    board = chained(OSCILLATOR + block("U2", "TS1", "out", pin) + way)
    assert pair_span(board, "pair.level_high").middle == pytest.approx(high)
    assert pair_span(board, "pair.level_low").middle == pytest.approx(low)


def test_an_xor_with_a_free_input_hands_on_no_polarity() -> None:
    """Which way round it is depends on the other input: neither inverted nor not is claimed."""
    board = chained(OSCILLATOR + block("U2", "TS1", "out", "t") + "XG1 tick t vdd 0 TG2\n")
    found = [pair_fact(board, "pair.inverted").value] if board.subjects("pair") else []
    assert True not in found
    assert False not in found


@pytest.mark.parametrize(
    ("way", "inverted"),
    [
        ("R1 tick t 1k\n", False),
        ("XG1 tick t vdd 0 TG1\n", True),
        ("XG1 tick m vdd 0 TG1\nXG2 m t vdd 0 TG1\n", False),
        ("R1 tick b 1k\nQ1 t b 0 NS\nR2 t vdd 1k\n", True),
        ("R1 tick b 1k\nQ1 vdd b t NS\nR2 t 0 1k\n", False),
    ],
)
def test_inversions_on_the_way(way: str, inverted: bool) -> None:
    """A gate and a common emitter turn a level round, an emitter follower does not; two turns are none."""
    board = chained(OSCILLATOR + block("U2", "TS1", "out", "t") + way)
    assert pair_fact(board, "pair.inverted").value is inverted


def delayed(timing: str, edges: str = "both") -> str:
    """Parts with an edge delay of those timings."""
    own = part(
        "TD2", "edge-delay", "signal", f'signal = {{ edges = "{edges}", restart = true }}\n{DELAY}', timing
    )
    return parts() + own


def test_unlike_edges_shift_a_pulse() -> None:
    """80 us after rising and 160 us after falling edges: a high of 1 ms becomes 1.08 ms, a low 80 us less."""
    file = delayed('falling = { period = "4us" }')
    netlist = block("U1", "TD2", "later", "kick") + block("U2", "TR1", "out", "later")
    board = chained(netlist, "signal kick period 3ms, high 1ms", file)
    assert span(board, "timing.delay_rising", "XU1").nominal == pytest.approx(80e-6)
    assert span(board, "timing.delay_falling", "XU1").nominal == pytest.approx(160e-6)
    high, low = span(board, "signal.high", "XU2"), span(board, "signal.low", "XU2")
    assert high.middle == pytest.approx(1.08e-3)
    assert low.middle == pytest.approx(1.92e-3)
    assert high.high - high.low == pytest.approx(2 * (0.01 * 80e-6 + 0.01 * 160e-6), rel=1e-3)


def test_a_delay_of_one_edge_shortens_the_pulse() -> None:
    """80 us on rising edges, 200 ns of offset on falling ones: 1 ms high less 79.8 us and the offset's."""
    file = delayed('offset = "200ns"', "rising")
    netlist = block("U1", "TD2", "later", "kick") + block("U2", "TR1", "out", "later")
    board = chained(netlist, "signal kick period 3ms, high 1ms", file)
    assert span(board, "signal.high", "XU2").middle == pytest.approx(1e-3 - 80e-6)
    assert span(board, "signal.period", "XU2").middle == pytest.approx(3e-3)


def test_what_outlasts_a_delay_is_told_of_the_worse_level() -> None:
    """High 1 ms and low 0.2 ms against 80 us: 0.12 ms are left; a level of which nothing is said is named."""
    netlist = block("U1", "TD2", "later", "kick")
    board = chained(netlist, "signal kick period 1.2ms, high 1ms", delayed(""))
    assert span(board, "signal.slack", "XU1").middle == pytest.approx(0.12e-3)
    assert unknown(chained(netlist, "", delayed("")), "signal.slack", "XU1").missing == ("signal kick high",)


def test_a_block_of_another_kind_has_no_delay() -> None:
    """An oscillator has no edges to delay, and no signal pin."""
    board = chained(OSCILLATOR)
    for name in ("timing.delay", "timing.delay_rising", "timing.delay_falling", "signal.slack"):
        assert unknown(board, name, "XU1").because
