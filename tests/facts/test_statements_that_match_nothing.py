"""A statement whose name is not on the board is told, at the name."""

import pytest

from drc.facts.subjects import troubles
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book


def told(intent: str) -> list[tuple[str, int, int]]:
    """What is named, of what kind, and where: message, column, length."""
    found = [t for t in troubles(book(CENTRED, PLAIN, intent)) if t.kind == "statement-matches-nothing"]
    assert all(t.level == "error" for t in found)
    return [(t.message, t.place.column, t.place.length) for t in found]


@pytest.mark.parametrize(
    ("intent", "name", "what"),
    [
        ("expect XU7 frequency 1kHz", "XU7", "timing block"),
        ("expect XU1 frequency 1kHz when nowhere = 1V", "nowhere", "net or timing block"),
        ("expect XU1 frequency 1kHz when XU9 = high", "XU9", "net or timing block"),
        ("supply nowhere 5V", "nowhere", "net"),
        ("not supply nowhere", "nowhere", "net"),
        ("ramp nowhere 5ms", "nowhere", "net"),
        ("signal nowhere 0V .. 1V", "nowhere", "net"),
        ("load nowhere 5mA", "nowhere", "net"),
        ("same vdd nowhere", "nowhere", "net"),
        ("assume R77 tolerance 1%", "R77", "element"),
        ("assume R7* tolerance 1%", "R7*", "element"),
        ("adjust RV1 0ohm .. 10kohm", "RV1", "element"),
        ("fit R77 no", "R77", "element"),
        ("supply no* 5V", "no*", "net"),
        ("expect XT* frequency 1kHz", "XT*", "timing block"),
    ],
)
def test_a_name_that_is_not_on_the_board(intent: str, name: str, what: str) -> None:
    """The message has the name and what it should be; the place is the name's own."""
    ((message, column, length),) = told(intent)
    assert message.startswith(f'the statement names "{name}", and the board has no {what} of that name')
    assert intent[column - 1 : column - 1 + length] == name


@pytest.mark.parametrize(
    "intent",
    [
        "expect xu1 frequency 1kHz when vdd = 4V",
        "expect XU* frequency 1kHz when XU1 = high",
        "supply VDD 5V",
        "supply v* 5V",
        'signal "rt" 0V .. 1V',
        "same vdd cfg",
        "assume R* tolerance 1%",
        "assume r1 tolerance 1%",
        "fit R2 no",
    ],
)
def test_a_name_that_is_on_the_board(intent: str) -> None:
    """Letter case is ignored, a star means any run of characters."""
    assert told(intent) == []


def test_both_names_of_a_statement_are_told() -> None:
    """Each on its own, and a near name is offered."""
    assert [message.split('"')[1] for message, _, _ in told("same nowhere elsewhere")] == [
        "nowhere",
        "elsewhere",
    ]
    assert 'did you mean "XU1"' in told("expect XU11 frequency 1kHz")[0][0]


def test_one_of_several_blocks_is_enough() -> None:
    """An expectation of one block is no matter of the others."""
    two = f"{CENTRED}R6 rt2 0 100k\nXU2 vdd cfg o2 0 rt2 vdd PL1\n"
    of = book(two, PLAIN, "expect XU1 frequency 1kHz\nexpect XU2 frequency 1kHz")
    assert [t for t in troubles(of) if t.kind == "statement-matches-nothing"] == []
