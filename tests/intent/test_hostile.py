"""Whatever an intent holds, each line is a statement or a trouble: never a traceback, never a hang."""

from hypothesis import given, settings
from hypothesis import strategies as st

from drc.intent.read import LONGEST, read_statements
from tests.intent.test_lanes import WORDS

CHARACTERS = st.text(st.characters(codec="utf-8", exclude_characters="\n"), max_size=8)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.one_of(WORDS, CHARACTERS), max_size=12), st.sampled_from([" ", "", "\t", '"']))
def test_any_line_is_a_statement_or_a_trouble(words: list[str], between: str) -> None:
    """Each line gives one statement, one trouble, or is a comment; a trouble stands inside its line."""
    text = between.join(words)
    intent = read_statements(text, "fuzz.intent")
    assert len(intent.statements) + len(intent.troubles) <= 1
    for trouble in intent.troubles:
        assert trouble.message
        assert 1 <= trouble.place.column <= len(text) + 1


def test_a_line_without_end_is_one_trouble() -> None:
    """A million characters are refused without being parsed."""
    for text in (
        "supply vdd " + " " * 1_000_000,
        "expect " + "x " * 500_000,
        '"' * 1_000_000,
        " #" * 500_000,
    ):
        intent = read_statements("fit R1 no\n" + text, "fuzz.intent")
        assert len(intent.statements) == 1
        assert all(str(LONGEST) in trouble.message for trouble in intent.troubles)
