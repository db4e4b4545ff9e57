"""Which block's output reaches which block's pin, and what lies between."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drc.facts.book import Book
from drc.facts.chains import chains
from drc.facts.model import Unknown
from tests.facts.chain_boards import block, chained, only, pair_fact, pairs

OSCILLATOR = block("U1", "TO1", "tick", "vdd")
ONE_SHOT = block("U2", "TS1", "pulse", "trg")


def between(way: str, pin: str = "trg") -> Book:
    """An oscillator's output `tick` and a one-shot's trigger, with a way between."""
    return chained(OSCILLATOR + block("U2", "TS1", "pulse", pin) + way)


@pytest.mark.parametrize(
    ("way", "through", "inverted"),
    [
        ("R1 tick trg 1k", ("R1",), False),
        ("R1 tick a 1k\nR2 a trg 1k\nC1 a 0 1n", ("R1", "R2"), False),
        ("L1 tick trg 1u", ("L1",), False),
        ("D1 tick trg DX\nR1 trg 0 10k", ("D1",), False),
        ("R1 tick b 10k\nQ1 trg b 0 NS\nR2 vdd trg 10k", ("R1", "Q1"), True),
        ("R1 tick b 10k\nQ1 trg b vdd PS\nR2 trg 0 10k", ("R1", "Q1"), True),
        ("R1 tick b 10k\nQ1 trg b e NS\nRE e 0 47\nR2 vdd trg 10k", ("R1", "Q1"), True),
        ("R1 tick b 10k\nQ1 vdd b trg NS\nR2 trg 0 10k", ("R1", "Q1"), False),
        ("M1 trg tick 0 0 MN\nR2 vdd trg 10k", ("M1",), True),
        ("M1 a tick 0 0 MN\nR2 vdd a 10k\nM2 trg a vdd vdd MP\nR3 trg 0 10k", ("M1", "M2"), False),
        ("XG1 tick trg vdd 0 TG1", ("XG1",), True),
        ("XG1 tick a vdd 0 TG1\nXG2 a trg vdd 0 TG1", ("XG1", "XG2"), False),
        ("XG1 tick trg vdd 0 TG2", ("XG1",), None),
        ("XW1 vdd tick trg 0 TW1", ("XW1",), False),
        ("C1 tick trg 1n\nR1 trg 0 10k", ("C1",), False),
    ],
)
def test_a_way_is_followed_with_its_sense(way: str, through: tuple[str, ...], inverted: bool | None) -> None:
    """Resistors, coils, diodes and capacitors keep the sense; collectors, drains and inverters turn it."""
    (chain,) = chains(between(way))
    assert (chain.driver.path, chain.driven.path, chain.role) == ("XU1", "XU2", "trigger")
    assert (chain.through, chain.inverted) == (through, inverted)


def test_a_direct_wire_is_a_chain_of_nothing() -> None:
    """An output on the trigger's own net needs no element."""
    (chain,) = chains(between("", pin="tick"))
    assert (chain.through, chain.inverted) == ((), False)


@pytest.mark.parametrize(
    "way",
    [
        "R1 tick 0 1k\nR2 trg 0 1k",
        "R1 tick vdd 1k\nR2 vdd trg 1k",
        "R1 tick agnd 1k\nR2 agnd trg 1k\nR3 agnd 0 0",
        "C1 tick 0 1n\nC2 trg 0 1n",
        "Q1 c trg 0 NS\nR1 tick c 1k",
        "R1 tick trg 1k\nV2 trg 0 1.5",
        "R1 tick trg 1k not fitted",
        "J1 tick trg PLUG",
    ],
)
def test_no_chain_through_what_stands_still(way: str) -> None:
    """Grounds, rails, held nets, a base from its collector, connectors and parts left out hand nothing on."""
    fitted = "" if "not fitted" not in way else "fit R1 no"
    board = chained(OSCILLATOR + ONE_SHOT + way.replace(" not fitted", ""), fitted)
    assert chains(board) == ()


def test_another_output_on_the_net_ends_the_way() -> None:
    """Where a resistor leads to the output of another block, that block drives what follows."""
    board = chained(OSCILLATOR + block("U3", "TO1", "trg", "vdd") + ONE_SHOT + "R1 tick trg 10k\n")
    assert pairs(board) == ["XU3 -> XU2 trigger"]


def test_two_ways_of_unlike_sense_leave_it_open() -> None:
    """A pin reached directly and through an inverter may see either level."""
    board = between("R1 tick trg 10k\nXG1 tick trg2 vdd 0 TG1\nR2 trg2 trg 10k")
    assert isinstance(pair_fact(board, "pair.inverted").value, Unknown)
    assert only(board).path == "XU1 -> XU2 trigger"
    assert chains(board)[0].inverted is None


def test_one_output_may_act_on_many() -> None:
    """An oscillator that triggers a one-shot and enables another oscillator makes two pairs."""
    board = chained(
        OSCILLATOR + block("U2", "TS1", "pulse", "tick") + block("U3", "TO1", "tone", "pulse")
        + block("U4", "TO1", "beat", "tick")
    )  # fmt: skip
    assert pairs(board) == ["XU1 -> XU2 trigger", "XU1 -> XU4 enable", "XU2 -> XU3 enable"]


def test_a_transistor_feeds_a_block() -> None:
    """A switched rail is a chain to the supply pin; a pull-up to the supply of others is none."""
    fed = block("U3", "TO1", "tone", "vsw", supply="vsw")
    board = chained(OSCILLATOR + fed + "M1 vsw tick vdd vdd MP\n")
    assert pairs(board) == ["XU1 -> XU3 supply"]
    assert pairs(chained(OSCILLATOR + block("U3", "TO1", "tone", "vdd") + "R1 tick vdd 10k\n")) == []


def test_a_loop_is_named_by_its_blocks() -> None:
    """Two one-shots that trigger each other are a loop; the block that starts one of them is not in it."""
    board = chained(
        OSCILLATOR + block("U2", "TS1", "a", "b") + block("U3", "TS1", "b2", "a")
        + "D1 tick b DX\nD2 b2 b DX\nR1 b 0 10k\n"
    )  # fmt: skip
    loops = {path: pair_fact(board, "pair.loop", path).value for path in pairs(board)}
    assert loops == {
        "XU1 -> XU2 trigger": "none",
        "XU2 -> XU3 trigger": "XU2, XU3",
        "XU3 -> XU2 trigger": "XU2, XU3",
    }


def test_an_output_on_its_own_enable_is_a_loop() -> None:
    """An inverted output back to the same block's enable is a loop of one."""
    board = chained(block("U1", "TO1", "tick", "en") + "XG1 tick en vdd 0 TG1\n")
    assert pairs(board) == ["XU1 -> XU1 enable"]
    assert pair_fact(board, "pair.loop").value == "XU1"


LADDER = """
[part.TT1]
title = "RC timer"
source = "this test"
function = "rc-timer"
pins = ["supply", "output", "discharge", "threshold", "control", "trigger", "reset", "ground"]
supply = { rated = "2V .. 12V" }
ladder = { lower = "1/3", upper = "2/3" }
discharge = { resistance = "10ohm" }
output = { kind = "push-pull", resistance = "20ohm" }
"""


def test_an_rc_timer_that_charges_itself_is_no_chain() -> None:
    """The resistor from an RC timer's output to its own capacitor is its cycle, no act on another block."""
    netlist = "XT1 vdd out dis c ctl c vdd 0 TT1\nR1 out c 10k\nC1 c 0 1n\n"
    assert chains(chained(netlist, part_file=LADDER)) == ()


BOARD = (
    OSCILLATOR + block("U2", "TS1", "pulse", "trg") + block("U3", "TO1", "tone", "en")
    + "R1 tick b 10k\nQ1 trg b 0 NS\nR2 vdd trg 10k\nC1 trg 0 1n\nXG1 pulse n1 vdd 0 TG1\nR4 n1 en 1k\n"
)  # fmt: skip
FACTS = ("pair.inverted", "pair.period", "pair.high", "pair.low", "pair.level_high", "pair.level_low",
         "pair.high_margin", "pair.low_margin", "pair.settling", "pair.loop")  # fmt: skip


def told(netlist: str) -> dict[tuple[str, str], object]:
    """Every fact of every pair."""
    board = chained(netlist)
    return {(path, name): pair_fact(board, name, path).value for path in pairs(board) for name in FACTS}


@settings(max_examples=25, deadline=None)
@given(st.permutations(BOARD.splitlines()))
def test_the_order_of_lines_changes_nothing(lines: list[str]) -> None:
    """The same elements in any order are the same chains with the same facts."""
    assert told("\n".join(lines) + "\n") == told(BOARD)


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_the_names_of_nets_change_nothing(data: st.DataObject) -> None:
    """Nets renamed throughout are the same chains with the same values."""
    nets = ("tick", "trg", "pulse", "tone", "en", "b", "n1")
    names = data.draw(st.permutations([f"net{k}" for k in range(len(nets))]))
    renamed = BOARD
    for old, new in zip(nets, names, strict=True):
        renamed = re.sub(rf"(?m)(?<= ){old}(?= )", new, renamed)
    shown = {key: str(value) for key, value in told(renamed).items()}
    expected = {key: str(value) for key, value in told(BOARD).items()}
    assert {key: re.sub(r"net\d", "", text) for key, text in shown.items() if "because" not in text} == {
        key: text for key, text in expected.items() if "because" not in text
    }
