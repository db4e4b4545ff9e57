"""Which pin is which: headers, packages and part files against each other, and units of one package."""

import pytest

from drc.blocks.find import find_blocks
from drc.blocks.model import Board
from drc.blocks.parts import parse_parts
from drc.netlist.read import read_text
from tests.blocks.boards import board_of, nets, told

WIRES = {"supply": "vdd", "strap": "s", "output": "q", "ground": "0", "rate": "r", "enable": "e"}


def found(parts: str, text: str) -> Board:
    """A board with these parts alone."""
    return find_blocks(read_text("a board\n" + text + "\n.end\n"), parse_parts(parts))


def test_a_header_counts_for_more_than_a_package() -> None:
    """Names that all are roles give the order whatever package is named; the package is kept."""
    board = board_of(".subckt osc RT CFG Q GND VDD RUN\n.ends\nXU3 r s q 0 vdd e OSC package=R6")
    assert nets(board.blocks[0]) == WIRES
    assert board.blocks[0].package == "R6"
    assert board.troubles == ()


def test_a_header_of_unused_pins_may_be_longer_than_the_part() -> None:
    """Unused pins in a header are neither lacking nor added."""
    board = board_of(".subckt osc RT NC1 CFG Q GND VDD RUN NC2\n.ends\nXU3 r n1 s q 0 vdd e n2 OSC")
    assert nets(board.blocks[0]) == {**WIRES, "nc": "n1 n2"}
    assert board.troubles == ()


def test_a_header_without_meaning_leaves_the_package_its_order() -> None:
    """Numbers say nothing; then the package that the name's ending chose counts."""
    board = board_of(".subckt osc-s8 1 2 3 4 5 6 7 8\n.ends\nXU3 q 0 n1 r s vdd n2 e OSC-S8")
    assert nets(board.blocks[0]) == {**WIRES, "nc": "n1 n2"}
    assert board.troubles == ()


def test_every_name_that_contradicts_the_order_is_told() -> None:
    """Pins are counted from 1; names that say nothing, and those that agree, are not told of."""
    board = board_of(".subckt osc q n2 vdd gnd run n6\n.ends\nXU3 vdd s q 0 r e OSC")
    assert nets(board.blocks[0]) == WIRES
    assert told(board) == [
        (
            "pin-names-disagree",
            "warning",
            "XU3: the header of OSC contradicts the pins of OSC: q (pin 1) reads as output, where the part "
            "file has supply; vdd (pin 3) reads as supply, where the part file has output; run (pin 5) reads "
            "as enable, where the part file has rate; the part file's order is used",
        )
    ]
    assert board.troubles[0].others == (board.blocks[0].part.place,)
    assert board.troubles[0].place == board.blocks[0].place


def test_names_against_a_package_are_held_against_the_package() -> None:
    """What a package has at a position is what a name there must mean."""
    right = board_of(".subckt osc out n2 n3 n4 cfg vdd n7 n8\n.ends\nXU3 q 0 n1 r s vdd n2 e OSC package=S8")
    assert right.troubles == ()
    wrong = board_of(".subckt osc vdd n2 n3 n4 cfg n6 n7 n8\n.ends\nXU3 q 0 n1 r s vdd n2 e OSC package=S8")
    ((kind, _, message),) = told(wrong)
    assert kind == "pin-names-disagree"
    assert "vdd (pin 1) reads as supply, where the part file has output;" in message


@pytest.mark.parametrize(
    ("header", "what"),
    [
        ("VDD CFG Q GND RT", "lacks enable"),
        ("VDD CFG Q GND RT RUN TRIG", "adds trigger"),
        ("VDD CFG Q GND TRIG RST", "lacks enable, rate and adds reset, trigger"),
    ],
)
def test_what_a_header_lacks_and_adds_is_named(header: str, what: str) -> None:
    """By role, sorted; one that only lacks adds nothing, and the other way round."""
    wires = " ".join(f"w{k}" for k in range(len(header.split())))
    board = board_of(f".subckt osc {header}\n.ends\nXU3 {wires} OSC")
    assert told(board) == [
        (
            "pin-names-disagree",
            "warning",
            f"XU3: the header of OSC {what}, against the pins of OSC in its part file; the header's order is "
            "used",
        )
    ]


def test_too_few_nodes_for_a_header_of_roles() -> None:
    """The count is the header's where the header gives the order, and the block's pins are unknown."""
    circuit = read_text("t\n.subckt osc VDD CFG Q GND RT RUN NC\n.ends\nXU3 vdd s q 0 r e OSC\n")
    board = find_blocks(circuit, parse_parts(PACKAGED))
    assert [dict(b.pins) for b in board.blocks] == [{}]
    (trouble,) = board.troubles
    assert trouble.message == (
        "XU3: found 6 nodes, expected 7, the pins of the header of OSC; which pin is which is unknown; "
        "package S6, T6 has 6: add package=S6"
    )
    assert trouble.nets == ("vdd", "s", "q", "0", "r", "e")


PACKAGED = """
[part.OSC]
function = "oscillator"
pins = ["supply", "strap", "output", "ground", "rate", "enable"]
alias = { enable = ["RUN"], strap = ["CFG"], rate = ["RT"] }
package.S6.pins = ["ground", "strap", "output", "supply", "rate", "enable"]
package.T6.pins = ["ground", "supply", "output", "strap", "rate", "enable"]
package.S7.pins = ["ground", "supply", "output", "strap", "rate", "enable", "nc"]
"""


def test_a_package_that_is_already_chosen_is_not_offered() -> None:
    """Seven nodes for a package of six: the one of seven is offered, the chosen one never."""
    board = found(PACKAGED, "XU3 vdd s q 0 r e n OSC package=S6")
    assert [t.message for t in board.troubles] == [
        "XU3: found 7 nodes, expected 6, the pins of OSC in package S6; which pin is which is unknown; "
        "package S7 has 7: add package=S7"
    ]


def test_each_package_that_fits_the_rails_is_named() -> None:
    """Supply on ground: those whose ground pins are on ground and whose supply pin is not, not the chosen."""
    board = found(PACKAGED, "XU3 0 0 q vdd r e OSC")
    assert [t.message.partition("contradicts the wiring")[2] for t in board.troubles] == [
        "; the order of package S6 would fit: add package=S6"
    ]
    chosen = found(PACKAGED, "XU3 vdd 0 q s r e OSC package=T6")
    assert [t.message.partition("contradicts the wiring")[2] for t in chosen.troubles] == [""]


def test_a_package_is_named_in_any_letters_and_quotes() -> None:
    """`package=s8` on the line; one that there is not leaves what the name's ending chose."""
    for text in ('package="S8"', "package=s8"):
        assert board_of(f"XU3 q 0 n1 r s vdd n2 e OSC {text}").blocks[0].package == "S8"
    board = board_of("XU3 q 0 n1 r s vdd n2 e OSC-S8 package=S9")
    assert nets(board.blocks[0]) == {**WIRES, "nc": "n1 n2"}
    assert [t.kind for t in board.troubles] == ["package-unknown"]
    bare = board_of("XU3 vdd s q 0 r g SHOT package=S9")
    assert "(none: it lists no packages)" in bare.troubles[0].message


TWIN = """
[part.TWIN]
function = "rc-timer"
pins = ["output", "threshold", "trigger", "ground", "output", "threshold", "trigger", "supply"]
alias = { output = ["Y"], threshold = ["TH"] }
[part.TWIN.unit.A]
pins = ["output", "threshold", "trigger", "ground", "-", "-", "-", "supply"]
alias = { trigger = ["GO"], output = ["B_OUT"] }
[part.TWIN.unit.B]
pins = ["-", "-", "-", "ground", "output", "threshold", "trigger", "supply"]
"""
OWN = [
    {"output": f"q{u}", "threshold": f"th{u}", "trigger": f"tr{u}", "ground": "0", "supply": "vdd"}
    for u in "ab"
]


@pytest.mark.parametrize(
    ("header", "line"),
    [
        ("AY ATH ATRIG GND BY BTH BTRIG VCC", "qa tha tra 0 qb thb trb vdd"),
        ("Y_A TH.A TRIG-A GND YB TH-B TRIG.B VCC", "qa tha tra 0 qb thb trb vdd"),
        ("b_out a_th go gnd yb b-th trigger_b vdd", "qa tha tra 0 qb thb trb vdd"),
        ("VCC GND YB YA THA THB GO TRIGB", "vdd 0 qb qa tha thb tra trb"),
    ],
)
def test_a_unit_s_name_before_or_behind_the_role(header: str, line: str) -> None:
    """With or without a sign between; a unit's own alias counts for more than another unit's letter."""
    board = found(TWIN, f".subckt twin {header}\n.ends\nXU3 {line} TWIN")
    assert board.troubles == ()
    assert [nets(b) for b in board.blocks] == OWN


def test_an_unused_pin_of_a_package_with_units_belongs_to_all() -> None:
    """A header of roles with a pin that is not joined: each unit has it."""
    header = "AY NC ATH ATRIG GND BY BTH BTRIG VCC"
    board = found(TWIN, f".subckt twin {header}\n.ends\nXU3 qa n tha tra 0 qb thb trb vdd TWIN")
    assert board.troubles == ()
    assert [nets(b) for b in board.blocks] == [{**own, "nc": "n"} for own in OWN]


def test_a_unit_s_pin_under_the_other_unit_s_position_is_told() -> None:
    """A role without a unit's name is no unit's own: the header then says too little to give the order."""
    board = found(
        TWIN, ".subckt twin OUT THRES TRIG GND BY BTH BTRIG VCC\n.ends\nXU3 qa tha tra 0 qb thb trb vdd TWIN"
    )
    assert [nets(b) for b in board.blocks] == OWN
    assert board.troubles == ()


def test_a_wrong_count_leaves_every_unit_without_pins() -> None:
    """Each unit stays a block, its pins unknown, and the count is told once."""
    board = found(TWIN, "XU3 qa tha tra 0 qb thb trb TWIN")
    assert [(b.path, dict(b.pins)) for b in board.blocks] == [("XU3/A", {}), ("XU3/B", {})]
    assert [t.kind for t in board.troubles] == ["pin-count"]


def test_ground_and_supply_need_both_pins_to_be_the_wrong_way_round() -> None:
    """A part without one of them, or with both on ground or neither, is not told of."""
    assert board_of("XU3 0 s q 0 r e OSC").troubles == ()
    assert board_of("XU3 vdd s q vss r e OSC").troubles == ()
    bare = '[part.B]\nfunction = "oscillator"\npins = ["{}", "output", "rate"]\n'
    assert found(bare.format("supply"), "XU3 0 q r B").troubles == ()
    assert found(bare.format("ground"), "XU3 vdd q r B").troubles == ()
