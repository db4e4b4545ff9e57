"""The page a person reads."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.report.summary import CAUTION, digest_of, last_line, summary
from drc.report.text import harmless, plain, shortened, wrapped
from tests.report.made import LAMP, REVIEW, same_path


def page(width: int = 80) -> list[str]:
    """The summary as plain lines."""
    return [plain(line) for line in summary(REVIEW, width, same_path)]


@pytest.mark.parametrize("width", [80, 100, 132, 200])
def test_no_line_is_wider_than_the_page(width: int) -> None:
    """At every width from 80 to 200 the page fits."""
    assert max(len(line) for line in page(width)) <= width


def test_a_width_out_of_bounds_is_held_to_them() -> None:
    """A page narrower than 80 or wider than 200 columns is laid out for the nearer bound."""
    assert page(20) == page(80)
    assert page(1000) == page(200)


def test_what_failed_stands_first() -> None:
    """Boards that could not be read come first, then those with findings; a note is called a note."""
    lines = page()
    heads = [line.split()[0] for line in lines if line.startswith("boards/")]
    assert heads == ["boards/broken.cir", "boards/lamp.cir", "boards/door.cir"]
    verdicts = [line.split()[0] for line in lines if line.startswith("  ") and line[2] != " "]
    assert verdicts == ["not", "fail", "fail", "note", "accepted", "known"]


def test_evidence_takes_at_most_two_lines_and_remedy_one() -> None:
    """Under a finding stand no more than two lines of evidence and one of remedy."""
    deep = " " * 14
    run = longest = 0
    for line in page():
        run = run + 1 if line.startswith(deep) else 0
        longest = max(longest, run)
    assert 1 <= longest <= 2
    assert any(line.strip() == "-> R4 4.7k -> 47k (a decade slip in the strap)" for line in page())


def test_a_long_reason_leaves_the_remedy_on_one_line() -> None:
    """Where edits and reason do not fit a line, the edits stand alone; on a wider page both stand there."""
    ruling = LAMP.rulings[0]
    (remedy,) = ruling.finding.remedies
    wordy = remedy._replace(why="the preferred value of R4 that comes nearest to the time that is wanted")
    finding = ruling.finding._replace(remedies=(wordy,))
    board = LAMP._replace(rulings=(ruling._replace(finding=finding),))
    pages = [
        [plain(line) for line in summary(REVIEW._replace(boards=(board,)), width, same_path)]
        for width in (80, 120)
    ]
    assert [next(line.strip() for line in page if "->" in line) for page in pages] == [
        "-> R4 4.7k -> 47k",
        f"-> R4 4.7k -> 47k ({wordy.why})",
    ]


def test_the_last_line_counts_what_was_proved() -> None:
    """The last line of every review counts blocks and verdicts, a pass on assumptions apart."""
    assert page()[-1] == last_line(digest_of(REVIEW))
    assert last_line(digest_of(REVIEW)) == (
        "1 block: 1 pass, 1 pass on assumptions, 1 at-risk, 2 fail, 1 unproven"
    )


def test_the_caution_is_at_the_foot() -> None:
    """Every page says what a review does not replace."""
    assert CAUTION in " ".join(page())


def test_a_passed_gate_is_said() -> None:
    """Where the gate holds the page says so, and how many findings lie below it."""
    known = LAMP._replace(rulings=tuple(ruling._replace(state="known") for ruling in LAMP.rulings))
    lines = [plain(line) for line in summary(REVIEW._replace(passed=True, boards=(known,)), 80, same_path)]
    assert "gate passed: 0 at error, 5 known" in lines


@given(st.text(max_size=200), st.integers(1, 60))
def test_wrapping_loses_no_word(text: str, width: int) -> None:
    """Wrapped text has the words of the text, in their order."""
    assert " ".join(wrapped(text, width)).split() == text.split()


@given(st.text("abc \n.,-", max_size=200), st.integers(1, 60))
def test_only_a_word_that_is_too_long_sticks_out(text: str, width: int) -> None:
    """Where nothing has to stay together, as numbers, units and signs have, a line too long is one word."""
    assert all(len(line) <= width or len(line.split()) == 1 for line in wrapped(text, width))


@given(st.text(max_size=100), st.integers(4, 60))
def test_what_is_shortened_fits(text: str, width: int) -> None:
    """Shortened text has room, and is the text itself where that has."""
    assert len(shortened(text, width)) <= width
    assert shortened(text, 100) == text


@given(st.text(max_size=100))
def test_harmless_text_is_printable(text: str) -> None:
    """No text, whatever is in it, keeps a character that a terminal would act on."""
    assert harmless(text).isprintable()
