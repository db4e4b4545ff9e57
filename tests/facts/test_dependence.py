"""Quantities as functions of their causes."""

import numpy as np
import pytest

from drc.facts.dependence import (
    Dependence,
    States,
    combine,
    constant,
    fact,
    input_of,
    lift,
    missing,
    spread,
    varying,
)
from drc.facts.model import Cases, Unknown
from drc.facts.options import FactOptions
from drc.quantity.span import Span
from drc.quantity.unit import OHM, RATIO, VOLT

OPTIONS = FactOptions(draws=5000)


def ohm(name: str, nominal: float = 1000.0) -> Dependence:
    """A resistor of 1 %."""
    return varying(name, Span(0.99 * nominal, nominal, 1.01 * nominal, OHM), input_of(name, "1 %", "line"))


def test_a_shared_cause_cancels() -> None:
    """R1 / R1 is exactly 1 however R1 moves; R1 / R2 moves by both."""
    same = combine(np.divide, ohm("R1"), ohm("R1"), unit=RATIO)
    assert spread(same, "extreme", OPTIONS, "x")[:3] == (1, 1, 1)
    apart = combine(np.divide, ohm("R1"), ohm("R2"), unit=RATIO)
    assert spread(apart, "extreme", OPTIONS, "x")[:3] == pytest.approx((0.99 / 1.01, 1, 1.01 / 0.99))


def test_root_sum_square_and_monte_carlo_lie_inside_the_extremes() -> None:
    """R1 + R2 of 1 % each: extreme 20 ohm, root-sum-square 10 sqrt 2 ohm, Monte Carlo about as much."""
    total = combine(np.add, ohm("R1"), ohm("R2"), unit=OHM)
    assert spread(total, "extreme", OPTIONS, "x").high == pytest.approx(2020)
    assert spread(total, "rss", OPTIONS, "x").high == pytest.approx(2000 + 10 * 2**0.5)
    assert spread(total, "monte-carlo", OPTIONS, "x").high == pytest.approx(2000 + 10 * 2**0.5, abs=1.5)


def test_monte_carlo_does_not_know_names() -> None:
    """The same two resistors under other names, in another order, give the very same draws."""
    one = combine(lambda a, b: a - 2 * b, ohm("R1"), ohm("R2", 500), unit=OHM)
    two = combine(lambda b, a: a - 2 * b, ohm("X9.R7", 500), ohm("A"), unit=OHM)
    assert spread(one, "monte-carlo", OPTIONS, "x") == spread(two, "monte-carlo", OPTIONS, "x")


def test_a_tied_cause_follows_its_leader_in_extremes_only() -> None:
    """Tied, tolerance and tempco move together; by root-sum-square they are two causes."""
    tempco = varying("R1 tempco", Span(-0.01, 0, 0.01))._replace(ties=(("R1 tempco", "R1"),))
    warm = combine(lambda r, t: r * (1 + t), ohm("R1"), tempco, unit=OHM)
    assert spread(warm, "extreme", OPTIONS, "x").high == pytest.approx(1010 * 1.01)
    assert spread(warm, "rss", OPTIONS, "x").high == pytest.approx(1000 + 10 * 2**0.5)


def test_unknown_wins_and_names_everything_missing() -> None:
    """Two unknown parts make one unknown that names both."""
    found = lift(np.add, Unknown("no a", ("a",)), ohm("R1"), Unknown("no b", ("b",)), unit=OHM)
    assert found == Unknown("no a; no b", ("a", "b"))
    assert missing(1.0, "x") is None


def two(name: str, low: float, high: float) -> States:
    """A source of two levels."""
    return States(tuple((((name, str(v)),), constant(v, VOLT)) for v in (low, high)))


def test_states_of_one_source_are_matched_and_of_two_are_crossed() -> None:
    """A source less itself is 0 twice; less another it takes four values."""
    alone = fact("x", lift(np.subtract, two("a", 0, 1), two("a", 0, 1), unit=VOLT), OPTIONS).value
    assert isinstance(alone, Cases)
    assert [case.value.middle for case in alone.cases] == [0, 0]
    crossed = fact("x", lift(np.subtract, two("a", 0, 1), two("b", 0, 5), unit=VOLT), OPTIONS).value
    assert isinstance(crossed, Cases)
    assert sorted(case.value.middle for case in crossed.cases) == [-5, -4, 0, 1]
    assert {case.label for case in crossed.cases} == {
        "a = 0, b = 0",
        "a = 0, b = 5",
        "a = 1, b = 0",
        "a = 1, b = 5",
    }


def test_a_fact_lists_each_input_and_assumption_once() -> None:
    """Evidence is merged without repeats."""
    noted = ohm("R1")._replace(assumptions=("R1 tolerance assumed",))
    found = fact("x", combine(np.add, noted, noted, unit=OHM, text="R + R"), OPTIONS)
    assert (found.law, len(found.inputs), found.assumptions) == ("R + R", 1, ("R1 tolerance assumed",))
