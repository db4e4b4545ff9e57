"""Quantities by hand: what joining them keeps, how states meet, how a fact tells its spread.

All figures are worked by hand.
"""

import math

import numpy as np
import pytest

from drc.circuit.spread import CONVENTIONS, Cause
from drc.facts.dependence import (
    Dependence,
    Quantity,
    States,
    canonical,
    combine,
    constant,
    each_state,
    fact,
    input_of,
    label,
    lift,
    missing,
    spread,
    varying,
)
from drc.facts.model import Case, Cases, Input, Unknown
from drc.facts.options import FactOptions
from drc.quantity.span import Span
from drc.quantity.unit import AMPERE, OHM, RATIO, VOLT
from drc.trouble import Place

OPTIONS = FactOptions(draws=2000)
LINE = Place("board.cir", 3)


def given(law: Quantity, *values: float) -> float:
    """What a quantity is at those values of its causes."""
    assert isinstance(law, Dependence)
    return float(law.law(np.array([values], dtype=float))[0])


def test_a_constant_is_the_same_at_every_draw() -> None:
    """Three draws give it three times; it has no cause, and its text and evidence are as told."""
    found = constant(4.5, VOLT, Input("V1", "4.5 V", "line"), text="V1")
    assert found.law(np.empty((3, 0))).tolist() == [4.5, 4.5, 4.5]
    assert (found.unit, found.causes, found.text, found.nominal) == (VOLT, (), "V1", 4.5)
    assert found.inputs == (Input("V1", "4.5 V", "line"),)
    assert (found.assumptions, found.ties) == ((), ())


def test_what_varies_is_a_cause_by_its_name() -> None:
    """Its ends are the span's, its nominal the span's or the middle; sampled, unless it is a bias."""
    evidence = input_of("R1", "1 kohm", "line", LINE)
    found = varying("R1", Span(900, 1000, 1200, OHM), evidence, assumptions=("R1 assumed",))
    assert found.causes == (Cause("R1", 1000, 900, 1200, False),)
    assert (found.unit, found.text, found.nominal) == (OHM, "R1", 1000)
    assert (found.inputs, found.assumptions) == ((evidence,), ("R1 assumed",))
    assert found.law(np.array([[7.0], [8.0]])).tolist() == [7.0, 8.0]
    bias = varying("vdd", Span(3, None, 5, VOLT), bias=True)
    assert bias.causes == (Cause("vdd", 4, 3, 5, True),)
    assert (bias.inputs, bias.assumptions) == ((), ())


def test_evidence_is_a_line_of_its_own() -> None:
    """Label, value, whose word, and where."""
    assert input_of("R1", "1 kohm", "line", LINE) == Input("R1", "1 kohm", "line", LINE)
    assert input_of("R1", "1 kohm", "default").place is None


A = varying("a", Span(1, 2, 3, VOLT), Input("a", "2 V", "line"), assumptions=("a assumed",))
B = varying("b", Span(10, 20, 30, VOLT), Input("b", "20 V", "line"), assumptions=("b assumed",))
C = varying("c", Span(100, 200, 300, VOLT), Input("c", "200 V", "line"))


def test_joined_quantities_share_their_causes_by_name() -> None:
    """(a + 2 b) - (c + 3 a): causes in the order met, each value at its own place."""
    first = combine(lambda a, b: a + 2 * b, A, B, unit=VOLT, text="a + 2 b")
    second = combine(lambda c, a: c + 3 * a, C, A, unit=VOLT)
    whole = combine(np.subtract, first, second, unit=VOLT, text="all")
    assert [cause.name for cause in whole.causes] == ["a", "b", "c"]
    assert whole.causes == (*A.causes, *B.causes, *C.causes)
    assert given(whole, 5, 7, 11) == (5 + 14) - (11 + 15)
    assert (whole.unit, whole.text, whole.nominal) == (VOLT, "all", 42 - 206)
    assert [each.label for each in whole.inputs] == ["a", "b", "c"]
    assert whole.assumptions == ("a assumed", "b assumed")


def test_what_is_told_with_a_join_goes_before_what_its_parts_tell() -> None:
    """Its own inputs and assumptions first, then those of the parts, none twice; the ties of all."""
    tied = B._replace(ties=(("b", "a"),))
    own = (Input("k", "3", "part file"), Input("b", "20 V", "line"))
    found = combine(np.add, A, tied, unit=OHM, inputs=own, assumptions=("k assumed", "b assumed"))
    assert [each.label for each in found.inputs] == ["k", "b", "a"]
    assert found.assumptions == ("k assumed", "b assumed", "a assumed")
    assert found.ties == (("b", "a"),)
    assert found.unit == OHM
    again = lift(np.add, A, tied, unit=OHM, text="sum", inputs=own, assumptions=("k assumed",))
    assert isinstance(again, Dependence)
    assert ([each.label for each in again.inputs], again.text) == (["k", "b", "a"], "sum")
    assert again.assumptions == ("k assumed", "a assumed", "b assumed")
    assert again.unit == OHM


def test_columns_that_lie_apart_are_found() -> None:
    """c - a of a board of a, b, c, and b - c + a: wherever their columns lie."""
    apart = combine(lambda c, a: c - 10 * a, C, A, unit=VOLT)
    whole = combine(lambda b, x, a: b + 100 * x + a, B, apart, A, unit=VOLT)
    assert [cause.name for cause in whole.causes] == ["b", "c", "a"]
    assert given(whole, 1, 2, 3) == 1 + 100 * (2 - 30) + 3
    ends = combine(lambda x, y: x + 1000 * y, whole, combine(np.add, B, A, unit=VOLT), unit=VOLT)
    assert given(ends, 1, 2, 3) == 1 + 100 * (2 - 30) + 3 + 1000 * (1 + 3)


def test_all_that_is_missing_is_named_once() -> None:
    """In the order met, reasons and names without repeats; nothing missing is None."""
    one, other = Unknown("no a", ("a", "x")), Unknown("no b", ("x", "b"))
    assert missing(A, one, 3, other, one) == Unknown("no a; no b", ("a", "x", "b"))
    assert missing(A, "b", None) is None
    assert missing() is None
    assert lift(np.add, A, one, unit=VOLT) == Unknown("no a", ("a", "x"))
    assert each_state(lambda *_: A, other, B) == Unknown("no b", ("x", "b"))


def states(name: str, **levels: float) -> States:
    """A source of several levels."""
    return States(tuple((((name, at),), constant(float(volt), VOLT)) for at, volt in levels.items()))


def values(found: Quantity) -> dict[tuple[tuple[str, str], ...], float]:
    """The nominal value by the conditions of each state."""
    assert isinstance(found, States), found
    return {when: each.nominal for when, each in found.states}


def test_states_of_two_sources_are_crossed_and_keep_their_conditions() -> None:
    """What holds for both is what each says, the first source's condition first."""
    total = lift(
        lambda p, a, q: p + a + q, states("p", low=0, high=3), A, states("q", low=0, high=5), unit=VOLT
    )
    assert values(total) == {
        (("p", "low"), ("q", "low")): 2,
        (("p", "low"), ("q", "high")): 7,
        (("p", "high"), ("q", "low")): 5,
        (("p", "high"), ("q", "high")): 10,
    }
    # Of one source each state meets itself alone, also behind another source.
    again = lift(np.subtract, total, states("q", low=1, high=2), unit=VOLT)
    assert values(again) == {
        (("p", "low"), ("q", "low")): 1,
        (("p", "low"), ("q", "high")): 5,
        (("p", "high"), ("q", "low")): 4,
        (("p", "high"), ("q", "high")): 8,
    }


def test_states_that_never_hold_together_leave_none() -> None:
    """One source high here and low there: nothing is left to tell."""
    none = lift(np.add, states("p", high=3), states("p", low=0), unit=VOLT)
    assert none == States(())


def test_one_state_under_a_condition_stays_a_state() -> None:
    """What holds only while p is high is no plain quantity; a state without a condition is one."""
    alone = lift(np.negative, states("p", high=3), unit=VOLT)
    assert values(alone) == {(("p", "high"),): -3}
    bare = lift(np.negative, States((((), A),)), unit=VOLT)
    assert isinstance(bare, Dependence)
    assert bare.nominal == -2


def test_states_of_too_many_sources_together_are_unknown() -> None:
    """Eight sources of two levels make 256 choices; a ninth is one too many, whatever else is added."""
    sources = [states(f"s{n}", low=0, high=2**n) for n in range(9)]
    eight = lift(lambda *each: sum(each), *sources[:8], A, unit=VOLT)
    assert sorted(values(eight).values()) == [2 + n for n in range(256)]
    nine = lift(lambda *each: sum(each), A, *sources, unit=VOLT)
    names = tuple(f"s{n}" for n in range(9))
    assert nine == Unknown(f"the states of {', '.join(names)} together are more than 256", names)
    # The same source met many times is one source.
    again = lift(lambda *each: sum(each), *sources[:1] * 20, unit=VOLT)
    assert values(again) == {(("s0", "low"),): 0, (("s0", "high"),): 20}


def test_a_fact_of_a_constant_tells_no_method() -> None:
    """Its three values are one, in its unit; by whatever method there is nothing to say."""
    for method in ("extreme", "rss", "monte-carlo"):
        found = fact("x", constant(3, AMPERE, Input("I", "3 A", "line"), text="I"), OPTIONS, method)
        assert (found.name, found.value, found.law) == ("x", Span(3, 3, 3, AMPERE), "I")
        assert found.inputs == (Input("I", "3 A", "line"),)


def test_a_fact_says_by_which_method_it_was_found() -> None:
    """The law, then the convention of the method; extremes at the corners need no word."""
    total = combine(np.add, A, B, unit=VOLT, text="a + b")
    extreme = fact("x", total, OPTIONS)
    assert (extreme.value, extreme.law) == (Span(11, 22, 33, VOLT), "a + b")
    assert (extreme.inputs, extreme.assumptions) == (total.inputs, total.assumptions)
    assert fact("x", total, OPTIONS, text="a sum").law == "a sum"
    rss = fact("x", total, OPTIONS, "rss")
    assert rss.law == f"a + b; root-sum-square: {CONVENTIONS['normal']}"
    assert rss.span is not None
    assert rss.span[:3] == pytest.approx((22 - 101**0.5, 22, 22 + 101**0.5))
    assert rss.span.unit == VOLT
    drawn = fact("x", total, OPTIONS._replace(convention="uniform"), "monte-carlo", "a sum")
    assert drawn.law == f"a sum; Monte Carlo, 2000 draws: {CONVENTIONS['uniform']}"
    assert drawn.span is not None
    assert drawn.span.unit == VOLT
    assert 11 <= drawn.span.low < 12.5
    assert drawn.span.nominal == 22
    assert 31.5 < drawn.span.high <= 33


def test_an_extreme_inside_the_range_is_told_of() -> None:
    """(a - 2)^2 is least where a is 2 V, between its ends of 1 V and 3 V."""
    bowl = combine(lambda a: (a - 2.0) ** 2, A, unit=VOLT, text="bowl")
    found = fact("x", bowl, OPTIONS)
    assert found.span is not None
    assert found.span[:3] == pytest.approx((0, 0, 1), abs=1e-12)
    assert found.law == "bowl; extremes by all corners, then inside"


def test_the_convention_settings_and_name_of_a_draw_matter() -> None:
    """One seed and one fact's name give one stream: the same again, another for another."""
    total = combine(np.add, A, B, unit=VOLT)
    first = spread(total, "monte-carlo", OPTIONS, "x")
    assert spread(total, "monte-carlo", OPTIONS, "x") == first
    assert spread(total, "monte-carlo", OPTIONS, "y") != first
    assert spread(total, "monte-carlo", OPTIONS._replace(seed=2), "x") != first
    assert spread(total, "monte-carlo", OPTIONS._replace(draws=4000), "x") != first
    assert spread(total, "monte-carlo", OPTIONS._replace(convention="uniform"), "x") != first
    # Root-sum-square of uniform tolerances is sqrt 3 of the normal one, no wider than the plain sum.
    wide = spread(total, "rss", OPTIONS._replace(convention="uniform"), "x")
    assert wide[:3] == pytest.approx((11, 22, 33))


def test_what_has_no_value_somewhere_is_unknown() -> None:
    """sqrt(a - 1.5) has none where a is 1 V; the law, evidence and assumptions are told all the same."""
    root = combine(lambda a: np.sqrt(a - 1.5), A, unit=VOLT, text="root")
    found = fact("x", root, OPTIONS)
    assert found.value == Unknown("x has no value over the whole range of what it depends on", ("x",))
    assert (found.law, found.inputs, found.assumptions) == ("root", root.inputs, root.assumptions)
    # What has no bound has a value: 1 / (a - 1) at its lower end.
    pole = fact("x", combine(lambda a: 1 / (a - 1.0), A, unit=VOLT), OPTIONS)
    assert pole.span is not None
    assert (pole.span.low, pole.span.nominal, pole.span.high) == (0.5, 1, math.inf)


def test_an_unknown_quantity_is_an_unknown_fact() -> None:
    """As it is, under the fact's name."""
    found = fact("x", Unknown("no a", ("a",)), OPTIONS, text="a sum")
    assert (found.name, found.value, found.law) == ("x", Unknown("no a", ("a",)), "")


def test_a_fact_of_several_states_tells_each_and_all_evidence_once() -> None:
    """A case a state, under its conditions; the law of the first, the evidence of all."""
    found = fact("x", States((((("p", "low"),), A), ((("p", "high"), ("q", "0 V")), B))), OPTIONS)
    assert found.value == Cases(
        (Case("p = low", Span(1, 2, 3, VOLT)), Case("p = high, q = 0 V", Span(10, 20, 30, VOLT)))
    )
    assert found.law == "a"
    assert [each.label for each in found.inputs] == ["a", "b"]
    assert found.assumptions == ("a assumed", "b assumed")
    twice = fact("x", States((((("p", "low"),), A), ((("p", "high"),), A))), OPTIONS, "rss", "both")
    assert twice.law == f"both; root-sum-square: {CONVENTIONS['normal']}"
    assert [each.label for each in twice.inputs] == ["a"]
    assert twice.assumptions == ("a assumed",)


def test_states_of_which_one_has_no_value_are_unknown() -> None:
    """Whichever of them it is."""
    root = combine(lambda a: np.sqrt(a - 2.5), A, unit=VOLT, text="root")
    for order in ((A, root), (root, A)):
        both = States(tuple((((("p", str(k)),)), each) for k, each in enumerate(order)))
        found = fact("x", both, OPTIONS)
        assert found.value == Unknown("x has no value over the whole range of what it depends on", ("x",))


def test_a_state_is_labelled_by_its_conditions() -> None:
    """As a reader sees them; none has no label."""
    assert label((("vctl", "0 V"), ("XU2", "high"))) == "vctl = 0 V, XU2 = high"
    assert label(()) == ""


def test_a_pole_at_the_nominal_is_an_infinity_without_a_word() -> None:
    """1 / (a - 2) at a of 2 V, and 0 / 0 beside it: numbers that say so, no warning of the arithmetic."""
    pole = combine(lambda a: 1 / (a - 2.0), A, unit=VOLT)
    assert pole.nominal == math.inf
    assert math.isnan(combine(lambda a: (a - 2.0) / (a - 2.0), A, unit=VOLT).nominal)


def test_what_is_tied_follows_its_leader_s_share_of_its_own_range() -> None:
    """A leader of 90 to 120 about 100 takes with it one of -3 to 1 about 0: -3 to 1, never 1 to -3.

    r - 20 f untied is least at 90 and 1, most at 120 and -3: neither of which the two reach together.
    """
    lead, follow = varying("lead", Span(90, 100, 120, OHM)), varying("follow", Span(-3, 0, 1))
    law = combine(lambda f, r: r - 20 * f, follow, lead, unit=OHM)
    free = spread(law, "extreme", OPTIONS, "x")
    assert free[:3] == pytest.approx((90 - 20, 100, 120 + 60))
    tied = spread(law._replace(ties=(("follow", "lead"),)), "extreme", OPTIONS, "x")
    # Together: at the low end 90 + 60, at the high end 120 - 20; halfway down 95 + 30.
    assert tied[:3] == pytest.approx((100, 100, 150))


def test_a_tie_to_what_is_not_there_ties_nothing() -> None:
    """A leader that is no cause of the quantity leaves the follower on its own."""
    law = combine(lambda a, b: a + b, A, B, unit=VOLT)._replace(ties=(("b", "gone"), ("gone", "a")))
    assert spread(law, "extreme", OPTIONS, "x")[:3] == (11, 22, 33)


def test_several_followers_each_follow_their_own_leader() -> None:
    """f of a, g of c, b free, in any order of columns: by hand a - f, c - g, and b."""
    follow = [varying(name, Span(-1, 0, 1)) for name in ("f", "g")]
    law = combine(
        lambda f, a, g, b, c: (a - f) + b + (c - 100 * g), follow[0], A, follow[1], B, C, unit=VOLT
    )._replace(ties=(("f", "a"), ("g", "c")))
    # a - f is 2 throughout, c - 100 g is 200 throughout: b alone moves it.
    assert spread(law, "extreme", OPTIONS, "x")[:3] == pytest.approx((212, 222, 232))
    # Root-sum-square takes each by itself: 1, 1, 10, 100, 100.
    assert spread(law, "rss", OPTIONS, "x").high == pytest.approx(222 + (1 + 1 + 100 + 2 * 100**2) ** 0.5)


def order(found: Dependence) -> list[str]:
    """The causes in the order of their draws."""
    law, causes = canonical(found)
    row = {cause.name: float(k + 1) for k, cause in enumerate(causes)}
    straight = found.law(np.array([[row[cause.name] for cause in found.causes]]))
    turned = law(np.array([[row[cause.name] for cause in causes]]))
    assert straight.tolist() == turned.tolist()
    return [cause.name for cause in causes]


def alike(*names: str, size: float = 1.0) -> list[Dependence]:
    """Causes that differ in nothing but their names."""
    return [varying(name, Span(-size, 0, size)) for name in names]


@pytest.mark.parametrize(
    ("base", "scale"), [(0.0, 1.0), (5.0, 1.0), (-5.0, 1.0), (1000.0, 1.0), (5.0, 1e-12), (-5.0, 1e9)]
)
def test_alike_causes_are_drawn_in_the_order_of_their_effects(base: float, scale: float) -> None:
    """The lesser effect first, with its sign, whatever the quantity is at its nominal, whatever the names.

    Picofarads are told apart as gigahertz are.
    """
    a, b, c = alike("z", "y", "x")
    law = combine(lambda p, q, r: scale * (base + 5 * p - 3 * q + 2 * r), a, b, c, unit=VOLT)
    assert order(law) == ["y", "x", "z"]
    renamed = combine(lambda r, p, q: scale * (base + 5 * p - 3 * q + 2 * r), c, a, b, unit=VOLT)
    assert order(renamed) == ["y", "x", "z"]


def test_unlike_causes_are_drawn_in_the_order_of_their_ends() -> None:
    """Nominal first, then the ends, a sampled one before a bias."""
    far, near = varying("a", Span(-2, 2, 3)), varying("b", Span(0, 1, 9))
    low, bias = varying("c", Span(-1, 1, 9)), varying("d", Span(0, 1, 9), bias=True)
    law = combine(lambda p, q, r, s: p + q + r + s, far, bias, near, low, unit=VOLT)
    assert order(law) == ["c", "b", "d", "a"]


def test_the_effect_of_a_tempco_is_seen_off_25_degrees() -> None:
    """At 25 degC two tempcos do nothing: they are told apart where the ambient lies elsewhere."""
    warm = varying("ambient", Span(-20, 25, 60), bias=True)
    first, second = alike("a", "b", size=1e-4)
    law = combine(lambda p, q, t: 1 + (3 * p + q) * (t - 25), first, second, warm, unit=RATIO)
    assert order(law) == ["b", "a", "ambient"]
    turned = combine(lambda q, p, t: 1 + (3 * p + q) * (t - 25), second, first, warm, unit=RATIO)
    assert order(turned) == ["b", "a", "ambient"]
