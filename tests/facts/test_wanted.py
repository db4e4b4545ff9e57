"""What an expectation wants and under what: duty in points, methods, conditions on nets and outputs."""

import pytest

from drc.facts.book import Book
from drc.facts.expect import book_under, fact_name, in_points, only
from drc.facts.model import Case, Cases, Fact, Unknown
from drc.intent.model import Condition, Expect, Method, Pattern, Signal, Supply
from drc.quantity.span import Span, exact
from drc.quantity.unit import HERTZ, POINT, RATIO, VOLT
from drc.trouble import Place
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book

HERE = Place("board.intent", 1)


def wish(quantity: str, wanted: Span | str, method: Method | None = None) -> Expect:
    """An expectation of a block."""
    return Expect(HERE, "expect", Pattern("XU1"), quantity, wanted, method)


def test_a_duty_in_percent_is_taken_as_points() -> None:
    """38 % .. 42 % are 38 .. 42 points, with a nominal where one is stated."""
    assert in_points(wish("duty", Span(0.38, None, 0.42, RATIO))) == Span(38, None, 42, POINT)
    assert in_points(wish("duty", Span(0.38, 0.41, 0.42, RATIO))) == Span(38, 41, 42, POINT)
    assert in_points(wish("duty", Span(0.25, 0, 0.5, RATIO))) == Span(25, 0, 50, POINT)


@pytest.mark.parametrize(
    "stated",
    [
        wish("duty", Span(38, 40, 42, POINT)),
        wish("duty", exact(2.0, HERTZ)),
        wish("code", Span(5, 5, 5, RATIO)),
        wish("prescale", Span(10, None, 20, RATIO)),
        wish("polarity", "inverted"),
    ],
)
def test_anything_else_is_wanted_as_it_is_written(stated: Expect) -> None:
    """Points, other units, plain numbers and names."""
    assert in_points(stated) is stated.wanted


@pytest.mark.parametrize(
    ("quantity", "method", "name"),
    [
        ("frequency", None, "timing.frequency"),
        ("frequency", "extreme", "timing.frequency"),
        ("frequency", "rss", "timing.frequency.rss"),
        ("period", "monte-carlo", "timing.period.monte_carlo"),
        ("pulse-width", "rss", "timing.pulse_width.rss"),
        ("delay", "rss", "timing.delay.rss"),
        ("delay-rising", None, "timing.delay_rising"),
        ("delay-falling", "monte-carlo", "timing.delay_falling.monte_carlo"),
        ("duty", "rss", "timing.duty.rss"),
        ("prescale", "rss", "strap.prescale"),
        ("code", "monte-carlo", "strap.code"),
        ("polarity", None, "strap.polarity"),
        ("rest", "rss", "output.rest"),
    ],
)
def test_the_fact_behind_each_quantity(quantity: str, method: Method | None, name: str) -> None:
    """By the method that is named where the quantity has a spread."""
    assert fact_name(wish(quantity, "x", method)) == name


TWO = (
    CENTRED
    + "R8 r2 0 100k\nXU2 vdd cfg o2 0 r2 vdd PL1\nR7 r3 0 100k\nXU3 vdd cfg o3 0 r3 vdd PL1\nR6 o2 x 1k\n"
)


def two(intent: str = "expect XU1 period 1s") -> Book:
    """Three blocks."""
    return book(TWO, PLAIN, intent)


def cases(*labels: str) -> Fact:
    """A fact of labelled cases, each a number of its own."""
    held = tuple(Case(label, exact(float(number), HERTZ)) for number, label in enumerate(labels))
    return Fact("timing.frequency", Cases(held), "law")


BOTH = cases("XU2 = high", "XU2 = low")


@pytest.mark.parametrize(
    ("subject", "level", "number"),
    [("XU2", "high", 0), ("XU2", "low", 1), ("o2", "high", 0), ("xu2", "low", 1), ("XU2*", "high", 0)],
)
def test_a_condition_on_an_output_takes_its_state(subject: str, level: str, number: int) -> None:
    """By the block's name or by its output's net; what is left is a span."""
    found = only(BOTH, two(), Condition(Pattern(subject), "high" if level == "high" else "low"))
    assert found == Fact("timing.frequency", exact(float(number), HERTZ), "law")


def test_what_else_takes_states_stays() -> None:
    """Of four cases of two sources the two in which the one is high, labels as they were."""
    four = cases("XU2 = high, v = 0 V", "XU2 = high, v = 1 V", "XU2 = low, v = 0 V", "XU2 = low, v = 1 V")
    found = only(four, two(), Condition(Pattern("XU2"), "high"))
    assert isinstance(found.value, Cases)
    assert isinstance(four.value, Cases)
    assert found.value.cases == four.value.cases[:2]


@pytest.mark.parametrize(
    ("found", "condition"),
    [
        (BOTH, None),
        (BOTH, Condition(Pattern("ctl"), exact(1.0, VOLT))),
        (BOTH, Condition(Pattern("XU3"), "high")),
        (Fact("timing.frequency", exact(1.0, HERTZ)), Condition(Pattern("XU2"), "high")),
        (Fact("timing.frequency", Unknown("why")), Condition(Pattern("XU2"), "high")),
    ],
)
def test_a_condition_that_no_case_speaks_of_changes_nothing(found: Fact, condition: Condition | None) -> None:
    """None at all, a voltage (which the board is held at), another block, and what takes no states."""
    assert only(found, two(), condition) == found


def test_the_same_board_where_nothing_is_held_at_a_voltage() -> None:
    """No condition, or one on an output: the very same book."""
    of = two()
    assert book_under(of, None) is of
    assert book_under(of, Condition(Pattern("XU2"), "high")) is of
    assert book_under(of, Condition(Pattern("o2"), "low")) is of


@pytest.mark.parametrize(
    "condition",
    [
        Condition(Pattern("XU9"), "high"),
        Condition(Pattern("x"), "low"),
        Condition(Pattern("vdd"), "high"),
        Condition(Pattern("nowhere"), exact(1.0, VOLT)),
        Condition(Pattern("no*"), exact(1.0, VOLT)),
        Condition(Pattern("x*", literal=True), exact(1.0, VOLT)),
    ],
)
def test_a_condition_on_nothing_is_named(condition: Condition) -> None:
    """No block, a net that no output is on, no net, no match, a quoted star."""
    found = book_under(two(), condition)
    assert isinstance(found, Unknown)
    assert found.missing == (condition.subject.text,)


@pytest.mark.parametrize("pattern", [Pattern("x"), Pattern("x*"), Pattern("X"), Pattern("x", literal=True)])
def test_a_net_is_held_whatever_is_stated_of_it(pattern: Pattern) -> None:
    """The condition comes first, a supply of the same name is dropped, all else stays as it was."""
    of = two(f"supply {pattern.text} 3V\nsignal x 2V\nsupply vdd 5V\nexpect XU1 period 1s")
    under = book_under(of, Condition(pattern, exact(1.5, VOLT)))
    assert isinstance(under, Book)
    assert under is not of
    first, *rest = under.intent.statements
    assert first == Signal(first.place, f"when {pattern.text}", pattern, voltage=exact(1.5, VOLT))
    assert first.place == of.intent.statements[-1].place
    kept = [s for s in of.intent.statements if not (isinstance(s, Supply) and s.net == pattern)]
    assert rest == kept
    assert len(kept) == (4 if pattern.literal else 3)
    assert book_under(of, Condition(pattern, exact(1.5, VOLT))) is under
    other = book_under(of, Condition(pattern, exact(1.6, VOLT)))
    assert isinstance(other, Book)
    assert other is not under
