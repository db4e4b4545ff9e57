"""The best setting of trimmers by hand: what is measured here is the settings themselves, or sums of them."""

import math
from collections.abc import Callable

import pytest

from drc.facts.adjusted import Goal, best_setting
from drc.facts.book import Book
from drc.facts.model import Fact, Unknown
from drc.intent.model import Adjust, Assume
from drc.quantity.span import Span, exact
from drc.quantity.unit import OHM
from tests.facts.strap_boards import PLAIN
from tests.facts.timing_boards import book

TRIMMERS = "".join(f"RV{k} n{k} 0 10k\n" for k in range(1, 10)) + "RP4A a w 10k\nRP4B w 0 10k\n"
Measure = Callable[[Book], Fact]


def trimmed(intent: str) -> Book:
    """A board of nothing but trimmers, RV1 to RV9, and a potentiometer of two halves."""
    return book(f"V1 vdd 0 4\n{TRIMMERS}", PLAIN, intent)


def ohms(of: Book) -> dict[str, float]:
    """What each element is fixed at, the first statement about it counting."""
    found: dict[str, float] = {}
    for each in of.intent.statements:
        if isinstance(each, Assume) and each.value is not None:
            found.setdefault(each.element.text, each.value.middle)
    return found


def total(*names: str, law: str = "", below: float = 0.0, above: float = 0.0) -> Measure:
    """Measures the sum of some trimmers, and more or less than it by what it may vary."""

    def measure(of: Book) -> Fact:
        value = sum(ohms(of).get(name, 0.0) for name in names)
        return Fact("sum", Span(value - below, value, value + above, OHM), law)

    return measure


def found(intent: str, wanted: Span, measure: Measure) -> float:
    """What is measured with everything set for one goal."""
    span = best_setting(trimmed(intent), [Goal(wanted, measure)], measure).span
    assert span is not None
    return span.middle


def test_without_a_trimmer_the_board_is_as_it_is() -> None:
    """Nothing to adjust, or nothing on the board of that name: measured once, and nothing said."""
    for intent in ("", "adjust RX9 0ohm .. 10kohm", "assume RV1 value 3kohm"):
        of = trimmed(intent)
        asked: list[Book] = []

        def measure(at: Book, asked: list[Book] = asked) -> Fact:
            asked.append(at)
            return Fact("sum", exact(5.0), "as it is")

        assert best_setting(of, [Goal(exact(1.0), measure)], measure) == Fact("sum", exact(5.0), "as it is")
        assert asked == [of]


@pytest.mark.parametrize("wanted", [0.0, 1.0, 1234.5, 5000.0, 7777.0, 9999.0, 10000.0])
def test_a_trimmer_is_set_to_a_part_in_65_000(wanted: float) -> None:
    """Wherever in its travel of 10 kohm the best setting lies."""
    goal = Span(wanted - 50, wanted, wanted + 50, OHM)
    assert found("adjust RV1 0ohm .. 10kohm", goal, total("RV1")) == pytest.approx(wanted, abs=10e3 / 65000)


@pytest.mark.parametrize(("wanted", "end"), [(100.0, 2000.0), (9000.0, 6000.0)])
def test_what_cannot_be_reached_is_neared_to_the_end_of_the_travel(wanted: float, end: float) -> None:
    """Never beyond: 2 kohm to 6 kohm."""
    goal = Span(wanted - 50, wanted, wanted + 50, OHM)
    assert found("adjust RV1 2kohm .. 6kohm", goal, total("RV1")) == end


def test_the_highest_of_several_peaks_is_found() -> None:
    """A window of 500 ohm about 3.75 kohm, one of the first steps, beats a wide but shallow one elsewhere."""

    def measure(of: Book) -> Fact:
        ohm = ohms(of)["RV1"]
        near = 500 - 2 * abs(ohm - 3800)
        return Fact("depth", exact(max(near, 100 - abs(ohm - 9000) / 100)))

    assert found("adjust RV1 0ohm .. 10kohm", Span(500, None, math.inf), measure) == pytest.approx(500, abs=1)


def test_a_span_is_set_so_that_both_its_ends_lie_alike_inside() -> None:
    """From 1 ohm below to 4 ohm above: in 40 ohm to 60 ohm at 48.5 ohm, 7.5 ohm to either end."""
    measure = total("RV1", below=1, above=4)
    assert found("adjust RV1 0ohm .. 100ohm", Span(40, 50, 60, OHM), measure) == pytest.approx(48.5, abs=2e-3)


@pytest.mark.parametrize(
    ("other", "sign", "ohm"),
    [
        (Span(30, 60, 90), 1, 45.0),
        (Span(60, None, math.inf), 1, 360 / 7),
        (Span(-math.inf, None, -60), -1, 360 / 7),
        (exact(60), 1, 650 / 11),
    ],
)
def test_two_goals_are_met_by_equal_shares_of_what_each_allows(other: Span, sign: int, ohm: float) -> None:
    """40 +/- 10 leaves (50 - x) / 10 above 40; beside it

    60 +/- 30 leaves (x - 30) / 30: equal at 45; at least 60, (x - 60) / 60: at 360/7; at most -60 of -x is
    the same; exactly 60, x - 60 itself: at 650/11.
    """
    straight = total("RV1")

    def turned(of: Book) -> Fact:
        return Fact("turned", exact(sign * ohms(of)["RV1"]))

    goals = [Goal(Span(30, 40, 50), straight), Goal(other, turned)]
    for order in (goals, goals[::-1]):
        span = best_setting(trimmed("adjust RV1 0ohm .. 100ohm"), order, straight).span
        assert span is not None
        assert span.middle == pytest.approx(ohm, abs=100 / 65000)


def test_a_setting_that_gives_no_span_is_the_worst() -> None:
    """Below 6 kohm nothing is known, so that 6 kohm and up is what counts, though 2 kohm is wanted."""

    def measure(of: Book) -> Fact:
        ohm = ohms(of)["RV1"]
        return Fact("half", exact(ohm) if ohm >= 6000 else Unknown("no value", ("x",)))

    assert found("adjust RV1 0ohm .. 10kohm", exact(2000), measure) == pytest.approx(6000, abs=10e3 / 65000)


def test_two_trimmers_are_turned_twice_in_turn() -> None:
    """a + 2 b = 10 and a - b = 1, from 5 and 5: a to 3, b to 3, then a to 4, where both hold."""

    def weighed(first: float, second: float) -> Measure:
        return lambda of: Fact("sum", exact(first * ohms(of)["RV1"] + second * ohms(of)["RV2"]))

    goals = [Goal(Span(9, 10, 11), weighed(1, 2)), Goal(Span(0, 1, 2), weighed(1, -1))]
    of = trimmed("adjust RV1 0ohm .. 10ohm\nadjust RV2 0ohm .. 10ohm")
    for names, wanted in ((("RV1",), 4), (("RV2",), 3)):
        span = best_setting(of, goals, total(*names)).span
        assert span is not None
        assert span.middle == pytest.approx(wanted, abs=2e-3)


def test_the_settings_are_told_in_the_order_stated() -> None:
    """Behind the law, if there is one; of two statements about one trimmer the first counts."""
    intent = "adjust RV2 1kohm .. 3kohm\nadjust rv2 5kohm .. 9kohm\nadjust RV1 2kohm .. 4kohm"
    goal = Goal(exact(99e3), total("RV1", "RV2"))
    with_law = best_setting(trimmed(intent), [goal], total("RV1", "RV2", law="a sum"))
    assert with_law.law == "a sum; with RV2 set to 3 kohm, RV1 set to 4 kohm"
    assert with_law.value == exact(7000, OHM)
    assert (
        best_setting(trimmed(intent), [goal], total("RV1")).law == "with RV2 set to 3 kohm, RV1 set to 4 kohm"
    )


@pytest.mark.parametrize("count", [6, 7])
def test_six_trimmers_are_searched_and_no_more(count: int) -> None:
    """Of seven nothing is claimed: the fact says so, and names the statements."""
    intent = "".join(f"adjust RV{k} 0ohm .. 1kohm\n" for k in range(1, count + 1))
    names = [f"RV{k}" for k in range(1, count + 1)]
    measure = total(*names, law="a sum")
    of = best_setting(trimmed(intent), [Goal(exact(99e3), measure)], measure)
    if count == 6:
        assert of.value == exact(6000, OHM)
        return
    assert of == Fact(
        "sum",
        Unknown("7 trimmers are to be adjusted, and no more than 6 are searched", ("adjust",)),
        "a sum",
    )


def test_the_halves_of_a_potentiometer_keep_its_whole() -> None:
    """RP4A takes what is asked for, RP4B the rest of 10 kohm; each is named alone."""
    goal = Goal(Span(2900, 3000, 3100), total("RP4A"))
    of = trimmed("adjust RP4* 0ohm .. 10kohm")
    first, second = (best_setting(of, [goal], total(name)).span for name in ("RP4A", "RP4B"))
    assert first is not None
    assert second is not None
    assert first.middle == pytest.approx(3000, abs=10e3 / 65000)
    assert first.middle + second.middle == pytest.approx(10e3)
    lifted = trimmed("adjust RP4* 1kohm .. 10kohm")
    whole = best_setting(lifted, [goal], total("RP4A", "RP4B")).span
    assert whole is not None
    assert whole.middle == pytest.approx(11e3)


def test_what_is_ganged_is_set_alike_and_said_of_the_pattern() -> None:
    """One statement about several resistors is one setting."""
    goal = Goal(exact(400.0), total("RV*"))
    of = best_setting(trimmed("adjust RV* 0ohm .. 1kohm"), [goal], total("RV*"))
    assert of.law.startswith("with RV* set to 400")
    assert of.span is not None
    assert of.span.middle == pytest.approx(400, abs=1e3 / 65000)


def test_a_setting_goes_before_what_else_is_stated_and_nothing_else_changes() -> None:
    """The statements of the board stay, behind the settings, in their place and with their text."""
    of = trimmed("assume RV1 value 7kohm\nadjust RV1 0ohm .. 1kohm")
    seen: list[Book] = []

    def measure(at: Book) -> Fact:
        seen.append(at)
        return total("RV1")(at)

    assert best_setting(of, [Goal(exact(600.0), measure)], measure).span is not None
    adjusted = next(each for each in of.intent.statements if isinstance(each, Adjust))
    for at in seen:
        fixed, *rest = at.intent.statements
        assert isinstance(fixed, Assume)
        assert (fixed.place, fixed.text, fixed.element) == (adjusted.place, adjusted.text, adjusted.element)
        assert fixed.value is not None
        assert fixed.value == exact(fixed.value.low, OHM)
        assert tuple(rest) == of.intent.statements
        assert at.board is of.board
