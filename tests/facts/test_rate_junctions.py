"""Junctions on the rate pin: microamperes flow well below the drop that a diode has at milliamperes."""

import pytest

from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, span, unknown

SCHOTTKY = ".model DS d(is=1e-7)"


@pytest.mark.parametrize(
    "lines",
    [
        "D9 rt 0 DX",
        f"D9 rt 0 DS\n{SCHOTTKY}",
        "R9 rt m 1k\nD9 m 0 DX",
        "Q9 vdd rt 0 QN\n.model QN npn",
    ],
)
def test_a_junction_that_the_rate_pin_turns_on_leaves_the_current_unproven(lines: str) -> None:
    """The pin stands at 0.5 V: what a diode to ground takes of 5 uA there is anybody's guess."""
    of = book(f"{CENTRED}{lines}\n", PLAIN)
    found = unknown(of, "rate.current")
    assert any("9" in name for name in found.missing)
    assert unknown(of, "timing.frequency").missing == found.missing


@pytest.mark.parametrize("lines", ["D9 0 rt DX", "D9 rt vdd DX", "R9 rt m 1k\nD9 0 m DX"])
def test_a_junction_against_its_direction_takes_nothing(lines: str) -> None:
    """A clamp to ground or to the supply is off at 0.5 V: the current is that of R3 alone, 5 uA."""
    assert span(book(f"{CENTRED}{lines}\n", PLAIN), "rate.current").nominal == pytest.approx(5e-6)
