"""What messages may name, and how what they name is written."""

import pytest

from drc.facts.model import Case, Cases, Fact, Unknown, Value
from drc.judge.assess import assess
from drc.judge.message import WORDS
from drc.judge.program import Values
from drc.judge.rule import Message
from drc.judge.shown import inside_sentence, message_text, written
from drc.quantity.span import Span, exact
from drc.quantity.unit import VOLT
from drc.trouble import InputError
from tests.judge.stub import GivenBook, only, rules

SUBJECTS = {
    "block": {"subject", "block", "part"},
    "statement": {"subject", "block", "part", "statement"},
    "pair": {"subject", "upstream", "downstream"},
    "net": {"subject", "net"},
    "part": {"subject", "block", "part"},
    "line": {"subject"},
    "board": {"subject"},
}


def rule_text(say: str, subject: str = "block", more: str = "") -> str:
    """A rule that says this."""
    require = "" if subject == "line" else "require known board.blocks else error"
    return f'rule r title "T" for {subject} {more} {require}\n say "{say}" because "b" source "s"'


@pytest.mark.parametrize("subject", SUBJECTS)
def test_each_subject_has_its_own_words(subject: str) -> None:
    """What is no word of the subject, nor a fact, is refused where the text stands."""
    assert {str(kind): set(words) for kind, words in WORDS.items()} == SUBJECTS
    for word in set().union(*SUBJECTS.values()):
        text = rule_text(f"{{{word}}}", subject)
        if word in SUBJECTS[subject]:
            (piece,) = (p for p in only(rules(text)).says["fail"].pieces if not isinstance(p, str))
            assert piece == ["about", [2, 6, len(word) + 4], word]
            assert only(rules(text)).says["fail"].names == ()
            continue
        with pytest.raises(InputError) as caught:
            rules(text)
        (trouble,) = caught.value.troubles
        assert trouble.message.startswith(f'found "{word}", expected a fact, knob or let')
        assert (trouble.place.line, trouble.place.column, trouble.place.length) == (2, 6, len(word) + 4)


FACTS: dict[str, Value | Fact] = {"supply.voltage": Span(1, 2, 4, VOLT), "strap.polarity": "inverted"}


def said(text: str, more: str = "knob least = 3 V let room = supply.voltage - 1 V") -> str:
    """The message of a rule that fails."""
    book = rules(rule_text(text, more=f"{more} require strap.open else error").replace(
        "require known board.blocks else error", ""))  # fmt: skip
    (finding,) = assess(GivenBook({**FACTS, "strap.open": False}), book).findings
    return finding.message


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("{low supply.voltage}|{nominal supply.voltage}|{high supply.voltage}", "1 V|2 V|4 V"),
        ("{supply.voltage}", "1 V .. 4 V (nominal 2 V)"),
        ("{low room}{high room}", "0 V3 V"),
        ("{least}, {high least}, {room}", "3 V, 3 V, 0 V .. 3 V (nominal 1 V)"),
        ("{ strap.polarity }", "inverted"),
        ("{{{block}}} and {{}}", "{XU1} and {}"),
        ("", ""),
        ("{part}", "HX"),
        ("{strap.margin}", "unknown (strap.margin is not given)"),
        ("{low strap.margin}", "unknown (strap.margin is not given)"),
    ],
)
def test_holes_are_filled(text: str, message: str) -> None:
    """Facts, their ends, knobs, lets and words of the subject; doubled braces are braces."""
    assert said(text) == message


def test_the_facts_of_a_message_are_known_by_name() -> None:
    """Each once, in order, those behind lets and ends among them; knobs and words are none."""
    text = "{strap.code} {block} {low supply.voltage} {room} {least} {strap.code}"
    found = only(rules(rule_text(text, more="knob least = 3 V let room = supply.limit - supply.voltage")))
    assert found.says["fail"].names == ("strap.code", "supply.voltage", "supply.limit")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a { b", 'found a lone "{" in the text, expected {NAME}, or "{{"'),
        ("a } b", 'found a lone "}" in the text, expected {NAME}, or "}}"'),
        ("{block}}", 'found a lone "}" in the text, expected {NAME}, or "}}"'),
        ("{wide supply.voltage}", 'found "{wide supply.voltage}" in the text, expected {NAME} or {low NAME}'),
        ("{supply.voltage low}", 'found "{supply.voltage low}" in the text, expected {NAME} or {low NAME}'),
        ("{low  supply voltage}", 'found "{low supply voltage}" in the text, expected {NAME} or {low NAME}'),
        ("{}", 'found "{}" in the text, expected {NAME} or {low NAME}'),
        ("{low block}", 'found "block", expected a fact, knob or let'),
        ("{low}", 'found "low", expected a fact, knob or let'),
        ("{high strap.open}", "found yes or no, expected a quantity"),
    ],
)
def test_a_hole_that_names_nothing_is_refused(text: str, message: str) -> None:
    """What stands there, and the forms that there are, at the text."""
    with pytest.raises(InputError) as caught:
        rules(rule_text(text))
    (trouble,) = caught.value.troubles
    assert trouble.message.split("; did you mean")[0] == message
    assert (trouble.place.line, trouble.place.column, trouble.place.length) == (2, 6, len(text) + 2)
    assert trouble.excerpt == rule_text(text).split("\n")[1]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (exact(2, VOLT), "2 V"),
        (True, "yes"),
        (False, "no"),
        ("low", "low"),
        (Unknown("no R3", ("R3",)), "unknown (no R3)"),
        (Unknown(""), "unknown"),
        (
            Cases((Case("XU2 = 0", exact(1, VOLT)), Case("XU2 = 1", exact(2, VOLT)))),
            "XU2 = 0: 1 V; XU2 = 1: 2 V",
        ),
    ],
)
def test_a_value_as_a_person_reads_it(value: Value, text: str) -> None:
    """Spans with units, yes and no, names, states by their labels, and why something is unknown."""
    assert written(value) == text


def test_a_title_inside_a_sentence_begins_small() -> None:
    """Unless its first word is an abbreviation or a sign."""
    told = {
        "All is well": "all is well", "A strap is tied": "a strap is tied", "I/O is tied": "I/O is tied",
        "RC timers settle": "RC timers settle", "T": "T", "all is well": "all is well", "": "",
    }  # fmt: skip
    assert {title: inside_sentence(title) for title in told} == told


def test_a_word_that_a_subject_lacks_is_a_question_mark() -> None:
    """A part's block, where the part belongs to none."""
    message = Message(("of ", ["about", [1, 1, 1], "block"], ", ", ["about", [1, 1, 1], "subject"]), ())
    values = Values(lambda name: Fact(name, True))
    assert message_text(message, values, {}, {"subject": "R1"}) == "of ?, R1"
