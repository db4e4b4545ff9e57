"""The network around a net: what the walk takes in, where it ends, and what it leaves out when asked."""

import pytest

from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.dependence import Dependence, States, constant
from drc.facts.model import Unknown
from drc.facts.region import Link, capacitance, node_voltage, region, thevenin
from drc.facts.walk import Region
from drc.quantity.unit import OHM, VOLT
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book

MODELS = ".model DX D(IS=1e-14 bv=30)\n.model NS NPN(IS=1e-14)\n.model MN NMOS\n"
PULLED = PLAIN.replace('active = "high" }', 'active = "high", leakage = "5nA", pull = "up 100kohm" }')
SECOND = "R4 r2 0 100k\nXU2 vdd 0 o2 0 r2 {} PL1\n"


def board(lines: str, intent: str = "", parts: str = PLAIN) -> Book:
    """The centred board and more."""
    return book(f"{CENTRED}{MODELS}{lines}\n", parts, intent)


def net(of: Book, name: str) -> Net:
    """A net that is there."""
    found = of.board.circuit.net(name)
    assert found is not None
    return found


def branches(found: Region) -> list[tuple[str, str, str]]:
    """Label and ends of each branch."""
    return [(branch.label, branch.a, branch.b) for branch, _ in found.branches]


def injected(found: Region) -> list[tuple[str, float, float]]:
    """Node, least and most of each current."""
    ends = []
    for node, current in found.injections:
        cause = current.causes[0] if current.causes else None
        ends.append((node, cause.low if cause else current.nominal, cause.high if cause else current.nominal))
    return ends


def test_the_walk_ends_at_held_nets_and_passes_every_other() -> None:
    """From the tap over a filter to a second divider, in the order met; each rail once."""
    of = board("R8 cfg a 1k\nR9 a b 2k\nR7 b 0 3k\nR6 b vdd 4k\nR5 vdd far 1k\nC9 a 0 1n")
    found = region(of, net(of, "cfg"))
    assert branches(found) == [
        ("R1", "cfg", "vdd"),
        ("R2", "cfg", "0"),
        ("R8", "cfg", "a"),
        ("R9", "a", "b"),
        ("R7", "b", "0"),
        ("R6", "b", "vdd"),
    ]
    assert found.nets == ("cfg", "a", "b")
    assert found.rails == ("vdd", "0")
    assert {name: volt.nominal for name, volt in found.stiff.items() if isinstance(volt, Dependence)} == {
        "vdd": 4.0,
        "0": 0.0,
    }
    assert found.obstacles == ()
    assert region(of, net(of, "vdd")).nets == ()


def test_a_resistor_between_two_nets_inside_is_one_branch() -> None:
    """Met from either end, it counts once; the same of a diode."""
    of = board("R8 cfg a 1k\nR9 a cfg 2k\nD9 a cfg DX")
    found = region(of, net(of, "cfg"))
    assert [label for label, _, _ in branches(found)].count("R9") == 1
    assert [(j.label, j.anode, j.cathode) for j, _ in found.junctions] == [
        ("D9", "a", "cfg"),
        ("D9 breakdown", "cfg", "a"),
    ]
    assert list(found.diodes) == ["D9"]
    assert found.diodes["D9"].path == "D9"
    assert found.nets == ("cfg", "a")


def test_the_walk_goes_on_behind_a_diode_from_either_side() -> None:
    """From the anode to the cathode and back."""
    of = board("D9 cfg a DX\nR9 a 0 1k\nD8 b cfg DX\nR8 b vdd 1k")
    found = region(of, net(of, "cfg"))
    assert found.nets == ("cfg", "a", "b")
    assert {label for label, _, _ in branches(found)} == {"R1", "R2", "R8", "R9"}


def test_a_battery_in_the_way_keeps_its_sign() -> None:
    """V(net) - V(other) as the source stands."""
    of = board("V9 cfg a 1\nV8 b cfg 2\nR9 a 0 1k\nR8 b 0 1k")
    found = region(of, net(of, "cfg"))
    emfs = {branch.label: branch.emf_v for branch, _ in found.branches if branch.emf_v}
    assert emfs == {"V9": 1.0, "V8": -2.0}


def test_inputs_leak_either_way_and_what_is_not_given_is_assumed_none() -> None:
    """Two straps of 20 nA, an enable whose part file is silent, a current source of 1 uA out of the net."""
    of = board(SECOND.format("cfg").replace("vdd 0 o2", "vdd cfg o2") + "I9 cfg 0 1u")
    found = region(of, net(of, "cfg"))
    assert injected(found) == [
        ("cfg", -20e-9, 20e-9),
        ("cfg", -20e-9, 20e-9),
        ("cfg", 0.0, 0.0),
        ("cfg", -1e-6, -1e-6),
    ]
    notes = [current.assumptions for _, current in found.injections]
    assert notes == [(), (), ("XU2 enable leakage assumed to be none",), ()]
    first = found.injections[0][1]
    assert [(i.label, i.value, i.origin) for i in first.inputs] == [
        ("XU1 strap leakage", "+/- 20 nA", "part file")
    ]
    assert [(c.name, c.nominal, c.bias) for c in first.causes] == [("XU1 strap leakage", 0.0, False)]


def test_a_leakage_of_nothing_is_no_current_at_all() -> None:
    """A gate's is none that counts; 0 A given is given, and no assumption."""
    of = board("M9 x cfg 0 MN", parts=PLAIN.replace('"20nA"', '"0A"'))
    assert region(of, net(of, "cfg")).injections == ()


def test_a_pull_in_the_part_is_a_resistor_to_its_own_rail() -> None:
    """100 kohm from the enable pin to the block's supply, which the walk reaches."""
    of = board("R9 en 0 100k tol=0%\n" + SECOND.format("en"), parts=PULLED)
    found = region(of, net(of, "en"))
    assert branches(found) == [("R9", "en", "0"), ("XU2 enable pull", "en", "vdd")]
    assert found.rails == ("0", "vdd")
    assert injected(found) == [("en", -5e-9, 5e-9)]
    volts = node_voltage(of, net(of, "en"))
    assert isinstance(volts, Dependence)
    assert volts.nominal == pytest.approx(2.0)


def test_an_output_is_its_levels_behind_its_resistance() -> None:
    """4 V or 0 V behind 25 ohm, by name of the pin."""
    of = board("R9 out 0 75 tol=0%")
    found = region(of, net(of, "out"))
    assert branches(found) == [("XU1 output", "XU1 output (driven)", "out"), ("R9", "out", "0")]
    assert found.rails == ("XU1 output", "0")
    volts = node_voltage(of, net(of, "out"))
    assert isinstance(volts, States)
    assert {dict(when)["XU1"]: state.nominal for when, state in volts.states} == pytest.approx(
        {"high": 3.0, "low": 0.0}
    )


def test_a_rate_pin_holds_its_net_from_inside() -> None:
    """Its voltage stands at the net itself, under the pin's name."""
    of = board("")
    found = region(of, net(of, "rt"))
    assert found.rails == ("XU1 rate", "0")
    held = found.stiff["rt"]
    assert isinstance(held, Dependence)
    assert held.nominal == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("lines", "start", "without", "labels"),
    [
        ("", "cfg", {"R1"}, {"R2"}),
        ("D9 cfg vdd DX", "cfg", {"D9"}, {"R1", "R2"}),
        ("D9 cfg vdd DX", "cfg", set(), {"R1", "R2", "D9", "D9 breakdown"}),
        ("L9 cfg a 1u\nR9 a 0 1k", "cfg", {"L9"}, {"R1", "R2"}),
        ("V9 cfg a 1\nR9 a 0 1k", "cfg", {"V9"}, {"R1", "R2"}),
        ("R9 out cfg 1k", "cfg", {"XU1 output"}, {"R1", "R2", "R9"}),
        ("R9 out cfg 1k", "cfg", {"XU1"}, {"R1", "R2", "R9"}),
        ("R9 out cfg 1k", "cfg", set(), {"R1", "R2", "R9", "XU1 output"}),
    ],
)
def test_what_is_left_out_when_asked(lines: str, start: str, without: set[str], labels: set[str]) -> None:
    """An element by its path, with both of a diode's directions; one pin of a block, or all of them."""
    of = board(lines)
    found = region(of, net(of, start), without=frozenset(without))
    assert {label for label, _, _ in branches(found)} | {j.label for j, _ in found.junctions} == labels


@pytest.mark.parametrize(
    ("lines", "without", "currents", "obstacles"),
    [
        ("I9 0 cfg 1u", set(), 2, []),
        ("I9 0 cfg 1u", {"I9"}, 1, []),
        ("I9 0 cfg 1u", {"XU1 strap"}, 1, []),
        ("I9 0 cfg 1u", {"XU1 strap", "I9"}, 0, []),
        ("X9 cfg OTHER", set(), 1, [("X9",)]),
        ("X9 cfg OTHER", {"X9"}, 1, []),
        ("XU2 cfg 0 o2 0 r2 vdd PL1", set(), 0, [("voltage of cfg",)]),
    ],
)
def test_currents_and_obstacles_are_left_out_by_name(
    lines: str, without: set[str], currents: int, obstacles: list[tuple[str, ...]]
) -> None:
    """A current source, a leakage, a part whose currents nobody knows."""
    of = board(lines)
    found = region(of, net(of, "cfg"), without=frozenset(without))
    assert len(found.injections) == currents
    assert [each.missing for each in found.obstacles] == obstacles


def test_a_net_that_should_be_known_and_is_not_ends_the_walk() -> None:
    """Behind R9 a supply pin hangs on a net that nobody speaks of: what lies beyond is not looked at."""
    of = board("R9 cfg aux 10k\nR8 aux far 10k\nR4 r2 0 1k\nXU2 aux 0 o2 0 r2 aux PL1")
    found = region(of, net(of, "cfg"))
    assert [each.missing for each in found.obstacles] == [("voltage of aux",)]
    assert "far" not in found.nets
    assert "aux" not in found.nets
    assert thevenin(of, net(of, "cfg")) == found.obstacles[0]
    assert node_voltage(of, net(of, "cfg")) == found.obstacles[0]


def test_a_pin_of_unknown_current_is_an_obstacle_by_its_name() -> None:
    """The discharge pin of a timer that nobody asked about, a ground pin that floats."""
    timer = (
        '[part.TD1]\ntitle = "t"\nsource = "this test"\nfunction = "rc-timer"\n'
        'pins = ["supply", "output", "discharge", "threshold", "trigger", "ground"]\n'
    )
    of = board("XU2 vdd o2 cfg t t 0 TD1", parts=PLAIN + timer)
    assert [each.missing for each in region(of, net(of, "cfg")).obstacles] == [("XU2 discharge",)]
    assert region(of, net(of, "cfg"), without=frozenset({"XU2 discharge"})).obstacles == ()
    assert region(of, net(of, "cfg"), without=frozenset({"XU2"})).obstacles == ()


def test_a_net_held_while_it_is_asked() -> None:
    """At 1 V the tap's own network does not matter; a net further away does: 22k, 10k and 1k to 2 V."""
    of = board("R9 cfg a 1k tol=0%\nR8 a 0 1k")
    one, two = constant(1.0, VOLT), constant(2.0, VOLT)
    at = node_voltage(of, net(of, "cfg"), {"cfg": one})
    assert isinstance(at, Dependence)
    assert at.nominal == 1.0
    volts = node_voltage(of, net(of, "cfg"), {"a": two})
    assert isinstance(volts, Dependence)
    assert volts.nominal == pytest.approx((4 / 22e3 + 2 / 1e3) / (1 / 22e3 + 1 / 10e3 + 1 / 1e3))
    assert region(of, net(of, "cfg"), {"a": two}).rails == ("vdd", "0", "a")
    found = thevenin(of, net(of, "cfg"), {"a": two})
    assert not isinstance(found, Unknown)
    assert isinstance(found.resistance, Dependence)
    assert found.resistance.nominal == pytest.approx(1 / (1 / 22e3 + 1 / 10e3 + 1 / 1e3))
    assert found.rails == ("vdd", "0", "a")


@pytest.mark.parametrize("turned", [False, True])
def test_a_link_is_a_resistor_more(turned: bool) -> None:
    """2 kohm from the tap to a net that nothing else reaches, whichever end comes first."""
    of = board("R9 far vdd 3k tol=0%")
    ends = (net(of, "cfg"), net(of, "far"))
    link = Link("a way", *(ends[::-1] if turned else ends), constant(2e3, OHM))
    found = region(of, ends[0], links=(link,))
    assert ("a way", ends[turned].name, ends[not turned].name) in branches(found)
    assert found.nets == ("cfg", "far")
    volts = node_voltage(of, ends[0], links=(link,))
    assert isinstance(volts, Dependence)
    assert volts.nominal == pytest.approx((4 / 22e3 + 4 / 5e3) / (1 / 22e3 + 1 / 10e3 + 1 / 5e3))
    around = thevenin(of, ends[0], links=(link,))
    assert not isinstance(around, Unknown)
    assert isinstance(around.resistance, Dependence)
    assert around.resistance.nominal == pytest.approx(1 / (1 / 22e3 + 1 / 10e3 + 1 / 5e3))
    away = region(of, net(of, "rt"), links=(link,))
    assert "far" not in away.nets


def test_a_line_that_is_lost_is_an_obstacle_to_each_net_it_names() -> None:
    """By its place."""
    of = board("R9 cfg")
    assert len(region(of, net(of, "cfg")).obstacles) == 1
    assert region(of, net(of, "rt")).obstacles == ()


@pytest.mark.parametrize(
    ("lines", "farad"),
    [
        ("", 0.0),
        ("C9 cfg 0 1n", 1e-9),
        ("C9 0 cfg 1n\nC8 cfg vdd 2n", 3e-9),
        ("C9 cfg cfg 1n\nC8 cfg 0 2n", 2e-9),
        ("R9 cfg a 0\nC9 cfg a 1n\nC8 a 0 2n", 2e-9),
        ("R9 cfg a 1\nC9 a 0 1n\nC8 cfg 0 2n", 2e-9),
        ("R9 cfg a 1\nC9 a cfg 1n", 1e-9),
        ("C9 cfg 0 1n\nC8 cfg 0 2n\n*@ fit C9 no", 2e-9),
        ("L9 cfg 0 1u\nC8 cfg 0 2n", 0.0),
    ],
)
def test_the_capacitance_on_a_net(lines: str, farad: float) -> None:
    """From the net and what it is joined to, to others; ends on one net hold no charge."""
    of = board(lines)
    found = capacitance(of, net(of, "cfg"))
    assert isinstance(found, Dependence)
    assert found.nominal == pytest.approx(farad, abs=1e-18)
    assert found.text == ("sum of the capacitors" if farad else "no capacitor")


def test_the_capacitance_on_a_net_is_unknown_where_one_capacitor_is() -> None:
    """Its value is named."""
    of = board("C9 cfg 0 1n\nC8 cfg 0 ?")
    found = capacitance(of, net(of, "cfg"))
    assert isinstance(found, Unknown)
    assert found.missing == ("C8 value",)
