"""Judging real boards: nothing passes for want of facts, and the order of things changes nothing."""

from pathlib import Path

import pytest

from drc.judge.assess import assess
from drc.judge.book import load_rules
from tests.judge.boards import assessed, book_of, built_in_rules

GOOD = """a good board
*@ ambient 0degC .. 50degC
*@ assume R* tolerance 1%, tempco 100ppm
*@ expect XU1 frequency 16kHz +/- 20%
V1 vdd 0 3.3
C1 vdd 0 100n
R1 vdd cfg 130k
R2 cfg 0 68.1k
R3 rt 0 100k
R4 out 0 10k
XU1 vdd cfg out 0 rt vdd HA10
"""


def test_a_good_board_is_silent() -> None:
    """A board that does what is wanted gives no finding, and its verdicts are passes."""
    found = assessed(GOOD)
    assert [finding.message for finding in found.findings] == []
    assert {entry.verdict for entry in found.tally} == {"pass", "not-applicable"}


def test_a_board_without_known_rails_does_not_pass() -> None:
    """Nothing says what the supply is: an error says so, whether anything is expected or not."""
    for board in (GOOD, GOOD.replace("*@ expect", "* expect")):
        found = assessed(board.replace("V1 vdd 0 3.3\n", "").replace("vdd", "feed"))
        errors = [finding for finding in found.findings if finding.level == "error"]
        assert errors
        assert all(finding.verdict == "unproven" for finding in errors)
        assert all("voltage of feed" in finding.missing for finding in errors)


def test_a_misread_statement_never_lets_a_board_pass() -> None:
    """A statement that cannot be read, and one that names nothing, are errors."""
    for old, new, kind in (
        ("expect XU1 frequency", "expect XU1 freqency", "unreadable-statement"),
        ("expect XU1", "expect XU9", "statement-matches-nothing"),
    ):
        found = assessed(GOOD.replace(old, new))
        assert [(f.rule, f.verdict) for f in found.findings if f.level == "error"] == [(kind, "fail")]


def test_the_order_of_rules_changes_no_verdict() -> None:
    """Each verdict, its assumptions and its missing facts are a rule's own, whichever rule went before."""
    rules = built_in_rules()
    turned = rules._replace(rules=rules.rules[::-1])
    for board in (
        GOOD,
        GOOD.replace("*@ assume", "* assume"),
        GOOD.replace("V1 vdd", "V1 vcc"),
        GOOD.replace("68.1k", "130k"),
    ):
        one, other = assess(book_of(board), rules), assess(book_of(board), turned)
        assert sorted(one.tally) == sorted(other.tally)
        assert one.findings == other.findings


def test_the_same_board_gives_the_same_assessment() -> None:
    """Judging is pure: twice the same text, twice the same findings, evidence included."""
    bad = GOOD.replace("R3 rt 0 100k", "R3 rt 0 10k")
    one, other = (assess(book_of(bad), built_in_rules()) for _ in range(2))
    assert one == other
    assert one.findings


def test_a_house_book_changes_what_is_found(tmp_path: Path) -> None:
    """A turned knob, a level and a rule of the house's own hold on a real board."""
    house = tmp_path / "house.rule"
    house.write_text(
        """turn strap-near-threshold clearance = 0.45 steps
        level strap-near-threshold note
        rule house-slow title "Nothing runs above 1 kHz here" for block of oscillator
            require timing.frequency <= 1kHz else error say "{block} runs at {nominal timing.frequency}"
            because "the house says so" source "house book"
        """
    )
    found = assess(book_of(GOOD), load_rules([house]))
    assert [(f.rule, f.level, f.verdict) for f in found.findings] == [
        ("house-slow", "error", "fail"),
        ("strap-near-threshold", "note", "fail"),
    ]
    (slow,) = [f for f in found.findings if f.rule == "house-slow"]
    assert slow.message.startswith("XU1 runs at 1")
    assert slow.evidence["timing.frequency"].inputs


@pytest.mark.parametrize("tolerance", ["1%", None])
def test_a_pass_on_an_assumed_tolerance_is_counted_apart(tolerance: str | None) -> None:
    """With stated tolerances the expectation passes outright, with default ones on an assumption."""
    board = GOOD if tolerance else GOOD.replace("*@ assume", "* assume")
    (entry,) = [entry for entry in assessed(board).tally if entry.rule == "timing-outside-intent"]
    assert (entry.verdict, entry.assumed) == ("pass", tolerance is None)


def test_an_unread_line_is_an_error_where_it_names_a_block_s_net() -> None:
    """On a block's net it is an error; on nets of its own, far from any block, a warning."""
    for line, level in (("47kohm6 rt 0", "error"), ("47kohm6 lamp bulb", "warning")):
        (found,) = (f for f in assessed(f"{GOOD}{line}\n").findings if f.rule == "unreadable-line")
        assert found.level == level
