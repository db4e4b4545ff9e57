"""Names of parts and patterns that overlap, tables laid over each other, sections of a board."""

import pytest

from drc.blocks.find import find_blocks
from drc.blocks.parts import find_part, parse_parts
from drc.netlist.read import read_text
from drc.trouble import InputError

BASE = 'function = "oscillator"\npins = ["supply", "ground", "output", "rate"]\n'


def taken(*names: str) -> bool:
    """Whether parts of these names can stand side by side."""
    try:
        parse_parts("".join(f'[part."{name}"]\n{BASE}' for name in names))
    except InputError:
        return False
    return True


@pytest.mark.parametrize(
    ("names", "fit"),
    [
        (("A*", "B*"), True),
        (("A*1", "A*2"), True),
        (("A1*", "A2*"), True),
        (("*1", "*2"), True),
        (("A*B", "A*C"), True),
        (("AB*", "AC*", "A*"), True),
        (("A*1", "A*1"), False),
        (("A*X", "A*1*X"), False),
        (("*A*", "*B*"), False),
        (("A*BC", "A*C"), False),
    ],
)
def test_patterns_of_one_length_must_not_mean_one_name(names: tuple[str, ...], fit: bool) -> None:
    """Two patterns with as long a text before the star are refused where some name is both."""
    assert taken(*names) is fit


@pytest.mark.parametrize("length", [1, 99, 100, 101])
def test_a_part_name_has_up_to_100_characters(length: int) -> None:
    """100 are taken, 101 are not, and none with a blank at an end."""
    assert taken("N" * length) is (length <= 100)
    assert not taken("N" * (length - 1) + " ")


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("AX1B2C", True), ("A12C", True), ("A1C", True), ("A12BB2C", True), ("AB2C", False), ("A1B", False),
        ("1A1C", False), ("AC1", False),
    ],
)  # fmt: skip
def test_a_pattern_of_several_stars(name: str, found: bool) -> None:
    """`A*1*C`: its pieces in order, each with any run between, none included."""
    assert (find_part(parse_parts(f'[part."A*1*C"]\n{BASE}'), name) is not None) is found


def test_an_ending_that_is_no_package_is_told_of_the_part_itself() -> None:
    """PX-T9 is PX with an ending that it has not; QX-T9 is nobody's."""
    parts = parse_parts(f'[part.PX]\n{BASE}package.T1.pins = ["ground", "supply", "output", "rate"]\n')
    board = read_text("title\nV1 v 0 3\nXU1 0 v o r PX-T9\nXU2 0 v o r QX-T9\nXU3 0 v o r PX-T1\nR1 r 0 1k\n")
    found = find_blocks(board, parts)
    (trouble,) = [t for t in found.troubles if t.kind == "package-unknown"]
    assert trouble.message.startswith("XU1: found part PX-T9, expected PX alone")
    assert "(T1)" in trouble.message
    assert [block.path for block in found.blocks if block.found_by == "part"] == ["XU3"]


def test_a_section_of_the_board_with_a_known_part_inside_is_no_part() -> None:
    """Its pin names may look like a timing block's: what stands inside is found, the section is not."""
    parts = parse_parts(f"[part.PX]\n{BASE}")
    inside = ".subckt STAGE vdd gnd out rt\n{}\n.ends\n"
    board = "title\nV1 v 0 3\nX1 v 0 o r STAGE\nX2 v 0 o2 r2 STAGE\nR1 r 0 1k\n" + inside
    with_part = find_blocks(read_text(board.format("XU1 vdd gnd out rt PX")), parts)
    without = find_blocks(read_text(board.format("R5 vdd out 1k")), parts)
    assert [b.path for b in with_part.blocks if b.found_by == "part"] == ["X1.XU1", "X2.XU1"]
    assert not [b.path for b in with_part.blocks if b.path in ("X1", "X2")]
    assert not [b.path for b in without.blocks if b.found_by == "part"]


def test_thresholds_over_levels_and_levels_over_thresholds() -> None:
    """What lies over says it another way: the inherited one goes; both together over it stay."""
    base = f'[part.P]\n{BASE.replace("rate", "strap")}strap = {{ levels = 4 }}\n[part.Q]\nlike = "P"\n'
    over = parse_parts(base + "strap = { thresholds = [0.2, 0.6] }\n").by_name["Q"].strap
    assert over is not None
    assert (over.levels, over.thresholds) == (3, (0.2, 0.6))
    both = parse_parts(base + "strap = { thresholds = [0.2, 0.6], levels = 3 }\n").by_name["Q"].strap
    assert both is not None
    assert (both.levels, both.thresholds) == (3, (0.2, 0.6))
    again = parse_parts(
        base.replace("levels = 4", "thresholds = [0.5]") + "strap = { levels = 8 }\n"
    ).by_name["Q"]
    assert again.strap is not None
    assert again.strap.levels == 8
