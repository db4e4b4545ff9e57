"""What is said of a rule text that cannot be read: what was found, what would go on there, and the place."""

import pytest

from drc.judge.parse import parse_rules
from drc.trouble import InputError, Trouble

CLAUSES = "the next clause"
VALUE = "a fact, a quantity or an expression"
ITEMS = '"level", "off", "replace", "rule", "turn" or the end'
LEVELS = "error, warning or note"
SUBJECTS = '"block", "board", "line", "net", "pair", "part" or "statement"'


def trouble_of(text: str) -> Trouble:
    """The one trouble of a text."""
    with pytest.raises(InputError) as caught:
        parse_rules(text, "x.rule")
    (trouble,) = caught.value.troubles
    assert (trouble.kind, trouble.level, trouble.place.path) == ("wrong-rule", "error", "x.rule")
    return trouble


TOO_SOON = [
    ("rule", "a name"),
    ("rule r title", 'a text in "quotes"'),
    ("rule r for", SUBJECTS),
    ("rule r for block of", "a name"),
    ("rule r for line else", LEVELS),
    ("rule r unproven", LEVELS),
    ("rule r where", VALUE),
    ("rule r where not", VALUE),
    ("rule r where a <", VALUE),
    ("rule r where a is", f'"one" or {VALUE}'),
    ("rule r where a is one", '"of"'),
    ("rule r where a is one of", "("),
    ("rule r where known", "( or a name"),
    ("rule r where known (a", ")"),
    ("rule r where (a", '"or" or )'),
    ("rule r where min(a", '"or", ) or a comma'),
    ("rule r knob", "a name"),
    ("rule r knob a", "="),
    ("rule r knob a =", VALUE),
    ("rule r require a", '"else", "or" or "when"'),
    ("rule r require a when b", '"else" or "or"'),
    ("rule r require a is one of (b)", '"else", "or" or "when"'),
    ("rule r require a else", LEVELS),
    ("rule r require a else error at-risk", LEVELS),
    ("rule r say", '"at-risk", "unproven" or a text in "quotes"'),
    ("rule r remedy a,", "a name"),
    ("rule r breaks", '"at-risk", "fail", "unproven", a text in "quotes" or | and a board line'),
    ('rule r edit "a"', '"to"'),
    ('rule r edit "a" to', 'a text in "quotes"'),
    ("turn", "a name"),
    ("turn a", "a name"),
    ("level", "a name"),
    ("level a", f'"at-risk", "unproven" or {LEVELS}'),
    ("off a", '"because"'),
]


def test_where_a_text_ends_too_soon() -> None:
    """Whatever would have gone on, in a reader's words; the place is behind the last word."""
    for text, expected in TOO_SOON:
        for tail in ("", "  ", "\n\n", "  # a comment"):
            trouble = trouble_of(f"# first\n  {text}{tail}")
            told = trouble.message.removeprefix("found the end, expected ")
            assert sorted(words(told)) == sorted(words(expected)), text
            if "#" not in tail:
                assert tuple(trouble.place)[1:] == (2, len(text) + 3, 1)
            assert trouble.excerpt == f"  {text}{tail}".split("\n")[0]


def words(text: str) -> list[str]:
    """The choices of a message, without order; quotes and commas within one stay."""
    return text.replace(" or ", ", ").split(", ")


OUT_OF_PLACE = [
    ("ruel r", "ruel", f'found "ruel", expected {ITEMS}; did you mean "rule"?'),
    ("x", "x", f'found "x", expected {ITEMS}'),
    ("rule R", "R", 'found "R", expected a name'),
    ("rule r titel", "titel", f'found "titel", expected {CLAUSES}; did you mean "title"?'),
    ("rule r @x y", "@x", f'found "@x", expected {CLAUSES}'),
    ("rule r title x", "x", 'found "x", expected a text in "quotes"'),
    ("rule r for blocks", "blocks", f'found "blocks", expected {SUBJECTS}; did you mean "block"?'),
    ("rule r require a b", "b", 'found "b", expected "else", "when" or an operator'),
    ("rule r require a esle error", "esle",
     'found "esle", expected "else", "when" or an operator; did you mean "else"?'),
    ("rule r require a else eror", "eror", f'found "eror", expected {LEVELS}'),
    ("rule r where known 5", "5", "found \"5\", expected ( or a name"),
    ("rule r breaks fial", "fial",
     'found "fial", expected "at-risk", "fail", "unproven", a text in "quotes" or | and a board line; '
     'did you mean "fail"?'),
    ("off a becuase", "becuase", 'found "becuase", expected "because"; did you mean "because"?'),
    ("level a unprven", "unprven",
     'found "unprven", expected "at-risk", "unproven" or error, warning or note; '
     'did you mean "unproven"?'),
    ("rule r where a < b < c", "<", 'found "<", expected "and", "or" or the next clause'),
]  # fmt: skip


def test_what_does_not_belong() -> None:
    """Its own characters are the place; the nearest word that would go on is offered."""
    for text, found, message in OUT_OF_PLACE:
        trouble = trouble_of(f"# first\n  {text}\n# last")
        assert sorted(words(trouble.message)) == sorted(words(message)), text
        start = trouble.place.column - 1
        assert (trouble.place.line, trouble.excerpt) == (2, f"  {text}")
        assert trouble.excerpt[start:].startswith(found)
        assert trouble.place.length in (len(found), 1)
        assert not trouble.message.endswith(" ")


SIGNS = {
    "\N{NO-BREAK SPACE}": "U+00A0", "\N{ZERO WIDTH SPACE}": "U+200B", "\x00": "U+0000", "\x0b": "U+000B",
    "é": "é", "@": "@",
}  # fmt: skip


def test_a_character_that_cannot_be_seen_is_told_by_its_number() -> None:
    """A blank that is none for the language, say; what can be seen is shown, up to the next blank."""
    for sign, shown in SIGNS.items():
        for rest in ("", "xx", " xx"):
            trouble = trouble_of(f"rule r {sign}{rest}")
            seen = shown + rest if rest == "xx" and len(shown) == 1 else shown
            assert trouble.message == f'found "{seen}", expected {CLAUSES}'
            assert tuple(trouble.place)[1:] == (1, 8, 1)


@pytest.mark.parametrize("text", ['"abc', '"', '"ends here\\"', '"a" "b'])
def test_a_text_that_is_not_closed(text: str) -> None:
    """It begins at its quote, and the end of the line does not close it."""
    trouble = trouble_of(f'rule r\n  title {text}\nbecause "b"')
    assert trouble.message == 'the text is not closed, expected " at its end on the same line'
    column = 9 + text.rindex('"b') if text == '"a" "b' else 9
    assert tuple(trouble.place)[1:] == (2, column, 1)
    assert trouble.excerpt == f"  title {text}"


def test_an_empty_text_is_a_book_of_nothing() -> None:
    """Blanks and comments alone are no trouble."""
    for text in ("", "\n", "  \n# a comment\n", "\r\n\f"):
        assert parse_rules(text, "x.rule") == []
