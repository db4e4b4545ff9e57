"""Pin lists and bills of materials: what their columns mean, and what is said of lines that cannot be."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.netlist.material_list import designators, disagreements, read_materials
from drc.netlist.pin_list import read_pin_list
from drc.netlist.read import read_circuit
from drc.netlist.source import Source, decode
from drc.trouble import InputError, Place, Trouble

BOARD = """Designator,Pin,Net,Value,Part
R1,1,VDD,130k,
R1,2,CFG,,
R2,1,CFG,68.1k,
R2,2,GND,,
U1,1,VDD,,HA10
U1,2,CFG,,
U1,3,OUT,,
U1,4,GND,,
U1,6,,,
D1,A,OUT,,LED_RED
D1,K,GND,,
"""


def _source(text: str, path: str = "board.csv") -> Source:
    return decode(text.encode(), path)


def test_pin_list_becomes_elements_in_pin_order() -> None:
    """Parts keep their pins by number, diodes anode first; a pin left out is on a net of its own."""
    circuit = read_pin_list(_source(BOARD))
    seen = {e.path: (e.kind, tuple(n.name for n in e.nets), e.value, e.part) for e in circuit.elements()}
    assert seen == {
        "R1": ("R", ("VDD", "CFG"), 130e3, None),
        "R2": ("R", ("CFG", "GND"), 68.1e3, None),
        "U1": ("X", ("VDD", "CFG", "OUT", "GND", "U1.5", "U1.6"), None, "HA10"),
        "D1": ("D", ("OUT", "GND"), None, "LED_RED"),
    }
    assert circuit.ground is not None
    assert circuit.ground.name == "GND"


def test_named_pins_are_a_header() -> None:
    """A part whose pins have names shows them as its header, so that roles can be found by name."""
    circuit = read_pin_list(_source("ref;pin;net;part\nU1;VDD;v;QX\nU1;GND;0;QX\nU1;RT;n;QX\n"))
    (element,) = circuit.elements()
    assert element.header == ("VDD", "GND", "RT")
    assert [net.name for net in element.nets] == ["v", "0", "n"]


@given(st.permutations(BOARD.splitlines()[1:]))
def test_order_of_lines_does_not_matter(lines: list[str]) -> None:
    """Any order of a pin list's lines gives the same connections."""
    wanted = {e.path: tuple(n.name for n in e.nets) for e in read_pin_list(_source(BOARD)).elements()}
    circuit = read_pin_list(_source("\n".join([BOARD.splitlines()[0], *lines])))
    assert {e.path: tuple(n.name for n in e.nets) for e in circuit.elements()} == wanted


def test_pin_on_two_nets_is_named_with_both() -> None:
    """A pin listed on two nets is an error that names pin, part and both nets."""
    circuit = read_pin_list(_source("Designator,Pin,Net\nR1,1,A\nR1,1,B\nR1,2,0\n"))
    (trouble,) = circuit.troubles
    assert (trouble.kind, trouble.place.line, trouble.place.column) == ("pin-twice", 3, 4)
    assert (
        trouble.message == "pin 1 of R1 is on net 'A' and on net 'B': a pin is on one net; the first is used"
    )


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "is empty: expected a header line"),
        (
            "Part,Pin,Node name\n",
            "no column for the designator: found 'Part', 'Pin', 'Node name', expected 'designator' or "
            "'reference' or 'refdes'; name it so, or map it in the settings",
        ),
    ],
)
def test_table_without_its_columns_is_refused(text: str, message: str) -> None:
    """A table that lacks a needed column is refused: what was found, what was expected, what to do."""
    with pytest.raises(InputError) as caught:
        read_pin_list(_source(text))
    assert caught.value.troubles[0].message == message


def test_material_of_a_range() -> None:
    """A range stands for each of its designators; percent, ppm and not-fitted columns are understood."""
    text = 'References,Value,Tol.,TCR,DNP\n"R1, R3-R5",4k7,1%,100ppm,\nC1,100n/50V,10,,DNP\n'
    materials, troubles = read_materials(_source(text, "bom.csv"))
    assert troubles == ()
    assert sorted(materials) == ["c1", "r1", "r3", "r4", "r5"]
    assert (materials["r4"].value, materials["r4"].tolerance) == (4700.0, (-0.01, 0.01))
    assert materials["r4"].tempco == pytest.approx(100e-6)
    assert materials["r4"].token is not None
    assert text[materials["r4"].token.start : materials["r4"].token.end] == "4k7"
    assert (materials["c1"].tolerance, materials["c1"].rating) == ((-0.1, 0.1), "50V")
    assert not materials["c1"].fitted


def test_capital_m_on_a_bill_of_materials_is_mega() -> None:
    """Nobody buys a milliohm timing resistor: 1M on a bill of materials is a megohm."""
    materials, _ = read_materials(_source("ref,value\nR1,1M\n"))
    assert materials["r1"].value == 1e6


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("R5-R1,1k,", "'R5-R1' is no range of designators: expected such as R3-R7, rising; write it out"),
        ("R1,none,", "the value of R1 is 'none', which is none: expected such as 4.7k or 100n"),
        ("R1,1k,loose", "'loose' is no tolerance: expected such as 1% or +/-5%"),
    ],
)
def test_lines_that_cannot_be_are_named(line: str, message: str) -> None:
    """What cannot be read on a line of a bill of materials is said in one line, and the rest is read."""
    materials, troubles = read_materials(_source(f"ref,value,tolerance\n{line}\nR9,2k,1%\n"))
    assert [t.message for t in troubles] == [message]
    assert materials["r9"].value == 2000.0


def test_disagreement_names_both_places() -> None:
    """A value that differs between netlist and bill of materials is a finding with both places."""
    circuit = read_pin_list(_source(BOARD))
    materials, _ = read_materials(_source("ref,value\nR1,120k\nR2,68.1k\nR7,1k\n", "bom.csv"))
    found = disagreements(circuit, materials)
    assert [(t.kind, str(t.place), [str(o) for o in t.others]) for t in found] == [
        ("material-disagrees", "bom.csv:2:1", ["board.csv:2:1"]),
        ("material-not-drawn", "bom.csv:4:1", []),
    ]
    assert found[0].message == (
        "R1 is 120 kohm in the bill of materials and 130 kohm in the netlist; "
        "the bill of materials is used: make the two agree"
    )


@given(st.lists(st.integers(1, 99), min_size=1, max_size=8, unique=True))
def test_designators_written_out_or_joined(numbers: list[int]) -> None:
    """A list of designators gives each of them once, whatever separates them."""
    troubles: list[Trouble] = []
    for separator in (",", " ", "; ", ",  "):
        text = separator.join(f"R{n}" for n in numbers)
        assert list(designators(text, troubles, Place("b"))) == [f"R{n}" for n in numbers]
    assert not troubles


@pytest.mark.parametrize(
    ("name", "text", "path"),
    [
        ("a.csv", BOARD, "U1"),
        ("a.net", "(edif b (edifVersion 2 0 0) (library L (cell C (view v (viewType NETLIST) (interface) "
         "(contents (instance U1)))))) ", "U1"),
        ("a.cir", "title\nU1 1 0 QX\n", "U1"),
    ],
)  # fmt: skip
def test_format_is_told_by_content(tmp_path: Path, name: str, text: str, path: str) -> None:
    """The same call reads a netlist, an EDIF file and a pin list, whatever the file is called."""
    (tmp_path / name).write_text(text)
    assert read_circuit(tmp_path / name, tmp_path).element(path) is not None


@pytest.mark.parametrize(
    ("pins", "nets"),
    [
        (("1", "0"), ["n0", "n1"]),
        (("3", "1"), ["n1", "n3"]),
        (("01", "1"), ["n01", "n1"]),
        (("1", "9" * 400), ["n1", "n" + "9" * 400]),
    ],
)
def test_a_part_of_two_pins_has_both_whatever_their_numbers(pins: tuple[str, ...], nets: list[str]) -> None:
    """A resistor keeps its two nets, and no third, where its pins are not numbered 1 and 2."""
    lines = "".join(f"R1,{pin},n{pin}\n" for pin in pins)
    (element,) = read_pin_list(_source("Designator,Pin,Net\n" + lines)).elements()
    assert element.kind == "R"
    assert [net.name for net in element.nets] == nets
