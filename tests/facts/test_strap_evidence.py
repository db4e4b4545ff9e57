"""What a strap fact rests on, by whose word, and what it names where it is unknown; by hand."""

import math

import pytest

from drc.facts.book import Book
from drc.facts.model import Cases, Unknown
from drc.facts.options import FactOptions
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span, unknown

STILL = "ambient 25degC .. 25degC"
DIVIDER = [
    ("R1", "22 kohm", "line", 4),
    ("R1 tolerance", "+/- 1 %", "line", None),
    ("R2", "10 kohm", "line", 5),
    ("R2 tolerance", "+/- 1 %", "line", None),
    ("V1", "4 V", "line", 3),
    ("0", "0 V", "node 0", None),
]
LEVELS = ("PL1 strap thresholds", "8 levels, +/- 0.5 % of full scale", "part file", 2)
LEAKAGE = ("XU1 strap leakage", "+/- 20 nA", "part file", 2)
OWN = PLAIN.replace("levels = 8, ", 'levels = 8, reference = "2.5V +/- 2%", ')
ROWS = "codes    = [ { code = 0, prescale = 1 }, { code = 2, prescale = 10 }, \
{ code = 3, prescale = 10, inverted = true } ]"


def evidence(of: Book, name: str) -> list[tuple[str, str, str, int | None]]:
    """Label, value, origin and line of each input of a fact."""
    return [(i.label, i.value, i.origin, i.place.line if i.place else None) for i in fact(of, name).inputs]


@pytest.mark.parametrize(
    ("name", "more"),
    [
        ("strap.ratio", [LEAKAGE]),
        ("strap.code", [LEAKAGE]),
        ("strap.margin", [LEAKAGE, LEVELS]),
        ("strap.off_centre", [LEAKAGE, LEVELS]),
        ("strap.misread", [LEAKAGE, ("XU1 threshold error", "+/- 0.5 % of full scale", "part file", 2)]),
        ("strap.source_resistance", []),
    ],
)  # fmt: skip
def test_what_a_strap_fact_rests_on(name: str, more: list[tuple[str, str, str, int | None]]) -> None:
    """The divider, its rails, the pin's leakage, and the converter's levels: each with its place."""
    found = fact(book(CENTRED, PLAIN, STILL), name)
    assert evidence(book(CENTRED, PLAIN, STILL), name) == [*DIVIDER, *more]
    assert found.assumptions == ()


@pytest.mark.parametrize(
    ("name", "law"),
    [
        ("strap.ratio", "r = (V_strap - V_ground + I_leak R_th) / V_reference"),
        ("strap.code", "the number of thresholds at or below the nominal ratio"),
        ("strap.source_resistance", "R_th of the network on the strap pin"),
        ("strap.settling", "no capacitor on the strap"),
        ("strap.prescale", "code table of PL1, code 2"),
        ("strap.polarity", "code table of PL1, code 2"),
        ("strap.reserved", "code table of PL1"),
        ("strap.misread", "0 of 20000 draws read another code; 95 % interval, seed 1"),
    ],
)
def test_the_law_of_a_strap_fact(name: str, law: str) -> None:
    """What a reader is told of how it was found."""
    assert fact(book(CENTRED, PLAIN, STILL), name).law == law


def test_what_is_assumed_of_a_divider_is_assumed_of_every_strap_fact() -> None:
    """A resistor without a tolerance: ratio, code, margin, middle and misread rest on the default."""
    of = book(CENTRED.replace("22k tol=1%", "22k"), PLAIN, STILL)
    for name in ("ratio", "code", "margin", "off_centre", "misread", "source_resistance"):
        assert fact(of, f"strap.{name}").assumptions == ("R1 tolerance +/- 1 % assumed",), name


def test_a_reference_of_the_converter_s_own() -> None:
    """1.25 V read against 2.5 V +/- 2 %: half; by hand from 1.2327 / 2.55 to 1.2674 / 2.45, leakage apart."""
    quiet = OWN.replace('leakage = "20nA", ', "")
    of = book(CENTRED, quiet, STILL)
    ratio = span(of, "strap.ratio")
    low, high = 4 * 9.9 / (9.9 + 22.22) / 2.55, 4 * 10.1 / (10.1 + 21.78) / 2.45
    assert (ratio.low, ratio.middle, ratio.high) == pytest.approx((low, 0.5, high), rel=1e-9)
    assert ("XU1 strap reference", "2.45 V .. 2.55 V (nominal 2.5 V)", "part file", 2) in evidence(
        of, "strap.ratio"
    )
    assert fact(of, "strap.ratiometric").value is True
    assert fact(of, "strap.ratiometric").law == "the converter has a reference of its own"
    foreign = CENTRED.replace("R1 vdd", "V2 vref 0 4\nR1 vref")
    assert fact(book(foreign, quiet, STILL), "strap.ratiometric").value is True
    plain = fact(book(foreign, PLAIN, STILL), "strap.ratiometric")
    assert (plain.value, plain.law) == (False, "the strap network also ends on vref")
    assert fact(book(CENTRED, PLAIN), "strap.ratiometric").law == "it ends on the block's own"


def test_a_strap_read_against_nothing_is_unknown() -> None:
    """A supply that may be 0 V or below leaves no ratio; one that stays above does, however little."""
    found = unknown(book(CENTRED, PLAIN, "supply vdd 0V .. 4V"), "strap.ratio")
    assert found.missing == ("supply.voltage",)
    assert "need not be above 0 V" in found.because
    assert span(book(CENTRED, PLAIN, "supply vdd 0.1V .. 4V"), "strap.ratio").nominal is not None


@pytest.mark.parametrize("ohm", ["22k", "100k"])
def test_a_strap_counts_from_the_block_s_ground(ohm: str) -> None:
    """Supply, divider and ground all 1 V up: the ratio is as before."""
    plain = CENTRED.replace("22k", ohm)
    lifted = plain.replace("V1 vdd 0 4", "V9 g 0 1\nV1 vdd 0 5").replace("cfg 0 10k", "cfg g 10k")
    lifted = lifted.replace("out 0 rt", "out g rt")
    one, other = (span(book(board, PLAIN, STILL), "strap.ratio") for board in (plain, lifted))
    assert (other.low, other.middle, other.high) == pytest.approx((one.low, one.middle, one.high), rel=1e-9)


def test_what_a_part_file_leaves_out_of_its_strap_is_named() -> None:
    """No threshold error: margin and misread are unknown, code and middle are not; no table: nor prescale."""
    blind = book(CENTRED, PLAIN.replace('threshold_error = "0.5%", ', ""), STILL)
    for name in ("strap.margin", "strap.misread"):
        assert unknown(blind, name) == Unknown(
            "the part file of PL1 gives no threshold error", ("PL1 strap threshold_error",)
        )
    assert span(blind, "strap.code").middle == 2
    assert span(blind, "strap.off_centre").nominal == pytest.approx(0, abs=1e-12)
    assert evidence(blind, "strap.off_centre")[-1][1] == "8 levels, unknown of full scale"
    bare = book(CENTRED, PLAIN.replace(ROWS, ""), STILL)
    assert unknown(bare, "strap.reserved").missing == ("PL1 codes",)
    for name in ("strap.prescale", "strap.polarity"):
        assert unknown(bare, name).missing == ("PL1 code 2",)
        assert "has no code table" in unknown(bare, name).because
    assert "is reserved" in unknown(book(CENTRED.replace("22k", "7k"), PLAIN), "strap.polarity").because


NONE = """
[part.NS1]
title    = "an oscillator without a strap"
source   = "this test"
function = "oscillator"
pins     = ["supply", "output", "ground", "rate"]
supply   = { rated = "2V .. 6V" }
rate     = { voltage = "0.5V", law = "ratio" }
timing   = { period = "2us", at_current = "20uA", at_supply = "3V", error = "1%" }
"""


def test_a_block_without_a_strap_has_no_strap_facts() -> None:
    """Each is unknown and names the pin; what the part should give of it is named for the ratings."""
    of = book("V1 vdd 0 4\nR3 rt 0 100k\nXU1 vdd out 0 rt NS1\n", NONE, STILL)
    pin = ("ratio", "code", "margin", "neighbour", "off_centre", "settling", "open", "shorted", "ratiometric")
    for name in (*pin, "source_resistance", "misread", "readers", "shared", "reserved"):
        assert unknown(of, f"strap.{name}").missing == ("XU1 strap pin",), name
        assert "has no strap pin" in unknown(of, f"strap.{name}").because, name
    assert unknown(of, "strap.read_after").missing == ("NS1 strap read_after",)
    assert unknown(of, "strap.source_resistance_rated").missing == ("NS1 strap source_resistance",)


SELECT = PLAIN.replace('"rate", "enable"]', '"rate", "select"]').replace(
    "input.enable", "input.select"
).replace(
    "{ code = 2, prescale = 10 }",
    '{ code = 2, prescale = 10, when = { select = "high" } }, '
    '{ code = 2, prescale = 40, when = { select = "low" } }',
)  # fmt: skip


@pytest.mark.parametrize(("select", "prescale"), [("vdd", 10), ("0", 40), ("up", 10), ("down", 40)])
def test_the_row_of_a_code_is_that_of_the_other_pin_s_level(select: str, prescale: int) -> None:
    """Tied or pulled either way, the row whose condition holds is in force."""
    board = CENTRED.replace("rt vdd PL1", f"rt {select} PL1") + "R8 vdd up 10k\nR9 down 0 10k\n"
    assert span(book(board, SELECT, STILL), "strap.prescale").middle == prescale


def test_a_row_that_hangs_on_an_unknown_or_moving_pin_is_not_guessed() -> None:
    """A floating pin is unknown; one that a signal switches takes the prescale with it."""
    floating = book(CENTRED.replace("rt vdd PL1", "rt x PL1") + "C9 x 0 1n\n", SELECT, STILL)
    assert unknown(floating, "strap.prescale").missing == ("voltage of x",)
    moving = book(
        CENTRED.replace("rt vdd PL1", "rt x PL1") + "R9 x 0 1k\n", SELECT, f"{STILL}\nsignal x period 1s"
    )
    assert unknown(moving, "strap.prescale") == Unknown(
        "the select pin of XU1 is switched, and with it the prescale", ("XU1 select level",)
    )
    lone = SELECT.replace('{ code = 2, prescale = 40, when = { select = "low" } }, ', "")
    none = book(CENTRED.replace("rt vdd PL1", "rt 0 PL1"), lone, STILL)
    assert unknown(none, "strap.prescale").missing == ("PL1 code 2",)
    assert "no row of strap code 2 of PL1 holds" in unknown(none, "strap.prescale").because


@pytest.mark.parametrize(
    ("lines", "missing"),
    [
        ("C9 cfg x 1n", ("voltage of x",)),
        ("C9 x cfg 1n", ("voltage of x",)),
        ("C9 cfg sq 1n\nV9 sq vee 1", ("voltage of sq",)),
        ("C9 cfg 0 ?", ("C9 value",)),
        ("C9 cfg aux 1n\nR4 rt2 0 100k\nXU2 aux 0 o2 0 rt2 aux PL1", ("voltage of aux",)),
    ],
)
def test_a_capacitor_that_starts_nobody_knows_where(lines: str, missing: tuple[str, ...]) -> None:
    """To a net that nothing holds, or that something feeds from nobody knows what; or without a value."""
    of = book(f"{CENTRED}{lines}\n", PLAIN, STILL)
    assert unknown(of, "strap.settling").missing == missing
    assert span(of, "strap.ratio").nominal == pytest.approx(0.3125)


@pytest.mark.parametrize(
    ("lines", "rise"),
    [
        ("C9 cfg 0 10n tol=0%", 5.0),
        ("C9 0 cfg 10n tol=0%", 5.0),
        ("C9 vdd cfg 10n tol=0%", 11.0),
        ("V9 v9 0 3\nC9 cfg v9 10n tol=0%", 5.0),
        ("L9 vdd v9 1u\nC9 cfg v9 10n tol=0%", 11.0),
        ("R9 g9 0 0\nC9 cfg g9 10n tol=0%", 5.0),
    ],
)
def test_where_a_strap_s_capacitor_starts(lines: str, rise: float) -> None:
    """At 0 from ground or any other held net: ln 5; at 1 from the block's own supply: ln 11."""
    of = book(f"{CENTRED}{lines}\n", PLAIN.replace('leakage = "20nA", ', ""), STILL)
    assert span(of, "strap.settling").nominal == pytest.approx(68.75e-6 * math.log(rise), rel=1e-9)


def test_capacitors_to_both_rails_start_between() -> None:
    """3 nF to the supply beside 1 nF to ground start at 3/4: above code 2, it comes down to 3/8."""
    of = book(
        f"{CENTRED}C8 vdd cfg 3n tol=0%\nC9 cfg 0 1n tol=0%\n", PLAIN.replace('leakage = "20nA", ', ""), STILL
    )
    by_hand = 6875 * 4e-9 * math.log((0.75 - 0.3125) / (0.375 - 0.3125))
    found = fact(of, "strap.settling")
    assert found.span is not None
    assert found.span.nominal == pytest.approx(by_hand, rel=1e-9)
    labels = [each.label for each in found.inputs]
    assert {"R1", "R2", "C8", "C9"} <= set(labels)


@pytest.mark.parametrize(
    ("upper", "capacitor", "seconds"),
    [
        ("R1 cfg 0 47k", "C9 cfg 0 10n", 0.0),
        ("R1 vdd cfg 1k tol=0%", "C9 cfg vdd 10n tol=0%", 0.0),
        ("R1 vdd cfg 0", "C9 cfg 0 10n", 0.0),
    ],
)
def test_a_strap_that_starts_in_its_code_needs_no_time(upper: str, capacitor: str, seconds: float) -> None:
    """Tied to the rail that its capacitor starts from, or held without resistance."""
    lines = CENTRED.replace("R1 vdd cfg 22k tol=1%", upper).replace("R2 cfg 0 10k tol=1%\n", "")
    settling = span(
        book(f"{lines}{capacitor}\n", PLAIN.replace('leakage = "20nA", ', ""), STILL), "strap.settling"
    )
    assert (settling.low, settling.high) == (seconds, seconds)


def test_what_is_not_fitted_does_not_count() -> None:
    """A capacitor that assembly leaves out takes no time."""
    of = book(f"{CENTRED}C9 cfg 0 10n\n", PLAIN, f"{STILL}\nfit C9 no")
    assert fact(of, "strap.settling").law == "no capacitor on the strap"
    tied = book(CENTRED.replace("R1 vdd cfg 22k tol=1%", "R1 vdd cfg 0") + "C9 cfg 0 1n\n", PLAIN, STILL)
    assert fact(tied, "strap.settling").law == "the strap pin is tied to a net that is held"


SWITCHED = CENTRED.replace("R1 vdd cfg", "R1 o2 cfg") + "R6 r2 0 100k\nXU2 vdd 0 o2 0 r2 vdd PL1\n"


def test_a_strap_on_another_output_is_neither_open_nor_tied() -> None:
    """It takes that output's two states: code and ratio are not one, and the far output is a foreign end."""
    of = book(SWITCHED, PLAIN, STILL)
    assert fact(of, "strap.open").value is False
    assert fact(of, "strap.shorted").value is False
    assert fact(of, "strap.ratiometric").value is False
    assert unknown(of, "strap.ratio").missing == ("XU1 strap voltage",)
    assert unknown(of, "strap.code").missing == ("XU1 strap voltage",)
    value = fact(of, "strap.source_resistance").value
    assert isinstance(value, Cases)
    assert {case.label for case in value.cases} == {"XU2 = high", "XU2 = low"}


def test_a_strap_on_an_open_drain_output_alone_is_open_in_one_state() -> None:
    """Where the output lets go nothing sets the pin: it counts as open."""
    lone = SWITCHED.replace("R2 cfg 0 10k tol=1%\n", "").replace("r2 vdd PL1", "r2 vdd PL1D")
    assert fact(book(lone, PLAIN, STILL), "strap.open").value is True


def test_how_many_straps_a_divider_sets() -> None:
    """Two pins on one net, and a third behind a filter resistor: three; each names the first other."""
    shared = CENTRED + "R4 r2 0 100k\nXU2 vdd cfg o2 0 r2 vdd PL1\n"
    shared += "R5 cfg far 1k\nR6 r3 0 100k\nXU3 vdd far o3 0 r3 vdd PL1\n"
    of = book(shared, PLAIN, STILL)
    for path, other in (("XU1", "XU2"), ("XU2", "XU1"), ("XU3", "XU1")):
        assert span(of, "strap.readers", path).middle == 3
        assert fact(of, "strap.shared", path).value == other
    alone = book(CENTRED + "R4 r2 0 100k\nXU2 vdd 0 o2 0 r2 cfg PL1\n", PLAIN, STILL)
    assert span(alone, "strap.readers").middle == 1
    assert fact(alone, "strap.shared").value == "none"


def test_the_share_of_misread_boards_is_that_of_the_draws_outside_the_code() -> None:
    """Uniform 1 % of one resistor at a threshold less its error: by hand the share beyond it.

    R1 = 30k +/- 1 % (uniform) over 10k gives r from 10/40.3 to 10/39.7 about 1/4, so that half is below.
    """
    exact = PLAIN.replace('threshold_error = "0.5%"', 'threshold_error = "0%"').replace(
        'leakage = "20nA", ', ""
    )
    board = CENTRED.replace("22k", "29.9k").replace("10k tol=1%", "10k tol=0%")
    options = FactOptions(draws=10_000, convention="uniform", seed=3)
    found = fact(book(board, exact, STILL, options), "strap.misread")
    share = (29.9 * 1.01 - 30) / (2 * 29.9 * 0.01)
    assert found.span is not None
    assert found.span.low < share < found.span.high
    assert found.span.nominal == pytest.approx(share, abs=0.02)
    assert found.law.startswith(f"{round(found.span.middle * 10_000)} of 10000 draws")
    assert "seed 3" in found.law


@pytest.mark.parametrize(("ohms", "code"), [(("1k", "99k"), 7), (("99k", "1k"), 0)])
def test_a_rail_is_no_threshold_to_misread(ohms: tuple[str, str], code: int) -> None:
    """Close to either rail the end code has its threshold on one side alone: no draw reads another."""
    board = CENTRED.replace("22k", ohms[0]).replace("cfg 0 10k", f"cfg 0 {ohms[1]}")
    wide = PLAIN.replace('threshold_error = "0.5%"', 'threshold_error = "3%"')
    of = book(board, wide, STILL, FactOptions(draws=2000))
    assert span(of, "strap.code").middle == code
    assert span(of, "strap.misread").nominal == 0
    assert span(of, "strap.neighbour").middle == (6 if code == 7 else 1)


def test_where_a_line_is_lost_on_the_strap_nothing_is_solved() -> None:
    """A resistor with one net: its place is what is missing."""
    of = book(f"{CENTRED}R9 cfg\n", PLAIN, STILL)
    assert unknown(of, "strap.ratio").missing == ("board.cir:8:6",)


def test_an_open_strap_has_no_source_resistance() -> None:
    """The resistors are what is missing."""
    board = CENTRED.replace("R1 vdd cfg", "R1 vdd x").replace("R2 cfg 0", "R2 y 0")
    of = book(board, PLAIN, STILL)
    assert unknown(of, "strap.source_resistance") == Unknown(
        "the strap pin of XU1 is open", ("XU1 strap resistors",)
    )
    assert fact(of, "strap.open").value is True
    assert fact(of, "strap.shorted").value is False


def test_the_spread_of_a_capacitor_reaches_the_settling_time() -> None:
    """2.7 nF to 3.3 nF to the supply beside 1 nF to ground: both time constant and start move with it."""
    lines = f"{CENTRED.replace('tol=1%', 'tol=0%')}C8 vdd cfg 3n tol=10%\nC9 cfg 0 1n tol=0%\n"
    found = span(book(lines, PLAIN.replace('leakage = "20nA", ', ""), STILL), "strap.settling")

    def by_hand(farad: float) -> float:
        start = farad / (farad + 1e-9)
        return 6875 * (farad + 1e-9) * math.log((start - 0.3125) / (0.375 - 0.3125))

    assert (found.low, found.middle, found.high) == pytest.approx(
        (by_hand(2.7e-9), by_hand(3e-9), by_hand(3.3e-9))
    )


@pytest.mark.parametrize(
    ("share", "tolerance"), [(0.3175, 0.05), (0.306, 0.05), (0.34, 0.01), (0.27, 0.01), (0.3125, 0.05)]
)
def test_a_margin_is_most_in_the_middle_of_its_code(share: float, tolerance: float) -> None:
    """Over the ratio's range: the distance bends at 0.3125, and is most there or at the nearer end."""
    upper = 10e3 * (1 - share) / share
    board = CENTRED.replace("22k tol=1%", f"{upper!r} tol={100 * tolerance}%").replace(
        "10k tol=1%", "10k tol=0%"
    )
    of = book(board, PLAIN.replace('leakage = "20nA", ', ""), STILL)
    low, high = (10e3 / (10e3 + upper * (1 + side * tolerance)) for side in (1, -1))
    inside = min(max(0.3125, low), high)

    def margin(ratio: float) -> float:
        return 8 * (min(ratio - 0.25, 0.375 - ratio) - 0.005)

    found = span(of, "strap.margin")
    assert found.low == pytest.approx(min(margin(low), margin(high)), rel=1e-9)
    assert found.middle == pytest.approx(margin(share), rel=1e-9)
    assert found.high == pytest.approx(margin(inside), rel=1e-9)
    centre = span(of, "strap.off_centre")
    assert (centre.low, centre.high) == pytest.approx((8 * (low - 0.3125), 8 * (high - 0.3125)), rel=1e-9)


def test_a_ratio_that_has_no_value_over_its_range_leaves_no_distance() -> None:
    """A converter's own reference that may be 0 V: neither ratio nor margin nor middle."""
    of = book(CENTRED, OWN.replace("2.5V +/- 2%", "0V .. 2.5V"), STILL)
    for name in ("strap.ratio", "strap.margin", "strap.off_centre", "strap.misread", "strap.neighbour"):
        assert unknown(of, name).missing == ("supply.voltage",)


@pytest.mark.parametrize("code", range(8))
@pytest.mark.parametrize("above", [False, True])
def test_the_settling_of_every_code_from_either_side(code: int, above: bool) -> None:
    """To the middle of its step, from 0 or from 1, past the threshold on that side, if any."""
    share = (code + 0.5) / 8
    upper, lower = 10e3 * (1 - share), 10e3 * share
    board = CENTRED.replace("22k tol=1%", f"{upper!r} tol=0%").replace("10k tol=1%", f"{lower!r} tol=0%")
    lines = f"{board}C9 cfg {'vdd' if above else '0'} 10n tol=0%\n"
    of = book(lines, PLAIN.replace('leakage = "20nA", ', ""), STILL)
    way = 1 - share if above else share
    free = code == (7 if above else 0)
    by_hand = 0.0 if free else upper * lower / 10e3 * 10e-9 * math.log(max(1.0, way * 16))
    assert span(of, "strap.settling").nominal == pytest.approx(by_hand, rel=1e-6)


def test_what_blocks_the_strap_leaves_its_settling_unknown() -> None:
    """A part whose currents nobody knows is named; with an unknown capacitor, both are."""
    of = book(f"{CENTRED}X8 cfg OTHER\nC9 cfg 0 1n\n", PLAIN, STILL)
    assert unknown(of, "strap.settling").missing == ("X8",)
    both = book(f"{CENTRED}X8 cfg OTHER\nC9 cfg 0 ?\n", PLAIN, STILL)
    assert unknown(both, "strap.settling").missing == ("X8", "C9 value")
    plain = book(f"{CENTRED}X8 cfg OTHER\n", PLAIN, STILL)
    assert unknown(plain, "strap.settling").missing == ("X8",)


def test_a_strap_pin_that_the_part_file_does_not_describe_reads_nothing() -> None:
    """The pin is there and its network is told, but no converter: no ratio, code or margin."""
    start = PLAIN.index("strap    = {")
    bare = PLAIN[:start] + PLAIN[PLAIN.index("codes    = [") :]
    of = book(CENTRED, bare, STILL)
    for name in (
        "strap.ratio",
        "strap.code",
        "strap.margin",
        "strap.off_centre",
        "strap.neighbour",
        "strap.misread",
    ):
        assert unknown(of, name) == Unknown("XU1 (PL1) has no strap pin", ("XU1 strap pin",)), name
    assert span(of, "strap.source_resistance").middle == pytest.approx(6875)


def test_a_divider_that_may_join_the_rails_has_no_ratio_and_is_misread() -> None:
    """R1 from 0 ohm on above a link to ground: at 0 ohm both rails meet, and nothing is read as code 0."""
    board = CENTRED.replace("R2 cfg 0 10k tol=1%", "R2 cfg 0 0")
    of = book(board, PLAIN, f"{STILL}\nassume R1 value 0ohm .. 1kohm", FactOptions(draws=100))
    for name in ("strap.ratio", "strap.margin", "strap.off_centre"):
        assert unknown(of, name) == Unknown(
            "strap.ratio has no value over the whole range of what it depends on", ("strap.ratio",)
        )
    assert span(of, "strap.code").middle == 0
    assert span(of, "strap.misread").nominal == 1
    safe = book(board, PLAIN, f"{STILL}\nassume R1 value 1ohm .. 1kohm", FactOptions(draws=100))
    assert span(safe, "strap.misread").nominal == 0


@pytest.mark.parametrize(
    ("ratio", "share"),
    [(0.255, 0.25), (0.37, 0.25), (0.25, 0.5), (0.2625, 0.0), (0.3625, 0.0), (0.245, 0.25)],
)
def test_the_converter_s_error_goes_either_way(ratio: float, share: float) -> None:
    """Uniform +/- 1 % of full scale on a ratio half that from a threshold: a quarter beyond it."""
    board = CENTRED.replace("22k tol=1%", f"{1e4 * (1 - ratio)!r} tol=0%")
    board = board.replace("10k tol=1%", f"{1e4 * ratio!r} tol=0%")
    parts = PLAIN.replace('threshold_error = "0.5%"', 'threshold_error = "1%"').replace(
        'leakage = "20nA", ', ""
    )
    of = book(board, parts, STILL, FactOptions(draws=4000, convention="uniform"))
    assert span(of, "strap.misread").nominal == pytest.approx(share, abs=0.03)
