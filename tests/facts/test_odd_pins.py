"""Parts of a pin list may have any number of pins: every question about the board still has an answer."""

from pathlib import Path

import pytest

from drc.blocks.find import find_blocks
from drc.blocks.parts import parse_parts
from drc.facts.book import Book
from drc.facts.catalogue import ENTRIES, open_book
from drc.facts.model import Unknown
from drc.intent.read import read_statements
from drc.netlist.read import read_circuit
from tests.facts.chain_boards import GATES
from tests.facts.strap_boards import PLAIN

Listed = tuple[str, str, str, dict[str, str]]

BOARD: tuple[Listed, ...] = (
    ("R1", "22k", "", {"1": "vdd", "2": "cfg"}),
    ("R2", "10k", "", {"1": "cfg", "2": "0"}),
    ("R3", "100k", "", {"1": "rt", "2": "0"}),
    ("XU1", "", "PL1", {str(k + 1): net for k, net in enumerate(["vdd", "cfg", "out", "0", "rt", "vdd"])}),
    ("Q5", "", "NS", {"C": "c", "B": "out", "E": "0"}),
    ("L5", "1m", "", {"1": "vdd", "2": "c"}),
)


def listed(folder: Path, *parts: Listed) -> Book:
    """The book of a board read from a list of pins, at 4 V on vdd."""
    lines = ["designator,pin,net,value,part"]
    for name, value, part, nets in (*BOARD, *parts):
        lines += [f"{name},{pin},{net},{value},{part}" for pin, net in nets.items()]
    path = folder / "board.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    circuit = read_circuit(path, folder)
    return open_book(find_blocks(circuit, parse_parts(PLAIN + GATES)), read_statements("supply vdd 4V", "x"))


def numbered(name: str, *nets: str) -> Listed:
    """A part of so many numbered pins."""
    return name, "1u", "LED_X", {str(k): net for k, net in enumerate(nets, start=1)}


@pytest.mark.parametrize("letter", "RCLDQM")
def test_any_number_of_pins_leaves_every_question_an_answer(letter: str, tmp_path: Path) -> None:
    """A part of one pin, and of three, on each net of the block and of its load."""
    for net in ("out", "c", "vdd"):
        for nets in ((net,), (net, "far", "0"), ("far", net, "0")):
            of = listed(tmp_path, numbered(f"{letter}9", *nets))
            for entry in ENTRIES:
                for subject in of.subjects(entry.subject):
                    found = of.fact(subject, entry.name)
                    assert found.name == entry.name
                    assert not isinstance(found.value, Unknown) or found.value.because


@pytest.mark.parametrize("letter", "RCLDQM")
def test_a_part_of_one_pin_carries_nothing(letter: str, tmp_path: Path) -> None:
    """It bypasses and lights nothing, and works no load; but it is there."""
    of = listed(tmp_path, numbered(f"{letter}9", "out"), numbered(f"{letter}8", "vdd"))
    (block,) = of.subjects("block")
    for name, value in (("output.bare_led", "none"), ("output.used", True), ("load.inverted", False)):
        assert of.fact(block, name).value == value
    bypass = of.fact(block, "supply.bypass").span
    assert bypass is not None
    assert bypass.high == 0
