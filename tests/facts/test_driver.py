"""The current that a source drives into a network: Ohm's law, and the diode equation where one is met.

The diode's current is sought here by halving an interval, on the equation of any circuit-theory text:
I = Is (exp(V / N Vt) - 1), Vt = kT/q = 25.865 mV at 27 degC, which simulators take as nominal.
"""

import math

import pytest

from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, States, constant, spread
from drc.facts.driver import Driver, driver_current, with_loads
from drc.facts.model import Unknown
from drc.facts.options import FactOptions
from drc.facts.region import region
from drc.quantity.unit import AMPERE, OHM, VOLT
from tests.facts.strap_boards import PLAIN
from tests.facts.timing_boards import book

STILL = "ambient 25degC .. 25degC\n"
MODELS = ".model DX D(IS=1e-14)\n.model DZ D(IS=1e-14 BV=2)\n"


def board(lines: str, intent: str = "") -> Book:
    """The lines beside a supply of 4 V, and no block."""
    return book(f"V1 vdd 0 4\n{MODELS}{lines}\n", PLAIN, STILL + intent)


def current(of: Book, level: float = 3.0, ohm: float = 50.0, sign: float = 1.0) -> Quantity:
    """What a source drives into the net `out`."""
    net = of.board.circuit.net("out")
    assert net is not None
    around = with_loads(of, region(of, net), sign)
    return driver_current(of, around, "out", Driver("drv", constant(level, VOLT), constant(ohm, OHM)))


def amperes(found: Quantity) -> float:
    """The nominal of what must be known."""
    assert isinstance(found, Dependence), found
    return found.nominal


def through_diode(volts: float, ohm: float) -> float:
    """The current of a source behind a resistance into a diode of 1e-14 A, by halving."""
    low, high = 0.0, volts / ohm
    for _ in range(200):
        middle = (low + high) / 2
        if volts - middle * ohm > 0.025865 * math.log1p(middle / 1e-14):
            low = middle
        else:
            high = middle
    return low


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("R5 out 0 950 0%", 3e-3),
        ("R5 out 0 1950 0%\nR6 out 0 1950 0%", 3 / (50 + 975)),
        ("R5 out vdd 950 0%", -1e-3),
        ("R5 out m 450 0%\nR6 m 0 500 0%", 3e-3),
        ("I5 out 0 2m\nR5 out 0 950 0%", (2e-3 + 3 / 950) / (1 + 50 / 950)),
        ("C5 out 0 1n\nR5 out 0 950 0%", 3e-3),
    ],
)
def test_ohm_s_law_gives_the_current_out_of_the_source(lines: str, expected: float) -> None:
    """3 V behind 50 ohm; negative where the load pushes back (4 V against 3 V over 1 kohm).

    Where a source takes 2 mA beside a resistor, I = 2 mA + V / 950 ohm, and V = 3 V - 50 ohm I.
    """
    found = current(board(lines))
    assert isinstance(found, Dependence)
    assert found.unit == AMPERE
    assert found.text == "current out of the driver"
    assert found.nominal == pytest.approx(expected, rel=1e-9)


def test_a_stated_load_draws_from_a_high_output_and_feeds_a_low_one() -> None:
    """5 mA out of 3 V behind 50 ohm is 5 mA; into 0 V it is -5 mA, wherever on the net's network it hangs."""
    of = board("R5 out m 1 0%", "load m 5mA")
    assert amperes(current(of, 3.0, 50.0, 1.0)) == pytest.approx(5e-3)
    assert amperes(current(of, 0.0, 50.0, -1.0)) == pytest.approx(-5e-3)


def test_loads_add_to_what_else_is_put_into_the_nets() -> None:
    """A current source of 2 mA out of `out`, loads of 5 mA and 1 mA: 8 mA through the source alone."""
    of = board("I5 out 0 2m\nR5 out m 1 0%", "load m 5mA\nload out 1mA")
    net = of.board.circuit.net("out")
    assert net is not None
    before = region(of, net)
    after = with_loads(of, before, 1.0)
    assert after.injections[: len(before.injections)] == before.injections
    assert [(at, each.nominal, each.unit) for at, each in after.injections[1:]] == [
        ("out", -1e-3, AMPERE),
        ("m", -5e-3, AMPERE),
    ]
    assert amperes(current(of)) == pytest.approx(8e-3)
    bare = board("R5 out m 1 0%")
    net = bare.board.circuit.net("out")
    assert net is not None
    assert with_loads(bare, region(bare, net), 1.0) == region(bare, net)


def test_a_load_s_span_is_circumstance_and_is_not_sampled() -> None:
    """4 mA to 6 mA is set to its ends by root-sum-square as by extreme value, and the statement is told."""
    found = current(board("R5 out m 1 0%", "load m 4mA .. 6mA"))
    assert isinstance(found, Dependence)
    assert [(cause.name, cause.bias) for cause in found.causes] == [("load m", True)]
    for method in ("extreme", "rss"):
        span = spread(found, method, FactOptions(), "x")
        assert (span.low, span.middle, span.high) == pytest.approx((4e-3, 5e-3, 6e-3)), method
    (told,) = (each for each in found.inputs if each.label == "load m")
    assert (told.value, told.origin) == ("4 mA .. 6 mA", "statement")
    assert told.place is not None
    assert told.place.line == 2


@pytest.mark.parametrize("ohm", [100.0, 1e3, 10e3, 1e5, 1e6])
def test_a_diode_s_drop_is_that_at_the_current_that_flows(ohm: float) -> None:
    """3 V behind 50 ohm and a resistor into a diode, from 23 mA to 2.5 uA, as the diode equation has it."""
    found = current(board(f"R5 out a {ohm} 0%\nD5 a 0 DX"))
    assert amperes(found) == pytest.approx(through_diode(3.0, ohm + 50), rel=1e-5)


def test_a_junction_that_carries_next_to_nothing_is_taken_at_a_microampere() -> None:
    """Through 100 Mohm: the straight piece that touches the curve at 1 uA, by hand."""
    slope = 0.025865 / (1e-6 + 1e-14)
    drop = 0.025865 * math.log1p(1e-6 / 1e-14) - slope * 1e-6
    found = current(board("R5 out a 100meg 0%\nD5 a 0 DX"))
    assert amperes(found) == pytest.approx((3 - drop) / (100e6 + 50 + slope), rel=1e-6)


def test_a_load_beside_a_diode_keeps_its_own_place() -> None:
    """The diode carries what it carries without the load, which adds its 5 mA; so does a second diode."""
    lone = through_diode(3.0, 1000)
    of = board("R5 out a 1k 0%\nD5 a 0 DX\nR6 out b 1k 0%\nD6 b 0 DX", "load out 5mA")
    assert amperes(current(of, 3.0, 1e-3)) == pytest.approx(2 * lone + 5e-3, rel=1e-4)
    uneven = board("R5 out a 1k 0%\nD5 a 0 DX\nR6 out b 100k 0%\nD6 b 0 DX", "load out 5mA")
    expected = lone + through_diode(3.0, 100e3) + 5e-3
    assert amperes(current(uneven, 3.0, 1e-3)) == pytest.approx(expected, rel=1e-4)


def test_a_breakdown_stays_where_its_model_puts_it() -> None:
    """BV = 2 V and 1 ohm beyond it: 3 V behind 50 ohm drives 1 V over 51 ohm against the diode."""
    assert amperes(current(board("D5 0 out DZ"))) == pytest.approx(1 / 51, rel=1e-9)
    assert amperes(current(board("D5 0 out DZ"), 1.5)) == pytest.approx(0, abs=1e-12)


def test_a_breakdown_beside_a_diode_does_not_hide_it() -> None:
    """A diode of 0.7 V across the zener of 2 V: it takes what there is, as if it were alone."""
    found = current(board("D5 0 out DZ\nD6 out 0 DX"))
    assert amperes(found) == pytest.approx(through_diode(3.0, 50), rel=1e-5)


def test_a_diode_that_stands_the_other_way_carries_nothing() -> None:
    """From ground towards the output, and from the output towards a higher rail."""
    assert amperes(current(board("D5 0 out DX\nD6 out vdd DX"))) == pytest.approx(0, abs=1e-12)
    pushed = through_diode(4.0 - 3.0, 50.0)
    assert amperes(current(board("D5 vdd out DX"))) == pytest.approx(-pushed, rel=1e-5)


def test_an_led_known_by_its_name_keeps_its_usual_drop() -> None:
    """Red: 1.8 V to 2.2 V (charts) and 1 ohm: 3 V behind 49 ohm drives 24 mA down to 16 mA."""
    found = current(board("D5 out 0 LED_RED"), 3.0, 49.0)
    assert isinstance(found, Dependence)
    span = spread(found, "extreme", FactOptions(), "x")
    assert (span.low, span.middle, span.high) == pytest.approx((0.8 / 50, 1 / 50, 1.2 / 50))


@pytest.mark.parametrize(
    ("lines", "missing"),
    [
        ("X9 out 0 MYSTERY", ("X9",)),
        ("R5 out 0 {NOPE}", ("R5 value",)),
        ("R5 out 0 {NOPE}\nX9 out 0 MYSTERY", ("X9", "R5 value")),
        ("R5 out a 1k\nV5 a 0 {NOPE}", ("V5 value",)),
    ],
)
def test_what_blocks_the_solution_is_named(lines: str, missing: tuple[str, ...]) -> None:
    """A part that nobody knows, a value that is not given, a source without a voltage."""
    found = current(board(lines))
    assert isinstance(found, Unknown)
    assert found.missing == missing


def test_each_state_of_a_source_has_its_current() -> None:
    """A pulse source of 0 V and 2 V behind 950 ohm: 3 mA and 1 mA."""
    found = current(board("R5 out a 950 0%\nV5 a 0 PULSE(0 2 0 1n 1n 1m 2m)"))
    assert isinstance(found, States)
    assert [(conditions, round(each.nominal, 12)) for conditions, each in found.states] == [
        ((("a", "0 V"),), 3e-3),
        ((("a", "2 V"),), 1e-3),
    ]
