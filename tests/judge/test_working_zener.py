"""A zener at work and a load that a statement gives are no faults; the same diode beyond its breakdown is."""

from tests.judge.boards import assessed

BOARD = """a reference diode on the rail
*@ supply vdd 3.2V .. 3.4V
*@ ambient 0degC .. 50degC
*@ assume R* tolerance 1%, tempco 100ppm
*@ expect XU1 frequency 16kHz +/- 6%
*@ load out 1mA
V1 vdd 0 3.3
C1 vdd 0 1u
R1 vdd cfg 130k
R2 cfg 0 68.1k
R3 rt 0 100k
R4 vdd z 330
D1 0 z ZEN
.model ZEN d(bv=2.4 is=1e-14)
XU1 vdd cfg out 0 rt vdd HA10
"""


def test_a_working_zener_and_a_stated_load_are_silent() -> None:
    """A diode that holds its breakdown voltage is no overvoltage, an output with a stated load is used."""
    assert [finding.message for finding in assessed(BOARD).findings] == []


def test_a_diode_held_beyond_its_breakdown_is_found() -> None:
    """Without the resistor the rail stands on the diode, far beyond what its model breaks down at."""
    found = assessed(BOARD.replace("R4 vdd z 330", "R4 vdd z 0")).findings
    assert "part-overvoltage" in {finding.rule for finding in found}


def test_an_output_without_anything_is_noted() -> None:
    """Neither an element nor a statement: a note says that nothing is on the output."""
    found = assessed(BOARD.replace("*@ load out 1mA\n", "")).findings
    assert [(finding.rule, finding.level) for finding in found] == [("output-unused", "note")]
