"""What can start a block that switches its own supply on; what each element does is textbook.

A diode conducts from anode to cathode alone; a capacitor passes the step of a rail that comes up; a
resistor of more than FEED_OHM (1 kohm) feeds no part (common practice, no source).
"""

import pytest

from tests.facts.chain_boards import LEVELS, block, chained
from tests.facts.timing_boards import fact, part

LIVING = (
    part(
        "TO1", "oscillator", "enable", f'input.enable = {{ {LEVELS}, active = "high" }}\nconsumption = "1mA"'
    )
    + """
[part.TW1]
title = "high-side switch"
source = "this test"
function = "transistor-switch"
pins = ["supply", "input", "output", "ground"]
supply = { rated = "2V .. 6V" }
switch = { side = "high", inverts = false, resistance = "50mohm" }
"""
)
SELF = block("U1", "TO1", "hold", "vs", supply="vs")
LATCH = SELF + "Q1 n hold 0 NS\nR6 vdd n 10k\nM1 vs n vdd MP\n"
SWITCH = SELF + "XW1 vdd hold vs 0 TW1\n"
OTHER = block("U2", "TO1", "{}", "vdd")


@pytest.mark.parametrize(
    ("more", "starter"),
    [
        ("D5 far vs DX\nJ6 far PLUG", "D5"),
        ("D5 vs vdd DX", None),
        ("D5 vs far DX", None),
        ("D5 0 vs DX", None),
        ("R5 far vs 1k\nJ6 far PLUG", "R5"),
        ("R5 far vs 1.1k\nJ6 far PLUG", None),
        ("R5 vdd vs 1.1k", None),
        ("R5 vs 0 100", None),
        ("R5 vs far 0", None),
        ("R5 vs near 0\nD5 far near DX\nJ6 far PLUG", "D5"),
        ("L5 vs near 1u\nR7 far near 100\nJ6 far PLUG", "R7"),
        ("R5 vs near 0\nD5 near vdd DX", None),
        ("J5 vs PLUG", "J5"),
        ("J5 hold PLUG", "J5"),
        ("TP5 hold PAD", None),
        ("SW5 n 0 BUTTON", "SW5"),
        ("X9 hold 0 MYSTERY", "X9"),
        ("X9 far 0 MYSTERY", None),
        ("C5 vdd hold 1u", "C5"),
        ("C5 hold vdd 1u", "C5"),
        ("C5 hold 0 1u", None),
        ("C5 hold far 1u", None),
        ("D5 vdd hold DX", "D5"),
        ("D5 hold vdd DX", None),
        ("D5 hold 0 DX", None),
        ("R5 vdd hold 100k", None),
        (OTHER.format("hold"), "XU2"),
        (OTHER.format("n"), "XU2"),
        (OTHER.format("tone"), None),
    ],
)
def test_what_can_start_a_latch(more: str, starter: str | None) -> None:
    """By a transistor on its own rail: what puts voltage on the rail, or works the transistors."""
    found = fact(chained(f"{LATCH}.model DX D(IS=1e-14)\n{more}\n", part_file=LIVING), "supply.self_fed")
    assert found.value == ("alone" if starter is None else "started")
    assert found.law == (
        "nothing but Q1 and M1 leads to its supply" if starter is None else f"{starter} can start it"
    )


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ("", "alone"),
        ("R5 vdd hold 100k", "started"),
        ("R5 hold vdd 100k", "started"),
        ("R5 hold 0 100k", "alone"),
        ("R5 hold far 100k", "alone"),
        ("C5 vdd hold 1n", "started"),
    ],
)
def test_a_resistor_to_a_rail_switches_on_what_answers_high(more: str, expected: str) -> None:
    """A high-side switch that is on while its input is high starts by a pull-up of any value."""
    assert fact(chained(f"{SWITCH}{more}\n", part_file=LIVING), "supply.self_fed").value == expected


@pytest.mark.parametrize("more", ["D5 vdd hold DX", "C5 vdd hold 1u", "SW5 n 0 BUTTON", "X9 hold 0 MYSTERY"])
def test_what_is_not_fitted_starts_nothing(more: str) -> None:
    """An element that assembly leaves out is as good as not drawn."""
    board = f"{LATCH}.model DX D(IS=1e-14)\n{more}\n"
    of = chained(board, f"fit {more.split(maxsplit=1)[0]} no", part_file=LIVING)
    assert fact(of, "supply.self_fed").value == "alone"


def test_a_block_on_a_rail_of_another_does_not_feed_itself() -> None:
    """Its output switches another's supply, or nobody's, or a rail that a diode or resistor feeds anyway."""
    plain = block("U1", "TO1", "hold", "vdd")
    assert fact(chained(plain, part_file=LIVING), "supply.self_fed").value == "none"
    for way in ("D5 vdd vs DX", "R5 vdd vs 100"):
        of = chained(f"{LATCH}.model DX D(IS=1e-14)\n{way}\n", part_file=LIVING)
        assert fact(of, "supply.self_fed").value == "none"
    other = (
        plain + "Q1 n hold 0 NS\nR6 vdd n 10k\nM1 vs n vdd MP\n" + block("U2", "TO1", "o", "vs", supply="vs")
    )
    of = chained(other, part_file=LIVING)
    assert [fact(of, "supply.self_fed", path).value for path in ("XU1", "XU2")] == ["none", "none"]
