"""A MOSFET's channel pin by pin: what drain and source are to a current, by how its gate stands; by hand."""

import pytest

from drc.facts.book import Book
from drc.facts.channel import BODY, BULK, DRAIN, GATE, SOURCE, channel
from drc.facts.dependence import Dependence
from drc.facts.forward import SLOPE_OHM
from drc.facts.lead import Diode, Lead, Obstacle, Resistive
from drc.quantity.unit import VOLT
from tests.facts.strap_boards import PLAIN
from tests.facts.timing_boards import book

MODELS = (
    ".model MN NMOS\n.model MP PMOS\n.model MD NMOS(VTO=-2)\n.model MZ NMOS(VTO=0)\n.model MT NMOS(VTO=1.5)\n"
    ".model PT PMOS(VTO=-1.5)\n.model PD PMOS(VTO=2)\n.model QN NPN\n"
)


def board(lines: str, intent: str = "") -> Book:
    """MOSFETs at 4 V on vdd, 1.2 V on ref, 1.5 V on edge and 1.51 V on over."""
    rails = "V1 vdd 0 4\nV2 ref 0 1.2\nV3 edge 0 1.5\nV4 over 0 1.51\n"
    return book(f"{rails}{MODELS}{lines}\n", PLAIN, intent)


def leads(lines: str, position: int = DRAIN, intent: str = "", path: str = "M1") -> tuple[Lead, ...]:
    """What a pin of M1 is."""
    of = board(lines, intent)
    element = of.board.circuit.element(path)
    assert element is not None
    return channel(of, next(pin for pin in element.nets[position].pins() if pin == (element, position)))


def state(lines: str, intent: str = "") -> str:
    """`off`, `on` or `open` (it may be either)."""
    found = leads(lines, intent=intent)
    if not found:
        return "open"
    (lead,) = found
    return "off" if isinstance(lead, Diode) else "on"


def test_positions_on_the_line() -> None:
    """Drain, gate, source, bulk, as SPICE writes them."""
    assert (DRAIN, GATE, SOURCE, BULK) == (0, 1, 2, 3)


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        # An n-channel: its gate at its source, at 4 V, below it.
        ("M1 d 0 0 0 MN", "off"),
        ("M1 d vdd 0 0 MN", "on"),
        ("M1 d ref vdd vdd MN", "off"),
        # Of three pins it has its bulk on its source.
        ("M1 d 0 0 MN", "off"),
        ("M1 d vdd 0 MN", "on"),
        # A p-channel is the other way round.
        ("M1 d vdd vdd vdd MP", "off"),
        ("M1 d 0 vdd vdd MP", "on"),
        ("M1 d vdd 0 0 MP", "off"),
        ("M1 d vdd ref ref MP", "off"),
        # A threshold of 1.5 V: at 1.2 V and just there it may or may not conduct, above it does.
        ("M1 d ref 0 0 MT", "open"),
        ("M1 d edge 0 0 MT", "open"),
        ("M1 d over 0 0 MT", "on"),
        ("V9 g vdd -1.51\nM1 d g vdd vdd PT", "on"),
        ("V9 g vdd -1.49\nM1 d g vdd vdd PT", "open"),
        # A channel that is there at 0 V is no switch of this kind, either way round.
        ("M1 d 0 0 0 MD", "open"),
        ("M1 d 0 0 0 MZ", "open"),
        ("M1 d vdd vdd vdd PD", "open"),
        # Without a model nobody knows its kind; a bulk elsewhere changes its threshold.
        ("M1 d 0 0 0 NOMODEL", "open"),
        ("M1 d 0 0 0 QN", "open"),
        ("M1 d vdd vdd vdd QN", "open"),
        ("M1 d 0 0 vdd MN", "open"),
        ("M1 d vdd s s MN", "open"),
        # A gate or a source that nothing holds; a gate on a moving source.
        ("M1 d g 0 0 MN", "open"),
        ("M1 d 0 s s MN", "open"),
        ("V9 g 0 PULSE(0 4 0 1u 1u 1m 2m)\nM1 d g 0 0 MN", "open"),
        # At its own source the gate turns nothing on, whatever the two are at.
        ("M1 d s s s MN", "open"),
    ],
)
def test_how_a_gate_stands(line: str, expected: str) -> None:
    """By its voltage above the source against 0 V and the threshold."""
    assert state(line) == expected


@pytest.mark.parametrize(
    ("stated", "expected"),
    [
        ("0V .. 0.5V", "open"),
        ("0V .. 0V", "off"),
        ("-1V .. 0V", "off"),
        ("0.1V .. 4V", "on"),
        ("-1V .. 4V", "open"),
    ],
)
def test_a_gate_between_limits_counts_by_its_worst_end(stated: str, expected: str) -> None:
    """Off where it is never above its source, on where it is always above a threshold that no model gives."""
    assert state("M1 d g 0 0 MN", f"supply g {stated}") == expected


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        # Pulled to one net that is held, by one resistor or several.
        ("R1 g 0 100k", "off"),
        ("R1 g vdd 100k", "on"),
        ("R1 0 g 100k\nR2 g 0 10k", "off"),
        # Capacitors, other gates and test points load nothing.
        ("R1 g 0 100k\nC1 g vdd 1n\nC2 d g 1n", "off"),
        ("R1 g 0 100k\nM2 x g vdd vdd MP", "off"),
        ("R1 g 0 100k\nTP1 g PAD", "off"),
        ("R1 g 0 100k\nXTP_1 g PAD", "off"),
        # To two nets, to a net that is not held, or beside what may drive it, it may stand anywhere.
        ("R1 g 0 100k\nR2 g vdd 100k", "open"),
        ("R1 g y 100k", "open"),
        ("R1 g 0 100k\nD1 g vdd DX", "open"),
        ("R1 g 0 100k\nL1 g y 1u", "open"),
        ("R1 g 0 100k\nM2 g x 0 0 MN", "open"),
        ("R1 g 0 100k\nM2 x 0 g g MN", "open"),
        ("R1 g 0 100k\nQ1 x g 0 QN", "open"),
        ("R1 g 0 100k\nJ1 g PLUG", "open"),
        ("R1 g 0 100k\nTPX1 g PAD", "open"),
        ("C1 g 0 1n", "open"),
    ],
)
def test_where_resistors_lead_a_gate(lines: str, expected: str) -> None:
    """A gate takes no current: it has the voltage of the one net that its resistors lead to."""
    assert state(f"M1 d g 0 0 MN\n{lines}") == expected


def test_what_is_not_fitted_drives_no_gate() -> None:
    """Neither a pull-up nor a transistor; a pull-down that is left out leaves it floating."""
    both = "M1 d g 0 0 MN\nR1 g 0 100k\nR2 g vdd 100k"
    assert state(both, "fit R2 no") == "off"
    assert state(both, "fit R1 no") == "on"
    assert state("M1 d g 0 0 MN\nR1 g 0 100k", "fit R1 no") == "open"
    assert state("M1 d g 0 0 MN\nR1 g 0 100k\nQ1 x g 0 QN", "fit Q1 no") == "off"


@pytest.mark.parametrize(
    ("line", "anode", "cathode"),
    [("M1 d 0 0 0 MN", "0", "d"), ("M1 d vdd vdd vdd MP", "d", "vdd")],
)
@pytest.mark.parametrize("position", [DRAIN, SOURCE])
def test_a_channel_that_is_off_is_its_body_diode(line: str, anode: str, cathode: str, position: int) -> None:
    """From source to drain of an n-channel, the other way of a p-channel: 0.4 V to 1 V, leaking nothing."""
    (lead,) = leads(line, position)
    assert isinstance(lead, Diode)
    assert (lead.label, lead.anode.name, lead.cathode.name) == ("M1 body diode", anode, cathode)
    assert (lead.forward_of, lead.slope_ohm) == (None, SLOPE_OHM)
    (cause,) = lead.drop.causes
    assert cause == ("M1 body drop", 0.7, 0.4, 1.0, False)
    assert (BODY[:3], lead.drop.unit) == ((0.4, 0.7, 1.0), VOLT)
    assert lead.drop.assumptions == ("M1 is off and leaks nothing",)
    (told,) = lead.drop.inputs
    assert (told.label, told.value, told.origin) == (
        "M1 body diode",
        "0.4 V .. 1 V (nominal 0.7 V)",
        "common practice",
    )
    assert told.place is not None


@pytest.mark.parametrize(("position", "other"), [(DRAIN, "0"), (SOURCE, "d")])
def test_a_channel_that_is_on_is_what_is_stated_of_it(position: int, other: str) -> None:
    """From either end to the other; without a statement an obstacle that says what to write."""
    (lead,) = leads("M1 d vdd 0 0 MN", position, "assume M1 value 5ohm")
    assert isinstance(lead, Resistive)
    assert (lead.label, lead.path, lead.other.name, lead.emf_v) == ("M1", "M1", other, 0.0)
    assert isinstance(lead.ohm, Dependence)
    assert lead.ohm.nominal == 5
    assert leads("M1 d vdd 0 0 MN", position) == (
        Obstacle("M1", "M1 is on, and nothing states its ohm, as in: assume M1 value 5ohm"),
    )


def test_gates_bulks_and_other_elements_are_no_channel() -> None:
    """A gate takes no current here, and a bipolar transistor is none of this."""
    assert leads("M1 d 0 0 0 MN", GATE) == ()
    assert leads("Q1 d 0 0 QN", DRAIN, path="Q1") == ()
    assert leads("X1 d 0 0 0 MN", DRAIN, path="X1") == ()
