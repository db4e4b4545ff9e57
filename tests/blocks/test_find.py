"""Blocks on a board: by part name and by pin names, with the role of every pin."""

from itertools import permutations

import pytest

from drc.blocks.find import find_blocks
from drc.blocks.parts import parse_parts
from drc.netlist.read import read_text
from tests.blocks.boards import PARTS, board_of, nets, only, told

IN_ORDER = {"supply": "vdd", "strap": "s", "output": "q", "ground": "0", "rate": "r", "enable": "e"}


def test_the_part_files_order_without_a_header() -> None:
    """Without a `.subckt` the part file gives the order of the pins; the name's letter case is ignored."""
    block = only("XU3 vdd s q 0 r e osc")
    assert (block.path, block.unit, block.part.name, block.found_by) == ("XU3", None, "OSC", "part")
    assert nets(block) == IN_ORDER
    assert (block.place.line, block.place.column) == (2, 1)


@pytest.mark.parametrize("order", [*permutations(range(6))][::97])
def test_a_header_of_roles_gives_the_order(order: tuple[int, ...]) -> None:
    """A header whose names all mean roles decides which pin is which, whatever the part file's order."""
    names = ["VDD", "CFG", "Q", "GND", "RT", "RUN"]
    wires = ["vdd", "s", "q", "0", "r", "e"]
    header = " ".join(names[i] for i in order)
    line = " ".join(wires[i] for i in order)
    assert nets(only(f".subckt osc {header}\n.ends\nXU3 {line} OSC")) == IN_ORDER


def test_a_header_of_numbers_says_nothing() -> None:
    """Names that mean no role leave the part file's order in force."""
    assert nets(only(".subckt osc 1 2 3 4 5 6\n.ends\nXU3 vdd s q 0 r e OSC")) == IN_ORDER


def test_a_definition_with_a_body_is_one_leaf() -> None:
    """A part's `.subckt` is a leaf even if it has a body: what is inside is a model, not the board."""
    board = board_of(
        ".subckt osc vdd cfg q 99 rt run\nR1 vdd cfg 1k\n.ends\nXU3 vdd s q 0 r e OSC\nR1 s 0 1k"
    )
    assert [e.path for e in board.circuit.elements()] == ["XU3", "R1"]
    assert nets(board.blocks[0]) == IN_ORDER


def test_blocks_inside_a_section_of_the_board() -> None:
    """Blocks in a subcircuit have its path, and are listed in source order with those around it."""
    board = board_of(
        ".subckt half vdd q\nXU1 vdd s q 0 r e OSC\n.ends\nXB vdd t SECTION\nXA vdd q half\n"
        "XU1 vdd s q 0 r q SHOT\n.subckt section vdd q\nXIN vdd q half\n.ends"
    )
    assert [b.path for b in board.blocks] == ["XB.XIN.XU1", "XA.XU1", "XU1"]
    assert nets(board.blocks[0])["rate"] == "XB.XIN.r"
    assert nets(board.blocks[0])["output"] == "t"


@pytest.mark.parametrize(
    ("first", "second", "told_by_reading"),
    [
        ("XU1 vdd s q 0 r e OSC", "xu1 vdd s t 0 r e OSC", True),
        ("XB vdd q half", "XB.XU1 vdd s q 0 r e OSC", False),
        ("XB.XU1 vdd s q 0 r e OSC", "XB vdd q half", False),
        ("XB vdd q half", "XB vdd t half", True),
        ("XA vdd q outer", "XA.XB vdd t half", False),
    ],
)
def test_of_two_elements_of_one_path_the_first_makes_a_block(
    first: str, second: str, told_by_reading: bool
) -> None:
    """The other is told of once: by what reads the netlist, or here where a subcircuit's path is met."""
    circuit = read_text(
        f"t\n{first}\n{second}\n.subckt half vdd q\nXU1 vdd s q 0 r e OSC\n.ends\n"
        ".subckt outer vdd q\nXB vdd q half\n.ends\n"
    )
    board = find_blocks(circuit, parse_parts(PARTS))
    (block,) = board.blocks
    assert nets(block)["output"] == "q"
    read = [t.kind for t in board.circuit.troubles]
    assert read == (["duplicate-name"] if told_by_reading else [])
    assert [t.kind for t in board.troubles] == ([] if told_by_reading else ["duplicate-name"])


def test_a_path_met_again_is_told_of_beside_other_names_used_twice() -> None:
    """What reading told of two resistors does not stand for the block."""
    circuit = read_text(
        "t\nR1 a b 1\nR1 a b 1\nXB vdd q half\nXB.XU1 vdd s q 0 r e OSC\n"
        ".subckt half vdd q\nXU1 vdd s q 0 r e OSC\n.ends\n"
    )
    assert [t.place.line for t in circuit.troubles] == [3]
    assert [t.place.line for t in find_blocks(circuit, parse_parts(PARTS)).troubles] == [5]


def test_any_element_whose_part_is_known() -> None:
    """A part may stand on a U line as well as on an X line."""
    assert nets(only("U3 vdd s q 0 r e OSC")) == IN_ORDER


def test_helpers_are_listed_apart() -> None:
    """A regulator is no timing block, but is known with its pins."""
    board = board_of("XR vin 0 vdd REG\nXU3 vdd s q 0 r e OSC")
    assert [b.path for b in board.blocks] == ["XU3"]
    assert [(b.path, nets(b)["output"]) for b in board.helpers] == [("XR", "vdd")]
    assert board.troubles == ()


@pytest.mark.parametrize("line", ["OSC package=S8", "OSC-S8", "osc package=s8", 'OSC package="S8"'])
def test_a_package_gives_the_order(line: str) -> None:
    """A package chosen on the line, or by the part name's ending, has its own order and unused pins."""
    block = only(f"XU3 q 0 n1 r s vdd n2 e {line}")
    assert nets(block) == {**IN_ORDER, "nc": "n1 n2"}
    assert block.package == "S8"


def test_the_line_comes_before_the_names_ending() -> None:
    """Where both choose a package, the parameter on the line does."""
    block = only("XU3 0 s q vdd r e OSC-S8 package=R6")
    assert (block.package, nets(block)) == ("R6", IN_ORDER)


def test_an_unknown_package_is_told_and_not_guessed() -> None:
    """A package that the part file does not give is a trouble; the part's own order stands."""
    board = board_of("XU3 vdd s q 0 r e OSC package=S9")
    assert nets(board.blocks[0]) == IN_ORDER
    assert told(board) == [
        (
            "package-unknown",
            "warning",
            'XU3: found package "S9", expected one that the part file gives for OSC (one of S8, R6); its own '
            "pin order is used",
        )
    ]


def test_a_known_name_with_another_ending_is_told_and_not_guessed() -> None:
    """What stands behind a known name and is none of its packages may be anything: a trouble, no block."""
    board = board_of("XU3 vdd s q 0 r e OSC-S9\nXU4 vdd s q 0 r e OSCS9")
    assert board.blocks == ()
    assert told(board) == [
        (
            "package-unknown",
            "warning",
            "XU3: found part OSC-S9, expected OSC alone, or a package of it behind the name (S8, R6); it is "
            "not taken for OSC",
        )
    ]


def test_a_wrong_pin_count_keeps_the_block_without_pins() -> None:
    """With too few or too many nodes nothing says which pin is which: the block stays, its pins unknown."""
    board = board_of("XU3 vdd s q 0 r OSC\nXU4 q 0 n1 r s vdd n2 e OSC")
    assert [(b.path, dict(b.pins)) for b in board.blocks] == [("XU3", {}), ("XU4", {})]
    assert told(board) == [
        (
            "pin-count",
            "error",
            "XU3: found 5 nodes, expected 6, the pins of OSC; which pin is which is unknown",
        ),
        (
            "pin-count",
            "error",
            "XU4: found 8 nodes, expected 6, the pins of OSC; which pin is which is unknown; package S8 has "
            "8: add package=S8",
        ),
    ]
    assert board.troubles[0].nets == ("vdd", "s", "q", "0", "r")
    assert board.troubles[0].others == (board.blocks[0].part.place,)


def test_a_header_that_contradicts_the_part_file() -> None:
    """A header whose roles are not those of the part is used, and told of."""
    board = board_of(".subckt shot vdd strap q gnd rate en\n.ends\nXU4 vdd s q 0 r e SHOT")
    assert nets(board.blocks[0]) == IN_ORDER
    assert told(board) == [
        (
            "pin-names-disagree",
            "warning",
            "XU4: the header of SHOT lacks trigger and adds enable, against the pins of SHOT in its part "
            "file; the header's order is used",
        )
    ]


def test_some_names_that_contradict_the_order() -> None:
    """Where not all names mean roles, those that do must stand where the part file has them."""
    board = board_of(".subckt osc vdd q n3 gnd n5 n6\n.ends\nXU3 vdd s q 0 r e OSC")
    assert nets(board.blocks[0]) == IN_ORDER
    assert told(board) == [
        (
            "pin-names-disagree",
            "warning",
            "XU3: the header of OSC contradicts the pins of OSC: q (pin 2) reads as output, where the part "
            "file has strap; the part file's order is used",
        )
    ]


def test_supply_and_ground_the_wrong_way_round() -> None:
    """A supply pin on ground and a ground pin elsewhere mean a wrong order; a package that fits is named."""
    board = board_of("XU3 0 s q vdd r e OSC")
    assert told(board) == [
        (
            "pin-wiring",
            "warning",
            "XU3: found its supply pin on ground and its ground pin on vdd, expected the other way round: "
            "the order of the pins contradicts the wiring; the order of package R6 would fit: add package=R6",
        )
    ]


def test_units_of_one_package() -> None:
    """Each timer of a package is a block of its own, with the pins that are its and those that all share."""
    board = board_of("XU3 qa tha tra 0 qb thb trb vdd TWIN")
    assert [(b.path, b.unit) for b in board.blocks] == [("XU3/A", "A"), ("XU3/B", "B")]
    assert [nets(b) for b in board.blocks] == [
        {"output": f"q{u}", "threshold": f"th{u}", "trigger": f"tr{u}", "ground": "0", "supply": "vdd"}
        for u in "ab"
    ]
    assert board.troubles == ()


@pytest.mark.parametrize(
    ("header", "line"),
    [
        ("OUTA LEFT TRIGA GND OUTB THRESB TRIGB VCC", "qa tha tra 0 qb thb trb vdd"),
        ("VCC GND OUT_A OUT_B TRIG_B TRIG_A LEFT B_THR", "vdd 0 qa qb trb tra tha thb"),
    ],
)
def test_units_by_header(header: str, line: str) -> None:
    """A header with the unit's name before or behind the role, or an alias of its own, gives the order."""
    board = board_of(f".subckt twin {header}\n.ends\nXU3 {line} TWIN")
    assert [nets(b) for b in board.blocks] == [
        {"output": f"q{u}", "threshold": f"th{u}", "trigger": f"tr{u}", "ground": "0", "supply": "vdd"}
        for u in "ab"
    ]
    assert board.troubles == ()


def test_units_in_another_package() -> None:
    """A package of a part with units says of each pin whose it is."""
    board = board_of("XU3 qa tra tha vdd 0 thb trb qb n TWIN package=T9")
    assert [nets(b) for b in board.blocks] == [
        {
            "output": f"q{u}", "threshold": f"th{u}", "trigger": f"tr{u}", "ground": "0", "supply": "vdd",
            "nc": "n",
        }
        for u in "ab"
    ]  # fmt: skip


def test_units_alone_give_the_pins_of_the_package() -> None:
    """A part of which only the units' pins are given is found like any other."""
    text = (
        '[part.DUO]\nfunction = "one-shot"\n'
        'unit.A.pins = ["supply", "trigger", "output", "-", "-", "ground", "nc"]\n'
        'unit.B.pins = ["supply", "-", "-", "trigger", "output", "ground", "nc"]\n'
    )
    parts = parse_parts(text)
    assert parts.by_name["DUO"].pins == ("supply", "trigger", "output", "trigger", "output", "ground", "nc")
    board = find_blocks(read_text("t\nXU3 vdd a1 a2 b1 b2 0 n DUO\n"), parts)
    assert [(b.path, nets(b)["trigger"], nets(b)["output"]) for b in board.blocks] == [
        ("XU3/A", "a1", "a2"),
        ("XU3/B", "b1", "b2"),
    ]


@pytest.mark.parametrize(
    ("header", "function"),
    [
        ("VDD GND OUT RT CFG EN", "oscillator"),
        ("VDD GND OUT RATE STRAP RESET", "slow-oscillator"),
        ("VCC VSS Q RT MOD", "pulse-modulator"),
        ("VDD GND OUT RT GO RST", "one-shot"),
        ("VDD GND OUT RT SIGNAL", "edge-delay"),
        ("VCC GND OUT TRIG THR DISCH CTRL RST", "rc-timer"),
        ("VDD GND1 GND2 OUT RT EN NC", "oscillator"),
    ],
)
@pytest.mark.parametrize("body", ["", "R1 OUT 99 1k\n"])
def test_an_unknown_part_by_its_pin_names(header: str, function: str, body: str) -> None:
    """A header that names the roles of one function makes a block whose ratings are all unknown."""
    wires = [f"w{i}" for i in range(len(header.split()))]
    block = only(f".subckt mystery {header}\n{body}.ends\nXU3 {' '.join(wires)} Mystery")
    assert (block.found_by, block.part.function, block.part.name) == ("pin-names", function, "Mystery")
    assert sorted(net.name for pins in block.pins.values() for net in pins) == sorted(wires)
    assert nets(block)["supply"] == "w0"
    assert (block.part.rate, block.part.timing, block.part.supply.rated) == (None, None, None)


@pytest.mark.parametrize(
    "header",
    ["VDD GND OUT", "VDD GND OUT RT EN TRIG", "VDD GND OUT RT MISO", "IN GND OUT EN FB", "1 2 3 4 5"],
)
def test_pin_names_that_are_no_timing_blocks(header: str) -> None:
    """A header with a name that is no role, too few roles, or roles of no one function makes no block."""
    wires = " ".join(f"w{i}" for i in range(len(header.split())))
    board = board_of(f".subckt mystery {header}\n.ends\nXU3 {wires} MYSTERY")
    assert (board.blocks, board.troubles) == ((), ())
    assert [e.path for e in board.circuit.elements()] == ["XU3"]


def test_pin_names_of_two_functions_are_a_note() -> None:
    """Where the names fit two functions no block is made, and a note says which."""
    board = board_of(".subckt mystery VDD GND OUT RT CFG\n.ends\nXU3 a b c d e MYSTERY")
    assert board.blocks == ()
    assert told(board) == [
        (
            "pin-names-unclear",
            "note",
            "XU3: MYSTERY is no known part, and its pin names fit oscillator and slow-oscillator: describe "
            "it in a part file",
        )
    ]


def test_a_section_of_the_board_is_no_part() -> None:
    """A subcircuit whose ports are named like roles but that holds known parts is looked into."""
    block = only(
        ".subckt flasher VDD GND OUT RT EN\nXU1 VDD s OUT GND RT EN OSC\n.ends\nXF vdd 0 q r e FLASHER"
    )
    assert (block.path, block.found_by) == ("XF.XU1", "part")
