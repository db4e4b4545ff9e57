"""Lists of parts to be replaced: how they are read, and what they put on a board."""

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drc.gate.swap_list import read_swap_list, row_for
from drc.outcome import BoardSwap
from drc.trouble import InputError
from tests.gate.swapping import by_list, only
from tests.gate.test_swap import HA10, stating


def read(folder: Path, text: str | bytes) -> list[tuple[str, str | None, str | None, str | None]]:
    """The rows of a list: element, old part, part, value."""
    path = folder / "list.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    rows = read_swap_list(path, "list.csv")
    return [(row.element.text, row.old.text if row.old else None, row.part, row.value) for row in rows]


def test_columns_are_known_by_their_headings(tmp_path: Path) -> None:
    """Columns stand in any order, under any of their names, parted by commas, semicolons or tabs."""
    assert read(tmp_path, "element,part,value\nXU1,BR10,\nR3,,73.2k\n") == [
        ("XU1", None, "BR10", None),
        ("R3", None, None, "73.2k"),
    ]
    assert read(tmp_path, "new part;old part;Designator\nBR10;HA10;*\n") == [("*", "HA10", "BR10", None)]
    assert read(tmp_path, b"\xef\xbb\xbfElement\tPart\r\nXU*\tBR10\r\n") == [("XU*", None, "BR10", None)]


@pytest.mark.parametrize(
    ("text", "line", "column", "words"),
    [
        ("", 0, 1, "empty"),
        ("element,part\n", 1, 1, "no row below its heading"),
        ("part,value\nBR10,\n", 1, 1, "no column for the element"),
        ("element,part\n,BR10\n", 2, 2, "names no element"),
        ("element,part,value\nXU1,,\n", 2, 1, "neither a part nor a value"),
        ("element,part\nXU1,BR10 or so\n", 2, 5, "found 'BR10 or so', expected one word"),
        ("element,part\nXU1,BR10\nxu1,BR20\n", 3, 1, "listed twice"),
    ],
)
def test_a_wrong_list_is_refused_at_its_place(
    text: str, line: int, column: int, words: str, tmp_path: Path
) -> None:
    """Whatever is wrong with a list is told with file, line and column."""
    with pytest.raises(InputError) as caught:
        read(tmp_path, text)
    trouble = caught.value.troubles[0]
    assert (trouble.place.path, trouble.place.line, trouble.place.column) == ("list.csv", line, column)
    assert words in trouble.message


WORDS = st.text('element,part;"\n XU1\t\\\0', max_size=60).map(str.encode)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.one_of(st.binary(max_size=60), WORDS))
def test_whatever_a_list_holds_it_is_read_or_refused(text: bytes, tmp_path: Path) -> None:
    """No content of a list raises anything but a refusal that names the file."""
    places = ["list.csv"]
    try:
        read(tmp_path, text)
    except InputError as error:
        places = [trouble.place.path for trouble in error.troubles]
    assert set(places) == {"list.csv"}


def test_everything_wrong_is_told_at_once(tmp_path: Path) -> None:
    """Two wrong rows are two troubles."""
    with pytest.raises(InputError) as caught:
        read(tmp_path, "element,part\n,BR10\nXU1,\n")
    assert len(caught.value.troubles) == 2


def test_an_exact_name_comes_before_a_pattern(tmp_path: Path) -> None:
    """A row that names an element is its own, wherever it stands; else the first pattern that means it."""
    path = tmp_path / "list.csv"
    path.write_text("element,old part,part\nXU*,HA10,A1\n*,,A2\nxu7,,A3\n")
    rows = read_swap_list(path, "list.csv")
    parts = [
        row_for(rows, name, part)
        for name, part in (("XU7", "HA10"), ("XU1", "ha10"), ("XU1", "HA20"), ("X1.XU2", "HA10"))
    ]
    assert [row.part for row in parts if row] == ["A3", "A1", "A2", "A1"]


def after(board: BoardSwap) -> list[tuple[str, str]]:
    """Path and part of each block after the swap."""
    return [(pair.after.block.path, pair.after.block.part.name) for pair in board.blocks if pair.after]


def test_rows_that_mean_nothing_are_told_and_untouched_boards_counted(tmp_path: Path) -> None:
    """A board that no row means is left out and counted; a row that means nothing on any board is told."""
    review = by_list(tmp_path, "element,part\nXU1,HA20\nXU9,HA10\n", one=HA10.replace("XU1", "XU3"), two=HA10)
    assert [board.before.path for board in review.boards] == ["two.cir"]
    assert review.untouched == 1
    assert [note for note in review.notes if "swaps.csv:3:1" in note and "XU9" in note]


def test_a_list_that_means_nothing_at_all_is_refused(tmp_path: Path) -> None:
    """A list of which no row means anything is a mistake in it, and told as one."""
    with pytest.raises(InputError, match="no row of the list"):
        by_list(tmp_path, "element,part\nXU9,BR10\n", one=HA10)


def test_a_value_is_replaced_too(tmp_path: Path) -> None:
    """HA10's period is prescale * R * 12.5e-12 s: 204k in place of 200k at 1000 gives 2.55 ms, 392.157 Hz."""
    board = only(by_list(tmp_path, "element,part,value\nR3,,204k\n", one=HA10))
    found = next(each for each in board.blocks[0].changes if each.name == "timing.frequency")
    assert found.after is not None
    assert found.after.span is not None
    assert found.after.span.middle == pytest.approx(392.157, rel=1e-5)
    assert "R3 200 kohm -> 204 kohm" in found.because


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("XU1,,10k", "takes no value"),
        ("R3,,many", "found 'many'"),
        ("R3,RX100,", "not written as text"),
    ],
)
def test_what_cannot_be_put_on_a_board_is_told(row: str, words: str, tmp_path: Path) -> None:
    """A value for a part, a value that is none, a part for a bare resistor: the board says what is wrong."""
    board = only(by_list(tmp_path, f"element,part,value\n{row}\n", one=HA10))
    assert board.after.error is not None
    assert words in board.after.error


STAGE = """Two stages of one drawing
*@ supply VDD 3.2V .. 3.4V
*@ ambient 20degC .. 30degC
*@ assume R* tolerance 1%, tempco 100ppm
*@ assume C* tolerance 20%
V1  VDD 0 3.3
C1  VDD 0 1u
XA  VDD OUTA STAGE
XB  VDD OUTB STAGE
R4  OUTA 0 22k
R5  OUTB 0 22k
.subckt STAGE VDD OUT
R1  VDD CFG 56.2k
R2  CFG 0   143k
R3  RT  0   200k
XU1 VDD CFG OUT 0 RT VDD HA10
.ends
.end
"""


def test_a_part_in_a_shared_drawing_is_replaced_in_every_instance(tmp_path: Path) -> None:
    """One instance named, all replaced, since they are one text: and it is told which others."""
    board = only(by_list(tmp_path, "element,part\nXA.XU1,BR10\n", one=STAGE))
    assert after(board) == [("XA.XU1", "BR10"), ("XB.XU1", "BR10")]
    assert [note for note in board.notes if "XB.XU1" in note and "replaced too" in note]


def test_two_parts_for_one_text_are_refused(tmp_path: Path) -> None:
    """Two instances of one drawing cannot take different parts."""
    board = only(by_list(tmp_path, "element,part\nXA.XU1,BR10\nXB.XU1,HA20\n", one=STAGE))
    assert "one and the same text" in (board.after.error or "")


HEADED = HA10.replace(
    "XU1 VDD CFG OUT 0 RT VDD HA10",
    ".subckt HA10 EN VDD RT CFG GND OUT\n.ends\nXU1 VDD VDD RT CFG 0 OUT HA10",
)
"""The same board drawn with a header: the nodes stand in the order of the drawing, not of the pads."""


def test_a_part_drawn_by_its_header_goes_on_the_old_one_s_pads(tmp_path: Path) -> None:
    """Whatever order a header draws the pins in, the new part's pins lie on the same pads as without it."""
    plain = only(by_list(tmp_path / "plain", "element,part\nXU1,BR10\n", one=HA10))
    headed = only(by_list(tmp_path / "headed", "element,part\nXU1,BR10\n", one=HEADED))
    both = only(
        by_list(
            tmp_path / "both",
            "element,part\nXU1,BR10\n",
            one=HEADED.replace("XU1 VDD VDD", ".subckt BR10 VS EN GND RATE STRAP OUT\n.ends\nXU1 VDD VDD"),
        )
    )
    pins = [
        {role: nets[0].name for role, nets in board.blocks[0].after.block.pins.items()}
        for board in (plain, headed, both)
        if board.blocks[0].after
    ]
    assert pins[0] == pins[1] == pins[2]
    assert pins[0]["supply"] == "RT"


PINS = """designator,pin,net,part,value
V1,1,VDD,,
V1,2,GND,,
R1,1,VDD,,56.2k
R1,2,CFG,,
R2,1,CFG,,143k
R2,2,GND,,
R3,1,RT,,200k
R3,2,GND,,
U1,1,VDD,,
U1,2,CFG,,
U1,3,OUT,,
U1,4,GND,,
U1,5,RT,,
U1,6,VDD,,
"""
BOM = "Reference,Part,Value\nR1,,56.2k\nU1,HA10,\n"


def test_a_part_that_the_bill_of_materials_gives_is_replaced_there(tmp_path: Path) -> None:
    """A pin list that names no parts takes them from its bill of materials, and so the new one."""
    board = only(by_list(tmp_path, "element,part\nU1,BR10\n", bom=BOM, one=PINS))
    assert after(board) == [("U1", "BR10")]


def test_a_part_that_a_pin_list_names_is_replaced_there(tmp_path: Path) -> None:
    """A pin list that names the part on one line is edited on that line."""
    board = only(
        by_list(tmp_path, "element,part\nU1,BR10\n", one=PINS.replace("U1,1,VDD,,", "U1,1,VDD,HA10,"))
    )
    assert after(board) == [("U1", "BR10")]


def test_a_part_written_on_many_lines_is_not_half_replaced(tmp_path: Path) -> None:
    """A pin list that repeats the part on each line is not edited on one of them: it is told instead."""
    repeated = re.sub(r"(?m)^(U1,.*),,$", r"\1,HA10,", PINS)
    board = only(by_list(tmp_path, "element,part\nU1,BR10\n", one=repeated))
    assert "not written as text" in (board.after.error or "")


def test_line_and_bill_are_both_replaced(tmp_path: Path) -> None:
    """Where both name the part, both are replaced: the two do not come to disagree."""
    bom = "Reference,Part,Value\nXU1,HA10,\n"
    board = only(by_list(tmp_path, "element,part\nXU1,HA20\n", bom=bom, one=HA10))
    assert not [ruling for ruling in board.gained if ruling.finding.rule == "material-disagrees"]


def test_a_row_of_the_bill_that_others_share_replaces_them_too_and_says_so(tmp_path: Path) -> None:
    """A row of the bill that stands for two designators is one text: the other is replaced, and told."""
    second = "R5 RT2 0 200k\nXU2 VDD CFG OUT2 0 RT2 VDD HA10\nR6 OUT2 0 22k\n.end"
    bom = 'Reference,Part\n"XU1, XU2",HA10\n'
    board = only(by_list(tmp_path, "element,part\nXU1,HA20\n", bom=bom, one=HA10.replace(".end", second)))
    assert [note for note in board.notes if "XU2" in note and "replaced too" in note]


def test_the_file_with_the_edits_is_the_whole_change(tmp_path: Path) -> None:
    """What is handed back goes from the file as it was to the new part with its values."""
    stated = stating(HA10, "expect XU1 frequency 400Hz +/- 6%")
    board = only(by_list(tmp_path, "element,part\nXU1,BR10\n", chopper=stated))
    (file,) = board.files
    assert file.path == "chopper.cir"
    assert file.before == stated
    (tmp_path / "made.cir").write_text(file.after)
    again = only(by_list(tmp_path, "element,part\nXU1,BR10\n", made=file.after))
    assert (again.verdict, again.edits) == ("drop-in", ())
