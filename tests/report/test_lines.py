"""Findings as lines that editors read."""

import re

import pytest

from drc.report.lines import excerpt, review_lines
from drc.trouble import Place
from tests.report.made import REVIEW, same_path

# GNU Coding Standards, "Formatting Error Messages": sourcefile:lineno:column: message.
GNU_LINE = re.compile(
    r"^(?P<file>[^:\s][^:]*):((?P<line>\d+):(?P<column>\d+):)? (?P<level>error|warning|note): \S"
)


def test_every_line_that_is_no_excerpt_has_the_gnu_form() -> None:
    """A line that does not begin with a blank is file, line, column, level and message, in this form."""
    heads = [line for line in review_lines(REVIEW, same_path) if not line.startswith(" ")]
    assert len(heads) == 4
    assert all(GNU_LINE.match(line) for line in heads)


def test_the_rule_stands_behind_the_message_in_brackets() -> None:
    """A finding's line ends in its rule, so that it can be looked up."""
    assert review_lines(REVIEW, same_path)[0].endswith("was wanted [timing-outside-intent]")


def test_accepted_and_known_findings_have_no_line() -> None:
    """What does not bear on the gate is left to the summary."""
    text = "\n".join(review_lines(REVIEW, same_path))
    assert "strap-near-threshold" not in text
    assert "rate-unproven" not in text


def test_a_board_that_was_not_read_is_a_line() -> None:
    """A board that could not be read as a whole is told with the rest."""
    assert review_lines(REVIEW, same_path)[-1] == "boards/broken.cir: error: is empty: expected a netlist"


def test_nothing_in_a_line_can_steer_a_terminal() -> None:
    """Escapes, control characters and direction marks in names come out spelt."""
    text = "\n".join(review_lines(REVIEW, same_path))
    assert "\\x1b[31m<script>&[bold] \\u202e" in text
    assert all(char.isprintable() or char == "\n" for char in text)


@pytest.mark.parametrize(
    ("text", "column", "length", "shown", "carets"),
    [
        ("R1 a b 4q7", 8, 3, "R1 a b 4q7", "       ^^^"),
        ("R1\ta b 4q7", 8, 3, "R1 a b 4q7", "       ^^^"),
        ("\x1bR1 a b", 2, 2, "\\x1bR1 a b", "    ^^"),
        ("R1 a", 9, 0, "R1 a", "    ^"),
        ("R1 a", 4, 99, "R1 a", "   ^"),
    ],
)
def test_carets_stand_under_what_is_meant(
    text: str, column: int, length: int, shown: str, carets: str
) -> None:
    """The caret line marks the place, whatever tabs, escapes or odd lengths there are."""
    assert excerpt(text, Place("a.cir", 3, column, length)) == [f"    {shown}", f"    {carets}"]


def test_of_a_very_long_line_only_the_surroundings_are_shown() -> None:
    """A line of a million characters is a window about the caret."""
    text = "x" * 500_000 + "WRONG" + "y" * 500_000
    shown, carets = excerpt(text, Place("a.cir", 1, 500_001, 5))
    assert len(shown) < 80
    at = carets.index("^")
    assert shown[at : at + 5] == "WRONG"
    assert carets[at:] == "^^^^^"
