"""What must not change what a board is: line order, letter case, continuations, comments, flattening."""

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drc.netlist.edit import edited
from drc.netlist.read import read_text

_CELL = (".subckt cell p q k=1", "Rp p m {k*1k}", "Cm m q 100n", "XU m q vdd HA10", ".ends")
_LINES = (
    "V1 vdd 0 DC 5",
    "R1 vdd strap 10k",
    "R2 strap 0 4k7 1%",
    "C1 strap 0 100nF",
    "XU3 vdd strap out 0 rt HA10",
    "R3 rt 0 {RT}",
    "D1 out led DX",
    "Q1 led out 0 QX",
    "M1 a b 0 0 NX w=1u l={LN}",
    "X1 a b cell",
    "X2 b out cell k=2",
    ".param RT=47k LN=2u",
    ".model DX D(is=1f)",
    ".global vdd",
    "V2 trig 0 PULSE(0 5 0 1u 1u 1m 2m)",
    "L1 a b 10u",
)


def _dump(lines: list[str]) -> str:
    return _lines_of("\n".join(["title", *lines, ""]))


def _lines_of(text: str) -> str:
    """The canonical lines of a board, letter case apart."""
    return "\n".join(sorted(read_text(text).dump().lower().split("\n")))


_EXPECTED = _dump([*_LINES, *_CELL])


@given(st.permutations(_LINES), st.integers(0, len(_LINES)))
def test_the_order_of_lines_changes_nothing(lines: list[str], at: int) -> None:
    """Lines may come in any order, the subcircuit anywhere among them."""
    assert _dump([*lines[:at], *_CELL, *lines[at:]]) == _EXPECTED


@given(
    st.lists(st.sampled_from([str.lower, str.upper, str.title]), min_size=len(_LINES), max_size=len(_LINES))
)
def test_letter_case_changes_nothing(cases: list[object]) -> None:
    """Names, suffixes and cards may be written in any case (the capital M of resistors apart)."""
    lines = [case(line) for case, line in zip(cases, _LINES, strict=True) if callable(case)]
    assert _dump([*lines, *(line.upper() for line in _CELL)]) == _EXPECTED


@given(st.integers(0, 10**9))
def test_continuations_comments_and_line_ends_change_nothing(seed: int) -> None:
    """A line may be broken anywhere between words, with remarks between, in any line end."""
    random = Random(seed)
    joints = (" ", "  ", "\t", "\n+ ", "\n+", "\n* note\n+ ", "\n\n+ ", " ; note\n+ ", " \\\n")
    lines = []
    for line in (*_LINES, *_CELL):
        words = line.split(" ")
        lines.append(
            "".join(w + random.choice(joints) for w in words[:-1])
            + words[-1]
            + random.choice(("", " ; x", " $ x"))
        )
        lines += random.choice(([], ["* remark"], [""], ["; remark"]))
    text = "\n".join(["title", *lines, ""]).replace("\n", random.choice(("\n", "\r\n", "\r")))
    assert _lines_of(text) == _EXPECTED


@given(st.randoms(use_true_random=False))
def test_renaming_nets_renames_nets_alone(random: Random) -> None:
    """With every net renamed the same elements stand on the same nets under their new names."""
    nets = {
        "strap": "n$7",
        "out": "Net-(1)",
        "rt": "x[3]",
        "led": "/led",
        "a": "a_232_47#",
        "b": "o<3>",
        "trig": "9",
    }
    chosen = {old: new for old, new in nets.items() if random.random() < 0.5}
    before = read_text("\n".join(["title", *_LINES, *_CELL, ""]))
    lines = [
        " ".join([w[0], *(chosen.get(x, x) for x in w[1:])]) for w in (line.split(" ") for line in _LINES)
    ]
    after = read_text("\n".join(["title", *lines, *_CELL, ""]))
    for one, other in zip(before.elements(), after.elements(), strict=True):
        assert [chosen.get(net.name, net.name) for net in one.nets] == [net.name for net in other.nets]
        assert (one.path, one.value, one.part) == (other.path, other.value, other.part)


def test_hierarchical_and_flattened_by_hand_are_one_board() -> None:
    """A board flattened by hand has the same elements on the same nets with the same values."""
    flat = [line for line in _LINES if not line.startswith(("X1", "X2"))]
    flat += ["Rx1 a x1.m 1k", "Cx1 x1.m b 100n", "XU1 x1.m b vdd HA10"]
    flat += ["Rx2 b x2.m 2k", "Cx2 x2.m out 100n", "XU2 x2.m out vdd HA10"]

    def rows(lines: list[str]) -> list[tuple[str, tuple[str, ...], float | None, str | None]]:
        circuit = read_text("\n".join(["title", *lines, ""]))
        return sorted(
            (e.kind, tuple(net.name.lower() for net in e.nets), e.value, e.part) for e in circuit.elements()
        )

    assert [repr(row) for row in rows(flat)] == [repr(row) for row in rows([*_LINES, *_CELL])]


@settings(max_examples=60)
@given(st.integers(0, 10**9))
def test_an_edit_of_any_value_changes_that_value_alone(seed: int) -> None:
    """Every token of every reading can be replaced: the new value is read, every other byte stays."""
    random = Random(seed)
    end = random.choice(("\n", "\r\n", "\r"))
    text = end.join(["tïtle µ", *random.sample(_LINES, len(_LINES)), *_CELL, ""])
    encoding = random.choice(("utf-8", "utf-8-sig", "utf-16", "latin-1"))
    board = read_text(text)
    element = random.choice([e for e in board.elements() if e.kind in "RCL" and e.reading.token is not None])
    token = element.reading.token
    assert token is not None
    expected = text[: token.start] + "123" + text[token.end :]
    assert edited(text.encode(encoding), [(token, "123")]) == expected.encode(encoding)
    changed = read_text(expected).element(element.path)
    assert changed is not None
    assert changed.value == pytest.approx(123)
