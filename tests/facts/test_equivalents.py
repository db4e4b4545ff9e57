"""What a network amounts to at a net: Thevenin's and Millman's theorems, any circuit-theory text, by hand."""

import math

import numpy as np
import pytest

from drc.facts.book import Book
from drc.facts.dependence import Dependence, States, spread
from drc.facts.equivalent import Equivalent, equivalent
from drc.facts.model import Unknown
from drc.facts.options import FactOptions
from drc.facts.region import region, thevenin
from drc.quantity.unit import OHM, VOLT
from tests.facts.strap_boards import PLAIN
from tests.facts.timing_boards import book

STILL = "ambient 25degC .. 25degC\nassume R* tempco 0ppm\n"
SQUARE = "V5 sq 0 PULSE(0 2 0 1n 1n 1m 2m)\n"


def board(lines: str, intent: str = "") -> Book:
    """The lines beside sources of 4 V and 1 V."""
    return book(f"V1 vdd 0 4\nV2 low 0 1\n.model DX D(IS=1e-14)\n{lines}\n", PLAIN, STILL + intent)


def of_net(of: Book, name: str = "a") -> Equivalent | Unknown:
    """The equivalent at a net."""
    net = of.board.circuit.net(name)
    assert net is not None
    return thevenin(of, net)


def known(of: Book) -> Equivalent:
    """An equivalent that must be known."""
    found = of_net(of)
    assert isinstance(found, Equivalent), found
    return found


@pytest.mark.parametrize(
    ("lines", "volts", "ohm"),
    [
        ("R1 vdd a 3k 0%", 4, 3e3),
        ("R1 a vdd 3k 0%", 4, 3e3),
        ("R1 vdd a 3k 0%\nR2 a 0 1k 0%", 1, 750),
        ("R1 vdd a 3k 0%\nR2 0 a 1k 0%\nR3 low a 1.5k 0%", 1, 500),
        ("R1 vdd a 3k 0%\nR2 a vdd 1k 0%", 4, 750),
        ("R1 vdd b 2k 0%\nR2 b 0 2k 0%\nR3 b a 1k 0%", 2, 2e3),
        ("R1 vdd b 2k 0%\nR2 b 0 2k 0%\nR3 b a 1k 0%\nR4 a 0 2k 0%", 1, 1e3),
        ("R1 vdd a 0\nR2 a 0 1k 0%", 4, 0),
        ("R1 vdd b 0\nR2 a b 1k 0%", 4, 1e3),
        ("R1 vdd b 3k 0%\nR2 b 0 1k 0%\nL3 a b 1u", 1, 750),
        ("R1 vdd b 1k 0%\nV3 a b 1.5\nR2 a 0 1k 0%", 2.75, 500),
        ("V3 a vdd 1.5", 5.5, 0),
        ("R1 vdd a 1k 0%\nI3 0 a 1m\nR2 a 0 1k 0%", 2.5, 500),
        ("R1 vdd a 1k 0%\nI3 a 0 1m\nR2 a 0 1k 0%", 1.5, 500),
        ("R1 vdd a 1k 0%\nI3 a 0 1m\nI4 a 0 1m\nR2 a 0 1k 0%", 1, 500),
        ("R1 vdd b 1k 0%\nI3 b 0 1m\nR2 b a 1k 0%", 3, 2e3),
        ("R1 vdd b 1k 0%\nI3 b 0 1m\nI4 0 a 1m\nR2 b a 1k 0%\nR3 a 0 2k 0%", 2.5, 1e3),
        ("V9 a 0 2.5", 2.5, 0),
        ("V9 a 0 2.5\nR1 vdd a 1k 0%", 2.5, 0),
        ("R1 vdd a 1k 0%\nD1 low a DX", 4, 1e3),
    ],
)
def test_one_source_behind_one_resistance(lines: str, volts: float, ohm: float) -> None:
    """Stars, ladders, joints, batteries, current sources, held nets and diodes that do not conduct.

    By hand: each arm's conductance weighs its voltage; a current adds itself times the resistance.
    """
    found = known(board(lines))
    assert isinstance(found.voltage, Dependence)
    assert isinstance(found.resistance, Dependence)
    assert found.voltage.nominal == pytest.approx(volts)
    assert found.resistance.nominal == pytest.approx(ohm)
    assert (found.voltage.unit, found.resistance.unit) == (VOLT, OHM)
    assert found.voltage.text == "open-circuit voltage at a"
    assert found.resistance.text == "source resistance at a"


def test_a_divider_s_ends_by_its_tolerances() -> None:
    """3k and 1k of 1 %: 4 * 0.99 / (3.03 + 0.99) to 4 * 1.01 / (2.97 + 1.01) V; 742.5 to 757.5 ohm."""
    found = known(board("R1 vdd a 3k 1%\nR2 a 0 1k 1%"))
    assert isinstance(found.voltage, Dependence)
    assert isinstance(found.resistance, Dependence)
    volts = spread(found.voltage, "extreme", FactOptions(), "x")
    ohms = spread(found.resistance, "extreme", FactOptions(), "x")
    assert (volts.low, volts.high) == pytest.approx((4 * 0.99 / 4.02, 4 * 1.01 / 3.98))
    assert (ohms.low, ohms.high) == pytest.approx((742.5, 757.5))


def test_a_conducting_diode_takes_part_with_its_drop_and_slope() -> None:
    """A usual 0.7 V and 1 ohm from 4 V: behind 1 kohm to ground and 1 ohm, 3.3 * 1000 / 1001 V."""
    found = known(board("D1 vdd a DIODE\nR1 a 0 1k 0%"))
    assert isinstance(found.voltage, Dependence)
    assert isinstance(found.resistance, Dependence)
    volts = spread(found.voltage, "extreme", FactOptions(), "x")
    assert (volts.low, volts.middle, volts.high) == pytest.approx(
        (3.2 / 1.001, 3.3 / 1.001, 3.4 / 1.001), rel=1e-9
    )
    assert found.resistance.nominal == pytest.approx(1000 / 1001)
    assert (found.elements, set(found.rails)) == (("R1", "D1"), {"0", "vdd"})


@pytest.mark.parametrize(
    ("lines", "side"),
    [
        ("D1 vdd a DIODE", 4 - 0.7),
        ("D1 a 0 DIODE", 0.7),
        ("D1 a vdd DIODE\nI1 0 a 1m", 4 + 0.7 + 0.001),
        ("D1 0 a DIODE\nI1 a 0 1m", -0.7 - 0.001),
        ("V9 neg 0 -2\nD1 a neg DIODE", -2 + 0.7),
    ],
)
def test_a_diode_holds_a_net_from_inside_the_rails(lines: str, side: float) -> None:
    """From a rail above or to one below it settles a drop away; a clamp does so where a current pushes."""
    found = known(board(lines))
    assert isinstance(found.voltage, Dependence)
    assert found.voltage.nominal == pytest.approx(side)


def test_a_pin_that_holds_its_net_holds_it_beside_a_clamp() -> None:
    """The rate pin's own 0.5 V, with a diode to the supply that does not conduct."""
    of = board("XU1 vdd c1 o1 0 a vdd PL1\nD1 a vdd DX")
    found = known(of)
    assert isinstance(found.voltage, Dependence)
    assert found.voltage.nominal == pytest.approx(0.5)


def test_which_elements_and_rails_take_part() -> None:
    """Every one that the walk meets, and the nets that end it."""
    found = known(board("R1 vdd b 2k 0%\nR2 b 0 2k 0%\nR3 b a 1k 0%\nC1 a 0 1n\nR9 low vdd 1k"))
    assert found.elements == ("R3", "R1", "R2")
    assert found.rails == ("vdd", "0")


@pytest.mark.parametrize(
    "lines",
    [
        "C1 a 0 1n",
        "R1 a b 1k",
        "D1 a vdd DX\nD2 0 a DX",
        "D1 a vdd DX",
        "D1 0 a DX",
        "D1 a vdd DX\nI1 0 a 0",
        "V9 neg 0 -2\nD1 neg a DX",
        SQUARE + "D1 sq a DX\nD2 a vdd DX",
    ],
)
def test_nothing_sets_a_voltage(lines: str) -> None:
    """No way to a held net, or none that conducts in any state: an open end, and the net is named."""
    found = known(board(lines))
    assert found.voltage == Unknown("nothing sets the voltage of a", ("voltage of a",))
    assert isinstance(found.resistance, Dependence)
    assert math.isinf(found.resistance.nominal)
    assert (found.resistance.unit, found.resistance.text) == (OHM, "open")


def test_each_state_of_a_source_has_its_equivalent() -> None:
    """0 V and 2 V against 4 V over equal resistors: 2 V and 3 V behind 500 ohm."""
    found = known(board(SQUARE + "R1 sq a 1k 0%\nR2 vdd a 1k 0%"))
    assert isinstance(found.voltage, States)
    assert [at for at, _ in found.voltage.states] == [(("sq", "0 V"),), (("sq", "2 V"),)]
    assert [each.nominal for _, each in found.voltage.states] == pytest.approx([2, 3])
    assert isinstance(found.resistance, States)
    assert [each.nominal for _, each in found.resistance.states] == pytest.approx([500, 500])


BLOCKS = "XU1 vdd c1 o1 0 {} vdd PL1\nXU2 vdd {} o2 0 r2 vdd PL1\nRU2 r2 0 100k\n"


@pytest.mark.parametrize(("strap", "spread_v"), [("rt", 0.01), ("a", 0.01 + 20e-9 * 1e6)])
def test_a_leakage_counts_where_it_flows(strap: str, spread_v: float) -> None:
    """20 nA on a pin that holds 0.5 V +/- 2 % do nothing; behind 1 Mohm from there they make 20 mV."""
    found = known(board(BLOCKS.format("rt", strap) + "R5 a rt 1meg 0%\n"))
    assert isinstance(found.voltage, Dependence)
    volts = spread(found.voltage, "extreme", FactOptions(), "x")
    assert (volts.low, volts.middle, volts.high) == pytest.approx((0.5 - spread_v, 0.5, 0.5 + spread_v))


@pytest.mark.parametrize(
    ("lines", "missing"),
    [
        ("R1 vdd a {NOPE}", ("R1 value",)),
        ("R1 vdd a 1k\nX9 a 0 MYSTERY", ("X9",)),
        ("R1 vdd a {NOPE}\nX9 a 0 MYSTERY", ("X9", "R1 value")),
        ("R1 vdd a 1k\nV9 b 0 {NOPE}\nR2 a b 1k", ("V9 value",)),
    ],
)
def test_everything_that_blocks_is_named(lines: str, missing: tuple[str, ...]) -> None:
    """Unknown parts, values and sources, all at once."""
    found = of_net(board(lines))
    assert isinstance(found, Unknown)
    assert found.missing == missing


def test_a_network_of_too_many_parts_is_unknown() -> None:
    """The parallel resistance of 250 resistors, R / 250; of 251 only that they are too many."""
    lines = [f"R{n} a 0 250k" for n in range(250)]
    ohm = known(board("\n".join(lines))).resistance
    assert isinstance(ohm, Dependence)
    assert ohm.nominal == pytest.approx(1000)
    blocked = of_net(board("\n".join([*lines, "R999 a 0 1k"])))
    because = "more than 250 resistors and diodes hang together on a"
    assert blocked == Unknown(because, ("network on a",))


def test_the_same_network_asked_again_gives_the_same() -> None:
    """In any order, over other draws: what was kept of the last question never answers another."""
    of = board("R1 vdd a 3k 1%\nR2 a 0 1k 1%")
    net = of.board.circuit.net("a")
    assert net is not None
    found = equivalent(region(of, net), "a")
    assert isinstance(found, Equivalent)
    assert isinstance(found.voltage, Dependence)
    assert isinstance(found.resistance, Dependence)
    first, second = np.array([[3e3, 1e3]]), np.array([[1e3, 1e3]])
    for rows, volts, ohms in ((first, 1, 750), (second, 2, 500), (first, 1, 750)):
        assert found.resistance.law(rows) == pytest.approx([ohms])
        assert found.voltage.law(rows) == pytest.approx([volts])
