"""A resistor that leads to a connector and nowhere else: nothing is brought there, as an assumption."""

import pytest

from tests.judge.boards import assessed

BOARD = """steered through a connector
*@ supply vdd 3.2V .. 3.4V
*@ ambient 0degC .. 50degC
*@ assume R* tolerance 1%, tempco 100ppm
*@ expect XU1 frequency 16kHz +/- 6%
V1 vdd 0 3.3
C1 vdd 0 1u
R1 vdd cfg 130k
R2 cfg 0 68.1k
R3 rt 0 100k
R9 rt vctl 200k
J1 vctl PLUG
R4 out 0 10k
XU1 vdd cfg out 0 rt vdd HA10
"""


@pytest.mark.parametrize(
    "led", ["R9 rt vctl 200k", "R9 rt vctl 400k\nR8 rt vctl 400k", "R9 rt mid 100k\nR8 mid vctl 100k"]
)
def test_what_a_connector_brings_is_an_assumption(led: str) -> None:
    """The frequency stands on nobody plugging in a control voltage, and the tally counts that apart: by one
    resistor, two side by side, or two in line."""
    board = BOARD.replace("R9 rt vctl 200k", led)
    (entry,) = (e for e in assessed(board).tally if e.rule == "timing-outside-intent")
    assert (entry.verdict, entry.assumed) == ("pass", True)


@pytest.mark.parametrize("other", ["TP1 vctl PAD", "R8 vctl 0 1meg\nJ1 vctl PLUG"])
def test_a_test_point_or_a_drawn_end_is_none(other: str) -> None:
    """A test point brings nothing, and a net that the drawing holds needs no assumption."""
    tally = assessed(BOARD.replace("J1 vctl PLUG", other)).tally
    assert not [e for e in tally if e.rule == "timing-outside-intent" and e.assumed]


def test_a_stated_signal_is_computed_with() -> None:
    """Once the control voltage is stated, the frequency follows from it: up to 24 kHz, which fails."""
    found = assessed(BOARD + "*@ signal vctl 0V .. 1.2V\n").findings
    assert any(f.rule == "timing-outside-intent" and f.level != "note" for f in found)
