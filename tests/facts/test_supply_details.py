"""A block's supply in detail: second supplies, ramps, capacitors across it, what switches it; by hand."""

import pytest

from tests.facts.chain_boards import LEVELS, block, chained
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, part, span, unknown

TWO = PLAIN.replace('"rate", "enable"]', '"rate", "enable", "supply-io"]').replace(
    "strap    = {", 'supplies.io = { rated = "1.6V .. 2.0V", limit = "2.5V" }\nstrap    = {', 1
)
IO = CENTRED.replace("rt vdd PL1", "rt vdd vio PL1")


def test_a_second_supply_counts_from_the_block_s_ground() -> None:
    """2.8 V against a ground of 1 V are 1.8 V."""
    board = IO.replace("cfg out 0 rt", "cfg out g rt") + "V8 g 0 1\nV9 vio 0 2.8\n"
    assert span(book(board, TWO), "second.voltage").middle == pytest.approx(1.8)


def test_a_second_supply_that_nothing_holds_is_unknown() -> None:
    """Its net is named; ratings are told all the same, and are missing where there is no such pin."""
    of = book(IO, TWO)
    assert unknown(of, "second.voltage").missing == ("voltage of vio",)
    assert span(of, "second.rated")[:3:2] == pytest.approx((1.6, 2.0))
    for name in ("second.rated", "second.limit"):
        assert unknown(book(CENTRED, PLAIN), name).missing == ("XU1 second supply",)


@pytest.mark.parametrize(
    ("lines", "farad"),
    [
        ("", 0),
        ("C9 vdd 0 100n", 100e-9),
        ("C9 0 vdd 100n", 100e-9),
        ("C9 vdd 0 100n\nC8 vdd 0 10u", 10.1e-6),
        ("C9 vdd cfg 100n", 0),
        ("R9 vdd v2 1\nC9 v2 0 100n", 100e-9),
        ("R9 vdd v2 1.1\nC9 v2 0 100n", 0),
        ("L9 vdd v2 1u\nC9 v2 0 100n", 100e-9),
        ("R9 g2 0 0\nC9 vdd g2 100n", 100e-9),
        ("C9 vdd 0 100n\nC8 vdd 0 ?", 100e-9),
    ],
)
def test_capacitance_across_the_supply(lines: str, farad: float) -> None:
    """Between the rail and ground, through beads and shunts up to an ohm; what is known is a lower bound."""
    assert span(book(f"{CENTRED}{lines}\n", PLAIN), "supply.bypass").middle == pytest.approx(farad)


def test_a_capacitor_without_a_value_leaves_the_bypass_unknown() -> None:
    """Where no other is known."""
    assert unknown(book(f"{CENTRED}C9 vdd 0 ?\n", PLAIN), "supply.bypass").missing


@pytest.mark.parametrize(
    ("intent", "lines", "seconds"),
    [
        ("ramp vdd 10ms", "", 5e-3),
        ("ramp vdd 4ms .. 8ms", "", 3e-3),
        ("ramp v2 10ms", "L9 vdd v2 1u", 5e-3),
        ("ramp vdd 10ms\nsupply vdd 8V", "", 7.5e-3),
        ("ramp vdd 10ms\nsupply vdd 1.5V", "", 0.0),
    ],
)
def test_a_ramp_counts_from_the_rated_lower_end(intent: str, lines: str, seconds: float) -> None:
    """At an even slope to 4 V a rise of 10 ms is above 2 V for its second half; to 8 V for three quarters."""
    assert span(book(f"{CENTRED}{lines}\n", PLAIN, intent), "supply.ramp").middle == pytest.approx(seconds)


def test_a_ramp_needs_a_statement_a_rating_and_a_supply() -> None:
    """Each is named where it is missing."""
    assert unknown(book(CENTRED, PLAIN), "supply.ramp").missing == ("ramp",)
    unrated = PLAIN.replace('rated = "2V .. 6V", ', "")
    assert unknown(book(CENTRED, unrated, "ramp vdd 10ms"), "supply.ramp").missing == ("supply rated",)
    off = CENTRED.replace("V1 vdd 0 4\n", "")
    assert unknown(book(off, PLAIN, "ramp vdd 10ms"), "supply.ramp").missing


def test_ambient_without_a_statement_is_25_degrees() -> None:
    """Stated, it is the span as stated, without a nominal where 25 degC lies outside."""
    assert span(book(CENTRED, PLAIN), "ambient.board")[:3] == (25, 25, 25)
    assert span(book(CENTRED, PLAIN, "ambient 0degC .. 60degC"), "ambient.board")[:3] == (0, 25, 60)
    assert span(book(CENTRED, PLAIN, "ambient 25degC .. 60degC"), "ambient.board")[:3] == (25, 25, 60)
    assert span(book(CENTRED, PLAIN, "ambient 0degC .. 25degC"), "ambient.board")[:3] == (0, 25, 25)
    hot = span(book(CENTRED, PLAIN, "ambient 40degC .. 60degC"), "ambient.board")
    assert (hot.low, hot.nominal, hot.high) == (40, None, 60)


def test_a_source_the_other_way_round_feeds_a_net() -> None:
    """A battery between two nets adds with its sign: 4 V and 1.5 V, or 4 V less 1.5 V."""
    up = CENTRED.replace("V1 vdd 0 4", "V1 a 0 4\nV2 vdd a 1.5")
    down = CENTRED.replace("V1 vdd 0 4", "V1 a 0 4\nV2 a vdd 1.5")
    assert span(book(up, PLAIN), "supply.voltage").middle == pytest.approx(5.5)
    assert span(book(down, PLAIN), "supply.voltage").middle == pytest.approx(2.5)


@pytest.mark.parametrize(
    ("upper", "ratio"), [("V9 top vdd 1", 5 / 4), ("V9 vdd top 1", 3 / 4), ("R9 top vdd 0", 1.0)]
)
def test_a_battery_in_a_strap_adds_with_its_sign(upper: str, ratio: float) -> None:
    """The divider of 22k and 10k on 5 V, 3 V or 4 V, read against 4 V."""
    board = CENTRED.replace("R1 vdd cfg", "R1 top cfg") + upper + "\n"
    assert span(book(board, PLAIN), "strap.ratio").nominal == pytest.approx(10 / 32 * ratio)


def test_a_current_source_takes_from_its_first_net() -> None:
    """SPICE's sign: 10 uA from cfg to ground lower the tap by 10 uA * 6875 ohm, the other way raise it."""
    tap = 4 * 10 / 32
    for line, sign in (("I9 cfg 0 10u", -1), ("I9 0 cfg 10u", 1)):
        ratio = span(book(f"{CENTRED}{line}\n", PLAIN), "strap.ratio").nominal
        assert ratio == pytest.approx((tap + sign * 10e-6 * 6875) / 4)


LIVING = part(
    "TO1", "oscillator", "enable", f'input.enable = {{ {LEVELS}, active = "high" }}\nconsumption = "1mA"'
)


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ("", "alone"),
        ("R5 vdd vs 10k", "alone"),
        ("SW5 vdd vs BUTTON", "started"),
        ("C5 vdd hold 1u", "started"),
    ],
)
def test_a_block_that_holds_its_own_supply_needs_a_start(more: str, expected: str) -> None:
    """Its output switches its own rail: something else must put voltage there first."""
    netlist = block("U1", "TO1", "hold", "vs", supply="vs") + "Q1 n hold 0 NS\nR6 vdd n 10k\nM1 vs n vdd MP\n"
    of = chained(f"{netlist}{more}\n", part_file=LIVING)
    assert fact(of, "supply.self_fed").value == expected


def test_every_load_of_a_filtered_rail_counts() -> None:
    """Behind 100 ohm: 5 mA stated for two blocks, and 1 kohm to ground at most 4 V / 1 kohm more."""
    board = CENTRED.replace("V1 vdd 0 4", "V1 vin 0 4\nR9 vin vdd 100 tol=0%\nR8 vdd 0 1k tol=0%")
    board += "R6 rt2 0 100k\nXU2 vdd cfg o2 0 rt2 0 PL1\n"
    supply = span(book(board.replace("rt vdd PL1", "rt 0 PL1"), PLAIN, "load vdd 5mA"), "supply.voltage")
    strap = 4 / (0.99 * 22e3)
    assert supply.low == pytest.approx(4 - 100 * (5e-3 + 4e-3 + strap), rel=2e-3)
    assert supply.high <= 4 - 100 * 5e-3


@pytest.mark.parametrize(
    ("sources", "stated", "against"),
    [
        ("V1 vdd 0 4", "3.5V .. 4.5V", False),
        ("V1 vdd 0 4", "4V .. 5V", False),
        ("V1 vdd 0 4", "3V .. 4V", False),
        ("V1 vdd 0 4", "4.1V .. 5V", True),
        ("V1 0 vdd -4", "3.5V .. 4.5V", False),
        ("V1 0 vdd 4", "3.5V .. 4.5V", True),
        ("V8 vdd x 1\nV1 vdd 0 4", "4.1V .. 5V", True),
        ("V8 vdd x 1", "4.1V .. 5V", False),
    ],
)
def test_a_statement_against_a_source_of_its_net(sources: str, stated: str, against: bool) -> None:
    """Either way round, to ground alone, ends included; a source between two nets is passed over."""
    board = CENTRED.replace("V1 vdd 0 4", sources)
    assert fact(book(board, PLAIN, f"supply vdd {stated}"), "supply.contradicted").value is against


def test_a_strap_that_takes_several_levels_has_no_one_ratio() -> None:
    """Hung on a square wave it is read low or high: unknown, and the strap is named."""
    board = CENTRED.replace("R1 vdd cfg", "R1 sq cfg") + "V9 sq 0 PULSE(0 4 0 1u 1u 1m 2m)\n"
    assert unknown(book(board, PLAIN), "strap.ratio").because
    assert unknown(book(board, PLAIN), "strap.code").because


def test_a_capacitor_between_joined_nets_is_none() -> None:
    """Both ends on one net, or across a link, hold no charge; to another net they do."""
    timer = CENTRED + "R9 out o2 0\nC9 out o2 1n\nC8 o2 0 2n\n"
    assert span(book(timer, PLAIN), "output.capacitance").nominal == pytest.approx(2e-9)


def test_one_ambient_temperature_counts_from_25_degrees_as_the_end_of_a_span_does() -> None:
    """A board in an oven at 75 degC drifts like one that comes to 75 degC; it is never judged at 25.

    The part's rated ambient is held against the one temperature alone.
    """
    for stated, same in (("75degC", "25degC .. 75degC"), ("-40degC", "-40degC .. 25degC")):
        one, other = (book(CENTRED, PLAIN, f"ambient {words}") for words in (stated, same))
        assert span(one, "timing.period") == span(other, "timing.period")
        assert span(one, "timing.period") != span(book(CENTRED, PLAIN), "timing.period")
        assert span(one, "ambient.board")[:3:2] == (float(stated[:-4]),) * 2
    assert span(book(CENTRED, PLAIN, "ambient 25degC"), "ambient.board")[:3] == (25, 25, 25)
