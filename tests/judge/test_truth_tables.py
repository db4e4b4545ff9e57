"""Three-valued conditions in full tables, and comparisons of spans with and without a nominal value."""

import math
from itertools import product

import pytest

from drc.facts.model import Unknown, Value
from drc.judge.truth import FALSE, TRUE, UNKNOWN, Truth, at_least, both, either, negated, same, truth, within
from drc.quantity.span import Span, exact

MOSTLY, HARDLY = Truth(True, "sometimes"), Truth(False, "sometimes")
ALL = {"true": TRUE, "false": FALSE, "unknown": UNKNOWN, "mostly": MOSTLY, "hardly": HARDLY}
"""`mostly` holds at nominal, not over the whole span; `hardly` fails at nominal, not over the whole span."""

AND = {
    # both of        true       false    unknown             mostly              hardly
    "true":    [TRUE,    FALSE, UNKNOWN,                  MOSTLY,                   HARDLY],
    "false":   [FALSE,   FALSE, FALSE,                    FALSE,                    FALSE],
    "unknown": [UNKNOWN, FALSE, UNKNOWN,                  Truth(None, "sometimes"), HARDLY],
    "mostly":  [MOSTLY,  FALSE, Truth(None, "sometimes"), MOSTLY,                   HARDLY],
    "hardly":  [HARDLY,  FALSE, HARDLY,                   HARDLY,                   HARDLY],
}  # fmt: skip
OR = {
    "true":    [TRUE, TRUE,    TRUE,                     TRUE,   TRUE],
    "false":   [TRUE, FALSE,   UNKNOWN,                  MOSTLY, HARDLY],
    "unknown": [TRUE, UNKNOWN, UNKNOWN,                  MOSTLY, Truth(None, "sometimes")],
    "mostly":  [TRUE, MOSTLY,  MOSTLY,                   MOSTLY, MOSTLY],
    "hardly":  [TRUE, HARDLY,  Truth(None, "sometimes"), MOSTLY, HARDLY],
}  # fmt: skip


@pytest.mark.parametrize("one", ALL)
def test_and_or_in_full(one: str) -> None:
    """At nominal as three-valued logic has it (S. C. Kleene's strong tables, from memory), over the span by
    the weaker of both; the same for truths that were computed and for those that are given."""
    for (other, second), joined, either_one in zip(ALL.items(), AND[one], OR[one], strict=True):
        first = ALL[one]
        for a, b in product((first, Truth(*first)), (second, Truth(*second))):
            assert both(a, b) == joined, other
            assert either(a, b) == either_one, other


@pytest.mark.parametrize(
    ("given", "turned"),
    [(TRUE, FALSE), (FALSE, TRUE), (UNKNOWN, UNKNOWN), (MOSTLY, HARDLY), (HARDLY, MOSTLY)],
)
def test_not_in_full(given: Truth, turned: Truth) -> None:
    """True and false change places, at nominal and over the span; what is unknown or at times so stays."""
    assert negated(given) == turned


@pytest.mark.parametrize(
    ("value", "found"),
    [
        (True, TRUE),
        (False, FALSE),
        (Unknown("u"), UNKNOWN),
        ("true", UNKNOWN),
        (exact(1), UNKNOWN),
        (exact(0), UNKNOWN),
    ],
)
def test_only_yes_and_no_are_conditions(value: Value, found: Truth) -> None:
    """A name or a quantity, whatever it is, is neither."""
    assert truth(value) == found


AT_LEAST = [
    # a, b, a >= b
    (Span(5, 6, 7), Span(1, 2, 3), TRUE),
    (Span(3, 6, 7), Span(1, 2, 3), TRUE),
    (Span(2, 6, 7), Span(1, 2, 3), MOSTLY),
    (Span(2, 2, 7), Span(1, 2, 3), MOSTLY),
    (Span(1, 2, 3), Span(2, 3, 4), HARDLY),
    (Span(1, 2, 3), Span(3, 4, 5), HARDLY),
    (Span(1, 2, 2.5), Span(3, 4, 5), FALSE),
    (Span(5, None, 7), Span(1, None, 3), TRUE),
    (Span(5, 6, 7), Span(1, None, 3), TRUE),
    (Span(5, None, 7), Span(1, 2, 3), TRUE),
    (Span(2, None, 4), Span(1, None, 3), MOSTLY),
    (Span(1, None, 3), Span(2, None, 4), HARDLY),
    (Span(1, None, 2), Span(3, None, 4), FALSE),
    (Span(5, None, math.inf), Span(5, 5, 5), TRUE),
    (Span(5, None, math.inf), Span(6, 6, 6), HARDLY),
    (Span(-math.inf, None, 5), Span(5, 5, 5), MOSTLY),
    (Span(-math.inf, None, 5), Span(6, 6, 6), FALSE),
    (Span(5, 1, 7), Span(1, 2, 3), HARDLY),
    (Span(5, 6, 7), Span(1, 9, 3), HARDLY),
    (Span(5, 8, 7), Span(1, 2, 3), TRUE),
    (Span(5, 6, 7), Span(1, 0, 3), TRUE),
    (Span(1, 9, 2), Span(3, 4, 5), MOSTLY),
]


@pytest.mark.parametrize(("a", "b", "found"), AT_LEAST)
def test_at_least(a: Span, b: Span, found: Truth) -> None:
    """Always where the low end of a clears the high end of b, never where the high end misses the low one;
    at nominal by the nominal values or middles, even where one lies outside its own span."""
    assert at_least(a, b) == found


WITHIN = [
    (Span(2, 3, 4), Span(1, None, 5), TRUE),
    (Span(1, 3, 5), Span(1, None, 5), TRUE),
    (Span(0, 3, 4), Span(1, None, 5), MOSTLY),
    (Span(2, 3, 6), Span(1, None, 5), MOSTLY),
    (Span(0, 3, 6), Span(1, None, 5), MOSTLY),
    (Span(0, 0.5, 4), Span(1, None, 5), HARDLY),
    (Span(2, 5.5, 6), Span(1, None, 5), HARDLY),
    (Span(0, 0.5, 1), Span(1, None, 5), HARDLY),
    (Span(5, 5.5, 6), Span(1, None, 5), HARDLY),
    (Span(0, 0.5, 0.9), Span(1, None, 5), FALSE),
    (Span(5.1, 5.5, 6), Span(1, None, 5), FALSE),
    (Span(2, 9, 4), Span(1, None, 5), HARDLY),
    (Span(2, 0, 4), Span(1, None, 5), HARDLY),
    (Span(6, 3, 7), Span(1, None, 5), MOSTLY),
    (Span(2, None, 4), Span(1, 9, 5), TRUE),
    (exact(5), Span(-math.inf, None, 5), TRUE),
    (exact(6), Span(-math.inf, None, 5), FALSE),
]


@pytest.mark.parametrize(("a", "b", "found"), WITHIN)
def test_within(a: Span, b: Span, found: Truth) -> None:
    """Both ends of a between both of b is always, none of a is never; the nominal of b says nothing."""
    assert within(a, b) == found


SAME = [
    (exact(2), exact(2), TRUE),
    (exact(2), exact(2 + 1e-12), TRUE),
    (exact(2), exact(2.1), FALSE),
    (Span(2, None, 2), exact(2), TRUE),
    (Span(2, 5, 2), exact(2), HARDLY),
    (Span(1, 2, 3), Span(1, 2, 3), MOSTLY),
    (Span(1, 2, 3), exact(2), MOSTLY),
    (exact(2), Span(2, 2, 3), MOSTLY),
    (Span(1, 2, 2), exact(2), MOSTLY),
    (Span(1, 2, 3), exact(3), HARDLY),
    (Span(1, 2, 3), exact(1), HARDLY),
    (Span(1, 2, 3), exact(3.1), FALSE),
    (Span(1, 2, 3), exact(0.9), FALSE),
    (Span(1, 4, 3), exact(4), MOSTLY),
    (exact(math.inf), exact(math.inf), TRUE),
    (exact(0), exact(0), TRUE),
]


@pytest.mark.parametrize(("a", "b", "found"), SAME)
def test_is_of_quantities(a: Span, b: Span, found: Truth) -> None:
    """Always where both are one value, never where the spans do not meet; either way round."""
    assert same(a, b) == found
    assert same(b, a) == found


@pytest.mark.parametrize("scale", [1e-12, 1.0, 4e5, -3.0])
def test_rounding_is_forgiven_to_a_billionth_and_no_further(scale: float) -> None:
    """0.9e-9 of a value beyond a limit is rounding, 1.2e-9 is not, for any size of the value."""
    a = exact(scale)
    for share, forgiven in ((0.9e-9, TRUE), (1.2e-9, FALSE)):
        beyond = exact(scale + abs(scale) * share)
        assert at_least(a, beyond) == forgiven
        assert within(beyond, Span(-math.inf, None, scale)) == forgiven
        assert within(a, Span(beyond.low, None, math.inf)) == forgiven
        assert same(a, beyond) == forgiven
        assert at_least(beyond, a) == TRUE


NO_NUMBER = [Span(math.nan, 2, 3), Span(1, math.nan, 3), Span(1, 2, math.nan)]


@pytest.mark.parametrize("odd", NO_NUMBER)
def test_any_part_that_is_no_number_leaves_it_open(odd: Span) -> None:
    """Low, nominal or high end, on either side, whatever the others would say."""
    for value in (exact(-9), exact(2), exact(9)):
        for compare in (at_least, within, same):
            assert compare(odd, value) == UNKNOWN
            assert compare(value, odd) == UNKNOWN


@pytest.mark.parametrize(
    ("a", "b", "found"),
    [
        ("Straße", "STRASSE", TRUE),
        ("low", "high", FALSE),
        (True, True, TRUE),
        (True, False, FALSE),
        (False, False, TRUE),
        ("low", True, UNKNOWN),
        (True, "low", UNKNOWN),
        ("1", exact(1), UNKNOWN),
        (exact(1), "1", UNKNOWN),
        (True, exact(1), UNKNOWN),
        (exact(1), True, UNKNOWN),
        ("low", Unknown("u"), UNKNOWN),
        (Unknown("u"), "low", UNKNOWN),
        (True, Unknown("u"), UNKNOWN),
        (Unknown("u"), Unknown("u"), UNKNOWN),
    ],
)
def test_is_and_within_of_anything_else(a: Value, b: Value, found: Truth) -> None:
    """Names without letter case, truths as they are; things of two kinds, or unknown, cannot be told."""
    assert same(a, b) == found
    assert within(a, b) == found
    if not (isinstance(a, Span) and isinstance(b, Span)):
        assert at_least(a, b) == UNKNOWN
