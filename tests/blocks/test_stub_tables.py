"""The table to fill in: which rating lines a part of these pins is asked for, and how names are written."""

import tomllib

import pytest

from drc.blocks.model import Block, Function, Part
from drc.blocks.parts import parse_parts
from drc.blocks.stub import part_file_stub
from tests.blocks.boards import board_of, only
from tests.blocks.test_wired_alike import TIMER, TIMER_LINE, alike

PINS: dict[Function, str] = {
    "oscillator": "supply ground output rate strap enable",
    "pulse-modulator": "supply ground output rate modulate",
    "one-shot": "supply ground output rate trigger",
    "edge-delay": "supply ground output rate signal",
    "rc-timer": "supply ground output trigger threshold discharge",
}
ASKED = {
    "oscillator": ["supply", "ambient", "rate", "timing", "strap", "codes", "output", "startup"],
    "pulse-modulator": ["supply", "ambient", "rate", "timing", "modulate", "output", "startup"],
    "one-shot": ["supply", "ambient", "rate", "timing", "trigger", "output", "startup"],
    "edge-delay": ["supply", "ambient", "rate", "timing", "signal", "output", "startup"],
    "rc-timer": ["supply", "ambient", "ladder", "discharge", "output", "startup"],
}


def block_of(function: Function) -> Block:
    """A block of that function, known by the pin names of its header."""
    pins = PINS[function]
    block = only(f".subckt new {pins}\n.ends\nXU3 {' '.join(f'w{k}' for k in range(len(pins.split())))} NEW")
    assert block.part.function == function
    return block


@pytest.mark.parametrize("function", PINS)
def test_each_function_is_asked_for_its_ratings(function: Function) -> None:
    """A comment line a table, in the order of a part file, and none that the part cannot have."""
    stub = part_file_stub(block_of(function))
    asked = [line[2:].partition("=")[0].strip() for line in stub.splitlines() if line.startswith("# ")]
    assert asked == ASKED[function]
    assert stub.endswith("\n")


@pytest.mark.parametrize("function", PINS)
def test_what_is_known_is_filled_in(function: Function) -> None:
    """As it stands the table is a part file that gives the part its function, pins and names."""
    block = block_of(function)
    stub = part_file_stub(block)
    part = parse_parts(stub).by_name["NEW"]
    assert (part.function, part.pins) == (function, block.part.pins)
    assert part.alias == {role: (role,) for role in PINS[function].split()}
    third = stub.splitlines()[3]
    assert third.startswith(f'function = "{function}"')
    assert third.index("#") == max(33, len(f'function = "{function}"'))
    assert third.endswith("# oscillator slow-oscillator pulse-modulator one-shot edge-delay rc-timer")


@pytest.mark.parametrize("function", PINS)
def test_the_ratings_are_keys_that_a_part_has(function: Function) -> None:
    """With every `?` a number or word, each comment line is read as TOML of a key that a part file knows."""
    lines = [line[2:] for line in part_file_stub(block_of(function)).splitlines() if line.startswith("# ")]
    filled = "\n".join(line.replace('"?"', '"x"').replace("?", "1") for line in lines)
    assert list(tomllib.loads(filled)) == ASKED[function]


def test_a_role_of_two_pins_has_both_names() -> None:
    """Names of one role stand in one list, in the order of the pins."""
    block = only(".subckt new VDD GND1 GND2 OUT RT EN\n.ends\nXU3 a b c d e f NEW")
    alias = tomllib.loads(part_file_stub(block))["part"]["NEW"]["alias"]
    assert alias == {
        "supply": ["VDD"], "ground": ["GND1", "GND2"], "output": ["OUT"], "rate": ["RT"], "enable": ["EN"],
    }  # fmt: skip


def test_what_is_not_known_is_a_question() -> None:
    """A part known by its connections alone: no names, `?` for the function and for pins that do not show."""
    block = alike(line="XU3 vdd s q 0 r x OPAQUE")
    assert block is not None
    table = tomllib.loads(part_file_stub(block))["part"]["OPAQUE"]
    assert (table.pop("title"), table.pop("source"), table.pop("function")) == ("", "", "?")
    assert table == {"pins": ["supply", "strap", "output", "ground", "rate", "?"]}
    (timer,) = board_of("\n".join(["V1 vcc 0 9", *TIMER, TIMER_LINE])).alike
    told = part_file_stub(timer)
    assert 'function = "rc-timer"' in told
    assert "# ladder " in told
    assert "# trigger" not in told


@pytest.mark.parametrize(
    "name", ["plain_1-X", "my.part", "a b", 'q"uote', "back\\slash", "\u00b5part", "tab\tbed", ""]
)
def test_any_name_is_a_key(name: str) -> None:
    """Bare where TOML takes it so, else in quotes with escapes; read back it is the name."""
    block = only("XU3 vdd s q 0 r e OSC")
    named = block._replace(part=Part(name, block.place, function="oscillator", pins=("supply",)))
    stub = part_file_stub(named)
    assert list(tomllib.loads(stub)["part"]) == [name]
    assert stub.splitlines()[0].isascii() or "\u00b5" in stub
    assert stub.splitlines()[0].isprintable()
    assert stub.startswith(f"[part.{name}]") == (name == "plain_1-X")


def test_a_header_that_does_not_fit_the_pins_gives_no_names() -> None:
    """Of another length than the pins it says nothing of them."""
    block = only(".subckt osc VDD CFG Q GND RT RUN\n.ends\nXU3 vdd s q 0 r e OSC")
    fewer = block._replace(part=block.part._replace(pins=block.part.pins[:5]))
    assert "alias" in part_file_stub(block)
    assert "alias" not in part_file_stub(fewer)
