"""EDIF 2 0 0: the forms that board files use become elements with nets, values and parts."""

import pytest

from drc.circuit.model import Circuit
from drc.netlist.edif import read_edif
from drc.netlist.source import decode
from drc.trouble import InputError

BOARD = """(EDIF fog_board (edifVersion 2 0 0) (edifLevel 0) (keywordMap (keywordLevel 0))
 (external PARTS (edifLevel 0) (technology (numberDefinition))
  (cell RES (cellType GENERIC) (view v (viewType NETLIST)
   (interface (port &1 (direction INOUT)) (port &2 (direction INOUT)))))
  (cell HA10 (cellType GENERIC) (view v (viewType NETLIST) (interface
    (port VDD) (port CFG) (port OUT) (port GND) (port (rename RT_ "RT")) (port EN)))))
 (library WORK (edifLevel 0) (technology (numberDefinition))
  (cell FILTER (cellType GENERIC) (view v (viewType NETLIST)
   (interface (port A) (port B))
   (contents
    (instance R1 (viewRef v (cellRef RES (libraryRef PARTS))) (property VALUE (string "10R")))
    (net N1 (joined (portRef A) (portRef &1 (instanceRef R1))))
    (net N2 (joined (portRef B) (portRef &2 (instanceRef R1)))))))
  (cell TOP (cellType GENERIC) (view v (viewType NETLIST)
   (interface)
   (contents
    (Instance I7 (viewRef v (cellRef RES (libraryRef PARTS))) (designator (stringDisplay "R7"))
      (property (rename V_1 "Value") (string (stringDisplay "4k7"))) (property TOL (string "1%")))
    (instance (rename U_1 "U1") (viewRef v (cellRef HA10 (libraryRef PARTS))))
    (instance F1 (viewRef v (cellRef FILTER)))
    (net (rename N_33V "+3.3V") (joined (portRef VDD (instanceRef U_1)) (portRef B (instanceRef F1))
      (portRef EN (instanceRef U_1))))
    (net VIN (joined (portRef A (instanceRef F1)) (portRef &1 (instanceRef I7))))
    (net GND (joined (portRef GND (instanceRef U_1))))
    (net n%65%x (joined (portRef RT_ (instanceRef U_1)) (portRef &2 (instanceRef I7))))))))
 (design D (cellRef TOP (libraryRef WORK))))
"""


def _read(text: str) -> Circuit:
    return read_edif(decode(text.encode(), "board.edf"))


def test_board_forms_are_read() -> None:
    """Designators, renames, displayed strings, digits behind &, external libraries and hierarchy are read."""
    circuit = _read(BOARD)
    assert circuit.troubles == ()
    seen = {e.path: (e.kind, tuple(n.name for n in e.nets), e.value, e.part) for e in circuit.elements()}
    assert seen == {
        "R7": ("R", ("VIN", "n%65%x"), 4700.0, "RES"),
        "U1": ("X", ("+3.3V", "U1.CFG", "U1.OUT", "GND", "n%65%x", "+3.3V"), None, "HA10"),
        "F1.R1": ("R", ("VIN", "+3.3V"), 10.0, "RES"),
    }
    block = circuit.element("U1")
    assert block is not None
    assert block.header == ("VDD", "CFG", "OUT", "GND", "RT", "EN")
    resistor = circuit.element("R7")
    assert resistor is not None
    assert resistor.reading.tolerance == (-0.01, 0.01)
    assert resistor.reading.token is not None
    assert BOARD[resistor.reading.token.start : resistor.reading.token.end] == "4k7"


def test_array_members_are_pins_of_their_own() -> None:
    """A member of an array port is a pin of its own, numbered as the file numbers it."""
    text = BOARD.replace("(port EN)", '(port (array (rename D "D[1:0]") 2))').replace(
        "(portRef EN (instanceRef U_1))", "(portRef (member D 1) (instanceRef U_1))"
    )
    block = _read(text).element("U1")
    assert block is not None
    assert block.header == ("VDD", "CFG", "OUT", "GND", "RT", "D[0]", "D[1]")
    assert [net.name for net in block.nets][-2:] == ["U1.D[0]", "+3.3V"]


def test_file_cut_short_is_said_and_the_rest_is_read() -> None:
    """A file that ends inside a form keeps what came before and says which form is open."""
    cut = BOARD[: BOARD.index("    (net GND")]
    circuit = _read(cut)
    assert circuit.element("R7") is not None
    assert "is not closed at the end of the file" in circuit.troubles[0].message


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("(edif x (edifVersion 4 0 0))", "found EDIF 4 0 0, expected"),
        ("(library x)", "found '(library ...', expected"),
        ("(edif x (edifVersion 2 0 0))", "holds no cell with instances"),
        ("nothing", "no form found"),
        ("(" * 5000, "forms nest deeper than 200"),
    ],
)
def test_what_is_no_board_is_refused(text: str, message: str) -> None:
    """A file that is no EDIF 2 0 0 netlist is refused in one line; nesting is bounded."""
    with pytest.raises(InputError) as caught:
        _read(text)
    assert message in caught.value.troubles[0].message


def test_cell_that_holds_itself_is_named() -> None:
    """A loop of cells is cut where it closes, and named."""
    text = BOARD.replace(
        "(cellRef RES (libraryRef PARTS))) (property VALUE", "(cellRef FILTER)) (property VALUE"
    )
    kinds = [trouble.kind for trouble in _read(text).troubles]
    assert "recursive-subcircuit" in kinds
