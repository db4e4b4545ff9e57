"""Two expectations of one block are two subjects: no report mixes up which of them is met."""

from collections import Counter
from pathlib import Path
from xml.etree import ElementTree

from drc import review
from drc.gate.fingerprint import fingerprint
from drc.outcome import Review
from drc.report.junit_report import render
from drc.report.page_view import page_view
from tests.judge.boards import assessed

BOARD = """two wants, the second not met
*@ expect XU1 frequency 16kHz +/- 10%
*@ expect XU1 period 90us +/- 10%
*@ expect XU1 frequency at least 20kHz
*@ accept timing-outside-intent at "XU1 frequency (2)" because "lab units only" by "board owner"
*@ ambient 20degC .. 30degC
*@ assume R* tolerance 1%, tempco 100ppm
V1 vdd 0 3.3
R1 vdd cfg 130k
R2 cfg 0 68.1k
R3 rt 0 100k
XU1 vdd cfg out 0 rt vdd HA10
.end
"""
RULE = "timing-outside-intent"


def reviewed(folder: Path) -> Review:
    """The board's review."""
    path = folder / "two.cir"
    path.write_text(BOARD, encoding="utf-8")
    return review(path)


def test_each_expectation_has_a_line_of_its_own_in_the_tally() -> None:
    """No rule and subject twice, and each with its own verdict."""
    entries = assessed(BOARD).tally
    assert max(Counter((e.rule, e.subject) for e in entries).values()) == 1
    assert {e.subject: e.verdict for e in entries if e.rule == RULE} == {
        "XU1 frequency": "pass",
        "XU1 period": "fail",
        "XU1 frequency (2)": "fail",
    }


def test_a_build_server_sees_which_expectation_fails(tmp_path: Path) -> None:
    """A case an expectation; one that is accepted by its name is skipped, and no other."""
    (suite,) = ElementTree.fromstring(render(reviewed(tmp_path)))
    cases = {
        case.get("classname", "").partition(": ")[2]: [
            child.tag for child in case if child.tag != "system-out"
        ]
        for case in suite
        if case.get("name") == RULE
    }
    assert cases == {"XU1 frequency": [], "XU1 period": ["failure"], "XU1 frequency (2)": ["skipped"]}


def test_the_page_has_a_row_an_expectation(tmp_path: Path) -> None:
    """In the table of rules by blocks the verdicts stand under each other, and none hides another."""
    (board,) = page_view(reviewed(tmp_path)).boards
    rows = {name: cells[0][0] for name, cells in board.matrix.rows if name.startswith(RULE)}
    assert rows == {f"{RULE}: frequency": "pass", f"{RULE}: period": "fail", f"{RULE}: frequency (2)": "fail"}


def test_an_acceptance_of_the_block_is_of_all_that_is_expected_of_it() -> None:
    """`accept RULE at XU1` covers each, and what an expectation is called is no part of a fingerprint."""
    findings = [f for f in assessed(BOARD).findings if f.rule == RULE]
    assert {f.block for f in findings} == {"XU1"}
    renamed = [f._replace(subject="XU1") for f in findings]
    assert [fingerprint(f) for f in findings] == [fingerprint(f) for f in renamed]
