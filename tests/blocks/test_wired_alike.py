"""Parts that nobody named, by their connections alone: what is a rail, a rate, a strap, an output, a tank.

How rails are named, and what hangs on a timing part's pins: common practice, no source.
"""

import pytest

from drc.blocks.model import Block
from tests.blocks.boards import board_of, nets

LINE = "XU3 vdd s q 0 r OPAQUE"
FIT = {"supply": "vdd", "ground": "0", "rate": "r", "strap": "s", "output": "q"}
RAIL = {"V1": "V1 vdd 0 3.3"}
AROUND = {
    "R1": "R1 vdd s 100k",
    "R2": "R2 s 0 47k",
    "R3": "R3 r 0 82k",
    "R4": "R4 q led 1k",
    "D1": "D1 led 0 DLED",
}


def alike(*more: str, line: str = LINE, rail: str = "V1 vdd 0 3.3", **changed: str) -> Block | None:
    """The part that is wired like a block on the board above with these lines changed or added."""
    parts = {**AROUND, **changed}
    board = board_of("\n".join([rail, *(text for text in parts.values() if text), *more, line]))
    assert board.blocks == ()
    assert len(board.troubles) == len(board.alike) <= 1
    return board.alike[0] if board.alike else None


def roles(block: Block | None) -> dict[str, str] | None:
    """Each role that fits, and its net; None where there is no such block."""
    return None if block is None else dict(nets(block))


def without(role: str) -> dict[str, str]:
    """The fit with one role unknown."""
    return {name: net for name, net in FIT.items() if name != role}


@pytest.mark.parametrize(
    ("name", "rail"),
    [
        ("vdd", True), ("VCC", True), ("+5V", True), ("3V3", True), ("1.8V", True), ("VCC_1V8", True),
        ("V_BAT", False), ("VBAT", True), ("+V", True), ("+VA", True), ("VS", True), ("V5", True),
        ("V", True), ("5V0", True), ("supply", False), ("xvdd", False), ("vddx", False), ("5", False),
        ("n5V", False), ("power/VDD", True), ("VDD/x", False), ("VREF", False),
    ],
)  # fmt: skip
def test_a_rail_is_known_by_its_name(name: str, rail: bool) -> None:
    """Where nothing else tells of it: a voltage, or one of the usual names, as the last piece of the name."""
    found = alike(line=LINE.replace("vdd", name), rail=f"C9 {name} 0 1u", R1=f"R1 {name} s 100k")
    assert roles(found) == ({**FIT, "supply": name} if rail else None)


@pytest.mark.parametrize(
    ("source", "rail"),
    [
        ("V1 n 0 3.3", True),
        ("V1 0 n -3.3", True),
        ("V1 n 0 PULSE(0 3.3 0 1n 1n 1m 2m)", False),
        ("V1 n m 3.3\nR9 m 0 1", False),
        ("I1 n 0 1m", False),
        ("B1 n 0 V=3.3", False),
        ("C1 n 0 1u", False),
        ("XR vin 0 n REG", True),
        ("XR n 0 vout REG", False),
        ("XR vin 0 n OSC\nC1 n 0 1u", False),
    ],
)
def test_a_rail_is_known_by_what_holds_it(source: str, rail: bool) -> None:
    """A steady source against ground, either way round, or a known regulator's output, whatever its name."""
    text = "\n".join([source, *AROUND.values(), LINE]).replace("vdd", "n")
    board = board_of(text.replace("XR vin 0 n OSC", "R9 vin n 1"))
    assert [roles(block) for block in board.alike] == ([{**FIT, "supply": "n"}] if rail else [])


@pytest.mark.parametrize(
    "line",
    ["XU3 vdd s q vss r OPAQUE", "XU3 vdd s q 0 r v5 OPAQUE", "XU3 n s q 0 r OPAQUE"],
    ids=["no ground", "two rails", "no rail"],
)
def test_a_part_without_one_rail_and_ground_is_not_looked_at(line: str) -> None:
    """One net on ground and one on a rail: with none or two of a kind nothing is certain."""
    assert alike("V2 v5 0 5", line=line) is None


@pytest.mark.parametrize(
    ("changed", "fit"),
    [
        ({}, FIT),
        ({"R3": "R3 0 r 82k"}, FIT),
        ({"R3": "R3 r 0 1k"}, FIT),
        ({"R3": "R3 r 0 999"}, None),
        ({"R3": "R3 r 0 {x}\n.param x=82k"}, FIT),
        ({"R3": "R3 r 0 82k\nR8 r 0 100k"}, FIT),
        ({"R3": "R3 r 0 82k\nR8 r 0 100"}, None),
        ({"R3": "R3 r ctl 82k"}, None),
        ({"R3": "R3 r 0 82k\nR8 r ctl 220k\nV2 ctl 0 1.25"}, FIT),
        ({"R3": "R3 r 0 82k\nR8 r ctl 220k\nR9 r ctl2 220k"}, None),
        ({"R3": "R3 r 0 82k\nR8 r q 220k"}, None),
        ({"R3": "R3 r 0 82k\nC8 r 0 5p"}, FIT),
        ({"R3": "R3 r 0 82k\nC8 r vdd 5p"}, None),
        ({"R3": "R3 r 0 82k\nD8 r 0 DX"}, None),
        ({"R3": "C8 r 0 5p"}, None),
        ({"R3": ""}, None),
    ],
)
def test_a_rate_pin(changed: dict[str, str], fit: dict[str, str] | None) -> None:
    """Resistors to ground of a kilohm or more, at most one to elsewhere, capacitors to ground, no more."""
    assert roles(alike(**changed)) == fit


@pytest.mark.parametrize(
    ("changed", "fit"),
    [
        ({"R1": "R1 s vdd 100k"}, FIT),
        ({"R2": "R2 s 0 47k\nR8 s 0 1meg\nR9 s vdd 1meg"}, FIT),
        ({"R2": "R2 s 0 47k\nC8 s 0 1n"}, FIT),
        ({"R2": "R2 s 0 47k\nC8 s vdd 1n"}, FIT),
        ({"R2": "R2 s 0 47k\nC8 vdd s 1n"}, FIT),
        ({"R2": "R2 0 s 47k\nC8 0 s 1n"}, FIT),
        ({"R2": "R2 s 0 47k\nC8 x s 1n"}, None),
        ({"R2": "R2 s 0 47k\nC8 s x 1n"}, None),
        ({"R2": "R2 s 0 47k\nR8 s x 1meg"}, None),
        ({"R2": "R2 s 0 47k\nD8 s 0 DX"}, None),
        ({"R1": "R1 x s 100k"}, None),
        ({"R2": ""}, None),
        ({"R1": ""}, None),
    ],
)
def test_a_strap_pin(changed: dict[str, str], fit: dict[str, str] | None) -> None:
    """The middle of a divider between the part's own supply and ground, with filter capacitors to either."""
    assert roles(alike(**changed)) == fit


@pytest.mark.parametrize(
    ("changed", "known"),
    [
        ({"R4": "D4 q 0 DLED"}, True),
        ({"R4": "M4 x q 0 0 NX"}, True),
        ({"R4": "V4 q 0 PULSE(0 3 0 1n 1n 1m 2m)"}, False),
        ({"R4": "V4 q 0 PULSE(0 3 0 1n 1n 1m 2m)\nR8 q x 1k"}, False),
        ({"R4": "I4 q 0 1m"}, False),
        ({"R4": "R4 q vdd 10k"}, False),
        ({"R4": "R4 q vdd 10k\nR8 q x 1k"}, True),
        ({"R4": "C4 q 0 1n"}, False),
        ({"R4": ""}, False),
        ({"R4": "XTP q TESTPOINT"}, False),
    ],
)
def test_an_output_pin(changed: dict[str, str], known: bool) -> None:
    """Something that it drives hangs on it, and no source; a pull or a capacitor alone tells nothing."""
    assert roles(alike(**changed)) == (FIT if known else without("output"))


def test_two_pins_that_fit_one_role() -> None:
    """Two rates or two straps leave nothing certain; two outputs leave the output alone unknown."""
    assert alike("R8 r2 0 82k", line="XU3 vdd s q 0 r r2 OPAQUE") is None
    assert alike("R8 s2 0 82k\nR9 s2 vdd 82k", line="XU3 vdd s q 0 r s2 OPAQUE") is None
    assert roles(alike("R8 q2 led 1k", line="XU3 vdd s q 0 r q2 OPAQUE")) == without("output")


def test_what_a_pin_shows_of_two_roles() -> None:
    """A rate pin with a steering resistor could drive it: where no other pin is an output, it is the rate."""
    found = alike("R8 r ctl 220k", "V2 ctl 0 1.25", R4="")
    assert roles(found) == without("output")
    assert roles(alike("R8 r ctl 220k", "V2 ctl 0 1.25")) == FIT


@pytest.mark.parametrize(
    ("more", "line"),
    [
        (["L1 q x 10u"], LINE),
        (["R8 out fb 30k", "R9 fb 0 10k"], "XU3 vdd s q 0 r fb out OPAQUE"),
        (["R8 out fb 30k", "R9 fb 0 10k", "R7 fb out 1meg"], "XU3 vdd s q 0 r fb out OPAQUE"),
    ],
)
def test_a_part_that_sets_a_voltage_is_no_block(more: list[str], line: str) -> None:
    """An inductor on a pin, or a divider of a voltage that stands on another pin of its own."""
    assert alike(*more, line=line) is None


@pytest.mark.parametrize(
    ("more", "line"),
    [
        (["R8 x fb 30k", "R9 fb 0 10k", "R7 y fb 30k"], "XU3 vdd s q 0 r fb OPAQUE"),
        (["R8 out fb 30k", "R9 fb out 10k"], "XU3 vdd s q 0 r fb out OPAQUE"),
        (["R8 out fb 30k"], "XU3 vdd s q 0 r fb out OPAQUE"),
        (["R8 out fb 30k", "R9 fb 0 10k", "D8 fb 0 DX"], "XU3 vdd s q 0 r fb out OPAQUE"),
    ],
    ids=["a divider of another voltage", "not to ground", "one resistor", "not alone"],
)
def test_a_divider_that_is_none_of_its_own_voltage(more: list[str], line: str) -> None:
    """It tells of no regulator: the part may still be a block, where the rest fits."""
    found = alike(*more, line=line)
    assert found is not None
    assert roles(found) is not None
    assert (nets(found)["rate"], nets(found)["strap"]) == ("r", "s")


TIMER = ["RA vcc d 10k", "RB d t 22k", "C1 t 0 100n", "RL q base 4.7k", "Q1 c base 0 QN"]
TIMER_LINE = "XU3 0 t q vcc cv t d OPAQUE"
TIMER_FIT = {
    "supply": "vcc",
    "ground": "0",
    "trigger": "t",
    "threshold": "t",
    "discharge": "d",
    "output": "q",
}


def timer(*lines: str, line: str = TIMER_LINE) -> dict[str, str] | None:
    """What fits an RC timer on a board of these lines."""
    board = board_of("\n".join(["V1 vcc 0 9", *lines, line]))
    assert all(block.part.function == "rc-timer" for block in board.alike)
    return roles(board.alike[0]) if board.alike else None


@pytest.mark.parametrize(
    ("lines", "fit"),
    [
        (TIMER, True),
        ([*TIMER, "C2 cv 0 10n"], True),
        ([*TIMER, "C3 t vcc 1n"], True),
        ([*TIMER, "R9 d x 1meg"], True),
        ([*TIMER, "D1 t x DX"], False),
        ([*TIMER, "D1 d t DX"], False),
        ([*TIMER, "D1 d x DX"], False),
        ([*TIMER, "R9 t x 1meg"], False),
        ([TIMER[0], TIMER[1], "C1 t vcc 100n", *TIMER[3:]], False),
        ([TIMER[0], TIMER[1], *TIMER[3:]], False),
        (["RA v5 d 10k", *TIMER[1:]], False),
        ([TIMER[0], "RB 0 t 22k", *TIMER[2:]], False),
        ([TIMER[0], "RB x t 22k", *TIMER[2:]], False),
        ([TIMER[0], "RB t t 22k", *TIMER[2:]], False),
    ],
)
def test_an_rc_timer_that_runs_by_itself(lines: list[str], fit: bool) -> None:
    """One resistor from the tank to a pin that a resistor joins to the supply, a capacitor to ground."""
    assert timer(*lines) == (TIMER_FIT if fit else None)


def test_an_rc_timer_s_output_is_told_where_one_pin_can_be_it() -> None:
    """With two pins that drive something, or none, the output is unknown."""
    known = {role: net for role, net in TIMER_FIT.items() if role != "output"}
    assert timer(*TIMER, "R9 cv base 1k") == known
    assert timer(*TIMER[:3]) == known


@pytest.mark.parametrize(
    ("line", "fit"),
    [
        ("XU3 0 go q vcc cv t t OPAQUE", True),
        ("XU3 0 go q vcc cv t t vcc OPAQUE", True),
        ("XU3 0 go q vcc cv t x OPAQUE", False),
        ("XU3 0 go q vcc t t t OPAQUE", False),
        ("XU3 0 go go vcc cv t t OPAQUE", False),
    ],
)
def test_an_rc_timer_that_is_triggered(line: str, fit: bool) -> None:
    """Two pins, no more, on a capacitor that a resistor charges from the supply; no other net twice."""
    found = timer(
        "RA vcc t 100k", "C1 t 0 1u", "RL q base 4.7k", "Q1 c base 0 QN", "S1 go 0 y 0 SW", line=line
    )
    wanted = {"supply": "vcc", "ground": "0", "threshold": "t", "discharge": "t"}
    assert found == (
        {**wanted, "output": "q"} if fit and "output" in (found or {}) else wanted if fit else None
    )


@pytest.mark.parametrize("pins", [4, 5, 8, 9])
def test_a_block_has_five_to_eight_pins(pins: int) -> None:
    """With four there is no room for the roles, with nine it is another kind of part."""
    line = f"XU3 vdd s 0 r {' '.join(f'n{k}' for k in range(pins - 4))} OPAQUE"
    assert (alike(line=line) is not None) == (5 <= pins <= 8)


@pytest.mark.parametrize("cells", [200, 201])
def test_a_part_placed_more_than_two_hundred_times_is_a_cell(cells: int) -> None:
    """Counted by part name in any letter case, and over those with another number of pins too."""
    lines = [f"X{k} a{k} b{k} {'opaque' if k % 2 else 'OPAQUE'}" for k in range(cells - 1)]
    assert (alike(*lines) is None) == (cells > 200)


def test_what_is_told_of_each_pin() -> None:
    """Pins are counted from 1: those with a role, those on a rail of several, and those left over."""
    block = alike(line="XU3 vdd s q 0 r x vdd y OPAQUE")
    assert block is not None
    assert block.alike == (
        "wired like a timing block (a resistor to ground alone on its rate pin, a divider of its own supply "
        "on its strap pin): pin 2 strap, pin 3 output, pin 4 ground, pin 5 rate, pins 1, 7 supply or tied to "
        "it; not to be told: pin 6, 8"
    )
    assert block.part.pins == ("?", "strap", "output", "ground", "rate", "?", "?", "?")
    whole = alike()
    assert whole is not None
    assert whole.alike.endswith("pin 1 supply, pin 2 strap, pin 3 output, pin 4 ground, pin 5 rate")
    assert (whole.unit, whole.package, whole.part.function, whole.found_by) == (
        None,
        "",
        "unknown",
        "connections",
    )
    assert whole.place.line == 8


def test_pins_of_a_timer_that_share_the_tank_are_told_in_order() -> None:
    """Trigger and threshold are each given one of the two pins: which is which makes no difference."""
    board = board_of("\n".join(["V1 vcc 0 9", *TIMER, "XU3 0 t q vcc cv t d 0 OPAQUE"]))
    (block,) = board.alike
    assert block.part.pins == ("?", "trigger", "output", "supply", "?", "threshold", "discharge", "?")
    assert block.alike.endswith(
        "pin 2 trigger, pin 3 output, pin 4 supply, pin 6 threshold, pin 7 discharge, "
        "pins 1, 8 ground or tied to it; not to be told: pin 5"
    )
