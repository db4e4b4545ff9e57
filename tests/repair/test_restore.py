"""What brings a board back after another maker's part has taken a block's place."""

from tests.repair.bench import faults, made, restored, want

HEAD = (
    "board\n*@ supply VDD 3.2V .. 3.4V\n*@ ambient 0degC .. 50degC\n"
    "*@ assume R* tolerance 1%, tempco 100ppm\nV1 VDD 0 3.3\nC1 VDD 0 1u tol=10%\n"
)
HALYARD = HEAD + "R1 VDD CFG 130k\nR2 CFG 0 68.1k\nR3 RT 0 100k\nXU1 VDD CFG OUT 0 RT VDD HA10\n.end\n"
"""Code 5 of 16: prescale 50. I = 0.6 V / 100 kohm = 6 uA, T = 0.25 us * 50 * 30 / 6 = 62.5 us: 16 kHz."""


def test_board_that_needs_nothing_is_left_alone() -> None:
    """Where all that is wanted holds, there are no edits and nothing is lacking."""
    found = restored(HALYARD, HALYARD, want("XU1", "frequency", "16kHz +/- 5%"))
    assert (found.edits, found.why, found.lacking) == ((), (), ())


def test_other_makers_part_gets_its_pins_strap_and_timing_resistor() -> None:
    """The line is put into the new pins' order, and strap and timing resistor make the old time."""
    after = HALYARD.replace("HA10", "BR10")
    found = restored(HALYARD, after, want("XU1", "frequency", "16kHz +/- 5%"))
    text = made(after, found.edits)
    assert found.lacking == ()
    assert "XU1 OUT 0 CFG VDD VDD RT BR10" in text
    assert faults(text) == []
