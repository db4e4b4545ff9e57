"""Expectations beside what their blocks do, under their conditions and by their methods."""

import pytest

from drc.facts.book import Book
from drc.facts.model import Fact, Unknown
from drc.quantity.span import Span
from drc.resources import data_root
from tests.facts.timing_boards import book, part, span

PARTS = part("TO1", "oscillator") + part(
    "TP1",
    "pulse-modulator",
    "modulate",
    'modulate = { full_scale = "0V .. 1V", duty = "0% .. 100%", error = "1points" }',
)
BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt TO1
RT rt 0 100k 0%
RC rt ctl 100k 0%
RA vdd cfg 30k 0%
RB cfg 0 10k 0%
"""


def expected(of: Book, name: str, at: int = 0) -> Fact:
    """A fact of the statement at a position."""
    return of.fact(of.subjects("statement")[at], name)


def nominal(found: Fact) -> float:
    """The nominal of a fact that must be a span."""
    assert found.span is not None, found
    return found.span.middle


@pytest.mark.parametrize(
    ("statement", "actual"),
    [
        ("frequency 15kHz +/- 3%", 15e3),
        ("period 66.7us +/- 3%", 1 / 15e3),
        ("prescale 10", 10),
        ("code 1", 1),
    ],
)
def test_each_quantity_has_its_fact(statement: str, actual: float) -> None:
    """At 0.4 V on the control 5 + 1 uA: 15 kHz; the strap reads code 1, prescale 10."""
    board = book(BOARD, PARTS, f"expect XU1 {statement}\nsignal ctl 0.4V")
    assert nominal(expected(board, "expect.actual")) == pytest.approx(actual)


def test_names_are_compared_as_names() -> None:
    """Polarity and rest are names on both sides."""
    board = book(BOARD, PARTS, "expect XU1 polarity inverted\nexpect XU1 rest low\nsignal ctl 0V")
    assert [expected(board, "expect.actual", at).value for at in (0, 1)] == ["normal", "low"]
    assert [expected(board, "expect.wanted", at).value for at in (0, 1)] == ["inverted", "low"]


def test_the_method_is_the_statement_s() -> None:
    """Extreme value, marked as the default, unless the statement names a method."""
    stated = "\n".join(
        ["signal ctl 0V"]
        + [f"expect XU1 frequency 25kHz +/- 5%{using}" for using in ("", " using rss", " using monte-carlo")]
    )
    board = book(BOARD.replace("0%", "1%"), PARTS, stated)
    found = [expected(board, "expect.actual", at) for at in range(3)]
    assert [expected(board, "expect.method", at).value for at in range(3)] == [
        "default",
        "rss",
        "monte-carlo",
    ]
    for suffix, each in zip(("", ".rss", ".monte_carlo"), found, strict=True):
        assert each.span == span(board, f"timing.frequency{suffix}")


def test_a_condition_holds_a_net_at_a_voltage() -> None:
    """`when ctl = 0.4V` gives the frequency there, whatever range the signal has: 15 kHz at 0.4 V."""
    stated = "signal ctl 0V .. 0.8V\nexpect XU1 frequency 15kHz +/- 3% when ctl = 0.4V"
    board = book(BOARD, PARTS, stated)
    actual = expected(board, "expect.actual")
    assert nominal(actual) == pytest.approx(15e3)
    assert actual.span is not None
    assert actual.span.high < 15.4e3 < span(board, "timing.frequency").high


@pytest.mark.parametrize(("level", "hertz"), [("low", 25e3), ("high", 12.5e3 * (2 - 0.3 / 0.5))])
def test_a_condition_holds_another_output(level: str, hertz: float) -> None:
    """`when XU2 = high` is one of the two frequencies that the other block's output makes."""
    divided = "RD out2 ctl 90k 0%\nRE ctl 0 10k 0%\nXU2 vdd cfg out2 0 rt2 TO1\nRT2 rt2 0 100k\n"
    board = book(
        f"{BOARD.replace('RC rt ctl 100k', 'RC rt ctl 91k')}{divided}",
        PARTS.replace('resistance = "20ohm"', 'resistance = "0ohm"'),
        f"expect XU1 frequency 25kHz +/- 5% when XU2 = {level}",
    )
    assert nominal(expected(board, "expect.actual")) == pytest.approx(hertz)


HALYARD = (data_root() / "rules" / "parts" / "halyard.toml").read_text(encoding="utf-8")
GATED = """V1 vdd 0 3.3
R1 vdd cfg 130k
R2 cfg 0 68.1k
R3 rt 0 100k
R4 rt1 0 100k
XU2 vdd cfg gate 0 rt 0 HA20
{way}
XU1 vdd cfg out 0 rt1 pin {part}
"""


@pytest.mark.parametrize(
    ("part", "way", "runs"),
    [
        ("HA10", "R9 gate pin 100", "high"),
        ("HA10", "XG1 gate pin vdd 0 HA70", "low"),
        ("HA20", "R9 gate pin 100", "low"),
        ("HA20", "XG1 gate pin vdd 0 HA70", "high"),
    ],
)
def test_a_block_that_another_stops_makes_no_time_meanwhile(part: str, way: str, runs: str) -> None:
    """Enabled, or reset, by another's output: a time is known at the level that lets it run, alone.

    Both parts' pins are active high. What is no time, such as the prescale, is the same at either level.
    """
    for level in ("high", "low"):
        condition = f"when XU2 = {level}"
        of = book(GATED.format(way=way, part=part), HALYARD, f"expect XU1 frequency 1Hz {condition}")
        value = expected(of, "expect.actual").value
        if level == runs:
            assert isinstance(value, Span)
        else:
            assert isinstance(value, Unknown)
            assert value.because.endswith(f"pin while XU2 = {level}")
        of = book(GATED.format(way=way, part=part), HALYARD, f"expect XU1 prescale 1 {condition}")
        assert not isinstance(expected(of, "expect.actual").value, Unknown)


def test_a_condition_that_names_nothing_is_unknown() -> None:
    """A condition on a net that is not there is no pass."""
    board = book(BOARD, PARTS, "signal ctl 0V\nexpect XU1 frequency 25kHz +/- 5% when ctrl = 1V")
    value = expected(board, "expect.actual").value
    assert isinstance(value, Unknown)
    assert value.missing == ("ctrl",)


def test_what_a_block_has_not_is_unknown() -> None:
    """An oscillator has no delay: the expectation of one cannot pass."""
    board = book(BOARD, PARTS, "signal ctl 0V\nexpect XU1 delay 1ms +/- 5%")
    value = expected(board, "expect.actual").value
    assert isinstance(value, Unknown)
    assert "oscillator has no delay" in value.because


def test_duty_in_percent_is_points() -> None:
    """`duty 40% +/- 2points` wants 38 to 42 points."""
    netlist = BOARD.replace("XU1 vdd cfg out 0 rt TO1", "XU1 vdd cfg out 0 rt m TP1")
    stated = "signal ctl 0V\nsignal m 0.4V\nexpect XU1 duty 38% .. 42%"
    board = book(netlist, PARTS, stated)
    wanted, actual = expected(board, "expect.wanted").value, expected(board, "expect.actual").value
    assert isinstance(wanted, Span)
    assert isinstance(actual, Span)
    assert (wanted.low, wanted.high) == pytest.approx((38, 42))
    assert (actual.low, actual.high) == pytest.approx((39, 41))
    assert wanted.unit == actual.unit


def test_a_pattern_makes_a_subject_of_every_block() -> None:
    """One statement about `XU*` is joined to each block that it matches."""
    twin = "XU2 vdd cfg out2 0 rt2 TO1\nRT2 rt2 0 50k 0%\n"
    board = book(f"{BOARD}{twin}", PARTS, "signal ctl 0V\nexpect XU* frequency 25kHz +/- 5%")
    assert [subject.path for subject in board.subjects("statement")] == [
        "XU1 frequency",
        "XU2 frequency",
    ]
    assert nominal(expected(board, "expect.actual", 1)) == pytest.approx(25e3)


def test_statements_about_one_block_are_told_apart() -> None:
    """By quantity and condition, and where those are alike by number."""
    stated = (
        "signal ctl 0V .. 1V\nexpect XU1 frequency at least 20kHz\nexpect XU1 frequency at most 30kHz\n"
        "expect XU1 prescale 1\nexpect XU1 frequency 25kHz +/- 5% when ctl = 0V\n"
        "expect XU1 frequency 20kHz +/- 5% when XU2 = high"
    )
    board = book(BOARD, PARTS, stated)
    assert [subject.path for subject in board.subjects("statement")] == [
        "XU1 frequency",
        "XU1 frequency (2)",
        "XU1 prescale",
        "XU1 frequency when ctl = 0 V",
        "XU1 frequency when XU2 = high",
    ]
