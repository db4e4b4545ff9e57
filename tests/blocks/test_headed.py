"""Parts that no file knows, by the pin names of their headers; names that are nearly known."""

import pytest

from drc.blocks.find import FindOptions, find_blocks
from drc.blocks.model import Board
from drc.blocks.parts import parse_parts
from drc.blocks.roles import ALLOWED, NEEDED, ROLES, alias_table, functions_of, role_of, roles_of_header
from drc.netlist.read import read_text
from tests.blocks.boards import PARTS, board_of, nets, told

TWO = """
[part.ONE]
function = "oscillator"
pins = ["supply", "ground", "output", "rate"]
alias = { rate = ["SPEED"], output = ["BEEP"], supply = ["PWR"] }
[part.TWO]
function = "one-shot"
pins = ["supply", "ground", "output", "rate", "trigger"]
alias = { rate = ["SPEED"], trigger = ["BEEP"], ground = ["PWR"] }
[part.REG]
function = "regulator"
pins = ["supply", "ground", "output"]
alias = { output = ["RAIL"] }
"""


def found(text: str, parts: str = TWO, options: FindOptions | None = None) -> Board:
    """A board with these parts alone."""
    circuit = read_text("a board\n" + text + "\n.end\n")
    return find_blocks(circuit, parse_parts(parts), options or FindOptions())


def test_a_name_that_known_parts_agree_on_is_known_anywhere() -> None:
    """SPEED means the rate to both parts: a header of an unknown part may use it."""
    (block,) = found(".subckt new VDD GND OUT SPEED EN\n.ends\nX1 a b c d e NEW").blocks
    assert (block.part.function, block.found_by) == ("oscillator", "pin-names")
    assert nets(block) == {"supply": "a", "ground": "b", "output": "c", "rate": "d", "enable": "e"}


@pytest.mark.parametrize(
    "header", ["VDD GND BEEP SPEED EN", "PWR GND OUT SPEED EN", "VDD GND RAIL SPEED EN", "VDD GND OUT FOO EN"]
)
def test_a_name_of_two_meanings_or_of_a_helper_alone_is_none(header: str) -> None:
    """Parts that disagree leave a name without meaning; a regulator's names mean nothing here."""
    board = found(f".subckt new {header}\n.ends\nX1 a b c d e NEW")
    assert (board.blocks, board.alike) == ((), ())


def test_letters_of_any_case_name_one_part() -> None:
    """On the element line as in the header."""
    for line in ("X1 a b c d e New", "X1 a b c d e NEW", "x1 a b c d e new"):
        board = found(f".subckt nEw VDD GND OUT SPEED EN\n.ends\n{line}")
        assert [block.part.function for block in board.blocks] == ["oscillator"]
        assert board.troubles == ()


def test_a_wrong_count_for_a_header_s_part_is_told() -> None:
    """As for any part: the block stays, and its pins are unknown."""
    board = found(".subckt new VDD GND OUT SPEED EN\n.ends\nX1 a b c d NEW")
    assert [dict(block.pins) for block in board.blocks] == [{}]
    assert [t.kind for t in board.troubles] == ["pin-count"]
    assert board.troubles[0].message.startswith(
        "X1: found 4 nodes, expected 5, the pins of the header of NEW"
    )


def test_a_name_with_an_ending_is_told_wherever_it_stands() -> None:
    """On X and U lines, in sections; not on other letters, nor of a header that is a block of its own."""
    board = found(
        "X1 a b c d ONE-9\nU2 a b c d one_9\nX3 a S\n.subckt S p\nX4 p b c d ONE.9\n.ends\nQ5 a b c ONE-9"
    )
    assert [(t.kind, t.message.partition(":")[0]) for t in board.troubles] == [
        ("package-unknown", "X1"), ("package-unknown", "U2"), ("package-unknown", "X3.X4"),
    ]  # fmt: skip
    assert "(none: it lists no packages)" in board.troubles[0].message
    assert board.troubles[0].others == (parse_parts(TWO).by_name["ONE"].place,)
    own = found(".subckt ONE-9 VDD GND OUT SPEED EN\n.ends\nX1 a b c d e ONE-9")
    assert [block.found_by for block in own.blocks] == ["pin-names"]
    assert own.troubles == ()


def test_a_known_part_inside_makes_a_section_of_a_header_of_roles() -> None:
    """Also a helper inside, and one two levels down; a cell of other things does not."""
    section = ".subckt NEW VDD GND OUT SPEED EN\n{}\n.ends\nX1 a b c d e NEW\n"
    assert found(section.format("XR VDD GND n REG")).blocks == ()
    assert len(found(section.format("XR VDD GND n REG")).helpers) == 1
    deep = section.format("XI VDD IN") + ".subckt IN p\nXU p GND q r ONE\n.ends\n"
    assert [block.path for block in found(deep).blocks] == ["X1.XI.XU"]
    assert [block.path for block in found(section.format("R1 VDD OUT 1k")).blocks] == ["X1"]


def test_a_header_without_a_body_is_a_leaf_of_the_board() -> None:
    """Its elements are none, and still it has its pins: the nets on it are not without a part."""
    board = found("X1 a b HOLLOW\nR1 a b 1k\n.subckt HOLLOW p q\n.ends\n")
    assert [element.path for element in board.circuit.elements()] == ["X1", "R1"]
    assert (board.blocks, board.helpers, board.troubles) == ((), (), ())


def test_blocks_come_in_source_order_with_helpers_apart() -> None:
    """Units of one package one after the other; helpers of any place among themselves."""
    board = board_of(
        "XB vdd s q 0 r e OSC\nXR vin 0 vdd REG\nXA qa tha tra 0 qb thb trb vdd TWIN\nXC vdd s q 0 r g SHOT"
    )
    assert [block.path for block in board.blocks] == ["XB", "XA/A", "XA/B", "XC"]
    assert [block.unit for block in board.blocks] == [None, "A", "B", None]
    assert [helper.path for helper in board.helpers] == ["XR"]
    assert [block.found_by for block in board.blocks] == ["part"] * 4
    assert told(board) == []
    assert PARTS


@pytest.mark.parametrize("function", NEEDED)
def test_a_function_needs_its_roles_and_bears_those_it_may_have(function: str) -> None:
    """Without any one that it needs it is none; with all that it may have besides, and unused pins, it is."""
    known = next(name for name in NEEDED if name == function)
    needed = sorted(NEEDED[known])
    whole = (*needed, *sorted(ALLOWED[known]), "nc")
    assert known in functions_of(whole)
    for role in needed:
        assert known not in functions_of([other for other in whole if other != role])
    for role in sorted(set(ROLES) - {*whole}):
        assert known not in functions_of([*whole, role])


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("OUT", "output"),
        ("out3", "output"),
        ("OUT_3", "output"),
        ("Q", "output"),
        ("my", "rate"),
        ("MY2", "rate"),
        ("supply_io", "supply-io"),
        ("supply-io", "supply-io"),
        ("VDD", "supply"),
        ("GND12", "ground"),
        ("V+", "supply"),
        ("rate", "rate"),
        ("Enable", None),
        ("EN", None),
        ("NC", "nc"),
        ("nc7", "nc"),
        ("N/C", "nc"),
        ("12", None),
        ("", None),
        ("strap", None),
        ("1Q", None),
        ("select2", "select2"),
        ("SELECT", "select"),
        ("select9", "select"),
    ],
)
def test_what_a_pin_s_name_means(name: str, role: str | None) -> None:
    """Aliases, then roles, then common names of roles the part has; a number behind is dropped only then."""
    roles = ("supply", "ground", "output", "rate", "supply-io", "select", "select2")
    assert role_of(name, {"my": "rate"}, roles) == role


def test_an_alias_counts_for_more_than_any_other_reading() -> None:
    """A part may call its rate pin OUT, and its trigger NC; whole names count before bare ones."""
    assert role_of("OUT", {"out": "rate"}, ("output", "rate")) == "rate"
    assert role_of("NC", {"nc": "trigger"}, ("trigger",)) == "trigger"
    assert role_of("OUT2", {"out": "output", "out2": "rate"}, ("output", "rate")) == "rate"
    assert role_of("OUT2", {"out": "output"}, ("rate",)) == "output"
    assert alias_table({"rate": ("RT", "Rset"), "output": ("Q",)}) == {
        "rt": "rate",
        "rset": "rate",
        "q": "output",
    }


def test_a_header_may_name_roles_that_the_part_has_not() -> None:
    """Of a timing part they contradict it; of a helper a foreign name says nothing."""
    parts = parse_parts(TWO).by_name
    header = ("VDD", "OUT", "STRAP", "x", "NC", "SPEED")
    assert roles_of_header(header, parts["ONE"]) == ("supply", "output", "strap", None, "nc", "rate")
    assert roles_of_header(header, parts["REG"]) == ("supply", "output", None, None, "nc", None)
    assert roles_of_header(("IN", "FB", "SELECT", "TRIG"), parts["ONE"]) == (None, None, None, "trigger")
