"""Leads with all that they carry: ohms, evidence, which of two pins; and rails of very many pins.

SPICE's order of nodes and signs, any manual: D anode cathode, Q collector base emitter, M drain gate source.
"""

import pytest

from drc.facts.book import Book
from drc.facts.dependence import Dependence
from drc.facts.lead import Diode, Driving, Lead, Light, Obstacle, OwnPin, Resistive
from drc.facts.leads import leads, ways
from drc.quantity.unit import AMPERE, OHM, VOLT
from tests.facts.strap_boards import PLAIN
from tests.facts.timing_boards import book

MODELS = (
    ".model DX D(IS=1e-14)\n.model DZ D(IS=1e-14 BV=5.1)\n.model DN D(IS=1e-14 BV=0)\n.model RM R\n"
    ".model NS NPN(IS=1e-14)\n.model PS PNP(IS=1e-14)\n.model MN NMOS(VTO=1)\n"
)


def board(lines: str, intent: str = "") -> Book:
    """The lines beside a block."""
    return book(f"{MODELS}V1 vdd 0 4\nXU1 vdd cfg out 0 rt vdd PL1\n{lines}\n", PLAIN, intent)


def on(of: Book, name: str = "a") -> tuple[Lead, ...]:
    """The leads of a net."""
    net = of.board.circuit.net(name)
    assert net is not None
    return leads(of, net)


def lone(lines: str, intent: str = "") -> Lead:
    """The only lead on `a`."""
    (found,) = on(board(lines, intent))
    return found


@pytest.mark.parametrize(
    ("line", "ohm", "emf", "evidence"),
    [
        ("R5 a b 1k tol=1%", 1000, 0, ("R5", "1 kohm", "line")),
        ("L5 a b 1u", 0, 0, ("L5", "0 ohm at DC", "line")),
        ("F5 a b 1A", 0, 0, ("F5", "0 ohm at DC", "line")),
        ("F5 a b", 0, 0, ("F5", "0 ohm at DC", "line")),
        ("L5 a b {NOPE}", 0, 0, ("L5", "0 ohm at DC", "line")),
        ("L5 a b", 0, 0, ("L5", "0 ohm at DC", "line")),
        ("V5 a b 2", 0, 2, ("V5", "2 V", "line")),
        ("V5 b a 2", 0, -2, ("V5", "2 V", "line")),
        ("V5 a b 0", 0, 0, ("V5", "0 V", "line")),
    ],
)
def test_what_joins_two_nets(line: str, ohm: float, emf: float, evidence: tuple[str, str, str]) -> None:
    """Its resistance, its voltage from here to there, its path, and where it is written."""
    found = lone(line)
    assert isinstance(found, Resistive)
    assert isinstance(found.ohm, Dependence)
    assert (found.ohm.nominal, found.ohm.unit, found.emf_v) == (ohm, OHM, emf)
    assert (found.label, found.path, found.other.name) == (line[:2], line[:2], "b")
    told = found.ohm.inputs[0]
    assert (told.label, told.value, told.origin) == evidence
    assert told.place is not None
    assert found.joins is (ohm == 0 and emf == 0)


@pytest.mark.parametrize(
    ("line", "ampere"), [("I5 a b 1m", -1e-3), ("I5 b a 1m", 1e-3), ("I5 b a -1m", -1e-3)]
)
def test_a_current_source_takes_from_its_first_net(line: str, ampere: float) -> None:
    """And puts into its second; evidence is the line as written."""
    found = lone(line)
    assert isinstance(found, Driving)
    assert (found.ampere.nominal, found.ampere.unit, found.label) == (ampere, AMPERE, "I5")
    told = found.ampere.inputs[0]
    assert (told.label, told.origin) == ("I5", "line")
    assert told.value == ("-1 mA" if "-1m" in line else "1 mA")


@pytest.mark.parametrize(
    ("lines", "label", "words"),
    [
        ("V5 a b PULSE(0 1 0 1n 1n 1m 2m)", "V5", "does not stand still"),
        ("V5 a b {NOPE}", "V5", "does not stand still"),
        ("I5 a b PULSE(0 1 0 1n 1n 1m 2m)", "I5", "does not stand still"),
        ("I5 a b {NOPE}", "I5", "does not stand still"),
        ("F5 a b VSENSE 2", "F5", "may be a fuse or a controlled source"),
        ("X9 a MYSTERY", "X9", "X9 (MYSTERY) is not a part whose currents are known"),
        ("X9 a b RIDDLE", "X9", "X9 (RIDDLE) is not a part whose currents are known"),
        ("Q5 a b e NS", "Q5", "is not a part whose currents are known"),
        ("Q5 c b a NS", "Q5", "is not a part whose currents are known"),
        ("Q5 c a e UNKNOWN", "Q5", "is not a part whose currents are known"),
        ("J5 a b c NS", "J5", "is not a part whose currents are known"),
    ],
)
def test_what_may_carry_any_current_is_an_obstacle(lines: str, label: str, words: str) -> None:
    """Named, and why."""
    found = lone(lines)
    assert isinstance(found, Obstacle)
    assert found.label == label
    assert words in found.because


@pytest.mark.parametrize(
    "line",
    [
        "J5 a PLUG",
        "P5 a b PLUG",
        "TP5 a PAD",
        "XJ5 a b PLUG",
        "CN_3 a PLUG",
        "XCONN12 a PLUG",
        "XFID1 a MARK",
        "XMP1 a HOLE",
    ],
)
def test_connectors_and_marks_are_nothing(line: str) -> None:
    """By the names that drawings use (common practice)."""
    assert on(board(line)) == ()


def test_a_pin_called_nc_is_nothing_and_its_neighbours_are_obstacles() -> None:
    """By the header of the part's own subcircuit, in any case."""
    for name in ("NC", "nc", "N/C", "DNC"):
        of = board(f".subckt ODD IN {name} OUT\n.ends\nX9 a b c ODD")
        here = of.board.circuit.element("X9")
        assert here is not None
        assert here.header is not None
        assert on(of, "b") == ()
        assert [type(lead) for lead in (*on(of), *on(of, "c"))] == [Obstacle, Obstacle]


def test_diodes_and_junctions_by_their_pins() -> None:
    """Anode and cathode, base and emitter; of a PNP the emitter is the anode."""
    for line, label, ends in (
        ("D5 a b DX", "D5", ("a", "b")),
        ("D5 b a DX", "D5", ("b", "a")),
        ("Q5 c a e NS", "Q5 base", ("a", "e")),
        ("Q5 c a e PS", "Q5 base", ("e", "a")),
        ("D5 a b DN", "D5", ("a", "b")),
        ("D5 a b ANY", "D5", ("a", "b")),
    ):
        found = lone(line)
        assert isinstance(found, Diode)
        assert (found.label, found.anode.name, found.cathode.name) == (label, *ends)
        assert found.forward_of is not None
        assert found.forward_of.path == line[:2]
        assert 0.5 < found.drop.nominal < 0.8
        assert 0.5 < found.slope_ohm < 6


def test_a_breakdown_stands_the_other_way_round() -> None:
    """5.1 V by its model, 1 ohm beyond, and no forward direction of any element."""
    _, back = on(board("D5 b a DZ"))
    assert isinstance(back, Diode)
    assert (back.label, back.anode.name, back.cathode.name) == ("D5 breakdown", "a", "b")
    assert (back.drop.nominal, back.drop.unit, back.drop.text) == (5.1, VOLT, "D5 breakdown")
    assert (back.forward_of, back.slope_ohm) == (None, 1.0)
    (told,) = back.drop.inputs
    assert (told.label, told.value, told.origin) == ("D5 breakdown", "5.1 V", "model DZ")
    assert told.place is not None


def test_a_gate_leaks_nothing() -> None:
    """Picoamperes (common practice, no source)."""
    assert lone("M5 d a s MN") == Light("M5 gate", 0.0)


def test_an_element_with_both_ends_on_a_net_is_nothing() -> None:
    """Whatever it is; of a part with two pins on the net each lead counts once."""
    for line in ("R5 a a 1k", "L5 a a 1u", "D5 a a DX", "V5 a a 1"):
        assert on(board(line)) == (), line
    twice = on(board("XU2 vdd a o2 0 r2 a PL1"))
    assert [lead.label for lead in twice] == ["XU2 strap", "XU2 enable"]
    assert all(isinstance(lead, OwnPin) for lead in twice)
    assert [lead.label for lead in on(board("X9 a a b MYSTERY"))] == ["X9"]


def test_joints_by_statement_come_after_the_pins() -> None:
    """Evidence is the statement with its place; several nets join one by one."""
    found = on(board("R5 a 0 1k\nR6 b 0 1k\nR7 c 0 1k", "same a b c"))
    assert [lead.label for lead in found] == ["R5", "same a b", "same a c"]
    joint = found[1]
    assert isinstance(joint, Resistive)
    assert isinstance(joint.ohm, Dependence)
    assert joint.joins
    (told,) = joint.ohm.inputs
    assert (told.label, told.value, told.origin) == ("same a b", "0 ohm", "statement")
    assert told.place is not None


def crowd(count: int, more: str) -> list[str]:
    """What a net of so many resistors to far nets, and the lines, is fed by."""
    lines = "".join(f"R{1000 + k} a n{k} 10\n" for k in range(count))
    of = board(lines + more)
    net = of.board.circuit.net("a")
    assert net is not None
    return [way.label for way in ways(of, net)]


def test_a_rail_of_very_many_pins_is_asked_for_its_joints_alone() -> None:
    """Beyond 1000 pins the resistors that do not end on ground are passed over; joints count."""
    more = "R5 a 0 0\nR6 0 a 10\nL7 a b 1u\nD8 c a DX\nV9 a d 0\nR10 a 0 1001\n"
    joints = ["R5", "R6", "L7", "D8", "V9"]
    assert crowd(995, more) == joints
    few = crowd(994, more)
    assert few[-5:] == joints
    assert len(few) == 994 + 5


def test_ground_itself_is_asked_for_its_beads_alone_where_it_is_crowded() -> None:
    """Every resistor on it ends on ground: none of very many is read."""
    lines = "".join(f"R{1000 + k} 0 n{k} 10\n" for k in range(1000))
    of = board(f"{lines}L7 0 b 1u\nR5 0 c 0\n")
    ground = of.board.circuit.net("0")
    assert ground is not None
    assert [way.label for way in ways(of, ground)] == ["L7"]
    few = board("R5 0 c 0\nL7 0 b 1u\n")
    ground = few.board.circuit.net("0")
    assert ground is not None
    assert [way.label for way in ways(few, ground)] == ["R5", "L7"]


@pytest.mark.parametrize(
    ("lines", "intent", "labels"),
    [
        ("R5 a b 1000", "", ["R5"]),
        ("R5 a b 1000.1", "", []),
        ("R5 a b 5k", "assume R5 value 0ohm .. 2kohm", ["R5"]),
        ("R5 a b 5", "assume R5 value 0ohm .. 3kohm", []),
        ("R5 a b 5 tol=200%", "", []),
        ("R5 a b 10", "fit R5 no", []),
        ("V5 a b 2", "", []),
        ("D5 a b DZ", "", ["D5"]),
        ("R7 d 0 1k\nR5 a b 10\nL6 a c 1u", "same a d\n", ["same a d", "R5", "L6"]),
        ("F5 a b VSENSE 2", "", []),
        ("E5 a b c d 2", "", []),
    ],
)
def test_what_may_feed_another_net(lines: str, intent: str, labels: list[str]) -> None:
    """Joints first, then what has a known resistance of at most 1 kohm, or conducts forward."""
    of = board(lines, intent)
    net = of.board.circuit.net("a")
    assert net is not None
    assert [way.label for way in ways(of, net)] == labels
