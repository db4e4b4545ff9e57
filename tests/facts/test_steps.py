"""What hands a level from net to net, element by element: the transistor and gate tables of any textbook.

A common-emitter or common-source stage turns the level round, a follower does not; NOT, NAND and NOR turn
round, a buffer, AND and OR do not, XOR does either by its other input.
"""

import pytest

from drc.facts.book import Book
from drc.facts.conduction import hops, is_held
from tests.facts.chain_boards import chained, parts

MORE = """
[part.TWL]
title = "low-side switch"
source = "this test"
function = "transistor-switch"
pins = ["input", "output", "ground"]
switch = { side = "low", inverts = true, resistance = "50mohm" }

[part.TRG]
title = "regulator"
source = "this test"
function = "regulator"
pins = ["supply", "ground", "output", "enable"]
regulator = { output = "2.5V +/- 1%" }
"""
LOGIC = {"buffer": False, "and": False, "or": False, "inverter": True, "nand": True, "nor": True, "xor": None}
GATE = """
[part.TG{0}]
title = "gate"
source = "this test"
function = "gate"
pins = ["input", "output", "supply", "ground"]
supply = {{ rated = "2V .. 6V" }}
gate = {{ logic = "{0}" }}
"""


def board(lines: str, intent: str = "") -> Book:
    """A book with all those parts at hand."""
    more = MORE + "".join(GATE.format(logic) for logic in LOGIC)
    return chained(f".model DX D(IS=1e-14)\n{lines}\n", intent, parts() + more)


def steps(of: Book, name: str = "a") -> list[tuple[object, ...]]:
    """Net, element, sense, whether DC is blocked; kind, output and goal of a stage."""
    net = of.board.circuit.net(name)
    assert net is not None
    return [
        (hop.net.name, hop.through, hop.inverts, hop.blocks_dc)
        + (
            (
                hop.stage.path,
                hop.stage.kind,
                hop.stage.output.name,
                hop.stage.toward and hop.stage.toward.name,
            )
            if hop.stage
            else ()
        )
        for hop in hops(of, net)
    ]


@pytest.mark.parametrize("line", ["R5 a b 1k", "R5 b a 1k", "L5 a b 1u", "D5 a b DX", "D5 b a DX"])
def test_two_pins_hand_a_level_on_as_it_is(line: str) -> None:
    """Resistor, inductor and diode, whichever way round."""
    assert steps(board(line)) == [("b", line.split(maxsplit=1)[0], False, False)]


def test_a_capacitor_hands_on_edges_alone() -> None:
    """It blocks the direct voltage."""
    assert steps(board("C5 b a 1n")) == [("b", "C5", False, True)]


@pytest.mark.parametrize(
    "line", ["R5 a vdd 1k", "R5 a 0 1k", "C5 a 0 1n", "R5 a a 1k", "D5 0 a DX", "V5 a b 1"]
)
def test_nothing_is_handed_to_a_net_that_stands_still(line: str) -> None:
    """A rail and ground do not follow; nor is a source or a loop of one net a way."""
    assert steps(board(line)) == []


def test_what_is_not_fitted_hands_nothing_on() -> None:
    """Neither a resistor nor a transistor."""
    assert steps(board("R5 a b 1k\nR6 a c 1k\nQ7 d a 0 NS", "fit R5 no\nfit Q7 no")) == [
        ("c", "R6", False, False)
    ]


def test_a_statement_joins() -> None:
    """`same a b` is a step, but not to a rail."""
    assert steps(board("R5 a 0 1k\nR6 b 0 1k", "same a b")) == [("b", "same a b", False, False)]
    assert steps(board("R5 a 0 1k", "same a vdd")) == []


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("Q5 c a 0 NS", ("c", True, "transistor", "0")),
        ("M5 c a 0 MN", ("c", True, "transistor", "0")),
        ("M5 c a 0 0 MN", ("c", True, "transistor", "0")),
        ("M5 c a vdd MP", ("c", True, "transistor", "vdd")),
        ("Q5 vdd a e NS", ("e", False, "follower", "vdd")),
        ("Q5 0 a e PS", ("e", False, "follower", "0")),
        ("Q5 c a e NS\nR6 e 0 100", ("c", True, "transistor", "e")),
        ("Q5 c a e NS\nR6 0 e 100", ("c", True, "transistor", "e")),
        ("Q5 c a e NS\nR6 e f 100", None),
        ("Q5 c a e NS\nC6 e 0 1n", None),
        ("Q5 c a e NS", None),
        ("Q5 a b 0 NS", None),
        ("Q5 c b a NS", None),
        ("Q5 vdd a 0 NS", None),
    ],
)
def test_a_transistor_answers_its_base(lines: str, expected: tuple[object, ...] | None) -> None:
    """Turned round at the collector where the emitter stands, as it is at the emitter of a follower."""
    element = lines.split(maxsplit=1)[0]
    found = [step for step in steps(board(lines)) if step[1] == element]
    if expected is None:
        assert found == []
        return
    net, inverts, kind, toward = expected
    assert found == [(net, element, inverts, False, element, kind, net, toward)]


@pytest.mark.parametrize(("logic", "inverts"), LOGIC.items())
def test_a_gate_turns_round_as_its_table_says(logic: str, inverts: bool | None) -> None:
    """From its input to its output, driven anew from its supply."""
    of = board(f"X5 a y vdd 0 TG{logic}")
    assert steps(of) == [("y", "X5", inverts, False, "X5", "gate", "y", "vdd")]
    assert steps(of, "y") == []


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("X5 vdd a y 0 TW1", (False, "switch", "vdd")),
        ("X5 a in y 0 TW1", (False, "switch", "a")),
        ("X5 vdd in a 0 TW1", None),
        ("X5 a y 0 TWL", (True, "switch", "0")),
        ("X5 in a 0 TWL", None),
        ("X5 a 0 y vdd TRG", (False, "regulator", "a")),
        ("X5 vdd 0 y a TRG", (False, "regulator", "vdd")),
    ],
)
def test_a_switch_or_regulator_hands_on_toward_its_rail(
    line: str, expected: tuple[object, ...] | None
) -> None:
    """A high-side switch pulls its output to its supply, a low-side one to its ground."""
    if expected is None:
        assert steps(board(line)) == []
        return
    inverts, kind, toward = expected
    assert steps(board(line)) == [("y", "X5", inverts, False, "X5", kind, "y", toward)]


@pytest.mark.parametrize(
    ("lines", "intent", "held"),
    [
        ("R5 a b 1k", "", False),
        ("V5 a 0 1", "", True),
        ("R5 a vdd 0", "", True),
        ("R5 a vdd 1k", "", False),
        ("R5 a b 1k", "supply a 3V", True),
        ("R5 a b 1k", "signal a 0V .. 1V", True),
        ("R5 a b 1k", "same a vdd", True),
        ("X5 vdd 0 a vdd TRG", "", True),
    ],
)
def test_what_stands_still(lines: str, intent: str, held: bool) -> None:
    """A net of a source, a statement, a regulator, or joined to one; a resistor alone holds nothing."""
    of = board(lines, intent)
    net, ground = of.board.circuit.net("a"), of.board.circuit.net("0")
    assert net is not None
    assert ground is not None
    assert is_held(of, net) is held
    assert is_held(of, ground) is True
