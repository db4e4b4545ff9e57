"""The plain lane and the grammar read the same statements the same way."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.intent.build import build
from drc.intent.form import Form, StatementError, plain_form
from drc.intent.model import Statement
from drc.intent.parse import grammar_form
from drc.trouble import Place
from tests.intent.test_read import FORMS, TEXTS

PLACE = Place("lamp.intent", 1)
WORDS = st.sampled_from(
    [
        *{word for text in [*TEXTS, *(text for text, _ in FORMS)] for word in text.split()},
        *("using", "rss", "when", "vctl", "=", "XU7", "high", "at", "least", "most", "0.5", "5V"),
        *("+/-", ",", "..", '"'),
    ]
)  # fmt: skip


def understood(form: Form, text: str) -> Statement | str:
    """The statement of a form, or what is wrong with it."""
    try:
        return build(form, PLACE, text)
    except StatementError as error:
        return error.message


@pytest.mark.parametrize("text", [*TEXTS, *(text for text, _ in FORMS)])
def test_both_lanes_read_every_form(text: str) -> None:
    """Each form of statement has one meaning, whichever lane reads it."""
    assert understood(grammar_form(text), text) == build(grammar_form(text), PLACE, text)
    plain = plain_form(text)
    assert plain is None or understood(plain, text) == understood(grammar_form(text), text)


def test_the_usual_forms_never_need_the_grammar() -> None:
    """Every documented form but lists of joined nets goes down the plain lane."""
    needing = [text for text in [*TEXTS, *(text for text, _ in FORMS)] if plain_form(text) is None]
    assert needing == ['same A "B 1" C']


@given(st.sampled_from([*TEXTS, *(text for text, _ in FORMS)]), st.data())
def test_what_the_plain_lane_reads_the_grammar_reads_too(text: str, data: st.DataObject) -> None:
    """Words swapped, lost or added: where the plain lane gives a statement, the grammar gives the same."""
    words = text.split(" ")
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(words) - 1))
        words[at : at + data.draw(st.integers(0, 1))] = data.draw(st.lists(WORDS, max_size=2))
        words = words or ["ambient"]
    changed = data.draw(st.sampled_from([" ", "  ", "\t"])).join(words).strip()
    plain = plain_form(changed)
    if plain is None:
        return
    read = understood(plain, changed)
    if not isinstance(read, str):
        assert read == build(grammar_form(changed), PLACE, changed)
