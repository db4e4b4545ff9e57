"""A zener at work and a load that a statement gives are no faults."""

from tests.judge.boards import assessed

BOARD = """a clamp on the output
*@ supply vdd 3.2V .. 3.4V
*@ ambient 0degC .. 50degC
*@ assume R* tolerance 1%, tempco 100ppm
*@ expect XU1 frequency 16kHz +/- 6%
V1 vdd 0 3.3
C1 vdd 0 1u
R1 vdd cfg 130k
R2 cfg 0 68.1k
R3 rt 0 100k
R4 out z 330
D1 0 z ZEN
.model ZEN d(bv=2.4 is=1e-14)
XU1 vdd cfg out 0 rt vdd HA10
"""


USED = "R4 out z 330\nD1 0 z ZEN\n"


def test_a_working_zener_is_silent() -> None:
    """A diode that holds its breakdown voltage is no overvoltage."""
    assert [finding.message for finding in assessed(BOARD).findings] == []


def test_a_stated_load_uses_an_output() -> None:
    """Nothing drawn on the output is a note, unless a statement says what hangs on it elsewhere."""
    bare = BOARD.replace(USED, "")
    assert [(f.rule, f.level) for f in assessed(bare).findings] == [("output-unused", "note")]
    assert assessed(bare + "*@ load out 1mA\n").findings == ()
