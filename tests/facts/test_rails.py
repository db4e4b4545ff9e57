"""What each net that feeds a block is at, and by whose word."""

import pytest

from drc.facts.railname import voltage_in_name
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span, unknown


def fed(netlist: str, part: str = "PL1") -> str:
    """The centred board with something else in the place of its source."""
    return CENTRED.replace("V1 vdd 0 4", netlist).replace("PL1", part)


def test_a_statement_goes_before_a_source() -> None:
    """`supply vdd 3V .. 5V` wins over V1's 4 V; without a nominal the middle stands in."""
    supply = span(book(CENTRED, PLAIN, "supply vdd 3V .. 5V"), "supply.voltage")
    assert (supply.low, supply.middle, supply.high) == (3, 4, 5)


def test_a_source_to_ground_either_way_round() -> None:
    """V1 0 vdd -4 holds vdd at 4 V."""
    assert span(book(fed("V1 0 vdd -4"), PLAIN), "supply.voltage").middle == 4


def test_stacked_sources_add() -> None:
    """1.5 V upon 1.5 V make 3 V."""
    assert span(book(fed("V1 mid 0 1.5\nV2 vdd mid 1.5"), PLAIN), "supply.voltage").middle == 3


def test_a_rising_source_feeds_at_its_settled_value() -> None:
    """A supply that ramps from 0 to 3.5 V in 5 ms is at 3.5 V."""
    assert span(book(fed("V1 vdd 0 PWL(0 0 5m 3.5)"), PLAIN), "supply.voltage").middle == 3.5


def test_a_source_that_never_settles_is_no_supply() -> None:
    """A square wave on the supply is unknown, not its average."""
    found = unknown(book(fed("V1 vdd 0 PULSE(0 4 0 1u 1u 1m 2m)"), PLAIN), "supply.voltage")
    assert found.missing == ("voltage of vdd",)


def test_a_regulator_gives_its_output_where_its_input_is_known() -> None:
    """3.0 V +/- 2 % from 5 V: 2.94 .. 3.06 V; with nothing said of the input, unknown."""
    board = fed("V1 vin 0 5\nXREG vin 0 vdd RG3")
    supply = span(book(board, PLAIN), "supply.voltage")
    assert (supply.low, supply.high) == pytest.approx((2.94, 3.06))
    found = unknown(book(board.replace("V1 vin 0 5", "R9 vin 0 1k"), PLAIN), "supply.voltage")
    assert found.missing == ("voltage of vin",)


def test_a_starved_regulator_follows_its_input() -> None:
    """From 3.2 V less 0.5 V of dropout, 2.7 V are left."""
    assert span(book(fed("V1 vin 0 3.2\nXREG vin 0 vdd RG3"), PLAIN), "supply.voltage").high == pytest.approx(
        2.7
    )


def test_an_adjustable_regulator_by_its_divider() -> None:
    """V_fb (1 + 20k/10k) = 3.6 V; at the corners 1.188 * (1 + 19.8/10.1) and 1.212 * (1 + 20.2/9.9)."""
    board = fed("V1 vin 0 6\nXREG vin 0 vdd fb RGA\nR8 vdd fb 20k tol=1%\nR9 fb 0 10k tol=1%")
    supply = span(book(board, PLAIN), "supply.voltage")
    assert supply.middle == pytest.approx(3.6)
    assert supply.low == pytest.approx(1.188 * (1 + 19.8 / 10.1))
    assert supply.high == pytest.approx(1.212 * (1 + 20.2 / 9.9))


@pytest.mark.parametrize("link", ["L9 vin vdd 1u", "R9 vin vdd 0", "V9 vin vdd 0"])
def test_beads_links_and_zero_volt_sources_pass_the_rail_on(link: str) -> None:
    """Nothing is lost in them."""
    supply = span(book(fed(f"V1 vin 0 4\n{link}"), PLAIN), "supply.voltage")
    assert (supply.low, supply.high) == (4, 4)


def test_a_filter_resistor_costs_the_drop_of_the_load() -> None:
    """4 V less 100 ohm times 2 mA, and 0 to 4 V / 22k into the strap: 3.8 V less 0 to 18 mV."""
    board = fed("V1 vin 0 4\nR9 vin vdd 100 tol=0%", "PL1H").replace("rt vdd PL1H", "rt 0 PL1H")
    supply = span(book(board, PLAIN), "supply.voltage")
    assert supply.high == pytest.approx(4 - 100 * 1.8e-3)
    assert supply.low == pytest.approx(4 - 100 * (2.2e-3 + 4 / (0.99 * 22e3)))


def test_a_load_that_nobody_gives_is_assumed_and_said() -> None:
    """A part whose file gives no consumption draws 0 to 1 mA: 4 V less up to 100 ohm times that."""
    board = book(fed("V1 vin 0 4\nR9 vin vdd 100 tol=0%").replace("rt vdd PL1", "rt 0 PL1"), PLAIN)
    supply = fact(board, "supply.voltage")
    assert supply.span is not None
    assert supply.span.low == pytest.approx(4 - 100 * (1e-3 + 4 / (0.99 * 22e3)))
    assert "PL1 consumption 0 mA .. 1 mA assumed" in supply.assumptions


def test_a_load_statement_stands_for_the_load() -> None:
    """`load vdd 5mA` through 100 ohm: half a volt, the strap's current apart."""
    board = fed("V1 vin 0 4\nR9 vin vdd 100 tol=0%")
    assert span(book(board, PLAIN, "load vdd 5mA"), "supply.voltage").high == pytest.approx(3.5)


def test_a_series_diode_costs_its_drop() -> None:
    """A model of IS 1e-14 A and N 1 drops 0.65 to 0.75 V; a bare diode 0.6 to 0.8 V, assumed."""
    modelled = book(fed("V1 vin 0 4\nD9 vin vdd DM\n.model DM d(is=1e-14 n=1)"), PLAIN)
    assert 3.25 < span(modelled, "supply.voltage").middle < 3.4
    usual = fact(book(fed("V1 vin 0 4\nD9 vin vdd DX"), PLAIN), "supply.voltage")
    assert usual.span is not None
    assert (usual.span.low, usual.span.high) == pytest.approx((3.2, 3.4))
    assert any("D9" in note for note in usual.assumptions)


def test_of_two_supplies_joined_by_diodes_the_higher_wins() -> None:
    """4 V and 5 V through alike diodes: 5 V less one drop."""
    board = fed("V1 va 0 4\nV2 vb 0 5\nD1 va vdd DX\nD2 vb vdd DX")
    assert span(book(board, PLAIN), "supply.voltage").high == pytest.approx(4.4)


def test_a_name_is_the_last_resort_and_marked() -> None:
    """A supply net called VCC_3V3 is at 3.3 V +/- 5 %, an assumption, and not stated."""
    board = fed("* none").replace("vdd", "VCC_3V3")
    of = book(board, PLAIN)
    supply = fact(of, "supply.voltage")
    assert supply.span is not None
    assert (supply.span.low, supply.span.high) == pytest.approx((3.135, 3.465))
    assert supply.assumptions
    assert fact(of, "supply.stated").value is False
    assert fact(book(CENTRED, PLAIN), "supply.stated").value is True


def test_not_supply_takes_a_name_back() -> None:
    """`not supply VCC_3V3` leaves the net unknown."""
    board = fed("* none").replace("vdd", "VCC_3V3")
    assert unknown(book(board, PLAIN, "not supply VCC_3V3"), "supply.voltage").missing == (
        "voltage of VCC_3V3",
    )


def test_nothing_said_is_unknown_and_named() -> None:
    """Without a source the supply, and the strap that leans on it, are unproven, naming the net."""
    of = book(fed("* none"), PLAIN)
    for name in ("supply.voltage", "strap.ratio", "strap.code", "strap.margin", "output.source"):
        assert "voltage of vdd" in unknown(of, name).missing, name


@pytest.mark.parametrize(
    ("name", "volts"),
    [
        ("+5V", 5), ("3V3", 3.3), ("VCC_1V8", 1.8), ("V3V3", 3.3), ("+3.3V", 3.3), ("+12V", 12), ("-5V", -5),
        ("X1.P5V", 5), ("3V3_A", 3.3),
        ("EN_3V3", None), ("FB_5V", None), ("PG_1V8", None), ("V1", None), ("vdd", None), ("5", None),
        ("n3v", None),
    ],
)  # fmt: skip
def test_which_names_are_rails(name: str, volts: float | None) -> None:
    """A rail's name is its voltage with the V as the point; what enables or senses one is none."""
    assert voltage_in_name(name) == (pytest.approx(volts) if volts is not None else None)


def test_ground_is_node_0_or_joined_to_it() -> None:
    """A ground pin on a net of its own is unconnected; a link or a `same` statement connects it."""
    board = CENTRED.replace("out 0 rt", "out agnd rt")
    assert fact(book(board, PLAIN), "ground.connected").value is False
    assert fact(book(board + "R9 agnd 0 0\n", PLAIN), "ground.connected").value is True
    assert fact(book(board, PLAIN, "same agnd 0"), "ground.connected").value is True
    assert fact(book(board + "R9 agnd 0 10k\n", PLAIN), "ground.connected").value is False


def test_supply_is_counted_from_the_blocks_own_ground() -> None:
    """A ground pin held at -1 V makes 5 V of a 4 V rail."""
    board = CENTRED.replace("out 0 rt", "out vee rt") + "V9 vee 0 -1\n"
    assert span(book(board, PLAIN), "supply.voltage").middle == 5


def test_a_regulators_output_rests_on_what_its_input_rests_on() -> None:
    """An input known only by its name is an assumption of the output too."""
    of = book(fed("XREG +5V 0 vdd RG3"), PLAIN)
    assert "+5V is at 5 V by its name" in fact(of, "supply.voltage").assumptions


def test_a_dividers_middle_is_no_rail_whatever_its_name() -> None:
    """A net called 1V8 between two resistors of a 4 V rail is not taken at 1.8 V."""
    board = fed("V1 vin 0 4\nR8 vin 1V8 10k\nR9 1V8 0 10k").replace("vdd", "1V8")
    assert unknown(book(board, PLAIN), "supply.voltage").missing == ("voltage of 1V8",)
