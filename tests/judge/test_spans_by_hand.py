"""Arithmetic of spans and the words of the language on them, worked by hand."""

import math

import pytest

from drc.facts.model import Fact, Unknown, Value
from drc.judge import arithmetic
from drc.judge.program import Values, compile_rule, condition, constant_span, expression
from drc.judge.reading import constant
from drc.judge.rule import Source, Tree
from drc.judge.truth import FALSE, TRUE, UNKNOWN, Truth
from drc.quantity.span import Span, exact
from drc.quantity.unit import AMPERE, OHM, RATIO, SIEMENS, STEP, VOLT, WATT
from tests.judge.stub import only, rule
from tests.judge.test_rule_form import expression as parsed

A, B, MINUS_A = Span(2, 3, 5, VOLT), Span(-1, 4, 7, VOLT), Span(-5, -3, -2, VOLT)
I = Span(1, 2, 4, AMPERE)


Operation = arithmetic.Binary | arithmetic.Unary
BEYOND = Span(1, 4, math.inf, AMPERE)


@pytest.mark.parametrize(
    ("operation", "rows"),
    [
        (arithmetic.plus, [((A, B), Span(1, 7, 12, VOLT))]),
        (arithmetic.minus, [((A, B), Span(-5, -1, 6, VOLT)), ((B, A), Span(-6, 1, 5, VOLT))]),
        (arithmetic.times, [((A, I), Span(2, 6, 20, WATT)), ((B, I), Span(-4, 8, 28, WATT)),
                            ((MINUS_A, I), Span(-20, -6, -2, WATT)),
                            ((exact(0), Span(1, None, math.inf)), exact(0)),
                            ((Span(1, None, math.inf), exact(0)), exact(0)),
                            ((Span(-math.inf, None, 3), Span(0, 1, 2)), Span(-math.inf, 3, 6))]),
        (arithmetic.over, [((A, I), Span(0.5, 1.5, 5, OHM)), ((I, A), Span(0.2, 2 / 3, 2, SIEMENS)),
                           ((B, I), Span(-1, 2, 7, OHM)), ((A, BEYOND), Span(0, 0.75, 5, OHM)),
                           ((A, Span(-4, -2, -1, AMPERE)), Span(-5, -1.5, -0.5, OHM)),
                           ((A, Span(0, 2, 4, AMPERE)), Span(-math.inf, 1.5, math.inf, OHM)),
                           ((A, Span(-4, -2, 0, AMPERE)), Span(-math.inf, -1.5, math.inf, OHM)),
                           ((A, Span(-4, 2, 4, AMPERE)), Span(-math.inf, 1.5, math.inf, OHM))]),
        (arithmetic.smaller, [((A, B), Span(-1, 3, 5, VOLT))]),
        (arithmetic.larger, [((A, B), Span(2, 4, 7, VOLT))]),
        (arithmetic.negative, [((B,), Span(-7, -4, 1, VOLT))]),
        (arithmetic.absolute, [((A,), A), ((B,), Span(0, 4, 7, VOLT)),
                               ((Span(-7, -4, 1, VOLT),), Span(0, 4, 7, VOLT)),
                               ((Span(-7, -4, -1, VOLT),), Span(1, 4, 7, VOLT)),
                               ((Span(-3, None, 7, VOLT),), Span(0, 2, 7, VOLT))]),
        (arithmetic.low_end, [((A,), exact(2, VOLT))]),
        (arithmetic.nominal_value, [((A,), exact(3, VOLT)), ((Span(2, None, 5, VOLT),), exact(3.5, VOLT))]),
        (arithmetic.high_end, [((A,), exact(5, VOLT))]),
        (arithmetic.from_to, [((A, B), Span(2, None, 7, VOLT))]),
        (arithmetic.around, [((A, Span(0.5, 1, 2, VOLT)), Span(0, 3, 7, VOLT))]),
        (arithmetic.around_relative, [
            ((A, exact(0.1)), Span(1.8, 3, 5.5, VOLT)), ((MINUS_A, exact(0.1)), Span(-5.5, -3, -1.8, VOLT)),
            ((Span(-5, 1, 2, VOLT), Span(0, 0.05, 0.1)), Span(-5.5, 1, 2.2, VOLT))]),
    ],
)  # fmt: skip
def test_every_operation(operation: Operation, rows: list[tuple[tuple[Span, ...], Span]]) -> None:
    """Low, nominal and high of the result, and its unit, from spans whose ends all differ."""
    for operands, expected in rows:
        found = operation(*operands)
        assert found.unit == expected.unit
        assert (found.nominal is None) == (expected.nominal is None)
        assert (found.low, found.middle, found.high) == pytest.approx(
            (expected.low, expected.middle, expected.high)
        )


def test_a_bare_zero_takes_the_unit_beside_it() -> None:
    """On either side, whatever the unit is made of; two ratios are a ratio."""
    same_unit = (arithmetic.plus, arithmetic.minus, arithmetic.smaller, arithmetic.larger, arithmetic.from_to,
                 arithmetic.around)  # fmt: skip
    for operation in same_unit:
        for unit in (VOLT, OHM, STEP, WATT):
            assert operation(exact(0), exact(2, unit)).unit == unit
            assert operation(exact(2, unit), exact(0)).unit == unit
            assert operation(exact(2, unit), exact(3, unit)).unit == unit
        assert operation(exact(2), exact(0)).unit == RATIO


def test_a_nominal_divisor_of_nothing_is_no_number() -> None:
    """Also where it lies outside the span of the divisor; the ends are what they are."""
    found = arithmetic.over(A, Span(1, 0, 2, AMPERE))
    assert (found.low, found.high, found.unit) == (1, 5, OHM)
    assert math.isnan(found.middle)
    spread = arithmetic.over(A, Span(-1, 0, 2, AMPERE))
    assert (spread.low, spread.high, spread.unit) == (-math.inf, math.inf, OHM)
    assert math.isnan(spread.middle)


def test_what_is_no_quantity_gives_none() -> None:
    """In either place and alone: what is unknown keeps its reason, of two the first; others have none."""
    plus, minus = arithmetic.lifted(arithmetic.plus), arithmetic.lifted_one(arithmetic.negative)
    for odd in ("low", True, Unknown("lost", ("R1",))):
        told = odd if isinstance(odd, Unknown) else Unknown("not a single quantity")
        assert plus(odd, A) == told
        assert plus(A, odd) == told
        assert minus(odd) == told
        assert plus(Unknown("first"), odd) == Unknown("first")
    assert plus(A, B) == Span(1, 7, 12, VOLT)
    assert minus(A) == MINUS_A


FACTS: dict[str, Value] = {
    "supply.voltage": A, "supply.limit": B, "supply.rated": exact(3, VOLT), "rate.current": I,
    "strap.open": True, "strap.shorted": False, "strap.polarity": "Normal", "strap.code": exact(5),
    "rate.open": Unknown("lost"), "strap.margin": Unknown("lost"),
}  # fmt: skip
MOSTLY, HARDLY = Truth(True, "sometimes"), Truth(False, "sometimes")


def facts() -> Values:
    """The facts above; the supply rests on an assumption."""
    return Values(lambda n: Fact(n, FACTS[n], assumptions=("by name",) if n == "supply.voltage" else ()))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("supply.voltage >= 2 V", TRUE),
        ("supply.voltage >= 2.5 V", MOSTLY),
        ("supply.voltage >= 3.5 V", HARDLY),
        ("supply.voltage >= 6 V", FALSE),
        ("supply.voltage > 2 V", MOSTLY),
        ("supply.voltage > 1.9 V", TRUE),
        ("supply.voltage > 5 V", FALSE),
        ("supply.voltage <= 5 V", TRUE),
        ("supply.voltage <= 4 V", MOSTLY),
        ("supply.voltage <= 2.5 V", HARDLY),
        ("supply.voltage < 5 V", MOSTLY),
        ("supply.voltage < 5.1 V", TRUE),
        ("supply.voltage < 2 V", FALSE),
        ("supply.rated >= 3 V", TRUE),
        ("supply.rated > 3 V", FALSE),
        ("supply.rated <= 3 V", TRUE),
        ("supply.rated < 3 V", FALSE),
        ("strap.margin > 0", UNKNOWN),
        ("supply.voltage within 2 V .. 5 V", TRUE),
        ("supply.voltage within 3 V +/- 1.5 V", MOSTLY),
        ("supply.voltage within 2 V +/- 40%", HARDLY),
        ("strap.code is 5", TRUE),
        ("strap.code is 4", FALSE),
        ("strap.code is not 4", TRUE),
        ("strap.polarity is normal", TRUE),
        ("strap.polarity is not normal", FALSE),
        ("strap.polarity is one of (inverted, normal)", TRUE),
        ("strap.polarity is one of (normal, inverted)", TRUE),
        ("strap.polarity is one of (inverted, both)", FALSE),
        ("strap.code is one of (strap.code, 7)", TRUE),
        ("supply.voltage is one of (3 V, 9 V)", MOSTLY),
        ("strap.open", TRUE),
        ("strap.shorted", FALSE),
        ("rate.open", UNKNOWN),
        ("not strap.open", FALSE),
        ("not rate.open", UNKNOWN),
        ("strap.open and strap.shorted", FALSE),
        ("strap.open or strap.shorted", TRUE),
        ("rate.open and strap.shorted", FALSE),
        ("rate.open or strap.open", TRUE),
        ("rate.open and strap.open", UNKNOWN),
        ("rate.open or strap.shorted", UNKNOWN),
        ("known supply.voltage", TRUE),
        ("known rate.open", FALSE),
        ("stated supply.voltage", FALSE),
        ("stated supply.limit", TRUE),
        ("stated rate.open", FALSE),
        ("strap.open is (strap.code > 4)", TRUE),
        ("strap.open is not (strap.code > 4)", FALSE),
        ("(strap.margin > 0) is strap.open", UNKNOWN),
        ("supply.voltage + supply.rated >= 5 V", TRUE),
        ("supply.voltage - supply.rated >= -1 V", TRUE),
        ("supply.rated - supply.voltage >= -2 V", TRUE),
        ("supply.voltage * 2 <= 10 V", TRUE),
        ("supply.voltage / 2 <= 2.5 V", TRUE),
        ("supply.voltage / rate.current <= 5 ohm", TRUE),
        ("-supply.voltage <= -2 V", TRUE),
        ("abs(supply.limit) <= 7 V", TRUE),
        ("abs(supply.limit) >= 0", TRUE),
        ("min(supply.voltage, supply.limit) <= 5 V", TRUE),
        ("max(supply.voltage, supply.limit) >= 2 V", TRUE),
        ("low(supply.voltage) is 2 V", TRUE),
        ("nominal(supply.voltage) is 3 V", TRUE),
        ("high(supply.voltage) is 5 V", TRUE),
        ("supply.voltage within 3.5 V +/- 60%", TRUE),
    ],
)
def test_every_word_of_a_condition(text: str, found: Truth) -> None:
    """On 2 .. 5 V (nominal 3 V), -1 .. 7 V (nominal 4 V), exactly 3 V, 1 .. 4 A (nominal 2 A), code 5."""
    (judged,) = (each for _, _, each in compile_rule(only(rule(f"require {text} else error"))).requires)
    assert judged(facts()) == found


def test_a_condition_looks_at_both_its_sides() -> None:
    """So that what a verdict rests on does not hang on the order of the words."""
    for text in ("strap.shorted and supply.voltage > 1 V", "strap.open or supply.voltage > 1 V"):
        values = facts()
        (judged,) = (each for _, _, each in compile_rule(only(rule(f"require {text} else error"))).requires)
        judged(values)
        assert values.assumed == {"supply.voltage"}


def test_a_program_holds_where_guards_conditions_and_their_facts() -> None:
    """In the order of the rule; knobs at their values in force; the facts of messages are none of them."""
    found = only(rule(
        "require rate.current >= least when strap.open else error require strap.code is 5 else note",
        'knob least = 2 A where known supply.limit where strap.open say at-risk "{supply.rated}"',
    ))  # fmt: skip
    program = compile_rule(found)
    assert program.rule is found
    assert program.judged == {"supply.limit", "strap.open", "rate.current", "strap.code"}
    assert [where(facts()) for where in program.wheres] == [TRUE, TRUE]
    (first, guard, over), (second, none, five) = program.requires
    assert (first, second) == found.requires
    assert guard is not None
    assert none is None
    assert (guard(facts()), over(facts()), five(facts())) == (TRUE, MOSTLY, TRUE)
    turned = compile_rule(found._replace(knobs={"least": exact(5, AMPERE)}))
    assert turned.requires[0][2](facts()) == FALSE


@pytest.mark.parametrize(
    ("tree", "value"),
    [
        (["quantity", [1, 1, 1], 2.0, list(VOLT.dimension), False], exact(2, VOLT)),
        (["knob", [1, 1, 1], "least"], Span(1, 2, 3, STEP)),
        (["word", [1, 1, 1], "low"], "low"),
        (["fact", [1, 1, 1], "strap.open"], True),
        (["known", [1, 1, 1], "rate.open"], False),
        (["not", [1, 1, 1], ["fact", [1, 1, 1], "strap.open"]], False),
        (["not", [1, 1, 1], ["fact", [1, 1, 1], "rate.open"]], Unknown("not known")),
    ],
)
def test_every_leaf_has_its_value(tree: Tree, value: Value) -> None:
    """Literals, knobs, words, facts; a condition where a value stands is yes, no or unknown."""
    assert expression(tree, {"least": Span(1, 2, 3, STEP)})(facts()) == value


def test_a_quantity_is_no_condition() -> None:
    """Where one stands in its place all the same it is unknown, never true."""
    assert condition(["fact", [1, 1, 1], "supply.voltage"], {})(facts()) == UNKNOWN


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("0.15 steps", exact(0.15, STEP)),
        ("1 V .. 3 V", Span(1, None, 3, VOLT)),
        ("2 V +/- 50%", Span(1, 2, 3, VOLT)),
        ("2 V +/- 0.5 V", Span(1.5, 2, 2.5, VOLT)),
        ("-(2 V * 3 A)", exact(-6, WATT)),
        ("min(1 V, 2 V) / 2", exact(0.5, VOLT)),
    ],
)
def test_the_value_of_a_knob(text: str, value: Span) -> None:
    """Any expression of quantities alone."""
    assert constant(parsed(text), Source("x.rule", f"turn r k = {text}")) == value
    assert constant_span(["quantity", [1, 1, 1], 2.0, list(VOLT.dimension), False]) == exact(2, VOLT)
