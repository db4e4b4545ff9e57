"""Ways that few boards take: what stays unknown where a neighbour's figure is, and what is told of it."""

import pytest

from drc.facts.model import Subject
from tests.facts.chain_boards import TRIGGER, block, chained, pair_fact, pair_unknown, parts
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book


def test_a_duty_is_wanted_in_points() -> None:
    """50 % +/- 5 points of a ratio are 45, 50 and 55 points; a bound has no nominal."""
    for wanted, ends in (("50% +/- 5points", (45.0, 50.0, 55.0)), ("40% .. 60%", (40.0, None, 60.0))):
        of = book(CENTRED, PLAIN, f"expect XU1 duty {wanted}")
        found = of.fact(of.subjects("statement")[0], "expect.wanted")
        assert found.span is not None
        assert found.span.nominal == (None if ends[1] is None else pytest.approx(ends[1]))
        assert (found.span.low, found.span.high) == pytest.approx((ends[0], ends[2]))


def test_both_edges_of_an_unknown_duty_have_no_spacing() -> None:
    """An oscillator whose part file gives no duty triggers on both edges: how far apart, nobody says."""
    both = parts(TRIGGER.replace("rising", "both"))
    of = chained(block("U1", "TO1", "tick", "vdd") + block("U2", "TS1", "out", "tick"), "", both)
    assert pair_unknown(of, "pair.spacing") == pair_unknown(of, "pair.high")


def test_a_delay_of_unknown_polarity_hands_on_no_length() -> None:
    """Its strap hangs on nothing, so that it may turn pulses round: the period alone arrives."""
    first = block("U1", "TD1", "late", "din").replace("RAU1 vdd cfgU1", "RAU1 far cfgU1")
    first = first.replace("RBU1 cfgU1 0", "RBU1 cfgU1 far")
    of = chained(first + block("U2", "TS1", "out", "late"), "signal din period 1ms, high 300us")
    for name in ("pair.high", "pair.low"):
        assert pair_unknown(of, name).because
    assert pair_fact(of, "pair.period").value is not None


def test_a_part_between_nets_that_nothing_holds_has_no_voltage() -> None:
    """A capacitor from the strap's divider to a floating net, and one between two floating ends."""
    of = book(f"{CENTRED}C9 cfg far 1n\n", PLAIN)
    element = of.board.circuit.element("C9")
    assert element is not None
    found = of.fact(Subject("part", element.path, element.place), "part.voltage")
    assert found.span is None


def test_where_one_of_two_lengths_is_known_both_edges_have_no_spacing() -> None:
    """The pulse of a one-shot is known and its pause is not: nor which edge follows soonest."""
    both = parts(TRIGGER.replace("rising", "both"))
    of = chained(block("U1", "TR1", "pulse", "kick") + block("U2", "TS1", "out", "pulse"), "", both)
    assert pair_fact(of, "pair.high").span is not None
    assert pair_unknown(of, "pair.spacing") == pair_unknown(of, "pair.low")
