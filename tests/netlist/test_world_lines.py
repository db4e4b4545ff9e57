"""The lines that break readers of netlists, each with the reading that an engineer would give it."""

import pytest

from drc.circuit.model import Circuit, Element
from drc.intent.match import matches
from drc.intent.model import Signal
from drc.intent.read import read_annotations
from drc.netlist.options import ReadOptions
from drc.netlist.read import read_text
from drc.trouble import InputError, Trouble


def _read(*lines: str) -> Circuit:
    return read_text("\n".join(("title", *lines, "")))


def _element(circuit: Circuit, path: str) -> Element:
    found = circuit.element(path)
    assert found is not None, path
    return found


def _nets(circuit: Circuit, path: str) -> list[str]:
    return [net.name for net in _element(circuit, path).nets]


def _only(circuit: Circuit, kind: str) -> Trouble:
    found = [trouble for trouble in circuit.troubles if trouble.kind == kind]
    assert len(found) == 1, circuit.troubles
    return found[0]


def test_a_reference_that_begins_with_plus_is_not_glued() -> None:
    """`+12V1 GND VIN /12V REG12` is a finding with its nets, and the line before keeps its own words."""
    circuit = _read("R1 a b 1k", "+12V1 GND VIN /12V REG12")
    trouble = _only(circuit, "unreadable-line")
    assert trouble.place.line == 3
    assert trouble.nets == ("GND", "VIN", "/12V", "REG12")
    assert _element(circuit, "R1").value == 1000


def test_a_semicolon_within_a_name_is_no_comment() -> None:
    """`;` begins a comment only at a line's start or after white space."""
    circuit = _read(";1 Net-;1-Pad1 col11 KEY", "X7 Net-;1-Pad1 col11 KEY ; a key")
    assert circuit.element_count == 1
    assert _nets(circuit, "X7") == ["Net-;1-Pad1", "col11"]
    assert _element(circuit, "X7").part == "KEY"


@pytest.mark.parametrize("line", ["47Kohm6 a b R", "2Q7000 c b e", "-12V1 a b"])
def test_a_name_without_element_letter_is_reported(line: str) -> None:
    """A line whose name begins with no letter is a finding, and the next line is read."""
    circuit = _read(line, "R1 a b 1k")
    trouble = _only(circuit, "unreadable-line")
    assert trouble.excerpt == line
    assert (trouble.place.line, trouble.place.column, trouble.place.length) == (
        2,
        1,
        len(line.split(maxsplit=1)[0]),
    )
    assert trouble.nets == tuple(line.split()[1:])
    assert circuit.element_count == 1


def test_a_net_name_with_blanks_gives_no_value() -> None:
    """A net name with spaces shifts the words: the value is none, the words' nets are named."""
    circuit = _read("R3 /Power and glue/RES GND 3.3k")
    assert _element(circuit, "R3").value is None
    assert set(_only(circuit, "unreadable-value").nets) == {"/Power", "and", "glue/RES", "GND", "3.3k"}


def test_each_question_mark_is_a_pin_of_its_own() -> None:
    """Two `?` of one line are two nets that go nowhere."""
    circuit = _read("P8 GND ? /CLK ?")
    nets = _element(circuit, "P8").nets
    assert [net.is_ground for net in nets] == [True, False, False, False]
    assert nets[1] != nets[3]
    assert [len(net.pins()) for net in nets] == [1, 1, 1, 1]


def test_a_capital_m_on_a_resistor_is_reported_with_both_readings() -> None:
    """`1M` is a milliohm by the rule of the language, and the finding names the megohm too."""
    circuit = _read("R4 n1 gate 1M")
    assert _element(circuit, "R4").value == 1e-3
    message = _only(circuit, "milli-or-mega").message
    assert "0.001 ohm" in message
    assert "1e+06 ohm" in message


@pytest.mark.parametrize(("choice", "value"), [("milli", 1e-3), ("mega", 1e6)])
def test_settings_choose_what_a_capital_m_is(choice: str, value: float) -> None:
    """With the choice made the value follows it, and nothing is reported."""
    options = ReadOptions(m_means="mega" if choice == "mega" else "milli")
    circuit = read_text("title\nR4 n1 gate 1M\n", options=options)
    assert _element(circuit, "R4").value == value
    assert not circuit.troubles


@pytest.mark.parametrize(
    ("line", "value"),
    [
        ("R5 a b 1M2", 1.2e6),
        ("C5 a b 0u1", 1e-7),
        ("R5 a b 4k7", 4700.0),
        ("R5 a b 2R2", 2.2),
        ("R5 a b 0R", 0.0),
    ],
)
def test_a_letter_stands_for_the_decimal_point(line: str, value: float) -> None:
    """IEC 60062: the letter stands at the decimal point and gives the scale."""
    assert _element(_read(line), line.split(maxsplit=1)[0]).value == value


def test_a_capital_m_of_a_parameter_is_reported_and_chosen_too() -> None:
    """A resistor that takes `1M` from a parameter follows the same choice, and the parameter is reported."""
    text = "title\n.param RT=1M\nR1 a b {RT}\n"
    circuit = read_text(text)
    assert _only(circuit, "milli-or-mega").place.line == 2
    assert _element(circuit, "R1").value == 1e-3
    assert _element(read_text(text, options=ReadOptions(m_means="mega")), "R1").value == 1e6


def test_prose_is_no_value() -> None:
    """`Open / 300K if linear` is no value, and a finding."""
    circuit = _read("R7 a b Open / 300K if linear")
    assert _element(circuit, "R7").value is None
    assert _only(circuit, "unreadable-value").level == "warning"


@pytest.mark.parametrize(
    ("line", "value", "rating", "token"),
    [
        ("C1 a b 100µF/450V", 1e-4, "450V", "100µF"),
        ("C1 a b 100μF/450V", 1e-4, "450V", "100μF"),
        ("C1 a b 22uF, 10V", 22e-6, "10V", "22uF"),
        ("C1 a b 4,7 uF", 4.7e-6, "", "4,7 uF"),
        ("C1 a b 0,1u", 1e-7, "", "0,1u"),
        ("R1 a b 10kΩ", 1e4, "", "10kΩ"),
        ("R1 a b 10k\u2126", 1e4, "", "10k\u2126"),
    ],
)
def test_ratings_commas_and_unit_signs(line: str, value: float, rating: str, token: str) -> None:
    """A rating, a decimal comma and a unit sign are read; the token is the value alone."""
    reading = _element(_read(line), line.split(maxsplit=1)[0]).reading
    assert reading.value == pytest.approx(value, rel=1e-12)
    assert reading.rating == rating
    assert reading.token is not None
    assert reading.token.text == token


def test_dollar_is_name_comment_or_attribute_by_what_stands_round_it() -> None:
    """`$N_0002` is a node, `$[CP]` an attribute to drop, `$ load` a comment."""
    circuit = _read("X_U2 0 $N_0002 Vcc $N_0007 PART", "CC1 a b 1p $[CP]", "R1 a b 1k $ load")
    assert _nets(circuit, "X_U2") == ["0", "$N_0002", "Vcc", "$N_0007"]
    assert _element(circuit, "CC1").value == 1e-12
    assert _element(circuit, "R1").value == 1000
    assert not circuit.troubles


def test_a_continuation_after_a_data_comment_belongs_to_the_comment() -> None:
    """`+ gnd!` after `*.GLOBAL vdd!` continues the comment, not the element before it."""
    circuit = _read("R1 a b 1k", "*.GLOBAL vdd!", "+ gnd!", "R2 a b 1k")
    assert _element(circuit, "R1").reading.value == 1000
    assert circuit.element_count == 2
    assert not circuit.troubles


def test_a_continuation_after_a_plain_comment_belongs_to_the_line_before() -> None:
    """Comment and blank lines between a line and its continuation change nothing."""
    circuit = _read("R1 a b", "* a remark", "", "+ 1k")
    assert _element(circuit, "R1").value == 1000


def test_a_slash_parts_nodes_and_cell() -> None:
    """`XI3 a b c / cell` has three nodes."""
    circuit = _read("XI3 a b c / cell")
    assert _nets(circuit, "XI3") == ["a", "b", "c"]
    assert _element(circuit, "XI3").part == "cell"


def test_a_parameter_is_bound_to_the_outer_one_of_its_name() -> None:
    """`_k=_k` on an instance hands the outer parameter in."""
    circuit = _read(
        ".param _k=3", "x1<1> VDD o<1> o<2> cell _k=_k", ".subckt cell p a b _k=1", "R1 a b {_k}", ".ends"
    )
    assert _nets(circuit, "x1<1>.R1") == ["o<1>", "o<2>"]
    assert _element(circuit, "x1<1>.R1").value == 3


def test_another_language_is_named_once() -> None:
    """Lines of a language with nodes in brackets are reported once for the file, and keep their nets."""
    circuit = _read("V2 (vb 0) vsource dc=vb type=dc // bias", "R2 (a b) resistor r=1k")
    assert _only(circuit, "foreign-language").place.line == 2
    assert _nets(circuit, "V2") == ["vb", "0"]
    assert _element(circuit, "R2").value == 1000


def test_odd_names_are_legal() -> None:
    """Names of one odd character and nets with signs in them are read as they stand."""
    circuit = _read("v* * 0 1", "v+ + 0 2", "R1 a_232_47# o<3> 1k", "R2 N$12 net@7 1k")
    assert _nets(circuit, "v*") == ["*", "0"]
    assert _element(circuit, "v+").value == 2
    assert _nets(circuit, "R1") == ["a_232_47#", "o<3>"]
    assert _nets(circuit, "R2") == ["N$12", "net@7"]
    assert not circuit.troubles


def test_exponent_and_suffix_may_stand_together() -> None:
    """`650000u` is 0.65, `1e+06u` is 1."""
    circuit = _read("R1 a b 650000u", "R2 a b 1e+06u")
    assert [element.value for element in circuit.elements()] == [0.65, 1.0]


def test_a_model_may_read_as_a_number() -> None:
    """`d2 t2 0 1n47002` names the model `1n47002`."""
    circuit = _read(".model 1n47002 d(is=1.3f)", "d2 t2 0 1n47002")
    model = _element(circuit, "d2").model
    assert model is not None
    assert model.kind == "d"
    assert model.parameters == {"is": 1.3e-15}


def test_brackets_of_a_model_may_run_over_lines() -> None:
    """A model's bracket opens on one line and closes on a continuation."""
    circuit = _read(".MODEL QP PNP (BF=20", "+ TR=159N)", "Q1 c b e QP")
    model = _element(circuit, "Q1").model
    assert model is not None
    assert model.parameters == {"bf": 20.0, "tr": 159e-9}


def test_a_subcircuit_may_be_indented() -> None:
    """A whole subcircuit indented by a blank is read."""
    circuit = _read(" .subckt ind a b", " R1 a b 1k", " .ends", "X1 p q ind")
    assert [element.path for element in circuit.elements()] == ["X1.R1"]


def test_gnd_is_ground_without_a_node_0() -> None:
    """A board that writes gnd and never 0 has its ground."""
    circuit = _read("Vdd vdd gnd DC 1.8")
    assert circuit.ground is not None
    assert circuit.ground.name == "gnd"
    assert circuit.net("0") == circuit.ground or circuit.net("gnd") == circuit.ground


def test_latin_1_lone_returns_and_long_lines_are_read() -> None:
    """Raw Latin-1 bytes, lone carriage returns and a line of more than a million characters are read."""
    long_line = "* " + "x" * 1_300_050
    circuit = read_text("title\rR1 a b 1k\r* caf\udce9\r" + long_line + "\rR2 a b 2k")
    assert [element.value for element in circuit.elements()] == [1000, 2000]


def test_after_the_end_anything_may_follow() -> None:
    """Text after `.end` is no netlist and no finding."""
    circuit = _read("R1 a b 1k", ".end", "Best regards", "47 words", "R2 a b 1k", "X1 a b c d")
    assert circuit.element_count == 1
    assert not circuit.troubles


@pytest.mark.parametrize("title", ["A test of .OPTIONS", "MOSdriver 24 inch", "R1 a b 1k", ""])
def test_line_1_is_always_the_title(title: str) -> None:
    """The first line of the top file is its title, even where it looks like an element."""
    circuit = read_text(f"{title}\nR2 a b 1k\n")
    assert circuit.title == title
    assert circuit.element_count == 1


def test_a_title_that_reads_as_an_element_is_noted() -> None:
    """Whoever forgot the title line loses an element: a note says so; titles in prose earn none."""
    assert _kinds("R1 a b 1k") == ["title-like-element"]
    assert not _kinds("R1 and R2 in a divider")


def _kinds(title: str) -> list[str]:
    return [trouble.kind for trouble in read_text(f"{title}\nR2 a b 1k\n").troubles]


def test_a_leading_card_of_a_library_counts() -> None:
    """A dot card on line 1 is no title: libraries begin so."""
    circuit = read_text(".subckt cell a b\nR1 a b 1k\n.ends\nX1 p q cell\n")
    assert [element.path for element in circuit.elements()] == ["X1.R1"]


def test_an_environment_variable_in_a_path_is_a_finding() -> None:
    """A variable in an include's path is never expanded from the environment."""
    trouble = _only(_read('.lib "$ROOT/models/x.lib" tt'), "include-variable")
    assert "$ROOT/models/x.lib" in trouble.message


def test_errors_of_subcircuits_name_both_places() -> None:
    """Duplicate ports name both places; a nameless `.subckt` and a missing `.ends` are errors."""
    circuit = _read(
        ".SUBCKT AND 1 2 1 2", ".ends", ".subckt", "R1 a b 1", ".ends", ".subckt open a b", "R1 a b 1"
    )
    doubled = [trouble for trouble in circuit.troubles if trouble.kind == "duplicate-port"]
    assert [(t.place.column, t.others[0].column) for t in doubled] == [(17, 13), (19, 15)]
    assert _only(circuit, "unnamed-subcircuit").place.line == 4
    assert _only(circuit, "unclosed-subcircuit").place.line == 7


def test_coefficients_initial_values_and_tables_are_read() -> None:
    """`TC=0,0`, `IC=0` and a TABLE law are no findings."""
    circuit = _read("R_R1 1 2 1k TC=0,0", "C_C2 0 n 3n IC=0", "E1 out 0 TABLE {V(a,b)} = (-1u,0) (1u,15)")
    assert not circuit.troubles
    assert _element(circuit, "R_R1").reading.tempco == (0.0, 0.0)
    assert _element(circuit, "C_C2").value == pytest.approx(3e-9)
    assert _nets(circuit, "E1") == ["out", "0"]


@pytest.mark.parametrize(
    ("text", "seems"),
    [
        ("library (cells) {\n delay_model : table_lookup;\n}\n", "a cell timing library"),
        ("DEVICE-LIBRARY Version 2.3\nDEF R R 0 0 N Y 1 F N\n", "a symbol library"),
        ("/* driver */\n#include <stdio.h>\nint main(void) { return 0; }\n", "C source"),
        ("(sheet (version 1)\n (parts (part R1)))\n", "an S-expression file"),
        ('{"nets": []}\n', "a JSON file"),
        ("<?xml version='1.0'?>\n<a/>\n", "an XML or HTML file"),
        ("", "empty"),
        ("\n \n", "empty"),
        ("\x7fELF\x00\x01\x02\x00\x00\x00\x01\x00\x02\x00", "a binary file"),
    ],
)
def test_what_only_has_a_netlists_name_is_refused_in_one_line(text: str, seems: str) -> None:
    """A file that is no netlist is refused as a whole, and one line says what it seems to be."""
    with pytest.raises(InputError) as caught:
        read_text(text)
    (trouble,) = caught.value.troubles
    assert seems in trouble.message
    assert "\n" not in trouble.message


def test_scale_is_met() -> None:
    """A hundred lines that flatten to twenty thousand elements, eight deep, are counted without expanding."""
    lines = [".subckt l0 a b", *(f"R{i} a b 1k" for i in range(20)), ".ends"]
    for level in range(1, 8):
        lines += [f".subckt l{level} a b", *(f"X{i} a b l{level - 1}" for i in range(3)), ".ends"]
    circuit = _read(*lines, "X1 p q l7")
    assert circuit.element_count == 20 * 3**7
    assert circuit.net_count == 2


def test_a_name_that_an_editor_made_up_of_a_pin_is_one_net() -> None:
    """`Net-(R1-Pad1)` on R, D, X and `.subckt` lines; said once that a simulator reads the file otherwise."""
    circuit = _read(
        "R1 Net-(R1-Pad1) /amp/Net-(U1-THR) 10k",
        "D1 Net-(R1-Pad1) unconnected-(J1-Pin_3-Pad3) DX ; Net-(not this)",
        "X1 Net-(R1-Pad1)",
        "+ 0 CELL",
        ".subckt CELL Net-(a) b",
        "R2 Net-(a) b 1k",
        ".ends",
        "V1 Net-(R1-Pad1) 0 PULSE(0 3 0 1u 1u 1m 2m)",
        "*@ signal Net-(R1-Pad1) 0V .. 3V",
    )
    assert _nets(circuit, "R1") == ["Net-(R1-Pad1)", "/amp/Net-(U1-THR)"]
    assert _nets(circuit, "D1") == ["Net-(R1-Pad1)", "unconnected-(J1-Pin_3-Pad3)"]
    assert _nets(circuit, "X1.R2") == ["Net-(R1-Pad1)", "0"]
    waveform = _element(circuit, "V1").waveform
    assert waveform is not None
    assert waveform.levels == (0.0, 3.0)
    notes = [trouble for trouble in circuit.troubles if trouble.kind == "bracketed-net-name"]
    assert [(note.place.line, note.level) for note in notes] == [(2, "note")]
    (statement,) = read_annotations(circuit.annotations).statements
    assert isinstance(statement, Signal)
    assert matches(statement.net, "Net-(R1-Pad1)")


@pytest.mark.parametrize(
    "line",
    [
        "V1 a 0 SIN(0 1 1k)",
        "R1 a(b) 0 1k",
        "R1 a-(b c) 0 1k",
        "R1 a-(b)c 0 1k",
        "R1 -(b) 0 1k",
        "B1 a 0 V=v(b)-(1)",
    ],
)
def test_other_brackets_part_words_as_ever(line: str) -> None:
    """Nothing but a name, `-`, and one word in brackets up to a blank is taken for a net's name."""
    circuit = _read(line)
    assert all("(" not in net for element in circuit.elements() for net in _nets(circuit, element.path))
