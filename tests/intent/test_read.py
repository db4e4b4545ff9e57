"""Every form of statement is read to its type; what can't be read is a trouble with a caret."""

import math

import pytest

from drc.circuit.model import Annotation
from drc.intent.model import (
    Accept,
    Adjust,
    Ambient,
    Assume,
    Condition,
    Expect,
    Fit,
    Load,
    NotSupply,
    Pattern,
    Ramp,
    Same,
    Signal,
    Statement,
    Supply,
)
from drc.intent.read import join, read_annotations, read_statements
from drc.quantity.span import Span, exact
from drc.quantity.unit import AMPERE, CELSIUS, HERTZ, OHM, POINT, RATIO, SECOND, VOLT
from drc.trouble import Place

XU3 = Pattern("XU3")


def read(text: str) -> Statement:
    """The one statement of a line."""
    intent = read_statements(text, "lamp.intent")
    assert intent.troubles == ()
    (statement,) = intent.statements
    return statement


def place(text: str) -> Place:
    """Where a statement stands that fills its line."""
    return Place("lamp.intent", 1, 1, len(text))


def expect(text: str, quantity: str, wanted: Span | str) -> tuple[str, Expect]:
    """A text and its expectation of XU3."""
    return text, Expect(place(text), text, XU3, quantity, wanted)


FORMS: list[tuple[str, Statement]] = [
    expect("expect XU3 frequency 10kHz +/- 3%", "frequency", Span(9700, 10000, 10300, HERTZ)),
    expect("expect XU3 period 15ms .. 17ms", "period", Span(0.015, None, 0.017, SECOND)),
    expect("expect XU3 pulse-width at least 5ms", "pulse-width", Span(0.005, None, math.inf, SECOND)),
    expect("expect XU3 delay at most 1s", "delay", Span(-math.inf, None, 1, SECOND)),
    expect("expect XU3 delay-rising 1s", "delay-rising", exact(1, SECOND)),
    expect("expect XU3 delay-falling 1 s", "delay-falling", exact(1, SECOND)),
    expect("expect XU3 duty 20% .. 30%", "duty", Span(20, None, 30, POINT)),
    expect("expect XU3 duty 50points +/- 3points", "duty", Span(47, 50, 53, POINT)),
    expect("expect XU3 prescale 1000", "prescale", exact(1000, RATIO)),
    expect("expect XU3 code 5", "code", exact(5, RATIO)),
    expect("expect XU3 polarity inverted", "polarity", "inverted"),
    expect("expect XU3 rest low", "rest", "low"),
]


@pytest.mark.parametrize(("text", "wanted"), FORMS, ids=[text for text, _ in FORMS])
def test_expectations(text: str, wanted: Statement) -> None:
    """Each quantity that can be expected is read in its own unit, a duty in points."""
    assert read(text) == wanted


def test_a_method_and_a_condition() -> None:
    """`using` and `when` may stand in either order, with or without blanks round the equals sign."""
    rest = "expect XU2 frequency 800Hz +/- 5%"
    level = Condition(Pattern("vctl"), exact(1.25, VOLT))
    for text in (
        f"{rest} using rss when vctl = 1.25V",
        f"{rest} when vctl = 1.25V using rss",
        f"{rest} using rss when vctl=1.25V",
    ):
        found = read(text)
        assert isinstance(found, Expect)
        assert (found.method, found.condition) == ("rss", level)
        assert found.wanted == Span(760, 800, 840, HERTZ)
    state = read(f"{rest} when XU7 = high")
    assert isinstance(state, Expect)
    assert state.condition == Condition(Pattern("XU7"), "high")


def others() -> list[Statement]:
    """The other forms, one each; texts and places are filled in by the test."""
    at, text = Place(""), ""
    ms = 1e-3
    return [
        Supply(at, text, Pattern("vbat"), Span(2.7, None, 4.2, VOLT)),
        NotSupply(at, text, Pattern("EN_3V3")),
        Ramp(at, text, Pattern("vbat"), exact(5 * ms, SECOND)),
        Signal(
            at,
            text,
            Pattern("kick"),
            period=Span(20 * ms, None, 40 * ms, SECOND),
            high=Span(2e-6, None, 5e-6, SECOND),
        ),
        Signal(at, text, Pattern("vctl"), voltage=Span(0, None, 2.5, VOLT)),
        Signal(at, text, Pattern("door"), bounce=exact(8 * ms, SECOND)),
        Load(at, text, Pattern("horn"), exact(5 * ms, AMPERE)),
        Same(at, text, (Pattern("AGND"), Pattern("GND"))),
        Same(at, text, (Pattern("A"), Pattern("B 1", True), Pattern("C"))),
        Ambient(at, text, Span(-40, None, 85, CELSIUS)),
        Assume(at, text, Pattern("R*"), (-0.01, 0.01), 100e-6),
        Assume(at, text, Pattern("C1"), (-0.2, 0.8)),
        Assume(at, text, Pattern("C2"), (0, 0.2)),
        Assume(at, text, Pattern("C3"), (-0.2, 0)),
        Assume(at, text, Pattern("R9"), tempco=-50e-6, tempco_signed=True),
        Assume(at, text, Pattern("R9"), tempco=50e-6),
        Assume(at, text, Pattern("RV1"), value=Span(0, None, 10_000, OHM)),
        Adjust(at, text, Pattern("RV1"), Span(0, None, 10_000, OHM)),
        Fit(at, text, Pattern("R12"), False),
        Accept(at, text, "strap-off-centre", XU3, "lab units only", "board owner", "2027-03-31"),
        Accept(at, text, "strap-off-centre", Pattern("*"), "it's fine", None, None),
    ]


TEXTS = [
    "supply vbat 2.7V .. 4.2V",
    "not supply EN_3V3",
    "ramp vbat 5ms",
    "signal kick period 20ms .. 40ms, high 2us .. 5us",
    "signal vctl 0V .. 2.5V",
    "signal door bounce 8ms",
    "load horn 5mA",
    "same AGND GND",
    'same A "B 1" C',
    "ambient -40degC .. 85degC",
    "assume R* tolerance 1%, tempco 100ppm",
    "assume C1 tolerance -20% .. 80%",
    "assume C2 tolerance 0% .. 20%",
    "assume C3 tolerance -20% .. 0%",
    "assume R9 tempco -50ppm",
    "assume R9 tempco +/- 50ppm/K",
    "assume RV1 value 0ohm .. 10kohm",
    "adjust RV1 0ohm .. 10kohm",
    "fit R12 no",
    'accept strap-off-centre at XU3 because "lab units only" by "board owner" until 2027-03-31',
    'accept strap-off-centre at * because "it\'s fine"',
]


@pytest.mark.parametrize(("text", "wanted"), list(zip(TEXTS, others(), strict=True)), ids=TEXTS)
def test_the_other_statements(text: str, wanted: Statement) -> None:
    """Each form is read to its own type, with its text and place."""
    assert read(text) == wanted._replace(text=text, place=place(text))


def test_a_file_has_comments_and_blank_lines() -> None:
    """`#` and `*` begin comments, a `#` after a blank ends a statement, line ends of any system are taken."""
    text = '# lamp\r\n\r\n* also a comment\r\n  supply a#1 5V  # five\r\n*@ supply "b #2" 5V\r\n#end'
    intent = read_statements(text, "lamp.intent")
    assert intent.troubles == ()
    first, second = intent.statements
    assert isinstance(first, Supply)
    assert isinstance(second, Supply)
    assert (first.net, first.place) == (Pattern("a#1"), Place("lamp.intent", 4, 3, 13))
    assert second.net == Pattern("b #2", True)


def test_an_empty_statement_says_nothing() -> None:
    """A `*@` with nothing or only a comment behind it is neither statement nor trouble."""
    for text in ("*@", "*@   ", "*@ # later", "   "):
        assert read_statements(text, "lamp.intent") == join()
        annotation = Annotation(text.removeprefix("*@"), Place("lamp.cir", 7, 3))
        assert read_annotations([annotation]) == join()


def test_annotations_keep_their_place() -> None:
    """A statement behind `*@` stands where its text begins, and so does a trouble in it."""
    good = Annotation(" supply vdd 5V", Place("lamp.cir", 7, 3))
    bad = Annotation(" supply vdd 5", Place("lamp.cir", 8, 3))
    intent = join(read_annotations([good, bad]), read_statements("", "x"))
    assert intent.statements[0].place == Place("lamp.cir", 7, 4, 13)
    (trouble,) = intent.troubles
    assert (trouble.place, trouble.excerpt) == (Place("lamp.cir", 8, 15, 1), "*@ supply vdd 5")
    assert trouble.excerpt[trouble.place.column - 1] == "5"


QUANTITIES = (
    "frequency, period, pulse-width, delay, delay-rising, delay-falling, duty, prescale, code, "
    "polarity or rest"
)
WRONG = [
    # text, what stands under the caret, message
    ("expct XU3 frequency 1kHz", "expct", 'did you mean "expect"?'),
    (
        "expect XU3 freqency 1kHz",
        "freqency",
        f'found "freqency", expected {QUANTITIES}; did you mean "frequency"?',
    ),
    ("expect XU3 frequency 10ms", "10ms", 'found "10ms", expected a quantity in Hz'),
    ("expect XU3 frequency 10khz", "khz", 'found "khz", expected kHz (letter case counts)'),
    (
        "expect XU3 frequency 10kHz +/- 3% using luck",
        "luck",
        'found "luck", expected extreme, rss or monte-carlo',
    ),
    ("expect XU3 frequency 10kHz when vctl", "", "found the end, expected ="),
    ("expect XU3 polarity low", "low", 'found "low", expected normal or inverted'),
    ("expect XU3 duty 5ms", "5ms", 'found "5ms", expected a plain number or % or a quantity in points'),
    ("expect XU3 frequency 5kHz .. 1kHz", "1kHz", "expected a high end that is not below the low end"),
    ("expect XU3 frequency 1kHz using rss using rss", "using rss", 'found a second "using", expected one'),
    ("supply vdd 5", "5", 'found "5", expected a quantity in V'),
    ("supply vdd", "", "found the end, expected "),
    ("supply vdd 5V 6V", "6V", 'found "6V", expected '),
    ("ramp vdd -5ms", "-5ms", 'found "-5ms", expected nothing below 0'),
    ("load horn 5V", "5V", 'found "5V", expected a quantity in A'),
    ("signal x period 5ms, period 6ms", "6ms", 'found a second "period", expected it once'),
    ("signal x period 5ms, high 6ms", "6ms", 'found "6ms", expected a high time within the period'),
    ("signal x period 5ms high 5us", "high", 'found "high", expected '),
    ("same A", "", "found the end, expected a name"),
    ("ambient 5V .. 6V", "5V .. 6V", "expected a quantity in degC"),
    ("assume R1 tolerance 5%, tolerance 1%", "1%", 'found a second "tolerance", expected it once'),
    ("assume R1 tolerance 1", "1", 'found "1", expected a tolerance in % or in ppm'),
    ("assume R1 tolerance 0.01", "0.01", "expected a tolerance in % or in ppm"),
    ("expect XU1 frequency 800 +/- 6%", "6%", 'found "6%", expected a unit on the number before it'),
    ("assume R1 tolerance 1% .. 5%", "1% .. 5%", "expected a tolerance round 0"),
    ("assume R1 tempco 50ppm/K +/- 10ppm/K", "50ppm/K +/- 10ppm/K", "expected one tempco, such as 100ppm"),
    ("assume R1 tempco 50ppm .. 60ppm", "50ppm .. 60ppm", "expected one tempco, such as 100ppm"),
    ("assume R1 value 5V", "5V", "expected a quantity in ohm, a quantity in F or a quantity in H"),
    ("fit R12 perhaps", "perhaps", 'found "perhaps", expected yes or no'),
    ("accept rule at XU3", "", 'found the end, expected "because"'),
    ('accept rule at XU3 because "x" until 2027-13-31', "2027-13-31", "expected a date such as 2027-03-31"),
    ("\x00\x01", "\x00\x01", "expected "),
]


@pytest.mark.parametrize(("text", "under", "message"), WRONG, ids=[wrong[0] for wrong in WRONG])
def test_what_cannot_be_read_is_a_trouble(text: str, under: str, message: str) -> None:
    """The caret stands under what is wrong, the message says what was expected, the rest is kept."""
    intent = read_statements(f"ambient 20degC\n{text}\nambient 20degC", "lamp.intent")
    assert len(intent.statements) == 2
    (trouble,) = intent.troubles
    assert message in trouble.message
    start = trouble.place.column - 1
    assert trouble.excerpt == text
    assert text[start : start + trouble.place.length] == under
    assert trouble.place.length == max(1, len(under)) or not under
    assert (trouble.kind, trouble.level, trouble.place.line) == ("unreadable-statement", "error", 2)
