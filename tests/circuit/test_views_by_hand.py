"""Views of elements and nets by hand: spellings, tokens, what belongs to whom, what is not there."""

import pytest

from drc.circuit.model import Circuit, Net
from drc.netlist.read import read_text

TEXT = """title line
*@ ambient 0degC .. 50degC
.global Vcc
V1 vcc 0 5
R1 Mid vcc 1k tc1=1m
R2 MID gnd 2k
X1 mid out Cell
X2 out mid cell
D1 out 0 dx
.model DX d(is=1e-12)
.subckt Cell P q
R1 p Inner 1k
R2 INNER Q 2k
C1 inner VCC 1n
XZ inner q HOLLOW
.ends
.subckt hollow A B
.ends
.end
"""


@pytest.fixture
def board() -> Circuit:
    """A board of one cell placed twice, and a part of which only the header is known."""
    return read_text(TEXT)


def net(circuit: Circuit, name: str) -> Net:
    """A net that is there."""
    found = circuit.net(name)
    assert found is not None, name
    return found


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        ("MID", "Mid"),
        ("vcc", "vcc"),
        ("VCC", "vcc"),
        ("out", "out"),
        ("0", "0"),
        ("GND", "0"),
        ("x1.p", "Mid"),
        ("X1.Q", "out"),
        ("x2.P", "out"),
        ("X1.inner", "X1.Inner"),
        ("x2.INNER", "X2.Inner"),
        ("x1.vcc", "vcc"),
        ("X1.0", None),
        ("X1.gnd", None),
        ("X1.mid", None),
        ("X1.XZ.a", "X1.Inner"),
        ("X3.p", None),
        ("X1.", None),
        (".mid", None),
        ("x1", None),
        ("R1", None),
        ("", None),
        ("inner", None),
    ],
)
def test_a_net_by_any_of_its_names(board: Circuit, asked: str, name: str | None) -> None:
    """Named as its owner writes it first; by a port it is the net outside; what is not there is None.

    Ground and globals are asked for at the top; inside a cell only where the cell mentions them.
    """
    found = board.net(asked)
    assert (None if found is None else found.name) == name


def test_ground_is_the_same_under_every_name(board: Circuit) -> None:
    """Node 0 and gnd are one net, which prints as its first spelling; no other net is ground."""
    assert board.ground == net(board, "gnd") == net(board, "0")
    assert repr(board.ground) == "<net 0>"
    assert [found.name for found in board.nets() if found.is_ground] == ["0"]
    assert not net(board, "X1.inner").is_ground


def test_elements_tell_what_their_line_says(board: Circuit) -> None:
    """Kind, part, value, parameters, model, waveform and header, each None where the line has none."""
    told = {
        e.path: (e.kind, e.part, e.value, dict(e.parameters), e.model and e.model.kind, e.header)
        for e in board.elements()
    }
    rows: dict[str, object] = {
        "V1": ("V", None, 5.0, {}, None, None),
        "R1": ("R", None, 1e3, {"tc1": "1m"}, None, None),
        "R2": ("R", None, 2e3, {}, None, None),
        "D1": ("D", "dx", None, {}, "d", None),
    }
    for cell in ("X1", "X2"):
        rows[f"{cell}.R1"] = ("R", None, 1e3, {}, None, None)
        rows[f"{cell}.R2"] = ("R", None, 2e3, {}, None, None)
        rows[f"{cell}.C1"] = ("C", None, 1e-9, {}, None, None)
    assert told == rows
    waves = {e.path: e.waveform for e in board.elements()}
    assert [path for path, wave in waves.items() if wave is not None] == ["V1"]


def test_a_hollow_part_is_a_leaf_once_closed(board: Circuit) -> None:
    """Expanded, a subcircuit without elements is nothing; closed, it stands with header and pins."""
    assert board.element("X1.XZ") is None
    assert board.hollow == {"hollow"}
    closed = board.closed(lambda name: name in board.hollow)
    leaf = closed.element("x2.xz")
    assert leaf is not None
    assert (leaf.path, leaf.name, leaf.part, leaf.header) == ("X2.XZ", "X2.XZ", "HOLLOW", ("A", "B"))
    assert [found.name for found in leaf.nets] == ["X2.Inner", "Mid"]
    assert [(pin.element.path, pin.position) for pin in net(closed, "X1.inner").pins()] == [
        ("X1.R1", 1), ("X1.R2", 0), ("X1.C1", 0), ("X1.XZ", 0),
    ]  # fmt: skip
    assert closed.element_count == board.element_count + 2
    assert closed.net_count == board.net_count


def test_tokens_are_places_in_the_text(board: Circuit) -> None:
    """Where each node and the part name stand, so that an edit can change them; instances share a line."""
    for path in ("R1", "X1.R2", "X2.R2"):
        element = board.element(path)
        assert element is not None
        assert [TEXT[token.start : token.end] for token in element.pin_tokens] == [
            token.text for token in element.pin_tokens
        ]
    one, two = board.element("X1.R2"), board.element("X2.R2")
    assert one is not None
    assert two is not None
    assert one.pin_tokens == two.pin_tokens
    assert [token.text for token in one.pin_tokens] == ["INNER", "Q"]
    diode = board.element("D1")
    assert diode is not None
    assert diode.part_token is not None
    assert (diode.part_token.text, diode.place.line) == ("dx", 9)
    assert one.place.line == 13


def test_views_are_no_other_things(board: Circuit) -> None:
    """An element is no net and no text; two elements of one line in two instances are two."""
    things: list[object] = [
        board.element("X1.R1"), board.element("X2.R1"), net(board, "X1.inner"), "X1.R1", "X1.Inner", None,
    ]  # fmt: skip
    for k, one in enumerate(things):
        assert [one == other for other in things] == [k == j for j in range(len(things))]
    one, again = board.element("X1.R1"), board.element("x1.r1")
    assert len({one, board.element("X2.R1"), again, net(board, "mid"), net(board, "x1.p")}) == 3


def test_a_board_hands_on_what_was_read(board: Circuit) -> None:
    """Title, path, files, remarks and troubles, and all of them again once parts are closed."""
    closed = board.closed(lambda name: name == "Cell")
    for circuit in (board, closed):
        assert (circuit.title, circuit.path, circuit.troubles) == ("title line", "board.cir", ())
        assert [(note.text.strip(), note.place.line) for note in circuit.annotations] == [
            ("ambient 0degC .. 50degC", 2)
        ]
        assert circuit.files == board.files
        assert circuit.headers == {"Cell": ("P", "q"), "hollow": ("A", "B")}
    assert closed.headers == board.headers


def test_the_first_of_two_definitions_has_the_header() -> None:
    """A second of the same name is a trouble and changes nothing."""
    circuit = read_text("title\nX1 a b c\n.subckt c p q\nR1 p q 1\n.ends\n.subckt c r s\nR2 r s 1\n.ends\n")
    assert circuit.headers == {"c": ("p", "q")}
    assert [element.path for element in circuit.elements()] == ["X1.R1"]


def test_a_dump_is_a_line_an_element() -> None:
    """Sorted by path: nets, value to twelve digits, part, parameters by name; a dash for what is not."""
    circuit = read_text("title\nR2 a 0 1k tc2=3 tc1=2\nR1 b a {1/3}\nX1 a HA10\nD1 a b DX\n.end\n")
    assert circuit.dump() == (
        "D1 D a,b - DX\nR1 R b,a 0.333333333333 -\nR2 R a,0 1000 - tc1=2 tc2=3\nX1 X a - HA10\n"
    )


def test_a_path_is_read_in_every_way() -> None:
    """Dots may stand in names of instances and of what they hold; the board's own names come first."""
    circuit = read_text(
        "title\nX.1 a b cell\nX b c cell\nX.1.R.1 a b 1\n.subckt cell p q\nR.1 p q 1\nR1 p n.x 1\n.ends\n"
    )
    assert {e.path for e in circuit.elements()} == {"X.1.R.1", "X.1.R1", "X.R.1", "X.R1"}
    for path in ("X.1.R1", "X.R.1", "X.R1"):
        element = circuit.element(path.lower())
        assert element is not None
        assert element.path == path
    own = circuit.element("X.1.R.1")
    assert own is not None
    assert own.kind == "X"
    assert net(circuit, "x.1.n.x").name == "X.1.n.x"
    assert net(circuit, "X.N.X").name == "X.n.x"
