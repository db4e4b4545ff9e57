"""Parts that nobody named: what is wired like a timing block is noted, and what is not is left alone."""

from itertools import permutations

import pytest

from drc.blocks.find import FindOptions, find_blocks
from drc.blocks.parts import parse_parts
from drc.blocks.stub import part_file_stub
from drc.netlist.read import read_text
from tests.blocks.boards import board_of, nets, told

SURROUNDINGS = "V1 vdd 0 3.3\nR1 vdd s 100k\nR2 s 0 47k\nR3 r 0 82k\nR4 q led 1k\nD1 led 0 DLED\n"
"""A strap divider, a timing resistor and a lamp."""

WIRES = ("vdd", "s", "q", "0", "r")
ROLES = {"vdd": "supply", "s": "strap", "q": "output", "0": "ground", "r": "rate"}


def test_a_part_wired_like_a_timing_block_is_noted() -> None:
    """It is listed apart with the roles that fit, told of in a note with the reason, and is no block."""
    board = board_of(SURROUNDINGS + "XU3 vdd s q 0 r OPAQUE")
    assert board.blocks == ()
    (block,) = board.alike
    assert (block.path, block.found_by, block.part.name, block.part.function) == (
        "XU3", "connections", "OPAQUE", "unknown",
    )  # fmt: skip
    assert nets(block) == {"supply": "vdd", "strap": "s", "output": "q", "ground": "0", "rate": "r"}
    assert told(board) == [
        (
            "wired-like-a-block",
            "note",
            "XU3: wired like a timing block (a resistor to ground alone on its rate pin, a divider of its "
            "own supply on its strap pin): pin 1 supply, pin 2 strap, pin 3 output, pin 4 ground, pin 5 "
            "rate; if it is one, describe OPAQUE in a part file",
        )
    ]


@pytest.mark.parametrize("order", [*permutations(range(5))][::7])
def test_the_order_of_the_pins_does_not_matter(order: tuple[int, ...]) -> None:
    """Roles follow the nets, in whatever order the pins stand."""
    wires = [WIRES[i] for i in order]
    (block,) = board_of(SURROUNDINGS + f"XU3 {' '.join(wires)} OPAQUE").alike
    assert block.part.pins == tuple(ROLES[wire] for wire in wires)


@pytest.mark.parametrize(
    ("more", "line"),
    [
        ("C1 s 0 10n\nC2 r 0 5p\n", "XU3 vdd s q 0 r OPAQUE"),
        ("XTP1 s TESTPOINT\n", "XU3 vdd s q 0 r OPAQUE"),
        ("R9 r ctl 220k\nV2 ctl 0 1.25\n", "XU3 vdd s q 0 r OPAQUE"),
        (".subckt opaque a b c d e\n.ends\n", "XU3 vdd s q 0 r OPAQUE"),
        ("", "U3 vdd s q 0 r OPAQUE"),
        ("V2 go 0 PULSE(0 3 0 1n 1n 1m 2m)\n", "XU3 vdd s q 0 r go OPAQUE"),
    ],
    ids=["capacitors", "test point", "steering", "header without meaning", "U line", "driven input"],
)
def test_what_else_may_hang_on_a_timing_block(more: str, line: str) -> None:
    """Filter capacitors, a steering resistor and a driven input take nothing from the fit."""
    (block,) = board_of(SURROUNDINGS + more + line).alike
    fit = nets(block)
    assert (fit["supply"], fit["strap"], fit["rate"], fit["output"]) == ("vdd", "s", "r", "q")


def test_a_pin_whose_role_does_not_show_is_left_open() -> None:
    """Of two pins that both lead to other parts, neither is called the output."""
    board = board_of(SURROUNDINGS + "R7 x led 1k\nXU3 vdd s q x 0 r OPAQUE")
    (block,) = board.alike
    assert block.part.pins == ("supply", "strap", "?", "?", "ground", "rate")
    assert "output" not in block.pins
    assert board.troubles[0].message.endswith(
        "pin 6 rate; not to be told: pin 3, 4; if it is one, describe OPAQUE in a part file"
    )


def test_pins_tied_to_a_rail_are_not_told_apart() -> None:
    """Of two pins on the supply one may be an input tied there: the net is known, the pins are left open."""
    board = board_of(SURROUNDINGS + "XU3 vdd s q vdd 0 r OPAQUE")
    (block,) = board.alike
    assert block.part.pins == ("?", "strap", "output", "?", "ground", "rate")
    assert nets(block)["supply"] == "vdd"
    assert "pins 1, 4 supply or tied to it; if it is one" in board.troubles[0].message


def test_an_rc_timer_by_itself() -> None:
    """Two pins on a capacitor that the supply charges through a third are an RC timer's."""
    board = board_of(
        "V1 vcc 0 9\nRA vcc d 10k\nRB d t 22k\nC1 t 0 100n\nRL q base 4.7k\nQ1 c base 0 QN\n"
        "XU3 0 t q vcc cv t d vcc OPAQUE\nC2 cv 0 10n"
    )
    (block,) = board.alike
    assert block.part.function == "rc-timer"
    fit = nets(block)
    assert (fit["trigger"], fit["threshold"], fit["discharge"], fit["output"]) == ("t", "t", "d", "q")


def test_an_rc_timer_as_a_one_shot() -> None:
    """Two pins on a capacitor that the supply charges directly are threshold and discharge."""
    board = board_of(
        "V1 vcc 0 9\nRA vcc t 100k\nC1 t 0 1u\nRL q base 4.7k\nQ1 c base 0 QN\nS1 go 0 x 0 SW\n"
        "XU3 0 go q vcc cv t t vcc OPAQUE\nC2 cv 0 10n\nR9 vcc go 10k"
    )
    (block,) = board.alike
    fit = nets(block)
    assert (block.part.function, fit["threshold"], fit["discharge"]) == ("rc-timer", "t", "t")
    assert "trigger" not in fit


NO_BLOCKS = {
    "regulator with a divider on its output": "V1 vin 0 12\nR1 out fb 30k\nR2 fb 0 10k\nR3 en 0 100k\n"
    "XU3 vin 0 en fb out OPAQUE\nR9 out load 10",
    "switching regulator": "V1 vin 0 12\nR1 vout fb 30k\nR2 fb 0 10k\nR3 rt 0 100k\nL1 sw vout 10u\n"
    "R4 vin en 100k\nR5 en 0 22k\nXU3 vin 0 en fb sw rt OPAQUE",
    "supervisor": "V1 vdd 0 3.3\nR1 vdd sense 100k\nR2 sense 0 47k\nC1 ct 0 10n\nR3 rst vdd 10k\n"
    "XU3 vdd 0 sense ct rst OPAQUE\nXU4 rst MCU",
    "adjustable reference": "V1 vdd 0 5\nR1 vdd k 1k\nR2 k ref 10k\nR3 ref 0 10k\nXU3 k 0 ref 0 k OPAQUE",
    "amplifier with feedback": "V1 vdd 0 5\nR1 vdd p 10k\nR2 p 0 10k\nR3 n 0 1k\nR4 n q 10k\n"
    "XU3 p n vdd 0 q OPAQUE\nR5 q load 1k\nC1 load 0 1u",
    "comparator with a pulled-down input that another part drives": "V1 vdd 0 5\nR1 vdd p 10k\nR2 p 0 10k\n"
    "R3 n 0 100k\nXS n vdd 0 SENSOR\nXU3 p n vdd 0 q OPAQUE\nR5 q load 1k\nC1 load 0 1u",
    "two pins with a resistor to ground": SURROUNDINGS + "R7 x 0 10k\nXU3 vdd s q x 0 r OPAQUE",
    "two dividers": SURROUNDINGS + "R7 vdd x 10k\nR8 x 0 10k\nXU3 vdd s q x 0 r OPAQUE",
    "a resistor of some ohms to ground": SURROUNDINGS.replace("82k", "10") + "XU3 vdd s q 0 r OPAQUE",
    "a divider on another rail": SURROUNDINGS.replace("R1 vdd", "R1 v5")
    + "V2 v5 0 5\nXU3 vdd s q 0 r OPAQUE",
    "no rail": SURROUNDINGS.replace("V1 vdd 0 3.3", "C9 vdd 0 1u").replace("vdd", "node")
    + "XU3 node s q 0 r OPAQUE",
    "nine pins": SURROUNDINGS + "XU3 vdd s q 0 r a b c d OPAQUE",
}


@pytest.mark.parametrize("text", NO_BLOCKS.values(), ids=NO_BLOCKS.keys())
def test_what_is_not_a_timing_block(text: str) -> None:
    """Regulators, supervisors, references, amplifiers and fits that are not the only one are not noted."""
    board = board_of(text)
    assert (board.alike, board.troubles) == ((), ())


def test_known_parts_are_not_looked_at_again() -> None:
    """A part that is found by name is a block, and no note is given of it."""
    board = board_of(SURROUNDINGS + "XU3 vdd s q 0 r e OSC\nR9 e vdd 1k")
    assert [b.path for b in board.blocks] == ["XU3"]
    assert (board.alike, board.troubles) == ((), ())


def test_cells_of_a_library_are_not_looked_at() -> None:
    """A part placed hundreds of times is a cell of a library: none of them is noted."""

    def placed(times: int) -> str:
        cells = (
            f"R1_{i} vdd s{i} 100k\nR2_{i} s{i} 0 47k\nR3_{i} r{i} 0 82k\nR4_{i} q{i} z 1k\n"
            f"X{i} vdd s{i} q{i} 0 r{i} OPAQUE\n"
            for i in range(times)
        )
        return "V1 vdd 0 3.3\n" + "".join(cells)

    assert len(board_of(placed(2)).alike) == 2
    assert board_of(placed(201)).alike == ()


def test_looking_at_connections_can_be_left_out() -> None:
    """One option silences it."""
    circuit = read_text("t\n" + SURROUNDINGS + "XU3 vdd s q 0 r OPAQUE\n")
    board = find_blocks(circuit, parse_parts(""), FindOptions(connections=False))
    assert (board.alike, board.troubles) == ((), ())


def test_the_table_to_fill_in_makes_the_block_known() -> None:
    """The printed table, its `?` filled in, is a part file that gives the same part the same roles."""
    text = SURROUNDINGS + "V2 go 0 PULSE(0 3 0 1n 1n 1m 2m)\nXU3 vdd s q go 0 r OPAQUE"
    (block,) = board_of(text).alike
    stub = part_file_stub(block)
    assert stub.startswith("[part.OPAQUE]\n")
    filled = stub.replace('function = "?"', 'function = "one-shot"').replace('"?"', '"trigger"')
    found = find_blocks(read_text("t\n" + text + "\n"), parse_parts(filled))
    assert nets(found.blocks[0]) == {**nets(block), "trigger": "go"}
    assert found.alike == ()


def test_the_table_of_a_part_known_by_its_pin_names() -> None:
    """Its function, pins and header names stand in the table, which is right as it is."""
    names = ".subckt my.part VDD GND OUT RT EN\n.ends\nXU3 vdd 0 q r e my.part"
    (block,) = board_of(names).blocks
    stub = part_file_stub(block)
    assert [line.partition("#")[0].rstrip() for line in stub.splitlines()[:6]] == [
        '[part."my.part"]',
        'title    = ""',
        'source   = ""',
        'function = "oscillator"',
        'pins     = ["supply", "ground", "output", "rate", "enable"]',
        'alias    = { "supply" = ["VDD"], "ground" = ["GND"], "output" = ["OUT"], "rate" = ["RT"], '
        '"enable" = ["EN"] }',
    ]
    found = find_blocks(read_text("t\n" + names + "\n"), parse_parts(stub))
    assert found.blocks[0].found_by == "part"
    assert nets(found.blocks[0]) == nets(block)
