"""The time that a part counts, piece by piece: its law as told, its causes, its evidence; worked by hand."""

import math

import numpy as np
import pytest

from drc.blocks.model import Code
from drc.circuit.spread import Cause
from drc.facts.book import Book
from drc.facts.clock import (
    counted,
    each,
    edge_timing,
    error_in_force,
    part_factor,
    settings_in_force,
    with_offset,
)
from drc.facts.dependence import Dependence, Quantity, States, constant, spread, varying
from drc.facts.model import Unknown
from drc.facts.one_shot import pulse_width
from drc.facts.options import FactOptions
from drc.facts.oscillator import period
from drc.facts.part_error import PartError
from drc.quantity.span import Span
from drc.quantity.unit import AMPERE, RATIO, SECOND
from tests.facts.timing_boards import block, book, part

BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt TC1
RT rt 0 100k 0%
RA vdd cfg 30k 0%
RB cfg 0 10k 0%
"""
PART = part("TC1", "oscillator")
COLD = "ambient 25degC .. 25degC"
WARM = "ambient -15degC .. 85degC\nassume R* tempco 0ppm"


def clocked(changed: dict[str, str] | None = None, intent: str = COLD, netlist: str = BOARD) -> Book:
    """The board with texts of its part changed, each of which must be there once."""
    text = PART
    for old, new in (changed or {}).items():
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return book(netlist, text, intent)


def known(found: Quantity) -> Dependence:
    """A quantity that must be one."""
    assert isinstance(found, Dependence), found
    return found


def factor(of: Book, current: Span | None = None) -> Dependence | Unknown:
    """The factor on the part's time, with the row of its code table in force."""
    row = settings_in_force(of, block(of))
    timing = edge_timing(block(of))
    assert isinstance(row, Code)
    assert not isinstance(timing, Unknown)
    return part_factor(of, block(of), timing, current, row)


def extremes(found: Quantity) -> tuple[float, float]:
    """The extreme values of what must be a quantity."""
    span = spread(known(found), "extreme", FactOptions(), "x")
    return span.low, span.high


def evidence(found: Quantity) -> dict[str, tuple[str, str]]:
    """Value and origin by label."""
    return {each.label: (each.value, each.origin) for each in known(found).inputs}


def test_a_counted_time_tells_its_law_and_what_went_into_it() -> None:
    """2 us * 10 * 20 uA / 5 uA = 80 us at 0.5 V over 100 kohm; the 1 % and the 3 V of the part file."""
    of = clocked()
    found = known(counted(of, block(of)))
    assert found.nominal == pytest.approx(80e-6)
    assert found.unit == SECOND
    assert found.text == (
        "T = period * prescale * at_current / I * V_rate / V_nom * (1 + error); "
        "I = (V_rate - V_oc) / R_th of the network on the rate pin"
    )
    assert [each.label for each in found.inputs][:4] == ["TC1 period", "TC1 at_current", "prescale", "I"]
    told = evidence(found)
    assert told["TC1 period"] == ("2 us", "part file")
    assert told["TC1 at_current"] == ("20 uA", "part file")
    assert told["prescale"] == ("10", "strap.code")
    assert told["I"] == ("5 uA", "rate.current")
    assert told["TC1 timing error"] == ("+/- 1 %", "part file")
    assert told["XU1 rate voltage"][1] == "part file"
    assert next(each for each in found.inputs if each.label == "TC1 period").place == block(of).part.place
    assert {cause.name for cause in found.causes} == {"XU1 rate voltage", "XU1 timing error"}
    # The rate voltage of +/- 2 % cancels: current and ratio move together.
    assert extremes(found) == pytest.approx((80e-6 * 0.99, 80e-6 * 1.01))


def test_a_part_that_follows_the_current_has_no_ratio_in_its_law() -> None:
    """With the law of current the rate voltage's 2 % is in the time."""
    of = clocked({'law = "ratio"': 'law = "current"'})
    found = known(counted(of, block(of)))
    assert found.text.startswith("T = period * prescale * at_current / I * (1 + error); I = ")
    assert evidence(found)["TC1 law"] == ("current", "part file")
    assert extremes(found) == pytest.approx((80e-6 * 0.99 / 1.02, 80e-6 * 1.01 / 0.98))


def test_a_current_may_stand_in_for_the_rate_pin_s_own() -> None:
    """10 uA make 40 us; a current without a text is not told of; none at all makes it stand still."""
    of = clocked({'error = "1%"': 'error = "0%"'})
    found = known(counted(of, block(of), current=constant(10e-6, AMPERE)))
    assert found.nominal == pytest.approx(40e-6)
    assert found.text.endswith("* (1 + error)")
    assert evidence(found)["I"] == ("10 uA", "rate.current")
    assert evidence(found)["TC1 timing error"] == ("+/- 0 %", "part file")
    stopped = known(counted(of, block(of), current=constant(0.0, AMPERE, text="nothing")))
    assert stopped.nominal == math.inf
    assert stopped.text.endswith("* (1 + error); nothing")
    unknown = Unknown("no current", ("I",))
    assert counted(of, block(of), current=unknown) == unknown


def test_every_state_of_a_current_has_its_own_time() -> None:
    """20 uA make 20 us, 10 uA 40 us, each under its conditions; unknown in one state is unknown in all."""
    of = clocked()
    when = ((("ctl", "0 V"),), (("ctl", "1 V"),))
    both = States(tuple((at, constant(amps, AMPERE)) for at, amps in zip(when, (20e-6, 10e-6), strict=True)))
    found = counted(of, block(of), current=both)
    assert isinstance(found, States)
    assert tuple(at for at, _ in found.states) == when
    assert [state.nominal for _, state in found.states] == pytest.approx([20e-6, 40e-6])

    def law(quantity: Dependence) -> Dependence | Unknown:
        return Unknown("too much", ("limit",)) if quantity.nominal > 15e-6 else quantity

    assert each(both, law) == Unknown("too much", ("limit",))
    assert each(constant(20e-6, AMPERE), law) == Unknown("too much", ("limit",))
    assert each(Unknown("none", ("I",)), law) == Unknown("none", ("I",))
    kept = each(States(both.states[1:]), law)
    assert isinstance(kept, States)
    assert kept.states == both.states[1:]


@pytest.mark.parametrize(
    ("changed", "missing"),
    [
        ({'period = "2us", ': ""}, ("TC1 timing.period",)),
        ({'at_current = "20uA", ': ""}, ("TC1 timing.at_current",)),
        ({'period = "2us", at_current = "20uA", ': ""}, ("TC1 timing.period", "TC1 timing.at_current")),
        ({', law = "ratio"': ""}, ("TC1 rate.law",)),
        ({', law = "ratio"': "", 'period = "2us", ': ""}, ("TC1 rate.law", "TC1 timing.period")),
        ({'voltage = "0.5V +/- 2%", ': ""}, ("TC1 rate voltage",)),
        ({'error = "1%", ': ""}, ("timing.error",)),
    ],
)
def test_what_a_clock_needs_is_named(changed: dict[str, str], missing: tuple[str, ...]) -> None:
    """Each line of the part file that the time leans on, all that lack at once."""
    of = clocked(changed)
    found = counted(of, block(of))
    assert isinstance(found, Unknown)
    assert found.missing == missing
    assert "TC1" in found.because


def test_a_part_without_timing_gives_none() -> None:
    """Its name is said."""
    text = PART[: PART.index("timing =")] + PART[PART.index("strap =") :]
    of = book(BOARD, text, COLD)
    wanted = Unknown("part TC1 gives no timing", ("TC1 timing",))
    assert edge_timing(block(of)) == wanted
    assert edge_timing(block(of), "rising") == wanted
    assert counted(of, block(of)) == wanted


def test_what_is_said_of_one_edge_is_laid_over_the_rest() -> None:
    """A falling edge of 4 us keeps the current of both; the rising edge and the whole are as given."""
    of = clocked({'supply_error = "0.1%/V"': 'supply_error = "0.1%/V", falling = { period = "4us" }'})
    whole, rising, falling = (edge_timing(block(of), edge) for edge in (None, "rising", "falling"))
    assert not isinstance(whole, Unknown)
    assert not isinstance(falling, Unknown)
    assert rising == whole
    assert (whole.period, falling.period) == (2e-6, 4e-6)
    assert (falling.at_current, falling.at_supply, falling.errors) == (20e-6, 3.0, whole.errors)
    assert (falling.tempco, falling.supply_error) == pytest.approx((50e-6, 0.001))
    assert known(counted(of, block(of), "falling")).nominal == pytest.approx(160e-6)
    assert known(counted(of, block(of), "rising")).nominal == pytest.approx(80e-6)
    turned = clocked({'supply_error = "0.1%/V"': 'supply_error = "0.1%/V", rising = { period = "4us" }'})
    assert known(counted(turned, block(turned), "rising")).nominal == pytest.approx(160e-6)
    assert known(counted(turned, block(turned), "falling")).nominal == pytest.approx(80e-6)


def test_an_edge_s_own_word_counts_where_it_says_less() -> None:
    """A tempco of either sign under one of known sign, no drift under some: as the edge's line says."""
    edge = 'supply_error = "0.1%/V", falling = { tempco = "+/- 20ppm", supply_error = "0%/V" }'
    of = clocked({'tempco = "+/- 50ppm"': 'tempco = "50ppm"', 'supply_error = "0.1%/V"': edge}, WARM)
    whole, falling = edge_timing(block(of)), edge_timing(block(of), "falling")
    assert not isinstance(whole, Unknown)
    assert not isinstance(falling, Unknown)
    assert (whole.tempco, whole.tempco_signed, whole.supply_error) == (50e-6, True, 0.001)
    assert (falling.tempco, falling.tempco_signed, falling.supply_error) == (20e-6, False, 0.0)
    # 20 ppm/K over 60 K, either way, and 1 %.
    drift = 20e-6 * 60
    low, high = extremes(counted(of, block(of), "falling"))
    assert (low, high) == pytest.approx((80e-6 * 0.99 * (1 - drift), 80e-6 * 1.01 * (1 + drift)))


BARE = """
[part.TC1]
title = "test part"
source = "this test"
function = "oscillator"
pins = ["supply", "output", "ground", "rate"]
rate = { voltage = "0.5V", current = "1uA .. 20uA", law = "ratio" }
timing = { period = "2us", at_current = "20uA", at_supply = "3V", error = "1%" }
"""


def test_the_row_in_force_without_a_strap() -> None:
    """No table: code 0, prescale 1, normal; one row: that row; two rows need a strap to choose."""
    netlist = "V1 vdd 0 3\nXU1 vdd out 0 rt TC1\nRT rt 0 25k"
    for rows, wanted in (
        ("", Code(0, 1)),
        ("codes = [ { code = 5, prescale = 64, inverted = true } ]\n", Code(5, 64, True)),
    ):
        of = book(netlist, BARE + rows)
        assert settings_in_force(of, block(of)) == wanted
    two = "codes = [ { code = 0, prescale = 1 }, { code = 1, prescale = 8 } ]\n"
    of = book(netlist, BARE + two)
    found = settings_in_force(of, block(of))
    assert isinstance(found, Unknown)
    assert found.missing == ("XU1 strap pin",)
    assert counted(of, block(of)) == found


def test_the_row_in_force_with_a_strap_is_the_one_that_it_reads() -> None:
    """A quarter of the supply is code 1: not the table's first row, also where it has but one."""
    of = clocked()
    assert settings_in_force(of, block(of)) == Code(1, 10)
    rows = PART[PART.index("    { code = 0") : PART.index("]\noutput")]
    lone = book(BOARD, PART.replace(rows, "    { code = 1, prescale = 7 },\n"), COLD)
    assert settings_in_force(lone, block(lone)) == Code(1, 7)
    other = book(BOARD, PART.replace(rows, "    { code = 0, prescale = 7 },\n"), COLD)
    assert isinstance(settings_in_force(other, block(other)), Unknown)


def test_the_factor_on_a_part_s_time() -> None:
    """(1 +/- 1 %)(1 +/- 50 ppm/K * 60 K)(1 + 0.1 %/V * (3.6 - 3) V): the tempco follows the error."""
    of = clocked(intent=f"{WARM}\nsupply vdd 2.7V .. 3.6V (nominal 3V)")
    found = known(factor(of))
    assert found.text == (
        " * (1 + error) * (1 + tempco * |T_amb - 25 degC|) * (1 + supply_error * (V - at_supply))"
    )
    assert (found.unit, found.nominal) == (RATIO, 1.0)
    assert found.causes == (
        Cause("XU1 timing error", 0.0, -0.01, 0.01),
        Cause("XU1 timing tempco", 0.0, -50e-6, 50e-6),
        Cause("ambient", 25.0, -15.0, 85.0, True),
        Cause("net vdd", 3.0, 2.7, 3.6, True),
    )
    assert found.ties == (("XU1 timing tempco", "XU1 timing error"),)
    told = evidence(found)
    assert told["TC1 timing error"] == ("+/- 1 %", "part file")
    assert told["TC1 timing tempco"] == ("+/- 50 ppm/K", "part file")
    assert told["TC1 supply_error"][1] == "part file"
    assert told["TC1 at_supply"] == ("3 V", "part file")
    warm = 50e-6 * 60
    assert extremes(found) == pytest.approx(
        (0.99 * (1 - warm) * (1 - 0.3e-3), 1.01 * (1 + warm) * (1 + 0.6e-3))
    )
    # The law at given values, in the order of its causes.
    row = np.array([[0.005, 20e-6, -15.0, 2.8]])
    assert float(found.law(row)[0]) == pytest.approx(1.005 * (1 + 20e-6 * 40) * (1 - 0.2e-3))


def test_a_tempco_of_known_sign_pushes_one_way() -> None:
    """50 ppm/K from -40 K to +60 K is -0.2 % to +0.3 %, of no cause of its own, tied to nothing."""
    of = clocked({'tempco = "+/- 50ppm"': 'tempco = "50ppm"'}, WARM)
    found = known(factor(of))
    assert found.text == " * (1 + error) * (1 + tempco * (T_amb - 25 degC))"
    assert [cause.name for cause in found.causes] == ["XU1 timing error", "ambient"]
    assert evidence(found)["TC1 timing tempco"] == ("50 ppm/K", "part file")
    assert found.ties == ()
    assert extremes(found) == pytest.approx((0.99 * 0.998, 1.01 * 1.003))


def test_an_exact_part_leaves_its_tempco_untied() -> None:
    """Without an error there is nothing that it could follow."""
    found = known(factor(clocked({'error = "1%"': 'error = "0%"'}, WARM)))
    assert [cause.name for cause in found.causes] == ["XU1 timing tempco", "ambient"]
    assert found.ties == ()
    assert extremes(found) == pytest.approx((1 - 3e-3, 1 + 3e-3))


def test_at_25_degrees_and_its_own_supply_a_part_has_its_error_alone() -> None:
    """What is assumed of the ambient is told; a tempco and a supply error need not be given."""
    for changed in ({}, {'tempco = "+/- 50ppm", ': "", ', supply_error = "0.1%/V"': ""}):
        found = known(factor(clocked(changed, "")))
        assert found.text == " * (1 + error)"
        assert extremes(found) == (0.99, 1.01)
        assert found.assumptions == ("ambient 25 degC assumed",)
        assert [each.label for each in found.inputs] == ["TC1 timing error", "ambient", "V1", "0"]


@pytest.mark.parametrize(
    ("changed", "intent", "missing"),
    [
        ({'tempco = "+/- 50ppm", ': ""}, WARM, ("TC1 timing.tempco",)),
        ({', supply_error = "0.1%/V"': ""}, "supply vdd 3V .. 3.3V", ("TC1 timing.supply_error",)),
        ({', supply_error = "0.1%/V"': ""}, "supply vdd 3.3V", ("TC1 timing.supply_error",)),
        ({'at_supply = "3.0V", ': ""}, "", ("TC1 timing.at_supply",)),
        (
            {'tempco = "+/- 50ppm", ': "", ', supply_error = "0.1%/V"': ""},
            f"{WARM}\nsupply vdd 3V .. 3.3V",
            ("TC1 timing.tempco", "TC1 timing.supply_error"),
        ),
    ],
)
def test_what_moves_a_part_s_time_must_be_given(
    changed: dict[str, str], intent: str, missing: tuple[str, ...]
) -> None:
    """Off 25 degC its tempco, off its supply what that does to it: named, never taken as none."""
    found = factor(clocked(changed, intent))
    assert isinstance(found, Unknown)
    assert found.missing == missing
    for name in missing:
        assert name.partition(".")[2] in found.because


def test_a_supply_that_does_nothing_needs_no_reference() -> None:
    """0 %/V: where the error is given does not matter, wherever the supply stands."""
    of = clocked({'supply_error = "0.1%/V"': 'supply_error = "0%/V"', 'at_supply = "3.0V", ': ""},
                 f"{COLD}\nsupply vdd 2.5V .. 3.5V")  # fmt: skip
    found = known(factor(of))
    assert found.text == " * (1 + error)"
    assert "vdd" in evidence(found)
    assert extremes(found) == (0.99, 1.01)


def test_a_supply_off_its_reference_shifts_the_time() -> None:
    """0.1 %/V at 4 V against 3 V is 0.1 % more, of no cause; below it is less."""
    for volts, share in (("4V", 1.001), ("2V", 0.999)):
        found = known(factor(clocked(intent=f"{COLD}\nsupply vdd {volts}")))
        assert found.nominal == pytest.approx(share)
        assert extremes(found) == pytest.approx((0.99 * share, 1.01 * share))


OVER = 'error = [ { error = "3%", ambient = "-40degC .. 85degC" } ]'
FED = 'error = [ { error = "3%", supply = "2V .. 4V" } ]'


@pytest.mark.parametrize(
    ("rows", "changed", "intent", "name"),
    [
        (OVER, {'tempco = "+/- 50ppm", ': ""}, WARM, "XU1 timing error over its range"),
        (
            FED,
            {', supply_error = "0.1%/V"': ""},
            f"{COLD}\nsupply vdd 2V .. 4V",
            "XU1 timing error over its range",
        ),
    ],
)
def test_an_error_stated_over_a_range_needs_no_drift(
    rows: str, changed: dict[str, str], intent: str, name: str
) -> None:
    """What moves the time is in it already; it is called by another name, for no setting takes it up."""
    of = clocked({**changed, 'error = "1%"': rows}, intent)
    found = known(factor(of))
    assert found.text == " * (1 + error)"
    assert [cause.name for cause in found.causes] == [name]
    assert extremes(found) == (0.97, 1.03)
    assert {"ambient", "vdd" if "supply" in intent else "V1"} <= set(evidence(found))


def test_a_tempco_follows_an_error_that_is_given_over_its_range() -> None:
    """Where both are given the tempco counts, tied to the error by the name that it goes by."""
    found = known(factor(clocked({'error = "1%"': OVER}, WARM)))
    assert found.ties == (("XU1 timing tempco", "XU1 timing error over its range"),)
    assert extremes(found) == pytest.approx((0.97 * (1 - 3e-3), 1.03 * (1 + 3e-3)))


def test_an_unknown_supply_leaves_the_factor_unknown() -> None:
    """It is that unknown itself, for the factor and for the error."""
    of = clocked(netlist=BOARD.replace("V1 vdd 0 3.0\n", ""))
    timing = edge_timing(block(of))
    assert not isinstance(timing, Unknown)
    for found in (
        part_factor(of, block(of), timing, None, None),
        error_in_force(of, block(of), timing, None, None),
    ):
        assert isinstance(found, Unknown)
        assert found.missing == ("voltage of vdd",)


ROWS = """error = [
    { error = "1%", current = "4uA .. 20uA", code = "1" },
    { error = "2%", prescale = "10" },
    { error = "3%", code = "0" },
    { error = "4%" },
]"""


def in_force(current: Span | None, row: Code | None, rows: str = ROWS) -> PartError | Unknown:
    """The error at a current and a row of the code table."""
    of = clocked({'error = "1%"': rows.replace("\n", " ")})
    timing = edge_timing(block(of))
    assert not isinstance(timing, Unknown)
    return error_in_force(of, block(of), timing, current, row)


def test_the_error_in_force_is_that_of_current_prescale_and_code() -> None:
    """The first row whose conditions hold; a current that a row asks for and nobody knows is named."""
    some, little = Span(5e-6, 5e-6, 5e-6, AMPERE), Span(2e-6, 2e-6, 2e-6, AMPERE)
    for current, row, error in (
        (some, Code(1, 10), 0.01),
        (little, Code(1, 10), 0.02),
        (some, Code(2, 10), 0.02),
        (some, Code(0, 1), 0.03),
        (some, Code(2, 100), 0.04),
    ):
        found = in_force(current, row)
        assert isinstance(found, PartError)
        assert found.error == error
    for unknown, missing in (
        (in_force(None, Code(1, 10)), "current"),
        (in_force(some, None), "prescale"),
    ):
        assert isinstance(unknown, Unknown)
        assert unknown.missing == (missing,)
        assert unknown.because.startswith("TC1: ")


def test_a_part_without_a_strap_works_at_no_code() -> None:
    """A row by code asks for one, and there is none to read."""
    rows = 'error = [ { error = "1%", code = "0" }, { error = "2%" } ]'
    of = book("V1 vdd 0 3\nXU1 vdd out 0 rt TC1\nRT rt 0 25k", BARE.replace('error = "1%"', rows), COLD)
    found = counted(of, block(of))
    assert isinstance(found, Unknown)
    assert found.missing == ("code",)


def test_an_error_by_supply_is_looked_up_at_the_board_s_supply() -> None:
    """1 % to 3.2 V and 2 % beyond: a rail that reaches beyond has the greater; by ambient alike."""
    rows = 'error = [ { error = "1%", supply = "2V .. 3.2V" }, { error = "2%", supply = "2V .. 6V" } ]'
    warm = 'error = [ { error = "1%", ambient = "0degC .. 60degC" }, { error = "2%" } ]'
    for text, intent, size in (
        (rows, f"{COLD}\nsupply vdd 2.9V .. 3.1V", 0.01),
        (rows, f"{COLD}\nsupply vdd 2.9V .. 3.3V", 0.02),
        (warm, "ambient 0degC .. 60degC", 0.01),
        (warm, "ambient 0degC .. 61degC", 0.02),
        (warm, "ambient -1degC .. 60degC", 0.02),
    ):
        of = clocked({'error = "1%"': text}, intent)
        timing = edge_timing(block(of))
        assert not isinstance(timing, Unknown)
        found = error_in_force(of, block(of), timing, None, Code(1, 10))
        assert isinstance(found, PartError)
        assert found.error == size


def test_offset_and_jitter_are_added_to_a_single_time() -> None:
    """80 us, 60 ns to 200 ns of offset, +/- 50 ns of jitter; the mean of many has no jitter."""
    of = clocked(
        {'supply_error = "0.1%/V"': 'supply_error = "0.1%/V", offset = "60ns .. 200ns", jitter = "50ns"'}
    )
    timing = edge_timing(block(of))
    assert not isinstance(timing, Unknown)
    time = varying("t", Span(79e-6, 80e-6, 81e-6, SECOND))._replace(text="T = c; I = x; y")
    one = with_offset(block(of), timing, time)
    assert one.text == "T = c + offset + jitter; I = x; y"
    assert one.causes == (
        Cause("t", 80e-6, 79e-6, 81e-6),
        Cause("XU1 offset", 130e-9, 60e-9, 200e-9),
        Cause("XU1 jitter", 0.0, -50e-9, 50e-9),
    )
    assert extremes(one) == pytest.approx((79.01e-6, 81.25e-6))
    assert [(each.label, each.origin) for each in one.inputs] == [
        ("TC1 offset", "part file"),
        ("TC1 jitter", "part file"),
    ]
    mean = with_offset(block(of), timing, time, single=False)
    assert mean.text == "T = c + offset; I = x; y"
    assert [cause.name for cause in mean.causes] == ["t", "XU1 offset"]
    assert mean.unit == SECOND
    assert mean.nominal == pytest.approx(80.13e-6)
    plain = with_offset(block(of), timing._replace(offset=None, jitter=0.0), time._replace(text="T"))
    assert (plain.text, plain.nominal, plain.inputs) == ("T", 80e-6, ())


def test_a_pulse_has_jitter_and_a_mean_period_none() -> None:
    """The same clock as a one-shot's width and as an oscillator's period; offset counts in both."""
    more = {'supply_error = "0.1%/V"': 'supply_error = "0.1%/V", offset = "1us .. 2us", jitter = "0.5us"'}
    of = clocked(more)
    assert extremes(period(of, block(of))) == pytest.approx((0.99 * 80e-6 + 1e-6, 1.01 * 80e-6 + 2e-6))
    assert extremes(pulse_width(of, block(of))) == pytest.approx(
        (0.99 * 80e-6 + 0.5e-6, 1.01 * 80e-6 + 2.5e-6)
    )
