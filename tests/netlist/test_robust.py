"""Hostile and broken input: nothing but InputError comes out, and nothing hangs."""

from random import Random

import pytest

from drc.netlist.read import read_text
from drc.trouble import InputError
from tests.netlist.lines import broken_over_lines, element_line
from tests.netlist.world import LINES

CARDS = (
    ".subckt cell a b k=1",
    ".ends",
    ".ends cell",
    ".param RT=10k LN = 2*RT",
    ".param LN={RT}",
    ".func f(x) {x*2}",
    ".if (RT > 1)",
    ".elseif (RT==2)",
    ".else",
    ".endif",
    ".model DX D(is=1f bv={RT})",
    ".model X ako:DX D",
    ".global vdd",
    ".control",
    ".endc",
    ".include nothing.inc",
    ".lib tt",
    ".endl",
    ".lib x tt",
    ".end",
    ".title x",
    ".data a",
    ".enddata",
    "X1 p q cell k={f(RT)}",
    "* remark",
    "*@ expect X1 frequency 1kHz",
    "",
    "+ more",
    "*.x",
)


def _deck(random: Random) -> str:
    """A small deck of good, odd and broken lines."""
    lines = ["title"]
    for _ in range(random.randrange(1, 14)):
        kind = random.random()
        line = (
            random.choice(CARDS)
            if kind < 0.4
            else random.choice(LINES)
            if kind < 0.5
            else element_line(random)
        )
        lines.append(broken_over_lines(line, random) if random.random() < 0.1 else line)
    return random.choice(("\n", "\n", "\r\n", "\r")).join(lines)


def _mutated(text: str, random: Random) -> str:
    """The text with a few characters taken out, put in or doubled."""
    for _ in range(random.randrange(6)):
        at = random.randrange(len(text) + 1)
        kind = random.random()
        if kind < 0.3:
            text = text[:at] + text[at + random.randrange(1, 9) :]
        elif kind < 0.8:
            text = text[:at] + random.choice("{}()'\"=,;$+*./\\ \t\n\r\x0c\x00\x1aé?:1kM") + text[at:]
        else:
            text = text[:at] + text[max(at - 12, 0) :]
    return text


def _look_at_everything(text: str) -> None:
    """Reads a text and asks for all that a circuit can tell."""
    circuit = read_text(text)
    circuit.dump()
    for element in circuit.elements():
        assert (element.reading, element.waveform, element.model, element.header, element.place) is not None
        assert circuit.element(element.path) is not None
    for net in circuit.nets():
        pins = net.pins()
        assert pins
        assert all(pin.element.nets[pin.position] == net for pin in pins)
        assert circuit.net(net.name) is not None or net.name.startswith("?")
    assert sum(1 for _ in circuit.elements()) == circuit.element_count
    assert sum(1 for _ in circuit.nets()) <= circuit.net_count
    for trouble in circuit.troubles:
        assert trouble.message
        assert "\n" not in trouble.message
        assert trouble.place.column <= len(trouble.excerpt) + 1


@pytest.mark.parametrize("seed", range(8))
def test_no_text_breaks_the_reader(seed: int) -> None:
    """Whatever stands in a file, the reader refuses it as a whole or reads it, and every view answers."""
    random = Random(seed)
    refused = 0
    for _ in range(120):
        text = _mutated(_deck(random), random)
        try:
            _look_at_everything(text)
        except InputError as error:
            refused += len(error.troubles)
    assert refused < 120


@pytest.mark.parametrize(
    "text",
    [
        "R1 a b 10k " + "w " * 5000,
        "R1 a b w " + "x y% " * 5000,
        "R1 a b " + "{" * 5000,
        "R1 a b " + "'a" * 5001,
        "R1 a b " + ",a" * 5000,
        "V1 a b PWL(" + "0,1 " * 5000 + ")",
        "R1 a b\n" + "\n" * 5000 + "+ 10k",
        "R1 a b\n" + "+ tc=1\n" * 5000,
        "R1 a b {" + "(" * 5000 + "1" + ")" * 5000 + "}",
        "X1 " + "n " * 5000 + "HA10",
        ".if (1)\nR1 a b 1\n.else\n" * 500,
        ".subckt s a b\n" * 500,
        "R1 a b \\\n" * 5000,
        ".func f(x) {g(x)}\n.func g(x) {f(x)}\nR1 a b {f(1)}",
        ".param a={b} b={c} c={a}\nR1 a b {a}",
    ],
)
def test_lines_made_to_hang_are_read_at_once(text: str) -> None:
    """Long runs of words, braces, quotes, brackets, blank and open lines are read at once."""
    circuit = read_text(f"title\n{text}\n")
    assert all(element.reading is not None for element in circuit.elements())


BEYOND_ASCII = "\u0130\u0131\u017f\u212a\u00df\ufb01\u00e9\u03a9"
"""Letters whose capital is an ASCII letter, or two of them, or that a case-blind pattern takes for one."""


@pytest.mark.parametrize("letter", BEYOND_ASCII)
def test_a_letter_beyond_ascii_is_no_element_letter(letter: str) -> None:
    """The line is told, and the next one is read."""
    circuit = read_text(f"title\n{letter}1 a b 1k\nR2 a 0 1k\n.end\n")
    assert [element.path for element in circuit.elements()] == ["R2"]
    assert [trouble.kind for trouble in circuit.troubles] == ["unreadable-line"]
