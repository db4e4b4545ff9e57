"""How a netlist is written changes no fact: order, case, continuations, comments, nets' names, hierarchy."""

from random import Random

import pytest

from tests.facts.timing_boards import book, part, span

_PARTS = part("TP1", "oscillator")
_LINES = (
    "V1 vdd 0 3",
    "R1 vdd strap 30k",
    "R2 strap 0 {RS}",
    "C1 strap 0 10n",
    "R3 rt node 68k 1%",
    "R4 node 0 {2*RS}",
    "R5 node 0 100k tc=50u",
    "XU1 vdd strap out 0 rt TP1",
    "R6 out load 1k",
    "D1 load 0 DX",
    ".model DX D(is=1f)",
    ".param RS=10k",
)
_FACTS = (
    "strap.ratio",
    "strap.margin",
    "strap.source_resistance",
    "rate.resistance",
    "rate.current",
    "timing.period",
)
_NETS = {"strap": "n$7", "rt": "x[3]", "node": "a_232_47#", "load": "/led", "out": "net@1"}


def _facts(lines: list[str], path: str = "XU1") -> list[str]:
    """The facts of the block to the last digit, as text."""
    of = book("\n".join(lines), _PARTS, "ambient 0degC .. 60degC")
    return [repr(span(of, name, path)) for name in _FACTS]


_EXPECTED = _facts(list(_LINES))


@pytest.mark.parametrize("seed", range(6))
def test_how_lines_are_written_changes_no_fact(seed: int) -> None:
    """Shuffled, in another case, broken over lines, with remarks: the same facts to the last digit."""
    random = Random(seed)
    lines = []
    for line in random.sample(_LINES, len(_LINES)):
        words = random.choice((str.lower, str.upper, str))(line).split(" ")
        words[0] = "XU1" if words[0].upper() == "XU1" else words[0]
        joints = (" ", "  ", "\t", "\n+ ", "\n* note\n+ ", "\n\n+ ")
        lines += [words[0] + "".join(random.choice(joints) + word for word in words[1:]), "* remark"]
    assert _facts(lines) == _EXPECTED


@pytest.mark.parametrize("seed", range(4))
def test_the_names_of_nets_change_no_fact(seed: int) -> None:
    """Every net may be called otherwise."""
    random = Random(seed)
    names = {old: new for old, new in _NETS.items() if random.random() < 0.7}
    lines = [
        " ".join([w[0], *(names.get(x, x) for x in w[1:])]) for w in (line.split(" ") for line in _LINES)
    ]
    assert _facts(lines) == _EXPECTED


def test_hierarchy_changes_no_fact() -> None:
    """The same parts spread over nested subcircuits with parameters give the same facts to the last digit."""
    nested = [
        "V1 vdd 0 3",
        "X1 vdd out outer RS=10k",
        "R6 out load 1k",
        "D1 load 0 DX",
        ".model DX D(is=1f)",
        ".subckt outer p o RS=1",
        "R1 p strap 30k",
        "R2 strap 0 {RS}",
        "C1 strap 0 10n",
        "XU1 p strap o 0 rt TP1",
        "X2 rt rate RP={2*RS}",
        ".subckt rate r RP=1",
        "R3 r node 68k 1%",
        "R4 node 0 {RP}",
        "R5 node 0 100k tc=50u",
        ".ends",
        ".ends",
    ]
    assert _facts(nested, "X1.XU1") == _EXPECTED
