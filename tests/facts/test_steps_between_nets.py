"""Each step that hands a level from net to net, with its sense and what drives anew; case by case."""

import pytest

from drc.facts.book import Book
from drc.facts.conduction import Hop, hops, is_held
from tests.facts.chain_boards import GATES, MODELS, block, chained, parts
from tests.facts.timing_boards import book

MORE = """
[part.TG3]
like = "TG1"
gate = { logic = "buffer" }

[part.TG4]
like = "TG1"
gate = { logic = "and" }

[part.TG5]
like = "TG1"
gate = { logic = "or" }

[part.TG6]
like = "TG1"
gate = { logic = "nand" }

[part.TG7]
like = "TG1"
gate = { logic = "nor" }

[part.TG8]
like = "TG1"
gate = { logic = "xnor" }

[part.TG9]
like = "TG1"
gate = { logic = "and", inverts = true }

[part.TG10]
like = "TG1"
gate = { logic = "nand", inverts = false }

[part.TW2]
like = "TW1"
switch = { side = "high", inverts = true, resistance = "50mohm" }

[part.TW3]
like = "TW1"
switch = { side = "low", inverts = true, resistance = "50mohm" }

[part.TREG]
title = "regulator"
source = "this test"
function = "regulator"
pins = ["supply", "ground", "output", "enable"]
regulator = { output = "3.0V +/- 2%", dropout = "0.5V" }

[part.TREF]
title = "reference"
source = "this test"
function = "reference"
pins = ["supply", "ground", "output"]
regulator = { output = "1.0V +/- 2%", dropout = "0.5V" }
"""


def wired(lines: str, intent: str = "") -> Book:
    """A board at 3 V on vdd with what stands between nets."""
    return book(f"V1 vdd 0 3\n{MODELS}{lines}\n", parts() + MORE, intent)


Told = tuple[str, str, bool | None, bool, tuple[str, str, str | None] | None]


def told(hop: Hop) -> Told:
    """Net, element, sense, whether DC is blocked, and (kind, output, toward) of a stage."""
    stage = hop.stage
    if stage is not None:
        assert stage.path == hop.through
        assert stage.output == hop.net
    toward = stage.toward.name if stage and stage.toward else None
    drives = (stage.kind, stage.output.name, toward) if stage else None
    return hop.net.name, hop.through, hop.inverts, hop.blocks_dc, drives


def steps(lines: str, net: str = "a", intent: str = "") -> list[Told]:
    """Every step from a net."""
    of = wired(lines, intent)
    start = of.board.circuit.net(net)
    assert start is not None
    return [told(hop) for hop in hops(of, start)]


@pytest.mark.parametrize("kind", ["R1 {} {} 1k", "L1 {} {} 1u", "D1 {} {} DX", "C1 {} {} 1n"])
def test_two_terminals_hand_a_level_on_either_way(kind: str) -> None:
    """Unturned; a capacitor passes edges alone."""
    name = kind.split(maxsplit=1)[0]
    for ends in (("a", "b"), ("b", "a")):
        assert steps(kind.format(*ends)) == [("b", name, False, name == "C1", None)]
    assert steps(kind.format("a", "a")) == []
    assert steps(kind.format("a", "vdd")) == []
    assert steps(kind.format("a", "0")) == []


def test_steps_come_in_the_order_of_the_lines_and_statements_last() -> None:
    """What a statement joins is one step more."""
    found = steps("R2 a c 1k\nC1 b a 1n\nR3 f 0 1k", intent="same a f")
    assert found == [
        ("c", "R2", False, False, None),
        ("b", "C1", False, True, None),
        ("f", "same a f", False, False, None),
    ]
    assert steps("R2 a c 1k", intent="same a vdd") == [("c", "R2", False, False, None)]
    assert steps("R2 a c 1k\nR3 f 0 1k", intent="same a f\nsupply f 2V") == [("c", "R2", False, False, None)]


def test_what_is_not_fitted_or_of_more_pins_hands_nothing_on() -> None:
    """A resistor left out, a resistor network of three pins, a source, an unknown part, a connector."""
    assert steps("R1 a b 1k", intent="fit R1 no") == []
    assert steps("V2 a b 1\nX1 a b LAMP\nJ1 a b PLUG\nI1 a b 1m") == []


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        # Common emitter, source: out of the collector, turned, pulled to where the emitter stands.
        ("Q1 c a 0 NS", [("c", "Q1", True, False, ("transistor", "c", "0"))]),
        ("Q1 c a vdd PS", [("c", "Q1", True, False, ("transistor", "c", "vdd"))]),
        ("M1 c a 0 0 MN", [("c", "M1", True, False, ("transistor", "c", "0"))]),
        # An emitter on a resistor of its own to a net that stands still.
        ("Q1 c a e NS\nR1 e 0 47", [("c", "Q1", True, False, ("transistor", "c", "e"))]),
        ("Q1 c a e NS\nR1 0 e 47", [("c", "Q1", True, False, ("transistor", "c", "e"))]),
        ("Q1 c a e NS\nR1 e 0 47\nR2 e x 47", []),
        ("Q1 c a e NS\nR1 e x 47", []),
        ("Q1 c a e NS", []),
        ("Q1 c a e NS\nC1 e 0 1u", []),
        # Followers: out of the emitter, unturned, towards the rail of the collector.
        ("Q1 vdd a e NS", [("e", "Q1", False, False, ("follower", "e", "vdd"))]),
        ("Q1 0 a e PS", [("e", "Q1", False, False, ("follower", "e", "0"))]),
        ("M1 vdd a e e MN", [("e", "M1", False, False, ("follower", "e", "vdd"))]),
        # Both on rails, or an output on the base's own net: nothing.
        ("Q1 vdd a 0 NS", []),
        ("Q1 a a 0 NS", []),
        # From collector, emitter or bulk nothing goes on.
        ("Q1 a b 0 NS", []),
        ("Q1 c b a NS", []),
        ("M1 c b 0 a MN", []),
        # A part that nobody knows is no transistor, whatever its pins; nor a junction FET one of these.
        ("X1 c a 0 LAMP", []),
        ("J1 c a 0 JN", []),
        # A resistor's second pin is no base.
        ("R1 c a vdd 1k", [("c", "R1", False, False, None)]),
    ],
)
def test_transistors(line: str, expected: list[Told]) -> None:
    """By where emitter or source, and collector or drain, stand."""
    assert steps(line) == expected


@pytest.mark.parametrize(
    ("part", "inverts"),
    [
        ("TG1", True), ("TG2", None), ("TG3", False), ("TG4", False), ("TG5", False), ("TG6", True),
        ("TG7", True), ("TG8", None), ("TG9", True), ("TG10", False),
    ],
)  # fmt: skip
def test_gates(part: str, inverts: bool | None) -> None:
    """An input through to the output, turned by the logic or as the file says; xor and xnor do either."""
    assert steps(f"XG1 a y vdd 0 {part}") == [("y", "XG1", inverts, False, ("gate", "y", "vdd"))]
    assert steps(f"XG1 b a vdd 0 {part}") == []
    assert steps(f"XG1 b y a 0 {part}") == []


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("XW1 vin a y 0 TW1", [("y", "XW1", False, False, ("switch", "y", "vin"))]),
        ("XW1 vin a y 0 TW2", [("y", "XW1", True, False, ("switch", "y", "vin"))]),
        ("XW1 vin a y 0 TW3", [("y", "XW1", True, False, ("switch", "y", "0"))]),
        # What feeds a switch comes through unturned, whatever it does to its input.
        ("XW1 a b y 0 TW2", [("y", "XW1", False, False, ("switch", "y", "a"))]),
        ("XW1 vin b a 0 TW1", []),
        ("XW1 vin b y a TW1", []),
        ("XR1 a 0 y b TREG", [("y", "XR1", False, False, ("regulator", "y", "a"))]),
        ("XR1 vin 0 y a TREG", [("y", "XR1", False, False, ("regulator", "y", "vin"))]),
        ("XR1 vin a y b TREG", []),
        ("XR1 vin 0 a b TREG", []),
        ("XR1 a 0 y TREF", []),
    ],
)  # fmt: skip
def test_switches_and_regulators(line: str, expected: list[Told]) -> None:
    """By their inputs, and by what feeds or enables them; a reference hands nothing on."""
    assert steps(line) == expected


def test_timing_blocks_hand_nothing_on_by_themselves() -> None:
    """What their outputs do is a chain of its own."""
    assert steps(block("U1", "TS1", "out", "a")) == []


@pytest.mark.parametrize(
    ("lines", "intent", "held"),
    [
        ("R1 a b 1k", "", False),
        ("R1 a vdd 1k", "", False),
        ("R1 a vdd 0", "", True),
        ("R1 a b 0\nL1 b 0 1u", "", True),
        ("V2 a 0 1", "", True),
        ("V2 a 0 PULSE(0 3 0 1u 1u 1m 2m)", "", True),
        ("R1 a b 1k", "supply a 2V", True),
        ("R1 a b 1k", "signal a 0V .. 2V", True),
        ("R1 a b 1k", "signal a period 1ms", False),
        ("XR1 vin 0 a vin TREG\nV2 vin 0 5", "", True),
        ("D1 vdd a DX", "", False),
    ],
)
def test_what_stands_still(lines: str, intent: str, held: bool) -> None:
    """A stated, sourced or regulated voltage, or a joint to one; a pull-up moves."""
    of = wired(lines, intent)
    net = of.board.circuit.net("a")
    assert net is not None
    assert is_held(of, net) is held
    for name in ("0", "vdd"):
        rail = of.board.circuit.net(name)
        assert rail is not None
        assert is_held(of, rail)


def test_a_supply_behind_a_filter_stands_still() -> None:
    """A net that supply pins are fed by, through 100 ohm; a floating one that nobody feeds does not."""
    fed = chained(block("U1", "TO1", "tick", "vf", supply="vf") + "R5 vdd vf 100\n")
    off = chained(block("U1", "TO1", "tick", "vf", supply="vf"))
    for of, held in ((fed, True), (off, False)):
        net = of.board.circuit.net("vf")
        assert net is not None
        assert is_held(of, net) is held
    assert GATES in parts()
