"""Boards that are right although they look odd: no error, no warning; what is said of them is a note."""

import pytest

from drc.judge.model import Assessment
from tests.judge.boards import assessed

SURROUNDINGS = (
    "*@ ambient 0degC .. 50degC\n*@ assume R* tolerance 1%, tempco 100ppm\n*@ expect XU1 prescale 50\n"
)

FEED = "V1 vdd 0 3.3\n"

OSCILLATOR = """C1 vdd 0 100n
R1 vdd cfg 130k
R2 cfg 0 68.1k
R3 rt 0 100k
R4 out 0 10k
XU1 vdd cfg out 0 rt vdd HA10
"""

NEIGHBOUR = """C2 vdd 0 100n
R11 vdd cfg2 130k
R12 cfg2 0 68.1k
R13 rt2 0 121k
XU2 vdd cfg2 out2 0 rt2 vdd HA10
"""


def board(*changes: tuple[str, str], feed: str = FEED, extra: str = "") -> str:
    """The oscillator's board, with some of its text exchanged and more behind it."""
    text = OSCILLATOR
    for before, after in changes:
        assert text.count(before) == 1, before
        text = text.replace(before, after)
    return f"a board\n{SURROUNDINGS}{feed}{text}{extra}.end\n"


SILENT = {
    "a net called EN_3V3 is an enable": board(
        ("rt vdd HA10", "rt EN_3V3 HA10"), extra="R5 vdd EN_3V3 10k\nJ1 EN_3V3 0 PLUG\n"
    ),
    "a net called FB_5V is a divider's middle": board(extra="R6 out FB_5V 10k\nR7 FB_5V 0 10k\n"),
    "a net called PG_1V8 is a signal": board(extra="R8 vdd PG_1V8 100k\nJ1 PG_1V8 0 PLUG\n"),
    "a supply drawn as a ramp": board(feed="V1 vdd 0 PWL(0 0 5m 3.3)\n"),
    "a supply drawn as a pulse": board(feed="V1 vdd 0 PULSE(0 3.3 0 1m 1m 1 2)\n"),
    "a supply drawn as a step": board(feed="V1 vdd 0 PULSE(0 3.3 0 1m)\n"),
    "a strap upstream of a bead": board(("R1 vdd", "R1 vin"), feed="V1 vin 0 3.3\nL1 vin vdd 600n\n"),
    "a strap upstream of a 10 ohm filter": board(("R1 vdd", "R1 vin"), feed="V1 vin 0 3.3\nR9 vin vdd 10\n"),
    "a strap tied to ground": board(
        ("R1 vdd cfg 130k\nR2 cfg 0 68.1k\n", ""), ("XU1 vdd cfg", "XU1 vdd 0")
    ).replace("prescale 50", "prescale 1"),
    "a strap tied to the supply": board(
        ("R1 vdd cfg 130k\nR2 cfg 0 68.1k\n", ""), ("XU1 vdd cfg", "XU1 vdd vdd")
    ).replace("prescale 50", "prescale 5000"),
    "a timing resistor at the upper rated end": board(("R3 rt 0 100k", "R3 rt 0 400k")),
    "a timing resistor at the lower rated end": board(("R3 rt 0 100k", "R3 rt 0 20k")),
    "two straps on one stiff divider": board(
        extra=NEIGHBOUR.replace("R11 vdd cfg2 130k\nR12 cfg2 0 68.1k\n", "").replace("cfg2", "cfg")
    ),
    "an oscillator that slows as its control rises, as stated": board(
        ("R3 rt 0 100k", "R3 rt vctl 100k"),
        extra="*@ signal vctl 0V .. 0.4V\nR5 vctl 0 1k\n"
        "*@ expect XU1 frequency 5.33kHz +/- 15% when vctl = 0.4V\n"
        "*@ expect XU1 frequency 16kHz +/- 5% when vctl = 0V\n",
    ),
    "a delay of one edge, as stated": board(
        ("rt vdd HA10", "rt din HA50"),
        extra="R5 din 0 47k\n*@ expect XU1 delay-rising 4ms +/- 10%\n"
        "*@ expect XU1 delay-falling at most 1us\n",
    ).replace("prescale 50", "prescale 1000"),
    "two outputs joined by diodes": board(
        extra=NEIGHBOUR + "D1 out or DX\nD2 out2 or DX\nR14 or 0 10k\n"
    ),
    "two outputs joined by resistors": board(extra=NEIGHBOUR + "R15 out or 10k\nR16 out2 or 10k\n"),
    "a supply that latches itself, with a start button": (
        f"a board\n{SURROUNDINGS}"
        "*@ supply vsw 3.4V .. 3.6V\nV1 vbat 0 3.6\nC2 vsw 0 100n\nXS1 vbat on vsw 0 HA76\nR6 on 0 100k\n"
        "SW1 vbat on PUSH\nR4 out d 1k\nD1 d on DX\nR1 vsw cfg 130k\nR2 cfg 0 68.1k\nR3 rt 0 100k\n"
        "XU1 vsw cfg out 0 rt 0 HA20\n.end\n"
    ).replace("prescale 50", "prescale 1000"),
    "a bypass at the other end of a bead and a link": board(
        ("C1 vdd 0 100n\n", "C5 vin 0 100n\n"), ("XU1 vdd", "XU1 vd2"),
        feed="V1 vin 0 3.3\nL1 vin vdd 600n\nR9 vdd vd2 0\n",
    ),
    "an input that the part pulls itself": board(("rt vdd HA10", "rt en HA10"), extra="TP1 en\n"),
    "a value of E192": board(("R3 rt 0 100k", "R3 rt 0 98.8k")),
    "a value of E24 that is none of E96": board(("R3 rt 0 100k", "R3 rt 0 91k")),
}  # fmt: skip

NOTED = {
    "another prescale would suit better": (board(("R3 rt 0 100k", "R3 rt 0 397k")), "better-prescale"),
    "nothing is on the output": (board(("R4 out 0 10k\n", "")), "output-unused"),
    "a strap that draws milliamperes": (board(("130k", "130"), ("68.1k", "68.1")), "strap-wasteful"),
    "nobody has stated what it is for": (
        board().replace("*@ expect XU1 prescale 50\n", ""), "block-without-intent"
    ),
}  # fmt: skip


def told(assessment: Assessment) -> list[tuple[str, str, str]]:
    """(rule, level, message) of what is said above a note."""
    return [(f.rule, f.level, f.message) for f in assessment.findings if f.level != "note"]


@pytest.mark.parametrize("name", SILENT)
def test_what_looks_odd_and_is_right_is_left_alone(name: str) -> None:
    """The board gives no error and no warning."""
    assert told(assessed(SILENT[name])) == []


@pytest.mark.parametrize("name", NOTED)
def test_what_could_be_better_is_a_note(name: str) -> None:
    """The board gives the rule's note, no error and no warning."""
    text, rule = NOTED[name]
    assert told(assessed(text)) == []
    assert rule in {f.rule for f in assessed(text).findings}


@pytest.mark.parametrize(
    "steering",
    [
        "R6 rt q 200k\nQ1 q b 0 QN\n.model QN NPN(BF=100)\nR7 vdd b 100k\nR8 b 0 10k\n",
        "R6 rt dac 200k\nXU7 vdd 0 dac DACX\n",
        "R6 rt f 200k\nC6 f 0 1u\nR7 f dac 10k\nXU7 vdd 0 dac DACX\n",
    ],
    ids=["a transistor", "a converter", "a converter behind a filter"],
)
def test_steering_by_what_nobody_declares_is_unproven_and_not_wrong(steering: str) -> None:
    """Until its source is declared nothing fails; declared, nothing is said."""
    undeclared = assessed(board(extra=steering))
    assert {f.verdict for f in undeclared.findings if f.level != "note"} == {"unproven"}
    net = "q" if "Q1" in steering else "dac"
    span = "0.2V .. 0.5V"
    declared = assessed(board(extra=f"*@ signal {net} {span}\n{steering}"))
    assert told(declared) == []


def test_at_risk_by_extreme_value_warns() -> None:
    """Not met over the whole span is a warning, or an error where the intent names the method."""
    text = board().replace("prescale 50", "frequency 16kHz +/- 2.5%")
    (finding,) = [f for f in assessed(text).findings if f.rule == "timing-outside-intent"]
    assert (finding.verdict, finding.level) == ("at-risk", "warning")
    named = text.replace("+/- 2.5%", "+/- 2.5% using extreme")
    (finding,) = [f for f in assessed(named).findings if f.rule == "timing-outside-intent"]
    assert (finding.verdict, finding.level) == ("at-risk", "error")
