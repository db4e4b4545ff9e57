"""What each element is to a direct current, pin by pin: SPICE's order of nodes and signs, any manual.

R, L: a resistance. V n+ n-: n+ above n-. I n+ n-: the current goes in at n+ and comes out at n-, so that the
source takes it from n+. D: anode, cathode. Q: collector, base, emitter. M: drain, gate, source.
"""

import pytest

from drc.facts.book import Book
from drc.facts.dependence import Dependence
from drc.facts.lead import Diode, Driving, Lead, Light, OwnPin, Resistive
from drc.facts.leads import leads, ways
from tests.facts.strap_boards import PLAIN
from tests.facts.timing_boards import book

MODELS = (
    ".model DX D(IS=1e-14)\n.model DZ D(IS=1e-14 BV=5.1)\n"
    ".model NS NPN(IS=1e-14)\n.model PS PNP(IS=1e-14)\n.model MN NMOS(VTO=1)\n"
)
BLOCK = "V1 vdd 0 4\nXU1 vdd cfg out 0 rt vdd PL1\n"


def board(lines: str, intent: str = "") -> Book:
    """The lines beside a block."""
    return book(f"{MODELS}{BLOCK}{lines}\n", PLAIN, intent)


def value(quantity: object) -> float:
    """The nominal value of what must be known."""
    assert isinstance(quantity, Dependence)
    return quantity.nominal


def shown(lead: Lead) -> tuple[object, ...]:
    """A lead as kind, label and what it is."""
    if isinstance(lead, Resistive):
        return ("ohm", lead.label, lead.other.name, value(lead.ohm), lead.emf_v, lead.joins)
    if isinstance(lead, Diode):
        return ("diode", lead.label, lead.anode.name, lead.cathode.name, lead.forward_of is not None)
    if isinstance(lead, Light):
        return ("light", lead.label, lead.leakage)
    if isinstance(lead, Driving):
        return ("drives", lead.label, value(lead.ampere))
    if isinstance(lead, OwnPin):
        return ("pin", lead.label, lead.block.path, lead.role)
    return ("obstacle", lead.label)


def on(of: Book, name: str = "a") -> list[tuple[object, ...]]:
    """The leads of a net."""
    net = of.board.circuit.net(name)
    assert net is not None
    return [shown(lead) for lead in leads(of, net)]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("R5 a b 1k", [("ohm", "R5", "b", 1000.0, 0.0, False)]),
        ("R5 b a 1k", [("ohm", "R5", "b", 1000.0, 0.0, False)]),
        ("R5 a b 0", [("ohm", "R5", "b", 0.0, 0.0, True)]),
        ("R5 a a 1k", []),
        ("C5 a b 1n", []),
        ("L5 a b 1u", [("ohm", "L5", "b", 0.0, 0.0, True)]),
        ("L5 b a 1u", [("ohm", "L5", "b", 0.0, 0.0, True)]),
        ("F5 a b 1A", [("ohm", "F5", "b", 0.0, 0.0, True)]),
        ("V5 a b 2", [("ohm", "V5", "b", 0.0, 2.0, False)]),
        ("V5 b a 2", [("ohm", "V5", "b", 0.0, -2.0, False)]),
        ("V5 a b 0", [("ohm", "V5", "b", 0.0, 0.0, True)]),
        ("V5 a b PULSE(0 1 0 1n 1n 1m 2m)", [("obstacle", "V5")]),
        ("I5 a b 1m", [("drives", "I5", -1e-3)]),
        ("I5 b a 1m", [("drives", "I5", 1e-3)]),
        ("I5 b a PULSE(0 1 0 1n 1n 1m 2m)", [("obstacle", "I5")]),
        ("D5 a b DX", [("diode", "D5", "a", "b", True)]),
        ("D5 b a DX", [("diode", "D5", "b", "a", True)]),
        ("D5 a b DZ", [("diode", "D5", "a", "b", True), ("diode", "D5 breakdown", "b", "a", False)]),
        ("Q5 c a e NS", [("diode", "Q5 base", "a", "e", True)]),
        ("Q5 c a e PS", [("diode", "Q5 base", "e", "a", True)]),
        ("Q5 a b e NS", [("obstacle", "Q5")]),
        ("Q5 c b a NS", [("obstacle", "Q5")]),
        ("M5 d a s MN", [("light", "M5 gate", 0.0)]),
        ("M5 a g 0 MN", [("obstacle", "M5")]),
        ("M5 a 0 0 MN", [("diode", "M5 body diode", "0", "a", False)]),
        ("J5 a PLUG", []),
        ("TP5 a PAD", []),
        ("XMH5 a HOLE", []),
        ("X9 a b MYSTERY", [("obstacle", "X9")]),
        ("XU2 vdd a o2 0 r2 vdd PL1", [("pin", "XU2 strap", "XU2", "strap")]),
        ("XU2 vdd c2 a 0 r2 vdd PL1", [("pin", "XU2 output", "XU2", "output")]),
        ("XU2 vdd c2 o2 0 a vdd PL1", [("pin", "XU2 rate", "XU2", "rate")]),
    ],
)
def test_what_a_pin_is_to_a_direct_current(line: str, expected: list[tuple[object, ...]]) -> None:
    """Each element alone on the net `a`."""
    assert on(board(line)) == expected


def test_an_element_that_is_not_fitted_is_nothing() -> None:
    """A statement takes it out; what stays beside it keeps its order."""
    of = board("R5 a b 1k\nD6 a b DX\nR7 a b 2k", "fit R5 no")
    assert [lead[1] for lead in on(of)] == ["D6", "R7"]


def test_a_statement_is_a_joint() -> None:
    """`same b a` joins as 0 ohm does, seen from either net."""
    of = board("R5 a 0 1k\nR6 b 0 1k", "same b a")
    assert on(of)[1:] == [("ohm", "same a b", "b", 0.0, 0.0, True)]
    assert on(of, "b")[1:] == [("ohm", "same a b", "a", 0.0, 0.0, True)]


def test_a_zener_breaks_down_at_its_model_s_voltage() -> None:
    """BV = 5.1 V, and the forward drop of a silicon junction: some 0.6 V to 0.7 V at milliamperes."""
    of = board("D5 a b DZ")
    net = of.board.circuit.net("a")
    assert net is not None
    ahead, back = leads(of, net)
    assert isinstance(ahead, Diode)
    assert isinstance(back, Diode)
    assert back.drop.nominal == 5.1
    assert 0.5 < ahead.drop.nominal < 0.8


@pytest.mark.parametrize(
    ("line", "labels"),
    [
        ("R5 a b 1k", ["R5"]),
        ("R5 a b 1001", []),
        ("R5 a b 0", ["R5"]),
        ("R5 a b {UNKNOWN}", []),
        ("L5 a b 1u", ["L5"]),
        ("F5 a b 1A", ["F5"]),
        ("V5 a b 0", ["V5"]),
        ("V5 a b 1", []),
        ("D5 a b DX", ["D5"]),
        ("D5 b a DZ", ["D5"]),
        ("C5 a b 1u", []),
        ("Q5 c a e NS", []),
        ("I5 a b 1m", []),
    ],
)
def test_what_one_net_feeds_another_by(line: str, labels: list[str]) -> None:
    """Joints, small resistors, and diodes in their forward direction."""
    of = board(line)
    net = of.board.circuit.net("a")
    assert net is not None
    assert [way.label for way in ways(of, net)] == labels
