"""Boards with trimmers: which expectations one setting serves, what is said of it, and what is not theirs.

f = 1 / (2 us * 10 * R / 25 kohm) = 1.25e9 / R: 12 kHz wants 104.167 kohm, 10 kHz 125 kohm.
"""

import pytest

from drc.facts.book import Book
from drc.facts.model import Fact, Unknown
from drc.quantity.span import Span
from tests.facts.timing_boards import book, part

EXACT = part("TO1", "oscillator").replace('error = "1%"', 'error = "0%"').replace("+/- 50ppm", "+/- 0ppm")
BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt TO1
RT rt mid 80k 0%
RV1 mid 0 20k
RA vdd cfg 30k 0%
RB cfg 0 10k 0%
"""
OTHER = """XU2 vdd cfg o2 0 r2 TO1
RS r2 m2 90k 0%
RV2 m2 0 20k
"""
STILL = "ambient 25degC .. 25degC\n"


def actual(of: Book, which: int = 0) -> Fact:
    """What an expectation's block does."""
    return of.fact(of.subjects("statement")[which], "expect.actual")


def ends(found: Fact) -> tuple[float, float, float]:
    """Low, middle and high of a fact that must be a span."""
    assert isinstance(found.value, Span), found
    return found.value.low, found.value.middle, found.value.high


def test_two_blocks_each_with_a_trimmer_of_its_own() -> None:
    """12 kHz and 10 kHz: each trimmer is set for its own block, and both expectations are met."""
    wants = "expect XU1 frequency 12kHz +/- 0.1%\nexpect XU2 frequency 10kHz +/- 0.1%"
    of = book(BOARD + OTHER, EXACT, f"{STILL}adjust RV1 0ohm .. 50kohm\nadjust RV2 0ohm .. 50kohm\n{wants}")
    assert ends(actual(of, 0)) == pytest.approx((12e3,) * 3, rel=3e-4)
    assert ends(actual(of, 1)) == pytest.approx((10e3,) * 3, rel=3e-4)
    assert actual(of, 0).law.endswith(
        "each board set at 25 degC and nominal supply: RV1 to 24.17 kohm, RV2 to 35 kohm"
    )
    assert actual(of, 0).name == "expect.actual"
    assert actual(of, 0).law.startswith("timing.frequency: ")


def test_a_board_without_any_spread_is_set_too() -> None:
    """Nothing is left to chance, and the setting is the one that does."""
    sharp = EXACT.replace('"0.5V +/- 2%"', '"0.5V"')
    of = book(BOARD, sharp, f"{STILL}adjust RV1 0ohm .. 50kohm\nexpect XU1 period 80us +/- 1%")
    assert ends(actual(of)) == pytest.approx((80e-6,) * 3, rel=3e-4)


def test_what_no_trimmer_bears_on_is_as_it_was() -> None:
    """XU2 has a fixed resistor: its frequency is told as ever, without a word of settings."""
    fixed = OTHER.replace("RV2 m2 0 20k", "RV2 m2 0 20k 0%")
    wants = "expect XU1 frequency 12kHz\nexpect XU2 frequency 10kHz"
    of = book(BOARD + fixed, EXACT, f"{STILL}adjust RV1 0ohm .. 50kohm\n{wants}")
    plain = book(BOARD + fixed, EXACT, f"{STILL}{wants}")
    assert actual(of, 1) == actual(plain, 1)
    assert ends(actual(of, 1)) == pytest.approx((1.25e9 / 110e3,) * 3)
    assert "RV1" in actual(of, 0).law
    assert "RV2" not in actual(of, 0).law


def test_without_adjust_nothing_is_set() -> None:
    """The trimmer stands at its drawn value."""
    of = book(BOARD, EXACT, f"{STILL}assume RV1 tolerance 0%\nexpect XU1 frequency 12kHz")
    assert ends(actual(of)) == pytest.approx((12.5e3,) * 3)
    assert "set" not in actual(of).law


def test_an_adjust_that_bears_on_nothing_changes_nothing() -> None:
    """A trimmer at the output, and one that is not there."""
    for name in ("RV9", "RV8"):
        lines = BOARD + "RV9 out 0 10k\n"
        of = book(
            lines,
            EXACT,
            f"{STILL}assume RV1 tolerance 0%\nadjust {name} 1kohm .. 5kohm\nexpect XU1 frequency 12kHz",
        )
        assert ends(actual(of)) == pytest.approx((12.5e3,) * 3)


def test_what_all_settings_must_suit_is_none_to_be_set() -> None:
    """`assume RV1 value` beside `adjust RV1`: the whole of the assumed travel is looked at."""
    intent = (
        f"{STILL}adjust RV1 0ohm .. 50kohm\nassume RV1 value 10kohm .. 30kohm\nexpect XU1 frequency 12kHz"
    )
    low, _, high = ends(actual(book(BOARD, EXACT, intent)))
    assert (low, high) == pytest.approx((1.25e9 / 110e3, 1.25e9 / 90e3))


@pytest.mark.parametrize("method", ["extreme", "rss", "monte-carlo"])
def test_every_method_sees_the_trimmed_board(method: str) -> None:
    """5 % of RT and 1 % of the part are taken up: what is left is a hair, by each method."""
    lines = BOARD.replace("80k 0%", "80k 5%")
    intent = f"{STILL}adjust RV1 0ohm .. 50kohm\nexpect XU1 frequency 12kHz +/- 1% using {method}"
    found = actual(book(lines, part("TO1", "oscillator").replace("+/- 50ppm", "+/- 0ppm"), intent))
    low, middle, high = ends(found)
    assert middle == pytest.approx(12e3, rel=1e-3)
    assert high / low - 1 < 4e-4
    suffix = {"extreme": "", "rss": ".rss", "monte-carlo": ".monte_carlo"}[method]
    assert found.law.startswith(f"timing.frequency{suffix}: ")
    note = {"extreme": "f = 1 / T", "rss": "root-sum-square: ", "monte-carlo": "Monte Carlo, 20000 draws: "}[
        method
    ]
    assert note in found.law
    assert ("Monte Carlo" in found.law) is (method == "monte-carlo")
    assert ("root-sum-square" in found.law) is (method == "rss")


def test_an_unknown_expectation_does_not_stand_in_the_way() -> None:
    """One of a block without a time, one under a condition that names nothing, one of a name."""
    wants = "expect XU1 frequency 12kHz\nexpect XU2 frequency 10kHz\n"
    wants += "expect XU1 frequency 12kHz when nowhere = 1V\n"
    wants += "expect XU1 polarity normal\nexpect XU1 rest low\nexpect XU1 prescale 10"
    lines = BOARD + OTHER.replace("RS r2 m2 90k 0%\n", "")
    of = book(lines, EXACT, f"{STILL}adjust RV1 0ohm .. 50kohm\n{wants}")
    assert ends(actual(of, 0)) == pytest.approx((12e3,) * 3, rel=3e-4)
    assert isinstance(actual(of, 1).value, Unknown)
    assert isinstance(actual(of, 2).value, Unknown)
    assert actual(of, 3).value == "normal"
    assert actual(of, 4).value == "low"
    assert ends(actual(of, 5)) == (10, 10, 10)


def test_a_steered_and_trimmed_block_is_set_as_a_whole() -> None:
    """Where another output takes two states no one law tells the time: one setting is searched for both."""
    lines = BOARD.replace("RV1 mid 0", "RV1 mid o2") + "XU2 vdd cfg o2 0 r2 TO1\nRS r2 0 100k 0%\n"
    of = book(lines, EXACT, f"{STILL}adjust RV1 0ohm .. 50kohm\nexpect XU1 frequency at least 1Hz")
    assert "with RV1 set to" in actual(of).law or isinstance(actual(of).value, Unknown)


ONE_SHOT = part(
    "TS1", "one-shot", "trigger", 'trigger = { edge = "rising", retriggerable = false, recovery = "0s" }'
)


def test_what_is_counted_in_whole_periods_is_searched_for() -> None:
    """Out of every 3rd trigger of 100 us one pulse: a width of 200 us to 300 us, so 250 to 375 kohm."""
    lines = BOARD.replace("rt TO1", "rt trg TS1").replace("RV1 mid 0 20k", "RV1 mid 0 200k")
    intent = f"{STILL}signal trg period 100us\nadjust RV1 0ohm .. 400kohm\nexpect XU1 period 300us +/- 1%"
    found = actual(book(lines, ONE_SHOT, intent))
    assert ends(found) == pytest.approx((300e-6,) * 3)
    said = found.law.partition("with RV1 set to ")[2]
    assert said
    assert 250 - 80 <= float(said.split()[0]) <= 375 - 80


def test_a_trimmer_on_the_strap_is_searched_for_all_of_its_block() -> None:
    """RA from 1 kohm to 50 kohm over 10 kohm: code 2 of four for 10 kohm to 3.33 kohm, times 100."""
    lines = BOARD.replace("RV1 mid 0 20k", "RV1 mid 0 0")
    of = book(
        lines, EXACT, f"{STILL}adjust RA 1kohm .. 50kohm\nexpect XU1 prescale 100\nexpect XU1 period 640us"
    )
    assert ends(actual(of, 0)) == (100, 100, 100)
    assert ends(actual(of, 1)) == pytest.approx((640e-6,) * 3)
    assert "with RA set to" in actual(of, 1).law


def test_a_searched_block_is_set_for_its_own_expectations_alone() -> None:
    """XU2 fails whatever RA is: RA is still set so that XU1 reads code 2."""
    lines = BOARD.replace("RV1 mid 0 20k", "RV1 mid 0 0") + OTHER.replace(
        "RV2 m2 0 20k", "RV2 m2 0 0"
    ).replace("XU2 vdd cfg", "XU2 vdd vdd")
    wants = "expect XU2 frequency 1Hz\nexpect XU1 prescale 100"
    of = book(lines, EXACT, f"{STILL}adjust RA 1kohm .. 50kohm\n{wants}")
    assert ends(actual(of, 1)) == (100, 100, 100)


def test_an_open_strap_elsewhere_does_not_stand_in_the_way() -> None:
    """XU2's strap hangs on nothing: its own frequency is unknown, XU1 is set all the same."""
    lines = BOARD + OTHER.replace("XU2 vdd cfg", "XU2 vdd x")
    wants = "expect XU2 frequency 10kHz\nexpect XU1 frequency 12kHz"
    of = book(lines, EXACT, f"{STILL}adjust RV1 0ohm .. 50kohm\n{wants}")
    assert isinstance(actual(of, 0).value, Unknown)
    assert ends(actual(of, 1)) == pytest.approx((12e3,) * 3, rel=3e-4)
