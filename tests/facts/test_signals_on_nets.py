"""Where a net's pulses come from: statements, the source that is drawn, the block before; by hand."""

import pytest

from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.pulse_train import PulseTrain, completed, pulse_train, train_origin
from drc.quantity.span import Span, exact
from drc.quantity.unit import SECOND
from tests.facts.chain_boards import block, chained
from tests.facts.test_pulse_trains import HIGH, LOW, PERIOD, ends

SHOT = block("U2", "TS1", "out", "kick")


def train(lines: str = "", intent: str = "", net: str = "kick") -> PulseTrain:
    """What is known of a net's pulses on a board of a one-shot that `kick` triggers."""
    of, found = on(lines, intent, net)
    return pulse_train(of, found)


def on(lines: str, intent: str, net: str = "kick") -> tuple[Book, Net]:
    """The board, and the net."""
    of: Book = chained(SHOT + lines, intent)
    found = of.board.circuit.net(net)
    assert found is not None
    return of, found


@pytest.mark.parametrize("name", ["period", "high", "low", "bounce"])
def test_each_member_is_stated_by_itself(name: str) -> None:
    """Its span as stated, the statement its evidence; nothing else is known of the net."""
    found = train(intent=f"signal kick {name} 2ms .. 3ms")
    assert ends(getattr(found, name)) == (2e-3, 2.5e-3, 3e-3)
    others = {"period", "high", "low", "bounce"} - {name}
    assert [getattr(found, other) for other in others] == [None, None, None]
    (evidence,) = found.inputs
    assert evidence[:3] == (f"kick {name}", "2 ms .. 3 ms", "statement")
    assert evidence.place is not None
    assert evidence.place.path == "board.intent"


def test_an_earlier_statement_goes_first_and_a_later_one_fills_in() -> None:
    """The second gives the high time that the first leaves open, and its period is not taken."""
    intent = "signal other period 9ms\nsignal kick period 10ms\nsignal k* period 5ms, high 2ms"
    found = train("R9 kick other 1k\n", intent)
    assert ends(found.period) == (10e-3, 10e-3, 10e-3)
    assert ends(found.high) == (2e-3, 2e-3, 2e-3)
    assert ends(found.low) == pytest.approx((8e-3, 8e-3, 8e-3))
    assert [(each.label, each.place.line if each.place else 0) for each in found.inputs] == [
        ("kick period", 2),
        ("kick high", 3),
    ]


def test_a_statement_of_volts_alone_says_nothing_of_pulses() -> None:
    """Then the source that is drawn counts."""
    lines = "V9 kick 0 PULSE(0 3 0 1n 1n 1m 4m)\n"
    found = train(lines, "signal kick 0V .. 3V")
    assert found.period == exact(4e-3, SECOND)
    of, net = on(lines, "signal kick 0V .. 3V")
    assert train_origin(of, net) == "source"


def test_a_source_on_the_net() -> None:
    """Its period and the time high between its edges; the line its evidence; what is left is low."""
    found = train("V9 kick 0 PULSE(0 3 0 1n 1n 1m 4m)\n")
    assert found.period == exact(4e-3, SECOND)
    assert found.high is not None
    assert found.high.middle == pytest.approx(1e-3, rel=1e-3)
    assert found.low is not None
    assert found.low.middle == pytest.approx(3e-3, rel=1e-3)
    assert found.bounce is None
    (evidence,) = found.inputs
    assert evidence[:3] == ("kick period", "4 ms", "line")
    assert evidence.place is not None
    assert evidence.place.path == "board.cir"


@pytest.mark.parametrize(
    "lines",
    [
        "V9 kick 0 3\n",
        "V9 kick 0 PWL(0 0 1m 3)\n",
        "I9 kick 0 PULSE(0 1m 0 1n 1n 1m 4m)\n",
        "V9 kick far PULSE(0 3 0 1n 1n 1m 4m)\nR9 far 0 1k\n",
        "R9 kick 0 1k\n",
        "",
    ],
)
def test_what_draws_no_pulses(lines: str) -> None:
    """A steady source, one that rises once, a current, one between two other nets, none."""
    assert train(lines) == PulseTrain()
    of, net = on(lines, "")
    assert train_origin(of, net) == "nobody"


def test_one_source_after_others_that_draw_none() -> None:
    """A resistor, a steady source and one between nets stand on the net before it."""
    lines = "R9 kick 0 1k\nV7 kick far PULSE(0 3 0 1n 1n 1m 7m)\nV9 0 kick PULSE(0 3 0 1n 1n 1m 4m)\n"
    assert train(lines).period == exact(4e-3, SECOND)


def test_a_block_before_it() -> None:
    """An oscillator of 80 us; a statement or a source go before it, and two blocks tell nothing."""
    first = block("U1", "TO1", "kick", "vdd")
    found = train(first)
    assert found.period is not None
    assert found.period.middle == pytest.approx(80e-6)
    for lines, intent, origin, period in (
        (first, "", "chain", 80e-6),
        (first, "signal kick period 1ms", "statement", 1e-3),
        (f"{first}V9 kick 0 PULSE(0 3 0 1n 1n 1m 4m)\n", "", "source", 4e-3),
        (f"{first}V9 kick 0 PULSE(0 3 0 1n 1n 1m 4m)\n", "signal kick high 1ms", "statement", None),
    ):
        of, net = on(lines, intent)
        assert train_origin(of, net) == origin
        known = pulse_train(of, net).period
        assert (None if known is None else known.middle) == (period and pytest.approx(period))
    both = first + block("U3", "TO1", "kick", "vdd")
    assert train(both) == PulseTrain()


def test_only_what_two_tell_is_completed() -> None:
    """One known alone says no more; bounce and evidence stay as they are."""
    for alone in (PulseTrain(None, None, LOW), PulseTrain(None, HIGH, None), PulseTrain(PERIOD)):
        assert completed(alone) == alone
    bounce = Span(1e-3, 2e-3, 3e-3, SECOND)
    full = completed(PulseTrain(None, HIGH, LOW, bounce, ()))
    assert (full.high, full.low, full.bounce) == (HIGH, LOW, bounce)
    assert full.period is not None
    assert full.period.unit == SECOND
    late = completed(PulseTrain(PERIOD, None, Span(8e-3, 12e-3, 14e-3, SECOND)))
    assert ends(late.high) == pytest.approx((0, 0, 3e-3))
    never = completed(PulseTrain(PERIOD, Span(12e-3, 13e-3, 14e-3, SECOND)))
    assert ends(never.low) == (0, 0, 0)
    assert never.low is not None
    assert never.low.unit == SECOND
