"""Statements against each other and against the drawing: what is told, and the exact reach of each check."""

import pytest

from drc.intent.read import read_statements
from drc.judge.conflicts import contradictory, shortened
from drc.judge.drawing import against_drawing
from drc.netlist.read import read_text

BOARD = """drawn
V1 vdd 0 5
V2 0 vneg 3.3
V3 a b 2
VP kick 0 PULSE(0 5 0 1n 1n 1m 2m)
R1 vdd cfg 10k
R2 cfg a 10k tol=5%
R3 a 0 10k tol=5%
X1 cfg cell
.subckt cell p
R1 p 0 20k
V1 p n 1
V4 n 0 7
.ends
.end
"""


def told(text: str) -> list[str]:
    """The messages about statements against the drawing."""
    found = against_drawing(read_statements(text, "board.intent"), read_text(BOARD))
    assert all(t.kind == "statement-against-drawing" and t.level == "warning" for t in found)
    return [t.message for t in found]


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("supply vdd 3V", "V1 drives vdd at 5 V"),
        ("supply v* 3V", "drives v"),
        ("supply vneg 3.3V", "V2 drives vneg at -3.3 V"),
        ("signal vdd 0V .. 4.9V", "V1 drives vdd at 5 V"),
        ("supply X1.n 5V", "X1.V4 drives X1.n at 7 V"),
        ("assume R1 value 1kohm .. 9kohm", "R1 is drawn as 10 kohm"),
        ("assume R1 value 11kohm .. 19kohm", "R1 is drawn as 10 kohm"),
        ("adjust R1 1kohm .. 9kohm", "R1 is drawn as 10 kohm"),
        ("assume X1.R1 value 10kohm", "X1.R1 is drawn as 20 kohm"),
        ("assume R2 tolerance 1%", "R2 is drawn with -5 %, +5 %"),
        ("assume R2 tolerance -5% .. 1%", "R2 is drawn with -5 %, +5 %"),
        ("assume R2 tolerance -1% .. 5%", "R2 is drawn with -5 %, +5 %"),
    ],
)
def test_what_the_drawing_says_otherwise(text: str, part: str) -> None:
    """Sources to ground either way round, also in a cell; values outside; an element's other tolerance."""
    (message,) = told(text)
    assert part in message


@pytest.mark.parametrize(
    "text",
    [
        "supply vdd 5V",
        "supply vdd 4V .. 5V",
        "supply vdd 5V .. 6V",
        "supply vneg -3.3V",
        "supply a 9V",
        "supply kick 9V",
        "supply nowhere 9V",
        "signal vdd period 1ms",
        "assume R1 value 10kohm .. 20kohm",
        "assume R1 value 1kohm .. 10kohm",
        "assume R9 value 1kohm",
        "assume R1 tolerance 1%",
        "assume R2 tolerance 5%",
        "assume R* tolerance 1%",
        "load vdd 5mA",
    ],
)
def test_what_the_drawing_agrees_with_or_does_not_speak_of(text: str) -> None:
    """Ends count as inside; sources between nets, pulses and a pattern's tolerance say nothing against."""
    assert told(text) == []


@pytest.mark.parametrize(
    ("one", "other", "against"),
    [
        ("expect XU1 period 1ms .. 2ms", "expect XU1 frequency 400Hz .. 450Hz", True),
        ("expect XU1 period 1ms .. 2ms", "expect XU1 frequency 400Hz .. 500Hz", False),
        ("expect XU1 period 1ms .. 2ms", "expect XU1 frequency 1000Hz .. 1100Hz", False),
        ("expect XU1 period 1ms .. 2ms", "expect XU1 frequency 1100Hz .. 1200Hz", True),
        ("expect XU1 period 1ms .. 2ms", "expect XU1 period 3ms .. 4ms", True),
        ("expect XU1 period at least 1ms", "expect XU1 frequency at most 500Hz", False),
        ("expect XU1 period at least 1ms", "expect XU1 frequency at least 2kHz", True),
        ("expect XU1 pulse-width 1ms .. 2ms", "expect XU1 pulse-width 3ms .. 4ms", True),
        ("expect XU1 pulse-width 1ms .. 2ms", "expect XU1 period 3ms .. 4ms", False),
        ("expect XU* period 1ms", "expect XU* period 3ms", False),
        ("expect XU1 code 3", "expect XU1 code 4", True),
        ("expect XU1 code 3", "expect xu1 code 3", False),
        ("fit R1 no", "fit R1 no", False),
        ("assume R1 value 1kohm", "assume R1 value 2kohm", True),
        ("assume R1 value 1kohm", "assume R1 tolerance 2%", False),
        ("signal a 1V", "signal a 2V", False),
    ],
)
def test_expectations_that_no_value_meets(one: str, other: str, against: bool) -> None:
    """A period is the frequency of its ends turned round: 1 ms .. 2 ms is 500 Hz .. 1 kHz."""
    for text in (f"{one}\n{other}", f"{other}\n{one}"):
        intent = read_statements(text, "board.intent")
        assert intent.troubles == ()
        assert bool(contradictory(intent)) is against


def test_the_earliest_statement_is_the_one_that_counts() -> None:
    """Three that differ: the second and third are each held against the first, with its place."""
    found = contradictory(read_statements("supply a 1V\nsupply a 2V\nsupply a 3V", "board.intent"))
    assert [(t.place.line, t.others[0].line) for t in found] == [(2, 1), (3, 1)]


@pytest.mark.parametrize("length", [59, 60, 61, 80])
def test_a_long_statement_is_cut(length: int) -> None:
    """60 characters at most, the cut marked."""
    short = shortened("x" * length)
    assert len(short) == min(length, 60)
    assert short.endswith("...") is (length > 60)
