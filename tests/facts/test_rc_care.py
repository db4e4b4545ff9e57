"""What stands round an RC timer: control pin, kind and leakage of its capacitor, recovery, trigger."""

from math import log

import pytest

from drc.circuit.material import Material
from drc.facts.book import Book
from drc.facts.model import Fact, Subject, Unknown
from drc.facts.options import FactOptions
from drc.trouble import Place
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.test_rc_timer import BOARD, parts
from tests.facts.timing_boards import book, fact, span, unknown

TRIGGERED = 'trigger = { edge = "falling", level = true }'


def timer(more: str = "", intent: str = "", c1: str = "C1 th 0 100n 0%", rating: str = "") -> Book:
    """The astable board with another capacitor, and lines more."""
    options = FactOptions(materials={"c1": Material(Place("bay.csv", 2), rating=rating)} if rating else {})
    netlist = f"{BOARD.replace('C1 th 0 100n 0%', c1)}{more}\n"
    return book(netlist, parts(discharge="50ohm", more=TRIGGERED), intent, options)


def expectation(of: Book, name: str) -> Fact:
    """A fact about the only statement."""
    (subject,) = of.subjects("statement")
    return of.fact(subject, name)


@pytest.mark.parametrize(
    ("more", "intent", "use"),
    [
        ("", "", "open"),
        ("C2 cv 0 10n", "", "open"),
        ("R5 cv 0 0", "", "grounded"),
        ("V2 cv 0 3", "", "held"),
        ("R5 cv 0 10k", "", "driven"),
        ("X9 cv 0 OTHER", "", "driven"),
    ],
)
def test_the_use_of_the_control_pin(more: str, intent: str, use: str) -> None:
    """A capacitor alone leaves it open; a joint holds it; a resistor or another part drives it."""
    assert fact(timer(more, intent), "control.use").value == use


def test_capacitance_on_the_control_pin() -> None:
    """10 nF and 22 nF from the pin add; one behind a resistor does not; other blocks have no such pin."""
    more = "C2 cv 0 10n\nC3 vdd cv 22n\nR7 cv f 1k\nC4 f 0 1u"
    assert span(timer(more), "control.capacitance").nominal == pytest.approx(32e-9)
    for name in ("control.capacitance", "control.use"):
        assert unknown(book(CENTRED, PLAIN), name).missing == ("XU1 control pin",)


@pytest.mark.parametrize(
    ("c1", "rating", "kind"),
    [
        ("C1 th 0 100n 0%", "", "other"),
        ("C1 th 0 9.9u", "", "other"),
        ("C1 th 0 10u", "", "unknown"),
        ("C1 th 0 22u", "X7R 10V", "other"),
        ("C1 th 0 1u CPOL", "", "electrolytic"),
        ("C1 th 0 1u", "tantalum 16V", "electrolytic"),
        ("C1 th 0 1u", "electrolytic", "electrolytic"),
    ],
)
def test_the_kind_of_the_timing_capacitor(c1: str, rating: str, kind: str) -> None:
    """Marked as polarised, or large with nothing that says its class; a class makes it another kind."""
    assert fact(timer(c1=c1, rating=rating), "rc.capacitor_kind").value == kind


def test_a_block_without_a_timing_capacitor_has_no_kind() -> None:
    """Neither an oscillator with a resistor, nor a timer whose capacitor is gone."""
    assert unknown(book(CENTRED, PLAIN), "rc.capacitor_kind").missing == ("capacitor",)
    assert unknown(timer(c1="R8 th 0 1meg"), "rc.capacitor_kind").missing == ("capacitor",)


def test_leakage_of_an_electrolytic_capacitor() -> None:
    """0.01 C V: 100 uF at 6 V leak 6 uA; a small one the 3 uA of the rating at least (from memory)."""
    assert span(timer(c1="C1 th 0 100u 0%"), "rc.capacitor_leakage").nominal == pytest.approx(6e-6)
    assert span(timer(c1="C1 th 0 10u 0%"), "rc.capacitor_leakage").nominal == pytest.approx(3e-6)


def test_half_the_spread_of_the_timing_capacitance() -> None:
    """(high - low) / (high + low): 0.2 for +/- 20 %, 0.5 for -50 % .. +50 % in two capacitors alike."""
    assert span(timer(c1="C1 th 0 100n tol=20%"), "rc.capacitor_width").middle == pytest.approx(0.2)
    assert span(timer(c1="C1 th 0 100n tol=0%"), "rc.capacitor_width").middle == 0


def test_recovery_through_the_discharge_switch() -> None:
    """R C ln 20, until 5 % are left: 50 ohm and 100 nF take 15 us (exponential discharge)."""
    assert span(timer(), "rc.recovery").nominal == pytest.approx(50 * 100e-9 * log(20))
    assert unknown(book(CENTRED, PLAIN), "rc.recovery").missing == ("discharge resistance",)


@pytest.mark.parametrize(
    ("more", "name"),
    [
        ("C2 cv 0 10u CPOL", "none"),
        ("C2 0 cv 10u CPOL", "C2"),
        ("C2 0 cv 10u", "none"),
        ("C2 cv vdd 10u CPOL", "C2"),
        ("C2 vdd cv 10u CPOL", "none"),
        ("V2 v9 0 9\nC2 vdd v9 10u CPOL", "none"),
        ("C2 0 vdd 10u CPOL", "C2"),
        ("C2 vdd 0 10u CPOL", "none"),
    ],
)
def test_a_polarised_capacitor_upside_down(more: str, name: str) -> None:
    """The plus stands first. The control pin stands at two thirds of the supply: below it, above ground."""
    board = f"{more}\nR5 vdd cv 10k\nR6 cv 0 20k"
    assert fact(timer(board), "capacitor.reversed").value == name


def test_a_trigger_by_its_level() -> None:
    """As the part file says; where it says nothing that is named."""
    assert fact(timer(), "trigger.level").value is True
    assert unknown(book(BOARD, parts()), "trigger.level").missing == ("TR1 trigger.level",)


def test_how_long_a_trigger_is_held() -> None:
    """A trigger on the falling edge is held while the signal is low: the period less the time high."""
    board = BOARD.replace("dis th cv th vdd", "dis th cv kick vdd")
    of = book(board, parts(more=TRIGGERED), "signal kick period 10ms .. 10ms, high 8ms .. 9ms")
    held = span(of, "trigger.held")
    assert (held.low, held.high) == pytest.approx((1e-3, 2e-3))
    rising = book(
        board, parts(more=TRIGGERED.replace("falling", "rising")), "signal kick period 10ms, high 8ms"
    )
    assert span(rising, "trigger.held").middle == pytest.approx(8e-3)
    assert unknown(book(board, parts(more=TRIGGERED)), "trigger.held").missing == ("signal kick",)
    assert unknown(book(CENTRED, PLAIN), "trigger.held").missing == ("trigger pin",)


@pytest.mark.parametrize(
    ("wanted", "width"),
    [
        ("frequency 900Hz .. 1100Hz", 0.1),
        ("frequency 1kHz +/- 3%", 0.03),
        ("frequency at least 1kHz", None),
        ("frequency 0Hz .. 0Hz", None),
        ("polarity inverted", None),
    ],
)
def test_half_the_width_of_what_is_wanted(wanted: str, width: float | None) -> None:
    """(high - low) / (high + low); a bound on one side and a name have none."""
    found = expectation(timer(intent=f"expect XU1 {wanted}"), "expect.width")
    if width is None:
        assert isinstance(found.value, Unknown)
    else:
        assert found.span is not None
        assert found.span.middle == pytest.approx(width)


def test_subjects_of_statements_are_those_of_expectations() -> None:
    """Each expect is one subject, in the order of the lines."""
    of = timer(intent="expect XU1 frequency 1kHz\nexpect XU1 duty 50points")
    assert [subject.kind for subject in of.subjects("statement")] == ["statement", "statement"]
    assert isinstance(of.subjects("statement")[0], Subject)


def test_a_timing_capacitor_to_a_net_that_nothing_holds_is_named() -> None:
    """Its other end must stand still; on the supply it does."""
    assert unknown(timer(c1="C1 th x 100n 0%"), "timing.high").missing == ("x",)
    assert span(timer(c1="C1 th vdd 100n 0%"), "timing.high").nominal is not None
    assert unknown(timer(c1="R8 th 0 1meg"), "timing.high").because
