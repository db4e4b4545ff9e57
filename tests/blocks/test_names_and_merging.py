"""Names of parts and patterns that overlap, tables laid over each other, sections of a board."""

import pytest

from drc.blocks.find import find_blocks
from drc.blocks.parts import find_part, parse_parts, part_table
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


@pytest.mark.parametrize(
    ("pattern", "name", "found"),
    [
        ("A*B*B", "AB", False), ("A*B*B", "ABB", True), ("A*B*B", "ABXB", True), ("AB*BA", "ABA", False),
        ("AB*BA", "ABBA", True), ("A*BC*BC*D", "ABCD", False), ("A*BC*BC*D", "ABCBCD", True),
        ("A*BC*BC*D", "ABCBD", False), ("*", "", True), ("**", "X", True), ("*A", "A", True),
        ("A*", "a", True), ("*AB*", "AAB", True), ("*AB*", "BA", False),
    ],
)  # fmt: skip
def test_the_pieces_of_a_pattern_do_not_overlap(pattern: str, name: str, found: bool) -> None:
    """Each piece takes letters of its own: the end is not also the middle, nor the beginning the end."""
    assert (find_part(parse_parts(f'[part."{pattern}"]\n{BASE}'), name) is not None) is found


def test_a_part_of_two_endings_is_the_longest_that_is_known() -> None:
    """PX and PX-A with a package each: of PX-A-T1 the base is PX-A; an ending has at least a letter."""
    package = 'package.T1.pins = ["ground", "supply", "output", "rate"]\n'
    table = part_table(
        parse_parts(
            f'[part.PX]\n{BASE}{package}[part.PX-A]\n{BASE}{package.replace("T1", "B")}[part."*Z"]\n{BASE}'
        )
    )
    matches = {
        name: table.match(name) for name in ("PX-T1", "PX-A-B", "PX-A-T1", "PX-A", "PX-", "PX-C", "*Z-T1")
    }
    assert {name: match and (match.part.name, match.package) for name, match in matches.items()} == {
        "PX-T1": ("PX", "T1"), "PX-A-B": ("PX-A", "B"), "PX-A-T1": None, "PX-A": ("PX-A", ""), "PX-": None,
        "PX-C": None, "*Z-T1": None,
    }  # fmt: skip
    bases = {
        name: table.base_of(name) for name in ("PX-T1", "PX-A-T1", "PX-C", "PX-", "PXC", "*Z-T1", "QX-T1")
    }
    assert {name: base and base.name for name, base in bases.items()} == {
        "PX-T1": None, "PX-A-T1": "PX-A", "PX-C": "PX", "PX-": None, "PXC": None, "*Z-T1": None,
        "QX-T1": None,
    }  # fmt: skip
    assert (len(table), list(table)) == (3, ["PX", "PX-A", "*Z"])
    assert (table["px"].name, table["Px-a"].name) == ("PX", "PX-A")


def test_a_pattern_s_package_is_behind_any_sign() -> None:
    """Of a name that a pattern means, the longest base first; a pattern written out as a name is exact."""
    table = part_table(
        parse_parts(f'[part."C*"]\n{BASE}package.T1.pins = ["ground", "supply", "output", "rate"]\n')
    )
    for name, package in (
        ("CD", ""),
        ("CD-T1", "T1"),
        ("CD.t1", "T1"),
        ("CD-X/T1", "T1"),
        ("CT1", ""),
        ("C*", ""),
    ):
        match = table.match(name)
        assert match is not None
        assert (match.part.name, match.package) == ("C*", package)
    assert table.match("D-T1") is None


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
