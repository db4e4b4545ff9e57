"""Three-valued conditions in full tables, and comparisons of spans with and without a nominal value."""

import math
from itertools import product

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


def test_and_or_in_full() -> None:
    """At nominal as three-valued logic has it (S. C. Kleene's strong tables, from memory), over the span by
    the weaker of both; the same for truths that were computed and for those that are given."""
    for one, first in ALL.items():
        for (other, second), joined, either_one in zip(ALL.items(), AND[one], OR[one], strict=True):
            for a, b in product((first, Truth(*first)), (second, Truth(*second))):
                assert both(a, b) == joined, (one, other)
                assert either(a, b) == either_one, (one, other)


def test_not_in_full() -> None:
    """True and false change places, at nominal and over the span; what is unknown or at times so stays."""
    for given, turned in ((TRUE, FALSE), (UNKNOWN, UNKNOWN), (MOSTLY, HARDLY)):
        assert negated(given) == turned
        assert negated(turned) == given


def test_only_yes_and_no_are_conditions() -> None:
    """A name or a quantity, whatever it is, is neither."""
    assert truth(True) == TRUE
    assert truth(False) == FALSE
    others: list[Value] = [Unknown("u"), "true", exact(1), exact(0)]
    assert [truth(value) for value in others] == [UNKNOWN] * 4


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


def test_at_least() -> None:
    """Always where the low end of a clears the high end of b, never where the high end misses the low one;
    at nominal by the nominal values or middles, even where one lies outside its own span."""
    for a, b, found in AT_LEAST:
        assert at_least(a, b) == found, (a, b)


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


def test_within() -> None:
    """Both ends of a between both of b is always, none of a is never; the nominal of b says nothing."""
    for a, b, found in WITHIN:
        assert within(a, b) == found, (a, b)


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


def test_is_of_quantities() -> None:
    """Always where both are one value, never where the spans do not meet; either way round."""
    for a, b, found in SAME:
        assert same(a, b) == found, (a, b)
        assert same(b, a) == found, (b, a)


def test_rounding_is_forgiven_to_a_billionth_and_no_further() -> None:
    """0.9e-9 of a value beyond a limit is rounding, 1.2e-9 is not, for any size of the value."""
    for scale, (share, forgiven) in product((1e-12, 1.0, 4e5, -3.0), ((0.9e-9, TRUE), (1.2e-9, FALSE))):
        a, beyond = exact(scale), exact(scale + abs(scale) * share)
        assert at_least(a, beyond) == forgiven
        assert within(beyond, Span(-math.inf, None, scale)) == forgiven
        assert within(a, Span(beyond.low, None, math.inf)) == forgiven
        assert same(a, beyond) == forgiven
        assert at_least(beyond, a) == TRUE


NO_NUMBER = [Span(math.nan, 2, 3), Span(1, math.nan, 3), Span(1, 2, math.nan)]


def test_any_part_that_is_no_number_leaves_it_open() -> None:
    """Low, nominal or high end, on either side, whatever the others would say."""
    for odd in NO_NUMBER:
        for value in (exact(-9), exact(2), exact(9)):
            for compare in (at_least, within, same):
                assert compare(odd, value) == UNKNOWN, (odd, value)
                assert compare(value, odd) == UNKNOWN, (value, odd)


OTHERS: list[tuple[Value, Value, Truth]] = [
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
]


def test_is_and_within_of_anything_else() -> None:
    """Names without letter case, truths as they are; things of two kinds, or unknown, cannot be told."""
    for a, b, found in OTHERS:
        assert same(a, b) == found, (a, b)
        assert within(a, b) == found, (a, b)
        assert at_least(a, b) == UNKNOWN, (a, b)
