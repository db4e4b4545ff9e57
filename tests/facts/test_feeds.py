"""What feeds a net, what is lost on the way and what counts as one net: by Kirchhoff and Ohm, by hand."""

import pytest

from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, spread
from drc.facts.feed import anchor, before_filters, joined_nets, joined_voltage, rail
from drc.facts.model import Unknown
from drc.facts.options import FactOptions
from drc.quantity.unit import VOLT
from tests.facts.strap_boards import PLAIN
from tests.facts.timing_boards import book

STILL = "ambient 25degC .. 25degC\nassume R* tempco 0ppm\n"
DRAWS = (
    PLAIN
    + """
[part.EAT]
like        = "PL1"
consumption = "2mA"

[part.NIL]
like        = "PL1"
consumption = "0mA"
"""
)
EATER = "XU1 vdd 0 out 0 rt 0 EAT\nRT rt 0 100k 0%\n"
"""Two milliamperes, and nothing else on `vdd`."""

HALF = ".model DX D(IS=1e-14)\n"


def board(lines: str, intent: str = "", options: FactOptions | None = None) -> Book:
    """A block that draws 2 mA from `vdd`, fed by the lines."""
    return book(f"{EATER}{HALF}{lines}\n", DRAWS, STILL + intent, options)


def at(of: Book, name: str = "vdd") -> Quantity | None:
    """What a net is at by itself."""
    net = of.board.circuit.net(name)
    assert net is not None
    return rail(of, net)


def ends(of: Book, name: str = "vdd") -> tuple[float, float, float]:
    """Low, nominal and high of what must be known, V."""
    found = at(of, name)
    assert isinstance(found, Dependence), found
    assert found.unit == VOLT
    span = spread(found, "extreme", FactOptions(), "x")
    return span.low, span.middle, span.high


def missing(of: Book, name: str = "vdd") -> Unknown:
    """The Unknown of a net that must be one."""
    found = at(of, name)
    assert isinstance(found, Unknown), found
    return found


@pytest.mark.parametrize(
    ("lines", "volts", "law"),
    [
        ("V1 v1 0 4\nR9 v1 vdd 100 0%", 4 - 0.2, "v1 less the drop through R9"),
        ("V1 v1 0 4\nR9 vdd v1 100 0%", 4 - 0.2, "v1 less the drop through R9"),
        ("V1 v1 0 4\nR8 v1 v2 50 0%\nR9 v2 vdd 100 0%", 4 - 0.3, "v1 less the drop through R8, R9"),
        ("V1 v1 0 4\nL8 v1 v2 1u\nR9 v2 vdd 100 0%", 4 - 0.2, "v1 less the drop through L8, R9"),
        ("V1 v1 0 4\nR9 v1 v2 100 0%\nL8 v2 vdd 1u", 4 - 0.2, "v1 less the drop through R9, L8"),
        ("V1 v1 0 4\nD8 v1 vdd DIODE", 4 - 0.7, "v1 less the drop through D8"),
        ("V1 v1 0 4\nD8 v1 v2 DIODE\nR9 v2 vdd 100 0%", 4 - 0.9, "v1 less the drop through D8, R9"),
        ("V1 v1 0 4\nR9 v1 v2 100 0%\nD8 v2 vdd DIODE", 4 - 0.9, "v1 less the drop through R9, D8"),
        ("V1 v1 0 4\nD7 v1 v2 DIODE\nD8 v2 vdd DIODE", 4 - 1.4, "v1 less the drop through D7, D8"),
        ("V1 v1 0 4\nR9 v1 vdd 100 0%\nR8 vdd vdd 10", 4 - 0.2, "v1 less the drop through R9"),
        ("V1 v1 0 4\nR9 v1 vdd 100 0%\nD7 vdd v1 DIODE", None, "D7"),
    ],
)
def test_what_is_lost_between_a_source_and_a_supply(lines: str, volts: float | None, law: str) -> None:
    """2 mA through each resistance, 0.7 V at each diode (0.6 .. 0.8 V, common practice).

    What a diode that points back to the source carries is not known, and named.
    """
    of = board(lines)
    if volts is None:
        assert missing(of).missing == ("D7 current",)
        return
    found = at(of)
    assert isinstance(found, Dependence)
    assert found.nominal == pytest.approx(volts)
    assert found.text == law


def test_a_resistor_carries_what_all_that_it_feeds_draws() -> None:
    """Two blocks of 2 mA on either side of a bead, or one behind the other: every milliampere counts once."""
    other = "XU2 v2 0 o2 0 r2 0 EAT\nRU2 r2 0 100k 0%\n"
    for feed in ("R9 v1 vdd 10 0%\nL8 vdd v2 1u", "R9 v1 v2 10 0%\nL8 vdd v2 1u"):
        of = board(f"{other}V1 v1 0 4\n{feed}")
        assert ends(of) == pytest.approx((3.96, 3.96, 3.96)), feed
        assert ends(of, "v2") == pytest.approx((3.96, 3.96, 3.96)), feed
    # Behind a diode that feeds the second from the first: R9 carries both, the diode only its own.
    of = board(f"{other}V1 v1 0 4\nR9 v1 v2 10 0%\nD8 v2 vdd DIODE")
    assert ends(of)[1] == pytest.approx(4 - 0.04 - 0.7)


def test_each_of_two_resistors_in_a_row_carries_its_own() -> None:
    """R8 of 10 ohm carries 2 + 5 mA, R9 of 100 ohm 2 mA: 4 - 0.07 - 0.2 V; 5 mA are stated on `v2`."""
    of = board("V1 v1 0 4\nR8 v1 v2 10 0%\nR9 v2 vdd 100 0%", "load v2 5mA")
    assert ends(of) == pytest.approx((3.73, 3.73, 3.73))


@pytest.mark.parametrize(
    ("lines", "intent", "low", "high"),
    [
        ("", "", 2e-3, 2e-3),
        ("", "load vdd 3mA", 5e-3, 5e-3),
        ("", "load vdd 1mA .. 3mA", 3e-3, 5e-3),
        ("R8 vdd 0 1k 0%", "", 6e-3, 6e-3),
        ("R8 vdd far 1k 0%", "", 2e-3, 6e-3),
        ("R8 vdd 0 1k 0%\nR7 vdd 0 4k 0%", "", 7e-3, 7e-3),
        ("D8 0 vdd DX", "", 2e-3, 2e-3),
        ("C8 vdd 0 1u", "", 2e-3, 2e-3),
        ("XU2 vdd 0 o2 0 r2 0 NIL\nRU2 r2 0 100k", "", 2e-3, 2e-3),
        ("XU2 vdd 0 o2 0 r2 0 PL1\nRU2 r2 0 100k", "", 2e-3, 3e-3),
        ("XU2 vdd 0 o2 0 r2 0 PL1\nRU2 r2 0 100k", "load vdd 3mA", 5e-3, 5e-3),
        ("XU2 vdd 0 o2 0 r2 0 PL1H\nRU2 r2 0 100k", "", 3.8e-3, 4.2e-3),
        ("X9 vdd 0 MYSTERY", "", 2e-3, 2e-3),
    ],
)
def test_what_a_fed_net_draws(lines: str, intent: str, low: float, high: float) -> None:
    """By part file, statement, or assumed 0 .. 1 mA; a resistor to ground its current at 4 V, another any."""
    of = board(f"V1 v1 0 4\nR9 v1 vdd 10 0%\n{lines}", intent)
    found = ends(of)
    assert found == pytest.approx((4 - 10 * high, 4 - 10 * (low + high) / 2, 4 - 10 * low))


def test_the_load_s_own_words() -> None:
    """The statement, the part file and the assumption are told with their places."""
    of = board("V1 v1 0 4\nR9 v1 vdd 10 0%\nXU2 vdd 0 o2 0 r2 0 PL1\nXU3 vdd 0 o3 0 r3 0 PL1H", "")
    found = at(of)
    assert isinstance(found, Dependence)
    told = {each.label: (each.value, each.origin) for each in found.inputs}
    assert told["XU1 consumption"] == ("2 mA", "part file")
    assert told["XU2 consumption"] == ("0 mA .. 1 mA", "default")
    assert told["XU3 consumption"] == ("1.8 mA .. 2.2 mA (nominal 2 mA)", "part file")
    assert found.assumptions == ("PL1 consumption 0 mA .. 1 mA assumed",)
    stated = at(board("V1 v1 0 4\nR9 v1 vdd 10 0%", "load vdd 3mA"))
    assert isinstance(stated, Dependence)
    (line,) = (each for each in stated.inputs if each.label == "load vdd")
    assert (line.value, line.origin) == ("3 mA", "statement")
    assert line.place is not None


def test_a_load_that_is_not_known_matters_behind_a_resistance_alone() -> None:
    """A diode away from the net: no number behind 10 ohm; behind a bead or a diode it is the source's."""
    assert missing(board("V1 v1 0 4\nR9 v1 vdd 10\nD8 vdd 0 DX")).missing == ("D8 current",)
    assert ends(board("V1 v1 0 4\nL9 v1 vdd 1u\nD8 vdd 0 DX"))[1] == 4
    assert ends(board("V1 v1 0 4\nD9 v1 vdd DIODE\nD8 vdd 0 DX"))[1] == pytest.approx(3.3)


@pytest.mark.parametrize(
    ("lines", "volts"),
    [
        ("V1 va 0 4\nV2 vb 0 5\nD1 va vdd DIODE\nD2 vb vdd DIODE", 4.3),
        ("V1 va 0 5\nV2 vb 0 4\nD1 va vdd DIODE\nD2 vb vdd DIODE", 4.3),
        ("V1 va 0 4\nD1 va vdd DIODE\nD2 +5V vdd DIODE", 4.3),
        ("V1 va 0 4\nD2 +5V vdd DIODE\nD1 va vdd DIODE", 4.3),
        ("V1 va 0 4\nV2 vb 0 5\nD1 va vdd DIODE\nR2 vb v2 50 0%\nD2 v2 vdd DIODE", 4.2),
        ("V1 va 0 4\nV2 vb 0 5\nL1 va vdd 1u\nD2 vb vdd DIODE", 4.0),
        ("V1 va 0 4\nV2 vb 0 5\nD2 vb vdd DIODE\nL1 va vdd 1u", 4.0),
        ("V1 va 0 4\nV2 vb 0 5\nR2 vb vdd 10\nR1 va vdd 0", 4.0),
    ],
)
def test_of_several_feeds_a_joint_wins_else_the_highest_diode(lines: str, volts: float) -> None:
    """In whatever order they are drawn; a rail known by its name alone counts as well."""
    assert ends(board(lines))[1] == pytest.approx(volts)


@pytest.mark.parametrize(
    ("lines", "tops"),
    [
        ("V1 va 0 4\nV2 vb 0 5\nR1 va vdd 10\nR2 vb vdd 10", "va, vb"),
        ("V1 vb 0 4\nV2 va 0 5\nR1 vb vdd 10\nR2 va vdd 10", "va, vb"),
        ("V1 va 0 4\nV2 vb 0 5\nR1 va vdd 10\nD2 vb vdd DIODE", "va, vb"),
        ("V1 va 0 4\nV2 vb 0 5\nD2 vb vdd DIODE\nR1 va vdd 10", "va, vb"),
    ],
)
def test_what_several_resistors_feed_is_not_told(lines: str, tops: str) -> None:
    """How they share the load is not worked out: unknown, both named."""
    found = missing(board(lines))
    assert found.because == f"vdd is fed from several nets at once ({tops})"
    assert found.missing == ("voltage of vdd",)


@pytest.mark.parametrize(
    "lines",
    [
        "",
        "R9 far vdd 10",
        "D9 vdd v1 DIODE\nV1 v1 0 4",
        "R9 0 vdd 10",
        "V1 v1 0 0\nR9 v1 vdd 10",
        "V1 v1 0 4\nR9 v1 vdd 1001",
        "V1 v1 0 4\nC9 v1 vdd 1u",
        "R7 vdd a 10\nR8 a b 10\nR9 b vdd 10",
        "V1 v1 0 4\nR9 v1 vdd 10",
    ],
)
def test_what_feeds_nothing(lines: str) -> None:
    """Nothing, a loop, ground, a source of 0 V, a diode the wrong way, more than 1 kohm, a capacitor."""
    of = board(lines, "fit R9 no" if lines.endswith("vdd 10") and "v1 0 4" in lines else "")
    assert missing(of).because == "nothing says what vdd is at"
    assert missing(of).missing == ("voltage of vdd",)


def test_a_net_that_feeds_nothing_has_no_voltage_of_its_own() -> None:
    """Neither its name nor a resistor to a rail makes one of it; a supply pin behind a filter does."""
    of = board("V1 vdd 0 4\nR8 +9V 0 1k\nR9 +9V x 1k")
    assert at(of, "+9V") is None
    assert ends(board("L9 +9V vdd 1u"), "+9V") == pytest.approx((8.55, 9, 9.45))
    assert ends(board("L9 +9V vdd 1u", options=FactOptions(inferred=0.1)), "+9V") == pytest.approx(
        (8.1, 9, 9.9)
    )
    assert ends(board("D9 +9V vdd DX"), "+9V")[1] == 9
    assert at(board("D9 vdd +9V DX"), "+9V") is None
    assert ends(board("R8 +9V m 10\nR9 m vdd 10"), "+9V")[1] == 9
    assert at(board("V1 m 0 4\nR8 +9V m 10\nR9 m vdd 10"), "+9V") is None


def test_a_joint_makes_a_rail_of_a_ground_pin_s_net_alone() -> None:
    """Beside the supply a bead leads to a net like any other; a ground pin's net is at its ground."""
    assert at(board("V1 vdd 0 4\nL8 vdd x 1u"), "x") is None
    lifted = "XU2 vdd 0 o2 g r2 0 EAT\nRU2 r2 g 100k\nV1 vdd 0 4\nL8 g 0 1u"
    assert ends(board(lifted), "g") == (0, 0, 0)


def test_a_negative_name_is_wide_the_right_way_round() -> None:
    """-5V: -5.25 V to -4.75 V, an assumption that is never sampled."""
    found = at(board("L9 -5V vdd 1u"), "-5V")
    assert isinstance(found, Dependence)
    span = spread(found, "rss", FactOptions(), "x")
    assert (span.low, span.middle, span.high) == pytest.approx((-5.25, -5, -4.75))
    assert found.assumptions == ("-5V is at -5 V by its name",)
    assert [(each.label, each.origin) for each in found.inputs] == [("-5V", "inferred from its name")]
    assert [(each.name, each.bias) for each in found.causes] == [("net -5V", True)]


@pytest.mark.parametrize(
    ("lines", "intent", "volts"),
    [
        ("L9 3V3 vdd 1u", "", 3.3),
        ("L9 3V3 vdd 1u", "not supply 3V3", None),
        ("L9 3V3 vdd 1u\nXU2 0 0 3V3 0 r2 0 PL1\nR8 r2 0 100k", "", None),
        ("L9 3V3 vdd 1u\nV1 v1 0 5\nR8 v1 3V3 10k\nR7 3V3 0 20k", "", None),
        ("L9 3V3 vdd 1u\nV1 v1 0 5\nR8 v1 3V3 10k", "", 3.3),
        ("L9 3V3 vdd 1u\nR8 far 3V3 10k\nR7 3V3 0 20k", "", 3.3),
        ("L9 3V3 vdd 1u\nR7 3V3 0 20k", "", 3.3),
        (
            "L9 3V3 vdd 1u\nV1 v1 0 5\nR8 v1 3V3 10k\nR7 0 3V3 20k\nC1 3V3 0 1u\nC2 3V3 0 1u\nC3 3V3 0 1u",
            "",
            None,
        ),
        (
            "L9 3V3 vdd 1u\nV1 v1 0 5\nR8 v1 3V3 10k\nR7 0 3V3 20k\n"
            "C1 3V3 0 1u\nC2 3V3 0 1u\nC3 3V3 0 1u\nC4 3V3 0 1u",
            "",
            3.3,
        ),
    ],
)
def test_when_a_name_is_believed(lines: str, intent: str, volts: float | None) -> None:
    """Not against a statement, an output on the net, or a divider whose middle it is, of at most six pins."""
    found = at(board(lines, intent), "3V3")
    if volts is None:
        assert found is None or isinstance(found, Unknown)
    else:
        assert isinstance(found, Dependence)
        assert found.nominal == pytest.approx(volts)


def names(nets: object) -> list[str]:
    """The names of nets."""
    assert isinstance(nets, tuple)
    return [net.name for net in nets]


@pytest.mark.parametrize(
    ("lines", "joined"),
    [
        ("R5 a x 10", ["a"]),
        ("R5 a b 0", ["a", "b"]),
        ("R5 b a 0", ["a", "b"]),
        ("L5 a b 1u\nR6 b c 0\nR7 c d 10", ["a", "b", "c"]),
        ("L5 a b 1u\nR6 b a 0", ["a", "b"]),
        ("L5 a b 1u\nL6 a c 1u\nL7 c d 1u", ["a", "b", "c", "d"]),
        ("V1 b 0 4\nL5 a b 1u\nL6 b c 1u", ["a", "b"]),
        ("V1 a 0 4\nL5 a b 1u", ["a"]),
        ("D5 a b DX", ["a"]),
        ("C5 a b 1u", ["a"]),
        ("V5 a b 0", ["a", "b"]),
        ("V5 a b 1", ["a"]),
    ],
)
def test_the_nets_that_are_one(lines: str, joined: list[str]) -> None:
    """Through beads, links and sources of 0 V; a held net ends it."""
    of = board(lines)
    net = of.board.circuit.net("a")
    assert net is not None
    assert sorted(names(joined_nets(of, net))) == joined


@pytest.mark.parametrize(
    ("lines", "volts"),
    [
        ("R5 a b 0", None),
        ("V1 a 0 4", 4.0),
        ("V1 b 0 4\nR5 a b 0", 4.0),
        ("V1 c 0 4\nR5 a b 0\nL6 b c 1u", 4.0),
        ("V1 c 0 4\nR5 a b 0\nR6 b c 10", None),
        ("V1 c 0 4\nR4 a x 0\nR5 a b 0\nL6 b c 1u", 4.0),
        ("L5 a b 1u\nL6 b a 1u", None),
        ("L5 a 0 1u", 0.0),
    ],
)
def test_the_voltage_of_a_net_that_is_joined_to_a_held_one(lines: str, volts: float | None) -> None:
    """Without resistance, over any number of joints, loops included."""
    of = board(lines)
    net = of.board.circuit.net("a")
    assert net is not None
    found = joined_voltage(of, net)
    assert (found.nominal if isinstance(found, Dependence) else found) == volts


@pytest.mark.parametrize(
    ("lines", "intent", "name"),
    [
        ("R5 a b 10", "", "a"),
        ("L5 a 0 1u", "", "0"),
        ("V1 b 0 4\nL5 a b 1u", "", "b"),
        ("V1 a 0 4\nL5 a b 1u", "", "a"),
        ("V1 c 0 4\nL5 a b 1u\nL6 b c 1u", "", "c"),
        ("V1 c 0 4\nL4 a x 1u\nL5 a b 1u\nL6 b c 1u", "", "c"),
        ("V1 b 0 4\nV2 a b 0", "", "b"),
        ("V1 b 0 4\nV2 a b 1", "", "a"),
        ("V1 a 0 0", "", "0"),
        ("L5 a 0 1u\nL6 a b 1u", "", "0"),
        ("L5 a b 1u\nL6 b a 1u", "", "a"),
        ("L5 a 0 1u", "signal a 0V", "a"),
        ("V1 b 0 4\nL5 a b 1u", "supply a 4V", "a"),
        ("R5 a b 10", "supply b 4V", "a"),
    ],
)
def test_one_name_for_a_net_and_what_holds_it(lines: str, intent: str, name: str) -> None:
    """The net at the end of the joints; a statement makes a net its own."""
    of = board(lines, intent)
    net = of.board.circuit.net("a")
    assert net is not None
    assert anchor(of, net) == name


@pytest.mark.parametrize(
    ("lines", "names"),
    [
        ("V1 vdd 0 4", {"vdd"}),
        ("V1 v1 0 4\nR9 v1 vdd 10", {"vdd", "v1"}),
        ("V1 v1 0 4\nR8 v1 v2 10\nR9 v2 vdd 10", {"vdd", "v2", "v1"}),
        ("V1 v1 0 4\nL9 v1 vdd 1u", {"v1"}),
        ("V1 v1 0 4\nD9 v1 vdd DX", {"vdd"}),
        ("V1 v1 0 4\nD8 v1 v2 DX\nR9 v2 vdd 10", {"vdd"}),
        ("V1 v1 0 4\nR9 v1 vdd 10\nV2 w1 0 5\nD9 w1 vdd DX", {"vdd", "v1"}),
        ("V1 v1 0 4\nR9 v1 vdd 10\nV2 w1 0 5\nR8 w1 vdd 10", {"vdd", "v1", "w1"}),
        ("V1 vdd 0 4\nR9 vdd v2 10\nV2 v2 0 5", {"vdd"}),
        ("R9 +5V vdd 10", {"vdd", "+5V"}),
    ],
)
def test_what_stands_before_a_filter_is_as_good_as_the_supply(lines: str, names: set[str]) -> None:
    """Through joints and resistors, never through a diode; a held net stands for itself."""
    of = board(lines)
    net = of.board.circuit.net("vdd")
    assert net is not None
    assert before_filters(of, net) == names
