"""What is told of statements against each other and against the drawing: every piece of each trouble."""

import pytest

from drc.intent.model import Expect, Intent
from drc.intent.read import read_statements
from drc.judge.conflicts import contradictory, shortened
from drc.judge.drawing import against_drawing
from drc.netlist.read import read_text
from drc.trouble import Place, Trouble

BOARD = """drawn
V1 vdd 0 5
I1 0 vdd 1m
V2 0 vneg 3.3
VS swing 0 SIN(0 1 1k)
V3 a b 2
V4 other 0 1
V5 other 0 9
R1 vdd cfg 10k
R2 cfg a 10k tol=5%
R3 a 0
C1 a 0 1u
R* a 0 5k tol=2%
V6 v* 0 7
V7 nil 0 0
"""


def stated(text: str) -> Intent:
    """Statements that can all be read."""
    intent = read_statements(text, "board.intent")
    assert intent.troubles == ()
    return intent


def against(text: str) -> list[str]:
    """The messages against the drawing, without the statement's own text."""
    found = against_drawing(stated(text), read_text(BOARD))
    return [trouble.message.partition('", but ')[2] for trouble in found]


def test_a_contradiction_in_full() -> None:
    """Kind, level, the later statement's place and line with its indent, and the earlier one's place."""
    found = contradictory(stated("supply vdd 5V\n   supply VDD 3.3V"))
    assert found == (
        Trouble(
            "contradictory-statements", "error", Place("board.intent", 2, 4, 15),
            'found "supply VDD 3.3V" against "supply vdd 5V" (two different values), expected one of them',
            "   supply VDD 3.3V", (Place("board.intent", 1, 1, 13),),
        ),
    )  # fmt: skip


def test_a_statement_against_the_drawing_in_full() -> None:
    """Kind, level, the statement's place and line with its indent, and the drawn element's place."""
    found = against_drawing(stated("\n  supply vdd 3.3V"), read_text(BOARD))
    assert found == (
        Trouble(
            "statement-against-drawing", "warning", Place("board.intent", 2, 3, 15),
            'found "supply vdd 3.3V", but V1 drives vdd at 5 V; expected the two to agree',
            "  supply vdd 3.3V", (Place("board.cir", 2, 1, 2),),
        ),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("supply vdd 3V", ["V1 drives vdd at 5 V"]),
        ("supply vneg 3.3V", ["V2 drives vneg at -3.3 V"]),
        ("supply vneg -3.3V", []),
        ("supply other 1V", ["V5 drives other at 9 V"]),
        ("supply other 9V", ["V4 drives other at 1 V"]),
        ("supply other 1V .. 9V", []),
        ("supply a 9V\nsupply b 9V", []),
        ("supply swing 9V", []),
        ("supply cfg 9V", []),
        ('supply "v*" 9V', ["V6 drives v* at 7 V"]),
        ('supply "vdd" 9V', ["V1 drives vdd at 5 V"]),
        ("supply v* 5V", ["V2 drives vneg at -3.3 V"]),
        ("supply nil 0V .. 5V", []),
        ("supply nil -5V .. 0V", []),
        ("supply nil 1V .. 5V", ["V7 drives nil at 0 V"]),
        ("supply o*r 9V", ["V4 drives other at 1 V"]),
        ("signal vdd 3V", ["V1 drives vdd at 5 V"]),
        ("signal vdd high 1ms", []),
        ("supply vdd 5.000000001V", []),
        ("supply vdd 5.00000001V", ["V1 drives vdd at 5 V"]),
        ("supply vdd 4.999999999V", []),
        ("supply vdd 4.99999999V", ["V1 drives vdd at 5 V"]),
        ("supply vneg -3.3000000001V", []),
        ("supply vneg -3.29V", ["V2 drives vneg at -3.3 V"]),
        ("assume R1 value 9kohm", ["R1 is drawn as 10 kohm, outside 9 kohm"]),
        ("assume R1 value 1kohm .. 9kohm", ["R1 is drawn as 10 kohm, outside 1 kohm .. 9 kohm"]),
        ("adjust R1 11kohm .. 12kohm", ["R1 is drawn as 10 kohm, outside 11 kohm .. 12 kohm"]),
        ("adjust R1 1kohm .. 12kohm", []),
        ("assume R* value 9kohm", ["R1 is drawn as 10 kohm, outside 9 kohm"]),
        ('assume "R*" value 9kohm', ["R* is drawn as 5 kohm, outside 9 kohm"]),
        ('assume "R*" value 5kohm', []),
        ('assume "R*" tolerance 1%', ["R* is drawn with -2 %, +2 %, which is taken"]),
        ("assume R3 value 9kohm", []),
        ("assume C1 value 2uF", ["C1 is drawn as 1 uF, outside 2 uF"]),
        ("assume R2 tolerance 1%", ["R2 is drawn with -5 %, +5 %, which is taken"]),
        ("assume R2 tolerance 5%", []),
        ("assume R2 tolerance -5% .. 4%", ["R2 is drawn with -5 %, +5 %, which is taken"]),
        ("assume R2 tolerance -4% .. 5%", ["R2 is drawn with -5 %, +5 %, which is taken"]),
        ("assume R2 tempco 5ppm", []),
        ("assume R* tolerance 1%", []),
        ('assume "R2" tolerance 1%', ["R2 is drawn with -5 %, +5 %, which is taken"]),
        ("assume R1 tolerance 1%", []),
        ("assume R2 value 9kohm", ["R2 is drawn as 10 kohm, outside 9 kohm"]),
        ("adjust R2 9kohm .. 11kohm", []),
        ("supply vdd 3V\nadjust R1 1ohm\nambient 25degC\nsupply vneg 1V",
         ["V1 drives vdd at 5 V", "R1 is drawn as 10 kohm, outside 1 ohm", "V2 drives vneg at -3.3 V"]),
    ],
)  # fmt: skip
def test_what_is_drawn_otherwise(text: str, told: list[str]) -> None:
    """DC sources to ground either way round, values, an element's own tolerance; a billionth is rounding.

    A pattern tells the first that differs. Currents, swings, and sources between nets drive no level.
    """
    assert [message.partition("; expected")[0] for message in against(text)] == told


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("supply a 1V\nnot supply a", "a rail and no rail"),
        ("not supply a\nsupply a 1V", "a rail and no rail"),
        ("not supply a\nnot supply a", ""),
        ("supply a 1V\nsupply a 1V .. 2V", "two different values"),
        ("supply a 1V\nsupply a 1V", ""),
        ('supply "v*" 1V\nsupply "V*" 2V', "two different values"),
        ("supply v* 1V\nsupply v* 2V", ""),
        ('supply "vdd" 1V\nsupply vdd 2V', "two different values"),
        ("assume R1 value 1kohm\nadjust R1 1kohm", "some setting, and every one"),
        ("adjust R1 1kohm\nassume R1 value 1kohm", "some setting, and every one"),
        ("adjust R1 1kohm\nassume R1 tolerance 1%", ""),
        ("assume R1 tolerance 1%\nassume R1 tolerance 2%", ""),
        ("assume R1 value 1kohm\nassume R1 value 2kohm", "two different values"),
        ("adjust R1 1kohm\nadjust r1 2kohm", "two different values"),
        ("adjust R1 1kohm\nadjust R1 1kohm", ""),
        ("fit R1 yes\nfit R1 no", "fitted and not fitted"),
        ("fit R1 no\nfit R1 yes", "fitted and not fitted"),
        ("fit R1 no\nfit R1 no", ""),
        ("fit R1 no\nadjust R1 1kohm", ""),
        ("ambient 1degC\nambient 2degC", "two different values"),
        ("ambient 1degC\nambient 1degC", ""),
        ("expect X frequency 1kHz\nexpect X frequency 1kHz", ""),
        ("expect X frequency 1kHz .. 2kHz\nexpect X frequency 2kHz .. 3kHz", ""),
        ("expect X frequency 1kHz .. 2kHz\nexpect X frequency 2.1kHz .. 3kHz", "no value meets both"),
        ("expect X frequency 2.1kHz .. 3kHz\nexpect X frequency 1kHz .. 2kHz", "no value meets both"),
        ("expect X frequency 1kHz .. 2kHz\nexpect X period 0.5ms .. 1ms", ""),
        ("expect X frequency 1kHz .. 2kHz\nexpect X period 0.4ms .. 0.49ms", "no value meets both"),
        ("expect X period 0.4ms .. 0.49ms\nexpect X frequency 1kHz .. 2kHz", "no value meets both"),
        ("expect X frequency 1kHz .. 2kHz\nexpect X period 1.1ms .. 2ms", "no value meets both"),
        ("expect X frequency 1kHz .. 2kHz\nexpect X period 0.9ms .. 2ms", ""),
        ("expect X period 0.4ms .. 0.49ms\nexpect X period 1.1ms .. 2ms", "no value meets both"),
        ("expect X period at most 1ms\nexpect X frequency at least 9kHz", ""),
        ("expect X period at most 1ms\nexpect X frequency at most 0.9kHz", "no value meets both"),
        ("expect X period at least 1ms\nexpect X frequency at most 0.1Hz", ""),
        ("expect X period at least 1ms\nexpect X frequency 1.1kHz", "no value meets both"),
        ("expect X period 0ms .. 1ms\nexpect X frequency 0.9kHz", "no value meets both"),
        ("expect X period 0ms .. 1ms\nexpect X frequency 9kHz", ""),
        ("expect X pulse-width 1ms\nexpect X pulse-width 2ms", "no value meets both"),
        ("expect X pulse-width 1ms\nexpect X delay 2ms", ""),
        ("expect X polarity normal\nexpect X polarity inverted", "no value meets both"),
        ("expect X polarity normal\nexpect X polarity normal", ""),
        ("expect X frequency 1kHz when a = 1V\nexpect X frequency 2kHz when a = 1V", "no value meets both"),
        ("expect X frequency 1kHz when a = 1V\nexpect X frequency 2kHz", ""),
        ("signal a 1V\nsignal a 2V", ""),
        ("ramp a 1ms\nramp a 2ms", ""),
    ],
)  # fmt: skip
def test_what_cannot_both_be_meant(text: str, why: str) -> None:
    """One subject, said otherwise: rails, values, settings, fitting, ambient, expectations."""
    found = contradictory(stated(text))
    first, second = text.split("\n")
    message = f'found "{second}" against "{first}" ({why}), expected one of them'
    assert [trouble.message for trouble in found] == [message] * bool(why)


def test_a_name_and_a_quantity_wanted_of_one_thing_do_not_meet() -> None:
    """Either way round, and a span of no width no less."""
    (one,) = stated("expect X frequency 1kHz").statements
    assert isinstance(one, Expect)
    other = one._replace(wanted="low", place=Place("board.intent", 2, 1, 5))
    for pair in ((one, other), (other, one)):
        (trouble,) = contradictory(Intent(pair))
        assert "(no value meets both)" in trouble.message


def test_each_later_statement_is_held_against_the_earliest() -> None:
    """What agrees with the earliest is none, whatever stands between; subjects do not mix."""
    text = "supply a 1V\nsupply b 1V\nsupply a 2V\nsupply a 1V\nnot supply a\nsupply b 3V"
    found = contradictory(stated(text))
    assert [(trouble.place.line, trouble.others[0].line) for trouble in found] == [(3, 1), (5, 1), (6, 2)]


def test_a_long_statement_is_cut_to_sixty() -> None:
    """57 characters and three dots; 60 stay whole."""
    text = "".join(str(n % 10) for n in range(70))
    assert shortened(text[:60]) == text[:60]
    assert shortened(text[:61]) == f"{text[:57]}..."
    assert shortened(text) == f"{text[:57]}..."
