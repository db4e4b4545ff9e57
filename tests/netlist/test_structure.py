"""Subcircuits, parameters, functions, conditions, sections, scripts: what counts and in which scope."""

import pytest

from drc.circuit.model import Circuit
from drc.netlist.read import read_text
from tests.netlist.decks import LINES


def _read(*lines: str) -> Circuit:
    return read_text("\n".join(("title", *lines, "")))


def _value(circuit: Circuit, path: str) -> float | None:
    element = circuit.element(path)
    assert element is not None, path
    return element.value


def _kinds(circuit: Circuit) -> list[str]:
    return [trouble.kind for trouble in circuit.troubles]


def test_nested_definitions_are_local() -> None:
    """A subcircuit within another is seen from there alone, and hides one of its name outside."""
    circuit = _read(
        ".subckt inner a b",
        "R1 a b 1",
        ".ends",
        "X1 p q outer",
        "X2 p q inner",
        ".subckt outer a b",
        ".subckt inner a b",
        "R1 a b 2",
        ".ends inner",
        "X1 a b inner",
        ".ends outer",
    )
    assert _value(circuit, "X1.X1.R1") == 2
    assert _value(circuit, "X2.R1") == 1


def test_defaults_and_overrides() -> None:
    """An instance's own parameters beat the header's; with `params:` or without; in any letter case."""
    circuit = _read(
        "X1 a b cell",
        "X2 a b cell r=2k",
        "X3 a b cell PARAMS: R = {3*k}",
        ".param K=1000",
        ".subckt cell p q params: r=1k",
        "R1 p q {R}",
        ".ends",
    )
    assert [_value(circuit, f"X{i}.R1") for i in (1, 2, 3)] == [1000, 2000, 3000]


def test_parameters_come_in_any_order() -> None:
    """A parameter may hang on one that is defined after it, and after its use."""
    circuit = _read("R1 a b {RT}", ".param RT={2*HALF}", ".param HALF = 5 k = 1")
    assert _value(circuit, "R1") == 10


def test_parameters_of_a_subcircuit_are_its_own() -> None:
    """A `.param` within a subcircuit holds there alone and hides the board's."""
    circuit = _read(
        ".param w=1", "R1 a b {w}", "X1 a b c", ".subckt c a b", ".param w=2", "R1 a b {w}", ".ends"
    )
    assert (_value(circuit, "R1"), _value(circuit, "X1.R1")) == (1, 2)


def test_a_value_in_braces_points_at_the_parameters_own_definition() -> None:
    """An edit of `{RT}` must change the `.param`: that is where the reading's token stands."""
    text = "title\n.param RT=47k ; the timing resistor\nR1 a b {RT}\nX1 a b c k={RT}\n"
    text += ".subckt c a b k=1\nR1 a b {k}\n.ends\n"
    circuit = read_text(text)
    for path in ("R1", "X1.R1"):
        element = circuit.element(path)
        assert element is not None
        token = element.reading.token
        assert token is not None
        assert (token.start, token.text) == (text.index("47k"), "47k")


@pytest.mark.parametrize(
    ("expression", "value"),
    [
        ("1+2*3", 7),
        ("(1+2)*3", 9),
        ("2**3", 8),
        ("-2^2", -4),
        ("10/4", 2.5),
        ("7%4", 3),
        ("1k/2", 500),
        ("min(3,2)", 2),
        ("max(3,2,5)", 5),
        ("sqrt(16)", 4),
        ("abs(-2)", 2),
        ("exp(0)", 1),
        ("log(1)", 0),
        ("pow(2,5)", 32),
        ("int(2.9)", 2),
        ("3>2 ? 10 : 20", 10),
        ("3<2 ? 10 : 20", 20),
        ("1==1", 1),
        ("!0", 1),
        ("f(3)", 9),
        ("g(2,3)", 8),
        ("1 && 0 || 1", 1),
        ("log10(1000)", 3),
        ("5 != 5", 0),
    ],
)
def test_expressions_have_the_usual_arithmetic(expression: str, value: float) -> None:
    """Arithmetic, comparison, the ternary and functions, the netlist's own among them."""
    circuit = _read(f"R1 a b {{{expression}}}", ".func f(x) {x*x}", ".param g(x, y) = {x + 2*y}")
    assert _value(circuit, "R1") == pytest.approx(value)


def test_quotes_and_bare_expressions_are_expressions_too() -> None:
    """`'...'` is an expression; on a `.param` line one may stand without braces."""
    circuit = _read(".param a = 2 * 3 b='a+1'", "R1 a b '2*a'", "R2 a b {b}", "R3 a b R='a'", "R4 a b b")
    assert [_value(circuit, f"R{i}") for i in (1, 2, 3, 4)] == [12, 7, 6, 7]


def test_what_has_no_value_says_why() -> None:
    """Undefined parameters, loops and division by zero give no value, a reason, and a finding."""
    circuit = _read("R1 a b {nix}", "R2 a b {l1}", ".param l1={l2} l2={l1}", "R3 a b {1/0}", "R4 a b {1+}")
    elements = list(circuit.elements())
    assert [element.value for element in elements] == [None] * 4
    assert "no definition" in elements[0].reading.because
    assert "hangs on itself" in elements[1].reading.because
    found = {trouble.kind: trouble for trouble in circuit.troubles}
    assert (found["undefined-parameter"].place.line, found["undefined-parameter"].place.column) == (2, 9)
    assert found["unreadable-expression"].place.line == 6


def test_a_source_whose_value_stands_for_nothing_is_a_finding() -> None:
    """A name that nothing defines and a form without its levels are told where they stand."""
    circuit = _read("V1 a 0 abc", "V2 b 0 DC abc", "V3 c 0 PULSE(0 top {nix})", "I1 d 0 PULSE(0)")
    found = [(trouble.kind, trouble.place.line, trouble.place.column) for trouble in circuit.troubles]
    unknown = "undefined-parameter"
    assert sorted(found, key=lambda place: place[1:]) == [
        (unknown, 2, 8), (unknown, 3, 11), (unknown, 4, 16), (unknown, 4, 21), ("unreadable-expression", 5, 1)
    ]  # fmt: skip
    assert [element.value for element in circuit.elements()] == [None] * 4
    good = (
        "V1 a 0 level",
        "V2 b 0 AC 1",
        "V3 c 0 DC=3 Rser=1",
        "V4 d 0 PWL FILE=wave.txt",
        "V5 e 0 PAT(1 0)",
        "V6 f 0",
    )
    assert not _read(*good, ".param level=3").troubles


def test_deep_expressions_and_chains_are_refused_in_one_line() -> None:
    """Brackets and references beyond the limit give no value and no traceback."""
    chain = [f".param p{i}={{p{i + 1}}}" for i in range(300)]
    circuit = _read("R1 a b {" + "(" * 500 + "1" + ")" * 500 + "}", "R2 a b {p0}", *chain, ".param p300=1")
    assert [element.value for element in circuit.elements()] == [None, None]
    long_sum = "+".join(["1"] * 5000)
    assert _value(_read(f"R1 a b {{{long_sum}}}"), "R1") == 5000


def test_conditions_choose_lines() -> None:
    """Of `.if`, `.elseif` and `.else` one branch counts, nested ones within it; parameters may come later."""
    circuit = _read(
        ".if (which == 1)",
        "R1 a b 1",
        ".elseif (which == 2)",
        "R2 a b 2",
        ".if (0)",
        "R4 a b 4",
        ".else",
        "R5 a b 5",
        ".endif",
        ".else",
        "R3 a b 3",
        ".endif",
        "R6 a b 6",
        ".param which=2",
    )
    assert [element.path for element in circuit.elements()] == ["R2", "R5", "R6"]
    assert not circuit.troubles


def test_conditions_left_open_or_without_value_are_named() -> None:
    """A condition that is never closed, one without its `.if`, and one that has no value are findings."""
    assert _kinds(_read(".if (1)", "R1 a b 1")) == ["unclosed-condition"]
    assert _kinds(_read(".else", "R1 a b 1")) == ["unreadable-line"]
    circuit = _read(".if (nix > 1)", "R1 a b 1", ".endif", "R2 a b 1")
    assert _kinds(circuit) == ["undefined-parameter"]
    assert [element.path for element in circuit.elements()] == ["R2"]


def test_scripts_and_data_are_skipped() -> None:
    """`.control` up to `.endc` and `.data` up to `.enddata` are no elements, plain though they look."""
    circuit = _read(
        ".control",
        "let r 1 2 3",
        "R7 a b 1k",
        ".endc",
        "R1 a b 1",
        ".data d",
        "x1 y2 z3",
        ".enddata",
        "R2 a b 1",
    )
    assert [element.path for element in circuit.elements()] == ["R1", "R2"]
    assert _kinds(_read("R1 a b 1", ".control", "R2 a b 1")) == ["unclosed-block"]


def test_analysis_cards_say_nothing_and_unknown_ones_are_noted() -> None:
    """Cards that steer a simulation are passed over; one that nobody knows is a note."""
    assert not _read(
        ".tran 1n 1u", ".temp 27", ".options reltol=1e-3", ".ic v(a)=0", ".print tran v(a)"
    ).troubles
    (trouble,) = _read(".frobnicate a b").troubles
    assert (trouble.kind, trouble.level) == ("unknown-card", "note")


@pytest.mark.parametrize(
    ("lines", "kind", "line", "other"),
    [
        (("R1 a b 1", "r1 c d 2"), "duplicate-name", 3, 2),
        ((".subckt c a", ".ends", ".subckt C b", ".ends"), "duplicate-subcircuit", 4, 2),
        ((".param w=1", ".param W=2"), "duplicate-parameter", 3, 2),
        ((".model m d(is=1)", ".model M d(is=2)"), "duplicate-model", 3, 2),
        ((".subckt c a", ".ends d"), "wrong-ends", 3, 2),
        (("X1 a b c", ".subckt c p", "R1 p 0 1", ".ends"), "pin-count", 2, 3),
    ],
)
def test_contradictions_name_both_places(lines: tuple[str, ...], kind: str, line: int, other: int) -> None:
    """Two definitions of one thing are one finding that names both places."""
    (trouble,) = _read(*lines).troubles
    assert (trouble.kind, trouble.place.line) == (kind, line)
    assert [place.line for place in trouble.others] == [other]


def test_both_of_two_elements_of_one_name_stay() -> None:
    """Duplicates are reported and none is lost."""
    assert [element.value for element in _read("R1 a b 1", "r1 c d 2").elements()] == [1, 2]


def test_cards_that_change_the_board_are_never_passed_over() -> None:
    """`.connect` joins nets and is named with them; what follows `.alter` is another board and left out."""
    circuit = _read("R1 a b 1", ".connect a c", ".alter", "R2 a b 1")
    assert _kinds(circuit) == ["unread-connection", "left-out"]
    assert circuit.troubles[0].nets == ("a", "c")
    assert circuit.element_count == 1


def test_stray_ends_and_continuations_are_named() -> None:
    """What closes or continues nothing is a finding at its place."""
    assert _kinds(_read(".ends")) == ["stray-ends"]
    assert _kinds(_read("+ 1k", "R1 a b 1")) == ["stray-continuation"]


def test_annotations_are_handed_on_untouched() -> None:
    """The text behind `*@` comes with its place, wherever it stands; other comments do not."""
    circuit = _read("*@ expect XU3 frequency 10kHz +/- 3% ; so", "R1 a b 1", "* plain", " *@supply vbat 3V")
    assert [a.text for a in circuit.annotations] == [
        " expect XU3 frequency 10kHz +/- 3% ; so",
        "supply vbat 3V",
    ]
    assert [(a.place.line, a.place.column) for a in circuit.annotations] == [(2, 3), (5, 4)]


def test_columns_come_from_the_original_text() -> None:
    """Places count characters of the text as written, tabs and signs beyond ASCII included."""
    circuit = read_text("tïtle\r\n\tR1 a b 1k\r\n* µµ\r\nR2 a b\r\n+  {nix}\r\n")
    element = circuit.element("R1")
    assert element is not None
    assert (element.place.line, element.place.column, element.place.length) == (2, 2, 2)
    (trouble,) = circuit.troubles
    assert (trouble.place.line, trouble.place.column, trouble.place.length) == (5, 5, 3)
    assert trouble.excerpt == "+  {nix}"


def test_decks_of_many_dialects_are_read_without_a_finding() -> None:
    """Lines as the dialects of the family write them are all accepted, and every view answers."""
    circuit = _read(*LINES.strip().split("\n"))
    assert not circuit.troubles
    assert circuit.element_count > 80
    assert all(element.reading.because or element.value is not None for element in circuit.elements())


def test_every_letter_keeps_its_nets() -> None:
    """All letters of the family are read; those without meaning for timing keep all their nets."""
    lines = {
        "A1 [a b] ~c gate": "abc",
        "B1 a b V=V(c)": "ab",
        "C1 a b 1n": "ab",
        "D1 a b DX": "ab",
        "E1 a b c d 2": "abcd",
        "F1 a b V1 2": "ab",
        "G1 a b POLY(1) c d 0 1": "abcd",
        "H1 a b V1 2": "ab",
        "I1 a b 1": "ab",
        "J1 a b c JX": "abc",
        "K1 L1 L2 0.9": "",
        "L1 a b 1u": "ab",
        "M1 a b c d MX w=1u": "abcd",
        "N1 a b c NX": "abc",
        "O1 a b c d OX": "abcd",
        "P1 a b c PX": "abc",
        "Q1 a b c QX 2": "abc",
        "Q2 a b c d QX": "abcd",
        "R1 a b 1": "ab",
        "S1 a b c d SX": "abcd",
        "T1 a b c d Z0=50": "abcd",
        "U1 a b c UX": "abc",
        "V1 a b 1": "ab",
        "W1 a b V1 WX": "ab",
        "X1 a b c XX": "abc",
        "Y1 a b c YX": "abc",
        "Z1 a b c ZX": "abc",
        "J2 a b c d CONN": "abcd",
    }
    circuit = _read(*lines)
    assert not circuit.troubles
    found = {e.path: "".join(net.name for net in e.nets) for e in circuit.elements()}
    assert found == {line.split()[0]: nets for line, nets in lines.items()}


def test_u_and_x_are_integrated_circuits_alike() -> None:
    """U and X take a definition or none; the name is found behind any number of nodes."""
    circuit = _read(
        "U1 a b cell", "XU2 a b c d e f g h HA10 k=1", "U3 a HA10", ".subckt cell p q", "R1 p q 1k", ".ends"
    )
    assert [e.path for e in circuit.elements()] == ["U1.R1", "XU2", "U3"]
    assert [e.part for e in circuit.elements()] == [None, "HA10", "HA10"]
