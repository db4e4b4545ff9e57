"""Statements that contradict each other, or what is drawn, are found; those that agree are not."""

import pytest

from drc.intent.read import read_statements
from drc.judge.conflicts import contradictory
from drc.judge.drawing import against_drawing
from drc.netlist.read import read_text

BOARD = """drawn
V1 vdd 0 5
V2 0 vneg 3.3
VP kick 0 PULSE(0 5 0 1n 1n 1m 2m)
R1 vdd cfg 10k
RV1 cfg 0 20k
R2 cfg a 10k tol=5%
.end
"""


def conflicts(text: str) -> list[str]:
    """The messages about statements that contradict each other."""
    intent = read_statements(text, "board.intent")
    assert intent.troubles == ()
    found = contradictory(intent)
    assert all(trouble.kind == "contradictory-statements" and trouble.level == "error" for trouble in found)
    return [trouble.message for trouble in found]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("supply vdd 5V\nsupply VDD 3.3V", "two different values"),
        ("supply vdd 5V\nnot supply vdd", "a rail and no rail"),
        ("not supply vdd\nsupply vdd 5V", "a rail and no rail"),
        ("ambient 0degC .. 50degC\nambient 0degC .. 70degC", "two different values"),
        ("fit R1 yes\nfit r1 no", "fitted and not fitted"),
        ("assume RV1 value 0ohm .. 1kohm\nadjust RV1 0ohm .. 1kohm", "some setting, and every one"),
        ("adjust RV1 0ohm .. 1kohm\nadjust RV1 0ohm .. 2kohm", "two different values"),
        ("expect XU1 frequency 1kHz +/- 1%\nexpect XU1 frequency 2kHz +/- 1%", "no value meets both"),
        ("expect XU1 polarity normal\nexpect XU1 polarity inverted", "no value meets both"),
        ("expect XU1 frequency 1kHz +/- 1%\nexpect XU1 period 2ms +/- 1%", "no value meets both"),
        ("expect XU1 period at most 1ms\nexpect XU1 frequency at most 0.9kHz", "no value meets both"),
    ],
)
def test_a_contradiction_is_found(text: str, why: str) -> None:
    """The later statement is named, with the earlier one and the reason."""
    (message,) = conflicts(text)
    assert f"({why})" in message
    earlier, later = text.split("\n")
    assert message.startswith(f'found "{later}" against "{earlier}"')


@pytest.mark.parametrize(
    "text",
    [
        "supply vdd 5V\nsupply vdd 5V",
        "supply vdd 5V\nsupply vcc 3.3V",
        "supply v* 5V\nsupply vdd 3.3V",
        "expect XU1 frequency at least 1kHz\nexpect XU1 frequency at most 2kHz",
        "expect XU1 frequency 1kHz when vctl = 0V\nexpect XU1 frequency 2kHz when vctl = 1V",
        "expect XU1 frequency 1kHz\nexpect XU1 period 1ms\nexpect XU2 frequency 5kHz",
        "expect XU1 frequency at least 0Hz\nexpect XU1 period at least 5ms",
        "assume R1 tolerance 1%\nassume R1 value 1kohm\nassume R* tolerance 5%",
    ],
)
def test_statements_that_can_both_be_meant_are_left_alone(text: str) -> None:
    """Two limits of one quantity, other conditions, other subjects, and patterns beside names agree."""
    assert conflicts(text) == []


def test_a_statement_against_the_drawing_is_found_with_both_places() -> None:
    """A rail stated otherwise than its source drives it, and a setting range without the drawn value."""
    circuit = read_text(BOARD)
    rails = "supply vdd 3.2V .. 3.4V\nsupply vneg 3.2V .. 3.4V"
    text = f"{rails}\nassume RV1 value 0ohm .. 10kohm\nsupply kick 4V .. 6V"
    text += "\nassume R2 tolerance 1%\nsignal vdd 0V .. 1V"
    found = against_drawing(read_statements(text, "board.intent"), circuit)
    assert [(trouble.place.line, trouble.others[0].line) for trouble in found] == [
        (1, 2), (2, 3), (3, 6), (5, 7), (6, 2),
    ]  # fmt: skip
    assert 'found "supply vdd 3.2V .. 3.4V", but V1 drives vdd at 5 V' in found[0].message
    assert "V2 drives vneg at -3.3 V" in found[1].message
    assert "R2 is drawn with -5 %, +5 %, which is taken" in found[3].message
    assert "RV1 is drawn as 20 kohm, outside 0 kohm .. 10 kohm" in found[2].message


def test_a_statement_that_takes_in_the_drawn_value_is_left_alone() -> None:
    """A battery's span round its source's value, and a range that holds the drawn setting, agree."""
    text = "supply vdd 4.5V .. 5.5V\nassume RV1 value 0ohm .. 20kohm\nassume R1 tolerance 1%\n"
    text += "supply cfg 1V\nassume R* tolerance 1%\nassume R2 tolerance 5%"
    assert against_drawing(read_statements(text, "board.intent"), read_text(BOARD)) == ()
