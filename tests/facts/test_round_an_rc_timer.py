"""What stands round an RC timer: who drives its control pin, its capacitor, its recovery; by hand.

The board is an astable at 6 V: 10 kohm, 20 kohm and 100 nF; a third timer pin is free where a test asks.
"""

from math import log

import pytest

from drc.circuit.material import Material
from drc.facts.book import Book
from drc.facts.model import Fact, Unknown
from drc.facts.options import FactOptions
from drc.facts.rc_care import LARGE_F, LEAKAGE_PER_CV, LEAST_LEAKAGE_A, SETTLED
from drc.trouble import Place
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.test_rc_timer import BOARD, parts
from tests.facts.timing_boards import block, book, fact, span, unknown

FILE = parts(discharge="50ohm", more='trigger = { edge = "falling", level = true }')
STILL = "ambient 25degC .. 25degC"
CAPACITOR = "C1 th 0 100n 0%"
SECOND = "XU2 vdd o2 d2 t2 {cv} t2 vdd 0 TR1\nRE vdd d2 10k\nRF d2 t2 20k\nC9 t2 0 100n\n"


def timer(more: str = "", c1: str = CAPACITOR, intent: str = STILL, file: str = FILE) -> Book:
    """The astable with another capacitor, and lines more."""
    return book(f"{BOARD.replace(CAPACITOR, c1)}{more}\n", file, intent)


def word(of: Book, name: str) -> object:
    """The value of a fact of the timer."""
    return fact(of, name).value


@pytest.mark.parametrize(
    ("more", "use", "law"),
    [
        ("", "open", "nothing but capacitors is on it"),
        ("C2 cv 0 10n", "open", "nothing but capacitors is on it"),
        ("R5 cv 0 0", "grounded", "cv is held"),
        ("V2 cv 0 0", "grounded", "cv is held"),
        ("V2 cv 0 3", "held", "cv is held"),
        ("V2 cv 0 -3", "held", "cv is held"),
        ("V2 cv 0 PULSE(0 3 0 1u 1u 1m 2m)", "held", "cv is held"),
        ("R5 cv x 10k", "driven", "R5"),
        ("R5 cv x 10k\nX9 cv 0 OTHER", "driven", "R5, X9"),
        ("D9 cv x DX", "driven", "D9"),
        ("I9 0 cv 1m", "driven", "I9"),
        ("M9 d cv 0 0 MN\n.model MN nmos", "open", "nothing but capacitors is on it"),
        (SECOND.format(cv="cv"), "driven", "XU2 control"),
    ],
)
def test_who_works_the_control_pin(more: str, use: str, law: str) -> None:
    """A joint or a source holds it, at 0 V it is grounded; whatever else may carry current drives it."""
    found = fact(timer(more), "control.use")
    assert found.value == use
    assert found.law == law


def test_a_line_that_could_not_be_read_leaves_the_use_open() -> None:
    """It may touch the pin: the line is what is missing."""
    value = word(timer("R5 cv"), "control.use")
    assert isinstance(value, Unknown)
    assert value.missing == ("board.cir:7:5",)
    assert word(timer("C2 cv 0 10n\nR5 elsewhere"), "control.use") == "open"


def test_the_control_pin_s_capacitors_add() -> None:
    """To ground and to the supply, of which one without a value is named."""
    assert span(timer("C2 cv 0 10n 0%\nC3 vdd cv 22n 0%"), "control.capacitance").middle == pytest.approx(
        32e-9
    )
    assert span(timer(), "control.capacitance").high == 0
    assert unknown(timer("C2 cv 0 DNK"), "control.capacitance").missing == ("C2 value",)
    found = fact(timer("C2 cv 0 10n"), "control.capacitance")
    assert found.law == "sum of the capacitors on the pin"


@pytest.mark.parametrize(
    ("c1", "kind"),
    [
        ("C1 th 0 100u X7R", "other"),
        ("C1 th 0 100u class=X7R", "other"),
        ("C1 th 0 100u", "unknown"),
        ("C1 th 0 100u MYSTERY", "unknown"),
        ("C1 th 0 100u kind=tantalum", "electrolytic"),
        ("C1 th 0 100n TANTAL", "electrolytic"),
        ("C1 th 0 10u", "unknown"),
        ("C1 th 0 9.99u", "other"),
        ("C1 th 0 1u\nC8 th 0 22u", "unknown"),
        ("C1 th 0 22u X5R\nC8 th 0 22u", "unknown"),
        ("C1 th 0 22u\nC8 th 0 1u ELKO", "electrolytic"),
        ("C1 th 0 22u X5R\nC8 th 0 22u X5R", "other"),
        ("C1 th 0 1u\nC8 vdd 0 1000u ELKO", "other"),
        ("C1 th 0 DNK", "other"),
    ],
)
def test_the_kind_of_what_is_on_the_threshold(c1: str, kind: str) -> None:
    """Any that is marked makes it electrolytic; any of 10 uF (common practice) without a class unknown."""
    assert LARGE_F == 10e-6
    found = fact(timer(c1=c1), "rc.capacitor_kind")
    assert found.value == kind
    assert found.law


def test_what_the_bill_of_materials_says_counts() -> None:
    """A rating that names a class, or that marks it; a capacitor that is not fitted does not count."""

    def kind(rating: str, c1: str = "C1 th 0 22u", fitted: bool = True) -> object:
        options = FactOptions(materials={"c1": Material(Place("bay.csv", 2), rating=rating, fitted=fitted)})
        return word(book(BOARD.replace(CAPACITOR, c1), FILE, STILL, options), "rc.capacitor_kind")

    assert kind("X7R 10V") == "other"
    assert kind("polarised 10V") == "electrolytic"
    assert kind("10V") == "unknown"
    assert kind("10V", "C1 th 0 22u ELKO\nC8 th 0 1u", fitted=False) == "other"
    assert isinstance(kind("10V", fitted=False), Unknown)


def test_only_an_rc_timer_has_a_timing_capacitor() -> None:
    """A capacitor on another block's threshold pin is none; neither is a resistor."""
    assert unknown(timer(c1="R8 th 0 1meg"), "rc.capacitor_kind").missing == ("capacitor",)
    odd = PLAIN.replace('"rate", "enable"]', '"rate", "threshold"]')
    of = book(CENTRED.replace("rt vdd PL1", "rt th PL1") + "C1 th 0 1u ELKO\n", odd)
    assert unknown(of, "rc.capacitor_kind").missing == ("capacitor",)
    for name in ("rc.capacitor_width", "rc.recovery"):
        assert isinstance(word(of, name), Unknown)


@pytest.mark.parametrize(
    ("c1", "leakage"),
    [
        ("C1 th 0 100u 0%", (6e-6, 6e-6, 6e-6)),
        ("C1 th 0 50u 0%", (3e-6, 3e-6, 3e-6)),
        ("C1 th 0 49u 0%", (3e-6, 3e-6, 3e-6)),
        ("C1 th 0 100u 20%", (4.8e-6, 6e-6, 7.2e-6)),
        ("C1 th 0 40u 50%", (3e-6, 3e-6, 3.6e-6)),
    ],
)
def test_what_an_electrolytic_capacitor_leaks(c1: str, leakage: tuple[float, float, float]) -> None:
    """0.01 C V at 6 V, 3 uA at least (a usual rating, from memory)."""
    assert (LEAKAGE_PER_CV, LEAST_LEAKAGE_A) == (0.01, 3e-6)
    found = span(timer(c1=c1), "rc.capacitor_leakage")
    assert (found.low, found.middle, found.high) == pytest.approx(leakage)


def test_leakage_wants_a_threshold_and_a_supply() -> None:
    """Each is named, and a value that is not given."""
    assert "no threshold pin" in unknown(book(CENTRED, PLAIN), "rc.capacitor_leakage").because
    dark = book(BOARD.replace("V1 vdd 0 6\n", ""), FILE)
    assert unknown(dark, "rc.capacitor_leakage").missing == ("voltage of vdd",)
    assert unknown(timer(c1="C1 th 0 DNK"), "rc.capacitor_leakage").missing == ("C1 value",)


@pytest.mark.parametrize(
    ("c1", "intent", "width"),
    [
        ("C1 th 0 100n tol=20%", STILL, 0.2),
        ("C1 th 0 100n 0%", STILL, 0.0),
        ("C1 th 0 75n tol=20%\nC8 th 0 25n 0%", STILL, 0.15),
        ("C1 th 0 100n", f"{STILL}\nassume C1 tolerance -20% .. 60%", 0.8 / 2.4),
    ],
)
def test_half_the_width_of_the_timing_capacitance(c1: str, intent: str, width: float) -> None:
    """(high - low) / (high + low)."""
    found = fact(timer(c1=c1, intent=intent), "rc.capacitor_width")
    assert found.span is not None
    assert found.span.low == found.span.middle == found.span.high == pytest.approx(width)
    assert found.law.startswith("(high - low)")
    assert found.inputs


def test_a_timer_without_a_capacitor_has_no_width_of_one() -> None:
    """It is not a width of nothing; a value that is not given is named."""
    assert unknown(timer(c1="R8 th 0 1meg"), "rc.capacitor_width").missing == ("capacitor",)
    assert unknown(timer(c1="C1 th 0 DNK"), "rc.capacitor_width").missing == ("C1 value",)


@pytest.mark.parametrize(
    ("wanted", "width"),
    [
        ("frequency 0Hz .. 1kHz", 1.0),
        ("frequency 900Hz .. 1100Hz", 0.1),
        ("period 1ms .. 3ms", 0.5),
        ("period 1us +/- 3%", 0.03),
        ("frequency 1kHz", 0.0),
        ("frequency at most 1kHz", None),
        ("frequency at least 1kHz", None),
        ("frequency 0Hz .. 0Hz", None),
        ("polarity inverted", None),
    ],
)
def test_half_the_width_of_what_is_wanted(wanted: str, width: float | None) -> None:
    """(high - low) / (high + low); none of a bound on one side, of a name, or round nothing."""
    of = timer(intent=f"expect XU1 {wanted}")
    (subject,) = of.subjects("statement")
    found: Fact = of.fact(subject, "expect.width")
    if width is None:
        assert isinstance(found.value, Unknown)
    else:
        assert found.span is not None
        assert found.span.low == found.span.high == pytest.approx(width)


def test_the_time_that_a_discharge_takes() -> None:
    """R C ln 20 until 5 % are left, with the capacitor's 20 %; the switch's ohms are the part file's."""
    assert pytest.approx(log(20)) == SETTLED
    of = timer(c1="C1 th 0 100n 20%")
    found = fact(of, "rc.recovery")
    assert found.span is not None
    whole = 50 * 100e-9 * log(20)
    assert (found.span.low, found.span.middle, found.span.high) == pytest.approx(
        (0.8 * whole, whole, 1.2 * whole)
    )
    (switch,) = [each for each in found.inputs if each.label == "TR1 discharge"]
    assert switch[1:3] == ("50 ohm", "part file")
    assert switch.place == block(of).part.place


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('discharge = { resistance = "50ohm" }', ""),
        ('discharge = { resistance = "50ohm" }', 'discharge = { current = "50mA" }'),
        ('"discharge", "threshold"', '"discharge", "nc"'),
    ],
)
def test_a_recovery_that_is_not_known(old: str, new: str) -> None:
    """No switch, no ohms of it, no threshold pin."""
    assert old in FILE
    found = unknown(timer(file=FILE.replace(old, new)), "rc.recovery")
    assert found.missing == ("discharge resistance",)


HALVES = "R5 vdd cv 10k 0%\nR6 cv 0 20k 0%\n"


@pytest.mark.parametrize(
    ("more", "c1", "name"),
    [
        ("", "C1 th 0 22u ELKO", "none"),
        ("", "C1 0 th 22u ELKO", "C1"),
        ("", "C1 0 th 22u X7R", "none"),
        ("C2 0 cv 10u ELKO", "C1 0 th 22u ELKO", "C1"),
        ("C2 0 cv 10u ELKO", CAPACITOR, "C2"),
        ("C2 0 vdd 10u ELKO", CAPACITOR, "C2"),
        ("X9 0 cv TANTAL", CAPACITOR, "none"),
        ("C2 0 x 10u ELKO\nR7 x vdd 1k", CAPACITOR, "none"),
        ("C2 cv x 10u ELKO\nR7 x 0 1k", CAPACITOR, "none"),
        ("C2 x cv 10u ELKO\nR7 x 0 1k", CAPACITOR, "C2"),
        ("C2 cv far 10u ELKO", CAPACITOR, "none"),
        ("C2 far cv 10u ELKO", CAPACITOR, "none"),
        (f"{HALVES}C2 cv m 10u ELKO\nR7 vdd m 10k 0%\nR8 m 0 20k 0%", CAPACITOR, "none"),
    ],
)
def test_which_polarised_capacitor_is_upside_down(more: str, c1: str, name: str) -> None:
    """Its first net is its plus: on ground, or below its minus; equal or unknown levels are no fault."""
    found = fact(timer(more, c1), "capacitor.reversed")
    assert found.value == name
    if name != "none":
        assert found.law.startswith(f"the plus of {name} is on ")
    assert found.law


def test_a_block_without_a_control_pin_has_bypass_capacitors_still() -> None:
    """The plus of C9 is on the ground of an oscillator."""
    assert word(book(f"{CENTRED}C9 0 vdd 10u ELKO\n", PLAIN), "capacitor.reversed") == "C9"
    assert word(book(f"{CENTRED}C9 vdd 0 10u ELKO\n", PLAIN), "capacitor.reversed") == "none"


@pytest.mark.parametrize(("level", "value"), [("true", True), ("false", False)])
def test_whether_a_trigger_acts_by_its_level(level: str, value: bool) -> None:
    """By the part file; one without a trigger, or silent about it, is named."""
    assert word(timer(file=FILE.replace("level = true", f"level = {level}")), "trigger.level") is value
    silent = FILE.replace(", level = true", "")
    assert unknown(timer(file=silent), "trigger.level").missing == ("TR1 trigger.level",)
    assert unknown(timer(file=parts()), "trigger.level").missing == ("TR1 trigger.level",)


KICKED = BOARD.replace("dis th cv th vdd", "dis th cv kick vdd")


@pytest.mark.parametrize(
    ("edge", "intent", "held"),
    [
        ("falling", "signal kick low 1ms .. 2ms, high 5ms", (1e-3, 1.5e-3, 2e-3)),
        ("rising", "signal kick low 1ms .. 2ms, high 5ms", (5e-3, 5e-3, 5e-3)),
        ("falling", "signal kick high 5ms", None),
        ("rising", "signal kick low 5ms", None),
        ("falling", "signal kick period 5ms", None),
    ],
)
def test_how_long_a_trigger_is_at_its_active_level(
    edge: str, intent: str, held: tuple[float, float, float] | None
) -> None:
    """Low for a falling edge, else high; where nothing states it, that is named."""
    of = book(KICKED, FILE.replace('"falling"', f'"{edge}"'), intent)
    if held is None:
        assert unknown(of, "trigger.held").missing == ("signal kick",)
        return
    found = fact(of, "trigger.held")
    assert found.span is not None
    assert (found.span.low, found.span.middle, found.span.high) == pytest.approx(held)
    assert [each.origin for each in found.inputs] == ["statement"] * 2
    assert found.law == "time that kick is at its active level"


def test_a_trigger_that_is_not_there_is_not_held() -> None:
    """No trigger pin, or no trigger table."""
    stated = "signal kick low 1ms"
    assert unknown(book(KICKED, parts(), stated), "trigger.held").missing == ("trigger pin",)
    pinless = FILE.replace('"control", "trigger"', '"control", "nc"')
    assert unknown(book(KICKED, pinless, stated), "trigger.held").missing == ("trigger pin",)
