"""The sample boards: right ones are silent, mistaken ones are caught by the rule about the mistake."""

import pytest

import drc
from drc.outcome import BoardOutcome
from drc.quantity.span import Span
from tests.samples.boards import CLEAN, MISTAKES, NOMINAL, STATION, SUFFIXES, board_file


def review(name: str) -> BoardOutcome:
    """The review of one board of the station."""
    (board,) = drc.review(board_file(STATION, name)).boards
    assert board.error is None, board.error
    return board


def spoken(board: BoardOutcome) -> frozenset[str]:
    """Names of the rules that speak at error or warning level."""
    return frozenset(r.finding.rule for r in board.rulings if r.finding.level != "note")


def test_every_board_of_the_station_is_accounted_for() -> None:
    """No board lies in the folder without a statement here of what a review of it must say."""
    assert {path.stem for path in STATION.iterdir() if path.suffix in SUFFIXES} == {*CLEAN, *MISTAKES}


@pytest.mark.parametrize("name", CLEAN)
def test_a_right_board_gives_no_finding_at_all(name: str) -> None:
    """A board without a mistake gives no error, no warning and no note."""
    assert [(r.finding.rule, r.finding.message) for r in review(name).rulings] == []


@pytest.mark.parametrize("name", CLEAN)
def test_a_right_board_leaves_nothing_unproven(name: str) -> None:
    """Every verdict on a board without a mistake is a pass on stated figures, or not applicable."""
    tally = review(name).tally
    assert {entry.verdict for entry in tally} <= {"pass", "not-applicable"}
    assert [entry for entry in tally if entry.assumed] == []
    assert any(entry.rule == "timing-outside-intent" for entry in tally)


@pytest.mark.parametrize("name", sorted(MISTAKES))
def test_a_mistake_is_found_by_its_own_rule_and_no_stranger(name: str) -> None:
    """The rules that speak on a mistaken board are exactly those that the mistake is about."""
    assert spoken(review(name)) == MISTAKES[name]


@pytest.mark.parametrize(("name", "block", "fact"), sorted(NOMINAL))
def test_nominal_timing_is_what_the_resistors_and_the_part_file_say(name: str, block: str, fact: str) -> None:
    """The nominal value agrees with a hand calculation to 0.2 % (which leaves out switching times)."""
    (found,) = (b for b in review(name).blocks if b.block.path.upper() == block)
    value = found.facts[fact].value
    assert isinstance(value, Span), value
    assert value.nominal == pytest.approx(NOMINAL[name, block, fact], rel=2e-3)
